"""The small parts of reading: headings, forms, fields, the search for likely texts, what lines say."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from numbertaker.evidence.signs import Mark, read_marks
from numbertaker.reading.fields import fits, weigh
from numbertaker.reading.forms import best_form
from numbertaker.reading.headings import match_heading, read_heading
from numbertaker.reading.lines import line_rows, says_of
from numbertaker.reading.marks import find_marks
from numbertaker.reading.recognisers import Kind, Reading
from numbertaker.reading.recognisers.ctc import best_texts
from numbertaker.reading.values import CardReading, CellReading, LineReading


def cell(text: str, mark: str = "") -> CellReading:
    """A cell that was read beyond doubt."""
    return CellReading(text, 0.99, (10, 20, 30, 8), (), mark)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("printed", "field"),
    [
        ("ENGINE No.", "engine"),
        ("ENG1NE N0.", "engine"),
        ("Boiler", "component"),
        ("REM0VED", "removed"),
        ("Date fitted", "fitted"),
        ("TOTAL MILES", "total_miles"),
        ("Mileage", "miles"),
        ("WORKS", "place"),
        ("Remarks.", "remarks"),
        ("Superheater", ""),
        ("52", ""),
    ],
)
def test_headings_mean_fields(printed: str, field: str) -> None:
    """Printed words are mapped to fields, worn letters forgiven, and strange words left alone."""
    assert match_heading(printed).field == field


def test_headings_can_be_added() -> None:
    """A wording of one's own is understood like the built-in ones."""
    assert match_heading("Kesselnummer", {"component": ["Kesselnummer"]}).field == "component"


def test_the_head_of_a_card_is_taken_apart() -> None:
    """The number, the class and the name each go where their label says."""
    found = read_heading(["ENGINE", "No.", "208", "CLASS", "K", "NAME", "Corvane"])

    assert found is not None
    assert found.side == "engine"
    assert dict(found.parts) == {"heading": (2,), "class": (4,), "heading_name": (6,)}


@pytest.mark.parametrize("words", [["MERROWDALE", "RAILWAY"], ["BOILER", "No."], []])
def test_other_lines_are_no_heading(words: list[str]) -> None:
    """A company's name and a form without its number don't say whose card it is."""
    assert read_heading(words) is None


@pytest.mark.parametrize(
    ("columns", "side", "form"),
    [
        (["engine", "fitted", "removed", "miles", "total_miles"], "component", "component-card"),
        (["component", "fitted", "removed", "miles", "place", "remarks"], "engine", "engine-card"),
        (["component", "engine", "fitted", "removed", "miles"], "", "printed-list"),
        (["place", "remarks"], "", None),
    ],
)
def test_the_form_that_fits_is_chosen(columns: list[str], side: str, form: str | None) -> None:
    """Columns and heading choose the form, and 'none of these' is an answer."""
    found = best_form(columns, side)
    assert (found.name if found else None) == form


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("date", "4.11"),
        ("date", "14/11/25"),
        ("date", "w/e 14.11.25"),
        ("date", "Nov 1925"),
        ("date", "c.1915-20"),
        ("date", "1903"),
        ("figure", "61,204"),
        ("figure", "1,103,880"),
        ("number", "207A"),
    ],
)
def test_what_clerks_wrote_fits_its_field(kind: Kind, text: str) -> None:
    """The grammar of each field takes the ways in which registers are written."""
    assert fits(text, kind) == 1.0


@pytest.mark.parametrize(
    ("kind", "text"), [("date", "41.11"), ("date", "13.25.11"), ("figure", "6l,204"), ("number", "")]
)
def test_nonsense_does_not_fit(kind: Kind, text: str) -> None:
    """A thirteenth-and-more month and letters within figures are held to be misread."""
    assert fits(text, kind) == 0.0


def test_the_grammar_chooses_among_what_was_seen() -> None:
    """Of two readings nearly as likely the one that can be a date wins."""
    seen = Reading("l4.11.25", 0.55, (("14.11.25", 0.4),))
    weighed = weigh(seen, "date")

    assert weighed.text == "14.11.25"
    assert weighed.confidence <= 1.0


def test_the_grammar_invents_nothing() -> None:
    """Where no reading fits, the likeliest stays."""
    assert weigh(Reading("Spare", 0.9, (("Spar", 0.1),)), "number").text == "Spare"


def test_paths_that_spell_one_text_are_added_up() -> None:
    """Two steps of 'a' at .6 give 'a' .84 (aa, a-, -a), nothing .16: worked by hand."""
    steps = np.array([[0.4, 0.6], [0.4, 0.6]])

    assert best_texts(steps, "a", 2) == [("a", pytest.approx(0.84)), ("", pytest.approx(0.16))]


def test_a_doubled_letter_needs_a_gap() -> None:
    """'aa' is spelt only with 'none' between its letters."""
    steps = np.array([[0.0, 1.0], [1.0, 0.0], [0.0, 1.0]])

    assert best_texts(steps, "a")[0] == ("aa", pytest.approx(1.0))


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ({"engine": cell("208"), "fitted": cell("4.11"), "remarks": cell("New to 208")}, "fitment"),
        ({"engine": cell("TOTAL"), "total_miles": cell("1,103,880")}, "total"),
        ({"engine": cell("In stock"), "fitted": cell("4.11")}, "spare"),
        ({"engine": cell(""), "removed": cell("12.40"), "remarks": cell("Condemned")}, "condemned"),
        ({"engine": cell('"', "ditto"), "fitted": cell("4.11")}, "fitment"),
        ({"engine": cell(""), "total_miles": cell("90,002")}, "total"),
    ],
)
def test_what_a_line_says(cells: dict[str, CellReading], says: str) -> None:
    """The words in the place of a number, or in the remarks beside none, tell what a line is."""
    assert says_of(cells, "component") == says


def test_lines_become_rows_of_the_package() -> None:
    """A read line becomes a row as written, with its marks, its region and how surely each cell was read."""
    cells = {"engine": cell('"', "ditto"), "fitted": cell("4.11"), "miles": cell("68,310", "struck")}
    card = CardReading(
        "component-card", "component", 0.0, (), {"heading": cell("52")}, (LineReading(3, "fitment", cells),)
    )
    (row,) = line_rows(card, card_id="S1-52", source_id="S1", scan="boiler-52.jpg", page=2)

    assert (row.line_id, row.side, row.heading, row.engine, row.miles) == (
        "S1-52-3",
        "component",
        "52",
        '"',
        "68,310",
    )
    assert row.marks == "engine=ditto;miles=struck"
    assert row.region == "boiler-52.jpg#page=2&xywh=10,20,30,8"
    assert row.sureness("fitted") == pytest.approx(0.99)


def test_marks_read_back_whatever_was_struck() -> None:
    """A recogniser may see a semicolon in a struck figure; the marks must still be read back as they were."""
    struck = CellReading("68,310", 0.9, (10, 20, 30, 8), mark="struck", struck="63;31%")
    line = LineReading(1, "fitment", {"miles": struck})
    card = CardReading("component-card", "component", 0.0, (), {}, (line,))
    (row,) = line_rows(card, card_id="S1-52", source_id="S1")

    assert read_marks(row.marks) == (Mark("miles", "struck", "63;31%"),)


@pytest.mark.parametrize(("joined_by", "marks"), [(3, 2), (14, 1)])
def test_two_lines_of_a_title_that_a_tail_hangs_together_are_two_marks(joined_by: int, marks: int) -> None:
    """'Engine' over 'No.' in close print: the tail of the g makes them no one letter, more ink does."""
    cap, ink = 16.0, np.zeros((80, 120), np.uint8)
    ink[20:34, 20:80] = 1
    ink[34:40, 60 : 60 + joined_by] = 1
    ink[40:54, 35:75] = 1

    found = find_marks(ink, cap)
    assert len(found) == marks
    if marks == 2:
        assert [tuple(m[:4]) for m in found] == [(20, 20, 60, 14), (35, 35, 40, 19)]


def test_the_package_and_its_worker_import_lightly() -> None:
    """Neither loads a picture library or a model: only the workers pay for those."""
    heavy = "{'cv2', 'onnxruntime', 'PIL', 'numpy', 'pytesseract'} & set(sys.modules)"
    code = f"import sys, numbertaker.reading, numbertaker.reading.worker; print(sorted({heavy}))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"
