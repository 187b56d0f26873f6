"""Cards are found on pictures whichever way they lie, and their tables with all that clerks do in them."""

from __future__ import annotations

import base64

import numpy as np
import pytest
from PIL import Image, ImageFilter
from tests.drawn import BOILER_CARD, Drawing, as_bytes, draw

from numbertaker.reading.card import read_card, read_picture
from numbertaker.reading.cells import off_the_line
from numbertaker.reading.cuts import Evidence, best_cutting
from numbertaker.reading.geometry import lay_flat
from numbertaker.reading.ground import Ground, words_in
from numbertaker.reading.header import without_group_words
from numbertaker.reading.marks import Box, faint_ink, find_marks, strokes_out
from numbertaker.reading.pages import open_page
from numbertaker.reading.papers import Paper, find_papers
from numbertaker.reading.quality import ends_with_picture, look_over
from numbertaker.reading.recognisers import Recogniser, choose
from numbertaker.reading.rows import Row, beaten_rows
from numbertaker.reading.rulings import Ruling
from numbertaker.reading.titles import Word
from numbertaker.reading.trust import shipped, trust
from numbertaker.reading.values import CardReading
from numbertaker.reading.votes import shown_through

DESK = (38, 32, 30)
HEIC = base64.b64decode(
    "AAAAHGZ0eXBoZWljAAAAAG1pZjFoZWljbWlhZgAAAaptZXRhAAAAAAAAACFoZGxyAAAAAAAAAABwaWN0AAAAAAAAAAAAAAAA"
    "AAAAAA5waXRtAAAAAAACAAAAEGlkYXQAAAAAABgAEAAAADhpbG9jAQAAAERAAAIAAQAAAAAAAAHOAAEAAAAAAAAASAACAAEA"
    "AAAAAAAAAQAAAAAAAAAIAAAAOGlpbmYAAAAAAAIAAAAVaW5mZQIAAAEAAQAAaHZjMQAAAAAVaW5mZQIAAAAAAgAAZ3JpZAAA"
    "AADVaXBycAAAALNpcGNvAAAAc2h2Y0MBA3AAAAAAAAAAAAAe8AD8/fj4AAAPAyAAAQAYQAEMAf//A3AAAAMAkAAAAwAAAwAe"
    "ugJAIQABACdCAQEDcAAAAwCQAAADAAADAB6gIIEFluqumubAgAAAAwCAAAADAIQiAAEABkQBwXPBiQAAABRpc3BlAAAAAAAA"
    "AEAAAABAAAAAFGlzcGUAAAAAAAAAGAAAABAAAAAQcGl4aQAAAAADCAgIAAAAGmlwbWEAAAAAAAAAAgABAoECAAICA4QAAAAa"
    "aXJlZgAAAAAAAAAOZGltZwACAAEAAQAAAFBtZGF0AAAARCgBrxMhjnxo9rRVpoOm+7hcc2hoc0oNvzZF7/JUe2I5XCe1rSGK"
    "hyTmptpX0PPy9aqpagICN6DE86xAnghQnE7+t71W"
)
"""A grey wedge of 24 × 16 pixels, written by ImageMagick with libheif."""


@pytest.fixture(scope="module")
def recogniser() -> Recogniser:
    """One session for all tests of this module."""
    return choose("onnx")


def texts(card: CardReading) -> list[dict[str, str]]:
    return [{name: cell.text for name, cell in line.cells.items()} for line in card.lines]


def as_scan(image: Image.Image) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    return open_page(as_bytes(image))


def on_a_desk(*cards: Image.Image, turns: tuple[float, ...] = (0.0, 0.0)) -> Image.Image:
    """Cards one under the other on a dark desk."""
    width = max(card.width for card in cards) + 300
    desk = Image.new("RGB", (width, sum(card.height + 160 for card in cards) + 160), DESK)
    top = 160
    for card, turn in zip(cards, turns, strict=False):
        turned = card.rotate(turn, expand=True, fillcolor=DESK, resample=Image.Resampling.BICUBIC)
        desk.paste(turned, (120, top))
        top += card.height + 160
    return desk


@pytest.mark.parametrize("quarters", [1, 2, 3], ids=["on its right", "on its head", "on its left"])
def test_a_card_reads_the_same_whichever_way_up_it_lies(recogniser: Recogniser, quarters: int) -> None:
    """A scan turned by quarters is read as the card stands, and says how it lay."""
    upright = read_card(as_bytes(draw(BOILER_CARD)), 1, None, recogniser)
    turned = read_card(as_bytes(draw(BOILER_CARD).rotate(-90 * quarters, expand=True)), 1, None, recogniser)

    assert texts(turned) == texts(upright)
    assert abs(turned.turned) == pytest.approx(min(quarters, 4 - quarters) * 90, abs=0.5)


def test_two_cards_on_one_picture_are_two_cards(recogniser: Recogniser) -> None:
    """Both are read, the upper one first, each within its own outline."""
    other = Drawing("BOILER No. 61", BOILER_CARD.titles, BOILER_CARD.rows[:3])
    cards = read_picture(
        as_scan(on_a_desk(draw(BOILER_CARD), draw(other), turns=(1.5, -2.0))), None, recogniser
    )

    assert [card.heading["heading"].text for card in cards] == ["52", "61"]
    assert [len(card.lines) for card in cards] == [5, 3]
    assert max(y for _, y in cards[0].outline) < min(y for _, y in cards[1].outline)


def test_papers_are_told_from_a_desk_and_no_desk_from_paper() -> None:
    """A light sheet on a dark desk has its own corners; where all is paper the corners are the picture's."""
    desk = np.full((600, 900, 3), 30, np.uint8)
    desk[100:500, 200:700] = 230
    (paper,) = find_papers(desk)
    (whole,) = find_papers(np.full((600, 900, 3), 228, np.uint8))

    assert not paper.whole
    assert paper.corners[0] == pytest.approx((200, 100), abs=8)
    assert whole == Paper(((0.0, 0.0), (900.0, 0.0), (900.0, 600.0), (0.0, 600.0)), whole=True)


def test_four_quarter_turns_are_none() -> None:
    """Turning a paper goes round its corners."""
    paper = Paper(((0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)))

    assert paper.turned(1).corners[0] == (0.0, 6.0)
    assert paper.turned(1).turned(3) == paper


def test_a_remark_on_two_rows_is_one_remark(recogniser: Recogniser) -> None:
    """What goes on in the next row in small letters follows the line above, and makes no line of its own."""
    rows = (
        ("208", "4.11", "11.13", "68,310", "Brackwith", "New copper plate"),
        ("", "", "", "", "", "and side stays"),
        ("214", "5.17", "6.20", "71,204", "Ostrey", ""),
    )
    card = read_card(as_bytes(draw(Drawing("BOILER No. 52", BOILER_CARD.titles, rows))), 1, None, recogniser)

    assert [line.cells["engine"].text for line in card.lines] == ["208", "214"]
    assert card.lines[0].cells["remarks"].text == "New copper plate and side stays"


def test_a_text_over_all_columns_is_one_line(recogniser: Recogniser) -> None:
    """A sentence that takes no notice of the columns stands whole among the remarks."""
    sentence = "This boiler stood at Brackwith from June until October waiting for tubes"
    rows = (*BOILER_CARD.rows[:2], (sentence, "", "", "", "", ""), *BOILER_CARD.rows[2:3])
    card = read_card(as_bytes(draw(Drawing("BOILER No. 52", BOILER_CARD.titles, rows))), 1, None, recogniser)

    assert len(card.lines) == 4
    assert list(card.lines[2].cells) == ["remarks"]
    assert card.lines[2].cells["remarks"].text.split()[:4] == ["This", "boiler", "stood", "at"]


def test_half_a_card_has_no_lines_and_says_why(recogniser: Recogniser) -> None:
    """A scan that ends in the middle of the table is no evidence of what the lines say."""
    image = draw(BOILER_CARD)
    card = read_card(as_bytes(image.crop((0, 0, int(image.width * 0.46), image.height))), 1, None, recogniser)

    assert card.lines == ()
    assert "Nothing that looks like a register line" in card.problems[0]
    assert any("runs off the picture at the right" in problem for problem in card.problems)


def test_a_paper_that_ends_with_the_picture_at_one_side_runs_off_it() -> None:
    """Whichever way up it lies; one that fills the picture, or lies clear of its border, does not."""
    cut = [(40.0, 80.0), (998.0, 60.0), (997.0, 740.0), (60.0, 760.0)]

    assert ends_with_picture(cut, (800, 1000)) == "right"
    assert ends_with_picture(cut[2:] + cut[:2], (800, 1000)) == "left"
    assert ends_with_picture([(40, 80), (900, 60), (900, 740), (60, 760)], (800, 1000)) == ""
    assert ends_with_picture([(0, 0), (1000, 0), (1000, 800), (0, 800)], (800, 1000)) == ""


def test_shade_along_the_edge_of_a_page_cuts_nothing(recogniser: Recogniser) -> None:
    """Where a page falls away at its spine its edge is darker here and there, not cut."""
    image = np.asarray(draw(BOILER_CARD).convert("RGB")).copy()
    for top in range(100, image.shape[0] - 60, 90):
        image[top : top + 7, :12] -= 13
    plane = lay_flat(np.ascontiguousarray(image[:, :, ::-1]))
    assert plane is not None
    assert look_over(image, plane).cut == ()


def test_a_blurred_scan_is_to_be_made_again(recogniser: Recogniser) -> None:
    """The advice says how soft the scan is, how sharp it should be, and what to do."""
    image = draw(BOILER_CARD).filter(ImageFilter.GaussianBlur(6))
    card = read_card(as_bytes(image), 1, None, recogniser)

    assert any("out of focus" in problem for problem in card.problems)


def test_a_coarse_scan_is_to_be_made_again(recogniser: Recogniser) -> None:
    """Letters of a few pixels are named with their height and the height that is wanted."""
    image = draw(BOILER_CARD)
    small = image.resize((int(image.width * 0.35), int(image.height * 0.35)), Image.Resampling.LANCZOS)
    card = read_card(as_bytes(small), 1, None, recogniser)

    assert any("pixels high" in problem for problem in card.problems)


def test_a_good_scan_needs_no_advice(recogniser: Recogniser) -> None:
    """Nobody is sent back to the scanner for nothing; the measures are told all the same."""
    card = read_card(as_bytes(draw(BOILER_CARD)), 1, None, recogniser)

    assert card.problems == ()
    assert {"capital", "dpi", "blur", "glare", "cut_edges", "table"} <= card.quality.keys()


def test_a_telephones_picture_is_opened() -> None:
    """HEIC is decoded to the pixels that it was made of: dark above, light below."""
    picture = open_page(HEIC)

    assert picture.shape == (16, 24, 3)
    assert picture[0].mean() < 20
    assert picture[-1].mean() > 230


def letters_at(levels: list[float]) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Eight letters of 12 × 16 pixels with their feet at each level."""
    return np.array([[40.0 + 30 * k, y - 16, 12, 16, 120] for y in levels for k in range(8)])


def test_a_figure_squeezed_in_between_makes_no_row() -> None:
    """Rows keep their beat: what stands half a pitch over a line belongs to it."""
    lines = [100.0 + 40 * k for k in range(8)]
    marks = np.vstack([letters_at(lines), letters_at([282.0])[:3]])

    assert len(beaten_rows(marks, 16.0, 600)) == len(lines)


def test_a_blank_row_keeps_its_place() -> None:
    """A gap of two pitches is bridged, and neither neighbour grows into it."""
    rows = beaten_rows(letters_at([100.0, 140, 180, 260, 300, 340]), 16.0, 600)

    assert [row.level for row in rows] == pytest.approx([92, 132, 172, 252, 292, 332], abs=3)
    assert rows[2].bottom < 205
    assert rows[3].top > 220


def test_a_word_over_two_columns_is_no_title() -> None:
    """'DATE' over 'Fitted' and 'Removed' is left out; 'DATE' over 'FITTED' alone stays."""
    group = Word(Box(180, 0, 240, 16), "DATE", 1.0)
    fitted, removed = Word(Box(100, 24, 170, 40), "Fitted", 1.0), Word(Box(250, 24, 330, 40), "Removed", 1.0)
    own = Word(Box(110, 0, 160, 16), "DATE", 1.0)

    assert without_group_words([group, fitted, removed], 16.0) == [fitted, removed]
    assert own in without_group_words([own, fitted, removed], 16.0)


def test_columns_are_cut_where_writing_leaves_room() -> None:
    """Three columns of an unruled list come out with their titles' fields."""
    words = [Word(Box(60, 10, 130, 26), "Engine", 1.0), Word(Box(200, 10, 270, 26), "Fitted", 1.0)]
    words.append(Word(Box(340, 10, 420, 26), "Removed", 1.0))
    row = [Box(60, 40, 110, 56), Box(200, 40, 280, 56), Box(340, 40, 420, 56)]
    cutting = best_cutting(Evidence([row] * 6, [row] * 6, words, (), False, 16.0, 500))

    assert cutting is not None
    assert [span.match.field for span in cutting.spans] == ["engine", "fitted", "removed"]
    assert cutting.margin > 0


@pytest.mark.parametrize("witness", sorted(shipped().by_witness))
def test_trust_rises_with_every_witness(witness: str) -> None:
    """No sign that a table is right lowers the trust in it."""
    doubtful = dict.fromkeys(shipped().by_witness, 0.5)

    assert trust(doubtful | {witness: 0.9}) >= trust(doubtful)


TABLE = (76, 229, 445, 663, 826, 1004, 1179, 1428)


def test_rulings_that_show_through_from_the_back_are_no_columns() -> None:
    """Fainter lines that stand where the table's own would in a mirror are those of the card's other side."""
    back = {1502 - x: 11.0 for x in TABLE[1:-1]}
    assert shown_through({**dict.fromkeys(TABLE, 19.0), **back}, 1500, 5) == set(back)


def test_faint_rulings_of_the_table_itself_stay() -> None:
    """Faint lines that mirror nothing are columns whose ink has faded, however many there are."""
    worn = dict.fromkeys((150, 340, 560, 745, 920), 11.0)
    assert not shown_through({**dict.fromkeys(TABLE, 19.0), **worn}, 1500, 5)
    assert not shown_through(dict.fromkeys(TABLE, 19.0), 1500, 5)


def test_a_fading_ribbon_is_seen_on_grainy_paper() -> None:
    """Strokes little deeper than the paper's grain are found nearly whole, and hardly any paper with them."""
    grain = np.random.default_rng(5).normal(0, 14, (300, 600))
    depth = np.zeros((300, 600))
    for x in range(60, 540, 14):
        depth[140:156, x : x + 4] = 18
    paper = np.clip(225 + grain - depth, 0, 255).astype(np.uint8)
    ink = faint_ink(np.dstack([paper] * 3), 15.0) > 0
    assert ink[depth > 0].mean() > 0.65
    assert ink[depth == 0].mean() < 0.04


def test_a_piece_of_ruling_under_a_row_is_no_part_of_it() -> None:
    """Low marks clear of the letters are left out; a stroke, a comma and a ditto's ticks stay."""
    letter, comma = [40.0, 100.0, 10.0, 15.0, 80.0], [52.0, 111.0, 4.0, 7.0, 20.0]
    stroke, ticks = [36.0, 107.0, 60.0, 3.0, 180.0], [80.0, 100.0, 5.0, 4.0, 16.0]
    ruling = [55.0, 122.0, 130.0, 5.0, 400.0]
    marks = np.array([letter, comma, stroke, ticks, ruling])
    assert off_the_line(marks, 107.5, 15.0).tolist() == [letter, comma, stroke, ticks]


def test_a_ruling_that_ends_before_a_title_cuts_nothing_of_it() -> None:
    """Known rulings are taken off; level with one, but beyond its end, what is thicker than it is writing."""
    sheet = np.zeros((60, 400), np.uint8)
    sheet[29:31, :200] = 1
    sheet[28:42, 220:320] = 1  # the letters of a title that have run together
    left = strokes_out(sheet, 20.0, (), [(30.0, 0.0, 200.0)])

    assert not left[:, :200].any()
    assert (left[:, 220:320] == sheet[:, 220:320]).all()


def test_a_word_over_the_end_of_a_ruling_stays_whole() -> None:
    """A heading is not cut where a ruling of the table below would pass; titles apart from it are."""
    marks = np.array([[x, 100.0, 10.0, 15.0, 90.0] for x in (40, 53, 66, 79, 100, 113)])
    rulings = tuple(Ruling(x, 0, 900, 3.0, 0.9, 9.0, 3.0) for x in (64.5, 94.5))
    ground = Ground(marks, 15.0, (), rulings, (), (400, 900), True, np.full(6, 90.0))
    assert [b.left for b in words_in(ground, Row(90, 125), close=4.5)] == [40, 100]
    assert [b.left for b in words_in(ground, Row(90, 125))] == [40, 66, 100]


def test_the_rim_of_a_stain_is_no_mark() -> None:
    """A thin line that bends over a whole cell is left out; a long dash and a letter of the same ink stay."""
    ink = np.zeros((200, 400), np.uint8)
    for x in range(60, 240):
        y = 60 + (x - 150) ** 2 // 190
        ink[y : y + 3, x] = 1
    ink[150:155, 60:240] = 1
    ink[150:165, 300:310] = 1
    assert [tuple(m[:4]) for m in find_marks(ink, 15.0)] == [(60, 150, 180, 5), (300, 150, 10, 15)]


def test_a_title_of_one_line_between_titles_of_two_stays() -> None:
    """The second lines of its neighbours stand lower on both its sides, but each under a first line."""
    places = [(10, 90), (20, 105), (120, 98), (230, 90), (245, 105)]
    texts_ = ["BOILER", "No.", "PUT ON", "REMOVED", "DATE"]
    words = [Word(Box(x, y, x + 60, y + 10), text, 0.99) for (x, y), text in zip(places, texts_, strict=True)]
    assert without_group_words(words, 10.0) == words
