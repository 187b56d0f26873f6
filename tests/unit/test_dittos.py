"""Dittos told by how dark they are, and writing without what stands beside it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from numbertaker.reading.cells import NO_MARKS, Cell, Sort
from numbertaker.reading.columns import Column
from numbertaker.reading.company import Light, light_of, without_company
from numbertaker.reading.dittos import with_dittos
from numbertaker.reading.geometry import PAPER, Array
from numbertaker.reading.rows import Row

CAP = 20.0
INK, PALE = 60, 170
"""Greys of writing, and of what shows through from the back."""
PLACES = Column(100.0, 400.0, "WORKS", "place", 0.95)
DATES = Column(400.0, 600.0, "FITTED", "fitted", 0.95)
Spot = tuple[float, float, float, float, int]
"""Left, top, width, height and grey of what is drawn."""


def word(left: float, top: float, count: int = 6, grey: int = INK) -> list[Spot]:
    """So many letters."""
    return [(left + 16 * n, top, 12, CAP, grey) for n in range(count)]


def ticks(left: float, top: float, grey: int = INK) -> list[Spot]:
    """Two ticks that hang where the top of a letter is."""
    return [(left, top, 4, 10, grey), (left + 8, top, 4, 10, grey)]


def marks_of(spots: Sequence[Spot]) -> Array:
    """The marks of what is drawn, all of them found."""
    return np.array([(x, y, w, h, w * h) for x, y, w, h, _ in spots], np.float64).reshape(-1, 5)


def told(rows: Sequence[Sequence[Spot]], sorts: Sequence[Sort], tinted: Sequence[Spot] = ()) -> list[Cell]:
    """The works of a table, a row every 50 pixels, after dittos were looked for; beside each stands a date.

    `sorts` are what the shape of the marks had said; `tinted` is darker in the darkest channel.
    """
    picture = np.full((60 + 50 * len(rows), 640), PAPER, np.uint8)
    every, cells = [], []
    for n, (spots, sort) in enumerate(zip(rows, sorts, strict=True)):
        date = word(420, 65 + 50 * n)
        for x, y, w, h, grey in (*spots, *date):
            picture[int(y) : int(y + h), int(x) : int(x + w)] = grey
        row = Row(50.0 + 50 * n, 100.0 + 50 * n)
        own, other = marks_of(spots), marks_of(date)
        cells.append([Cell(PLACES, row, sort, own, NO_MARKS), Cell(DATES, row, "plain", other, NO_MARKS)])
        every += [own, other]
    marks, dark = np.concatenate(every), picture.copy()
    for x, y, w, h, grey in tinted:
        dark[int(y) : int(y + h), int(x) : int(x + w)] = grey
    light = light_of(picture, dark, marks, CAP)
    return [row[0] for row in without_company(with_dittos(cells, marks, light), light)]


@pytest.mark.parametrize("sort", ["plain", "blank"])
def test_ticks_as_dark_as_writing_are_a_ditto_whatever_shows_through_beside_them(sort: Sort) -> None:
    """The back shines through the cell, so its marks look like writing, or were left out as specks."""
    cells = told([word(120, 65), [*ticks(150, 112), *word(200, 116, 5, PALE)]], ["plain", sort])
    assert [cell.sort for cell in cells] == ["plain", "ditto"]
    assert cells[1].marks[:, 0].max() < 170


@pytest.mark.parametrize("sort", ["ditto", "blank"])
def test_a_spot_of_rust_is_no_ditto(sort: Sort) -> None:
    """As large as ticks and as high, and brown: much paler in one channel than in another."""
    spot, brown = [(150.0, 112.0, 10.0, 10.0, 130)], [(150.0, 112.0, 10.0, 10.0, 60)]
    assert told([word(120, 65), spot], ["plain", sort], brown)[1].sort == "blank"
    assert told([word(120, 65), spot], ["plain", sort])[1].sort == "ditto"


def test_a_word_with_marks_over_it_is_no_ditto() -> None:
    """Where letters stand in the cell, ticks are part of what is written."""
    cells = told([[*ticks(120, 62), *word(150, 65, 4)]], ["plain"])
    assert cells[0].sort == "plain"


def test_a_dark_spot_outside_of_where_a_column_is_written_in_is_none() -> None:
    """Clerks begin a ditto under the word that it repeats, not far to the right of all words."""
    rows = [*(word(120, 65 + 50 * n) for n in range(3)), ticks(350, 212)]
    assert told(rows, ["plain", "plain", "plain", "blank"])[3].sort == "blank"


def test_faint_ticks_are_a_ditto_in_line_with_darker_ones_only() -> None:
    """A ribbon gone dry leaves ticks that by themselves might be dirt."""
    faint = 175
    rows = [word(120, 65), ticks(150, 112), ticks(151, 162, faint)]
    assert told(rows, ["plain", "ditto", "blank"])[2].sort == "ditto"
    apart = [word(120, 65), ticks(150, 112), ticks(190, 162, faint)]
    assert told(apart, ["plain", "ditto", "blank"])[2].sort == "blank"


def test_what_shows_through_beside_a_word_is_left_out_of_it() -> None:
    """Paler by half than the word and apart from it: no part of what is read."""
    cells = told([[*word(120, 65), *word(300, 70, 1, 190)]], ["plain"])
    assert len(cells[0].marks) == 6


def test_a_word_in_a_paler_ink_is_kept() -> None:
    """What was added later, in pencil, is wider than a speck and not as pale as the back."""
    cells = told([[*word(120, 65, 4), *word(240, 65, 4, 150)]], ["plain"])
    assert len(cells[0].marks) == 8


def test_nothing_is_left_out_where_all_is_faint() -> None:
    """In a row whose ribbon was dry the depth of marks says nothing."""
    paper = np.full((100, 640), PAPER, np.uint8)
    light = Light(paper, 150.0, CAP, paper)
    light.picture[65:85, 120:132] = 180
    light.picture[65:85, 160:172] = 215
    marks = marks_of([(120, 65, 12, 20, 180), (160, 65, 12, 20, 215)])
    cell = Cell(PLACES, Row(50, 100), "plain", marks, NO_MARKS)
    assert len(without_company([[cell]], light)[0][0].marks) == 2


def test_ticks_on_a_crease_are_a_ditto_in_line_with_others() -> None:
    """The crease is a dark line down through the cell, and hides the shape of the ticks on it."""
    crease = (155.0, 100.0, 2.0, 100.0, 150)  # through the second cell and the third, which is blank
    rows = [word(120, 65), [crease, *ticks(150, 112)], [], ticks(150, 212)]
    cells = told(rows, ["plain", "blank", "blank", "ditto"])
    assert [cell.sort for cell in cells] == ["plain", "ditto", "blank", "ditto"]


def test_a_worn_first_figure_is_kept_with_its_number() -> None:
    """As tall as the others, on the line, and as far off as one that is worn away: it is no company."""
    cells = told([[*word(120, 65, 1, 190), *word(150, 65, 5)]], ["plain"])
    assert len(cells[0].marks) == 6
