"""Single cells: strikes beside and under their replacements, and what makes a reading doubtful."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from numbertaker.reading.card import without_baseless_ditto
from numbertaker.reading.cell_traits import NAMES, Around, Seen, row_of, traits_of
from numbertaker.reading.cells import NO_MARKS, Cell
from numbertaker.reading.columns import Column
from numbertaker.reading.geometry import PAPER, Array
from numbertaker.reading.recognisers import Reading
from numbertaker.reading.rows import Row
from numbertaker.reading.values import CellReading
from numbertaker.reading.writing import _parts, settle

CAP = 20.0
COLUMN = Column(100.0, 300.0, "MILES", "miles", 0.95)


def a_row(top: float = 100.0) -> Row:
    """A row of writing, two capitals high."""
    return Row(top, top + 40)


def marks_of(*boxes: tuple[float, float, float, float]) -> Array:
    """Marks by left, top, width and height."""
    return np.array([(*box, 0.6 * box[2] * box[3]) for box in boxes])


def letters(left: float, top: float, count: int = 6, high: float = CAP) -> Array:
    """A word of so many letters."""
    return marks_of(*((left + 16 * n, top, 12.0, high) for n in range(count)))


def plain(marks: Array = NO_MARKS) -> Cell:
    """A cell that geometry takes for writing."""
    return Cell(COLUMN, a_row(), "plain" if len(marks) else "blank", marks, NO_MARKS)


def said(text: str, p: float = 0.95, *others: tuple[str, float]) -> Reading:
    """A reading by a recogniser that knows strikes."""
    return Reading(text, p, others, strikes=True)


def test_a_figure_squeezed_in_over_a_struck_one_stands() -> None:
    """The two run into one another: each line is read by itself, and the lower one has a stroke."""
    marks = np.concatenate([letters(120, 100), letters(110, 116)])
    own = {"text": said("~68,2 310", 0.01), "upper": said("68,310"), "lower": said("~68,210")}
    settled = settle(plain(marks), own, CAP)
    assert (settled.cell.sort, settled.text and settled.text.text) == ("struck", "68,310")
    assert settled.struck is not None
    assert settled.struck.text == "68,210"


def test_a_stroke_that_only_geometry_sees_is_a_ruling() -> None:
    """Where the reader sees no strike-out in the writing, a level line through it strikes out nothing."""
    cell = Cell(COLUMN, a_row(), "struck", NO_MARKS, letters(120, 110))
    settled = settle(cell, {"struck": said("68,310", 0.99)}, CAP)
    assert (settled.cell.sort, settled.text and settled.text.text) == ("plain", "68,310")


def test_a_struck_figure_with_another_after_it_gives_both() -> None:
    """One crop, two figures, so close that no gap tells them apart."""
    settled = settle(plain(letters(120, 110, 12)), {"text": said("~68,210 68,310")}, CAP)
    assert (settled.cell.sort, settled.text and settled.text.text) == ("struck", "68,310")


def test_the_same_text_read_plainly_without_what_stands_over_it_was_not_struck() -> None:
    """On the whole of it the edge of a stain goes through the number; on its own line it is untouched."""
    own = {"text": said("~606", 0.4), "upper": said("606", 0.99), "lower": said("", 0.8)}
    settled = settle(plain(letters(120, 100, 3)), own, CAP)
    assert (settled.cell.sort, settled.text and settled.text.text) == ("plain", "606")


def test_half_a_date_that_looks_struck_is_none_where_the_whole_of_it_is_surely_plain() -> None:
    """Its lower line alone has the stain on it that seems to strike it out."""
    whole = said("20/12/40", 0.998, ("~20/12/40", 0.0002))
    own = {"text": whole, "upper": said("20/12/40", 0.99), "lower": said("~20/12/40", 0.4)}
    cell = Cell(
        Column(100.0, 300.0, "REMOVED", "removed", 0.95), a_row(), "plain", letters(120, 100), NO_MARKS
    )
    settled = settle(cell, own, CAP)
    assert (settled.cell.sort, settled.text and settled.text.text) == ("plain", "20/12/40")


def test_a_replacement_that_is_read_by_itself_stands_though_the_whole_makes_no_sense() -> None:
    """Geometry saw the stroke: what is struck and what stands over it are each read by itself."""
    cell = Cell(COLUMN, a_row(), "struck", letters(130, 92), letters(110, 112))
    own = {"text": said("64,154", 0.99), "struck": said("~64,157", 0.86), "whole": said("~64,757", 0.1)}
    settled = settle(cell, own, CAP)
    assert (settled.cell.sort, settled.text and settled.text.text) == ("struck", "64,154")
    assert settled.struck is not None
    assert settled.struck.text == "64,157"


def test_noise_that_seems_struck_is_no_strike() -> None:
    """The grain of bare paper: nothing on it is read with more than the probability of a guess."""
    settled = settle(plain(letters(120, 104, 2)), {"text": said("2", 3e-7, ("~1", 4e-7))}, CAP)
    assert settled.cell.sort == "plain"


def test_a_figure_into_which_the_row_below_runs_was_not_struck() -> None:
    """Its own line reads plainly; both together make no sense that anything could be concluded from."""
    own = {"text": said("52.228", 1e-6, ("~51 27", 5e-5)), "upper": said("51,278", 0.98), "lower": said("92")}
    settled = settle(plain(letters(120, 100)), own, CAP)
    assert (settled.cell.sort, settled.text and settled.text.text) == ("plain", "51,278")


def test_a_letter_that_touches_the_struck_line_is_read_with_the_line_that_stands() -> None:
    """The first figure hangs together with the one below it, and was sorted to the lower line."""
    standing, struck = letters(136, 92), letters(110, 112)
    struck[0] = (120.0, 93.0, 12.0, 39.0, 200.0)
    parts = _parts(Cell(COLUMN, a_row(), "struck", standing, struck), CAP)
    assert parts["text"][:, :4].tolist() == [[120.0, 92.0, 108.0, CAP]]


PLACES = Column(100.0, 300.0, "WORKS", "place", 0.95)


@pytest.mark.parametrize(("p", "sort"), [(0.99, "ditto"), (0.7, "plain")])
def test_marks_that_geometry_takes_for_writing_are_a_ditto_where_they_are_surely_read_as_one(
    p: float, sort: str
) -> None:
    """Ticks between dashes are as wide as a word; what is read as ticks less surely may be dirt."""
    cell = Cell(PLACES, a_row(), "plain", letters(120, 100, 3), NO_MARKS)
    assert settle(cell, {"text": said('"', p, ("", 1 - p))}, CAP).cell.sort == sort


def around(grey: Array) -> Around:
    """A card in a table that is trusted."""
    return Around(0.95, known=False, grey=grey.astype(np.uint8), cap=CAP, fine=30.0)


def page() -> Array:
    """Bare paper with one word on it."""
    grey = np.full((300, 400), float(PAPER))
    for left, top, width, height, _ in letters(160, 110):
        grey[int(top) : int(top + height), int(left) : int(left + width)] = 60
    return grey


def one(grey: Array, text: str = "68,310", fellows: Sequence[str] = ()) -> dict[str, float]:
    """The traits of a cell that says `text`, among others of its column."""
    seen = [Seen(plain(letters(160, 110)), "plain", Reading(t, 0.97)) for t in (text, *fellows)]
    return traits_of(seen, around(grey))[0]


def test_ink_beside_the_letters_that_were_found_is_seen() -> None:
    """A first letter too faint to be found leaves its ink outside the box that was read."""
    missed = page()
    missed[110:130, 130:142] = 150
    assert one(page())["beside"] == 0
    assert one(missed)["beside"] == pytest.approx(12 / CAP, abs=0.15)


def test_a_value_shaped_unlike_its_column_stands_out() -> None:
    """'.3.35' among '14.3.35' and its like has lost something."""
    fellows = ["14.3.35", "17.1.38", "23.3.42"]
    assert one(page(), "28.7.43", fellows)["shape"] == 1
    assert one(page(), ".7.43", fellows)["shape"] == 0


def test_a_row_of_traits_has_them_all() -> None:
    """Each trait by its name, in the order in which the weights want them."""
    row = row_of(one(page()))
    assert row.shape == (len(NAMES),)
    assert np.isfinite(row).all()


@pytest.mark.parametrize(
    ("sure", "above", "kept"),
    [(0.7, "52", True), (0.7, "", False), (0.99, "", True), (0.99, None, False)],
)
def test_ditto_marks_under_nothing_stay_only_where_they_are_beyond_doubt(
    sure: float, above: str | None, *, kept: bool
) -> None:
    """A speck under a blank cell repeats nothing; clear marks say that the cell above was missed; in the
    first line there is nothing to repeat."""
    marks = CellReading('"', sure, (0, 0, 9, 9), mark="ditto")
    over = None if above is None else CellReading(above, 0.9, (0, 0, 9, 9))
    assert (without_baseless_ditto(marks, over).mark == "ditto") is kept
