"""How the parts of table finding decide: dotted rulings, rival cuts, titles under common words, trust."""

from __future__ import annotations

import numpy as np
import pytest

from numbertaker.reading.columns import columns_of
from numbertaker.reading.cuts import Evidence, best_cutting
from numbertaker.reading.dotted import in_dotted_lines
from numbertaker.reading.ground import Ground
from numbertaker.reading.header import Header
from numbertaker.reading.headings import match_heading
from numbertaker.reading.marks import Box
from numbertaker.reading.papers import find_papers
from numbertaker.reading.rivals import MOST, NEVER, Gains, hold_against
from numbertaker.reading.rows import Row, beaten_rows
from numbertaker.reading.titles import Word, title_text
from numbertaker.reading.witnesses import Found, witnesses

TITLES = ("Engine", "Fitted", "Removed")


def test_dots_in_a_line_are_a_ruling_and_letters_under_one_another_are_not() -> None:
    """Strokes that follow close on one another are dots of a line; figures of rows one below the other are
    letters, though they stand in line too.
    """
    dots = [(200, 40 + 14 * i, 3, 7, 21) for i in range(30)]
    figures = [(x, 40 + 30 * i, 6, 14, 60) for i in range(14) for x in (300, 318)]

    found = in_dotted_lines(np.array([*dots, *figures], np.float64), 1000)
    assert found.tolist() == [True] * 30 + [False] * 28


def test_a_few_specks_in_line_are_no_ruling() -> None:
    """A whole card has more dots than two dozen, or none."""
    specks = np.array([(200, 40 + 14 * i, 3, 7, 21) for i in range(10)], np.float64)
    assert not in_dotted_lines(specks, 1000).any()


def gains(left: float, middle: float) -> Gains:
    """Four cuts: the sides, and two places within; a column gains 1, the places within what is given."""
    columns = np.full((4, 4), NEVER)
    columns[np.triu_indices(4, 1)] = 1.0
    return Gains(
        np.array([0, NEVER, NEVER, NEVER]),
        np.array([NEVER, NEVER, NEVER, 0]),
        np.array([NEVER, left, middle, NEVER]),
        columns,
    )


def test_a_cut_is_worth_what_is_lost_without_it() -> None:
    """Worked by hand: with both cuts 3 columns + .5 + .2 = 3.7; without the second 2 + .5; so it is worth
    1.2.
    """
    against = hold_against(gains(0.5, 0.2), [1, 2], [])

    assert against.without == pytest.approx(1.2)
    assert against.with_another == MOST


def test_another_cut_costs_what_it_takes_away() -> None:
    """A place that loses more than the column gains is left out; to cut there after all would cost the
    difference.
    """
    assert hold_against(gains(0.5, -1.4), [1], [2]).with_another == pytest.approx(0.4)


def list_of(*, gap: float = 60.0) -> tuple[Evidence, Header]:
    """An unruled list of three columns and six rows."""
    starts = [60 + (80 + gap) * i for i in range(3)]
    words = tuple(Word(Box(x, 10, x + 70, 26), title, 1.0) for x, title in zip(starts, TITLES, strict=True))
    runs = [[Box(x, 40 + 30 * i, x + 60, 56 + 30 * i) for x in starts] for i in range(6)]
    evidence = Evidence(runs, runs, words, (), False, 16.0, 600)
    return evidence, Header(words, Box(60, 10, starts[-1] + 70, 26), 3, ())


def found_table(*, mends: bool = False) -> Found:
    """The table of such a list; `mends` puts letters of a stamp over its middle."""
    evidence, header = list_of()
    cutting = best_cutting(evidence)
    assert cutting is not None
    letters = [(b.left + 12 * k, b.top, 10, 16, 90) for row in evidence.runs for b in row for k in range(5)]
    if mends:
        letters += [(100 + 30 * k, 90, 24, 33, 300) for k in range(9)]
    marks = np.array(letters, np.float64)
    rows = tuple(Row(33 + 30 * i, 63 + 30 * i) for i in range(6))
    ground = Ground(marks, 16.0, rows, (), (), (600, 260), False, np.full(len(marks), 90.0))
    return Found(ground, header, cutting, tuple(columns_of(cutting, 16.0, ruled=False)), rows)


def test_witnesses_of_a_plain_table_do_not_doubt() -> None:
    """Even rows, aligned columns, titles that mean fields: every witness of those is at its highest."""
    seen = witnesses(found_table())

    sure = ("aligned", "named", "headed", "whole_titles", "titles_together", "inside", "written", "regular")
    assert all(0 <= value <= 1 for value in seen.values())
    assert all(seen[name] == pytest.approx(1.0) for name in sure)


def test_a_stamp_over_a_table_is_seen_by_its_letters() -> None:
    """Letters twice as tall as the others make the table doubtful."""
    plain, stamped = witnesses(found_table()), witnesses(found_table(mends=True))

    assert stamped["of_one_size"] < plain["of_one_size"]
    assert stamped["rows_of_one_size"] < plain["rows_of_one_size"]


def test_a_title_is_named_with_the_word_over_it_and_its_neighbour() -> None:
    """'To date' alone means nothing; under 'MILES' it is the running total."""
    starts = (60.0, 220.0, 380.0)
    titles = ("Engine", "Run", "To date")
    words = tuple(Word(Box(x, 30, x + 70, 46), t, 1.0) for x, t in zip(starts, titles, strict=True))
    runs = [[Box(x, 60 + 30 * i, x + 60, 76 + 30 * i) for x in starts] for i in range(6)]
    cutting = best_cutting(Evidence(runs, runs, words, (), False, 16.0, 600))
    assert cutting is not None
    over = (Word(Box(300, 8, 360, 24), "MILES", 1.0),)

    alone, under = ([c.field for c in columns_of(cutting, 16.0, ruled=False, over=o)] for o in ((), over))
    assert alone == ["engine", "miles", ""]
    assert under == ["engine", "miles", "total_miles"]


def test_a_word_of_several_columns_right_over_one_title_takes_nothing_from_it() -> None:
    """'DATE' over 'In' and 'To' may stand right over 'To'; 'Taken' over 'from' is one title."""
    runs = [[Box(x, 60 + 30 * i, x + 60, 76 + 30 * i) for x in (60.0, 220.0, 380.0)] for i in range(6)]

    def fields(over: str, title: str) -> list[str]:
        parts = ((60, 34, "Engine"), (220, 34, "Fitted"), (380, 16, over), (380, 40, title))
        words = tuple(Word(Box(x, y, x + 70, y + 16), text, 1.0) for x, y, text in parts)
        cutting = best_cutting(Evidence(runs, runs, words, (), False, 16.0, 600))
        return [c.field for c in columns_of(cutting, 16.0, ruled=False)] if cutting else []

    assert fields("DATE", "To") == ["engine", "fitted", "removed"]
    assert fields("Taken", "from") == ["engine", "fitted", ""]
    assert fields("REMOVED", "Shop") == ["engine", "fitted", "place"]
    assert fields("Fitted", "at") != ["engine", "fitted", "removed"]


@pytest.mark.parametrize(
    ("title", "field"),
    [("Boiler put in", "component"), ("Engine to which sent", ""), ("Boiler removed", ""), ("MIs.", "miles")],
)
def test_longer_titles_go_by_their_first_word(title: str, field: str) -> None:
    """A title that begins with what the column counts means that, unless it names something else too or goes
    on; a small l read as I is one.
    """
    assert match_heading(title).field == field


def test_two_lines_of_a_small_title_are_read_in_their_order() -> None:
    """Lines of print lower than the writing's capitals are lines all the same."""
    words = [Word(Box(10, 20, 60, 30), "Engine", 1.0), Word(Box(5, 33, 70, 43), "Number", 1.0)]
    assert title_text(words, 20.0) == "Engine Number"


def test_rows_keep_their_beat_though_a_stamp_stands_between_two() -> None:
    """A stamp's large letters half a row below a line make no row and move none."""
    rows = [(60 + 18 * k, 40 + 33 * i, 10, 13, 60) for i in range(8) for k in range(14)]
    stamp = [(200 + 20 * k, 178, 16, 26, 200) for k in range(6)]
    found = beaten_rows(np.array([*rows, *stamp], np.float64), 13.0, 400)

    assert [round(row.level) for row in found] == [pytest.approx(47 + 33 * i, abs=2) for i in range(8)]


def test_light_that_falls_off_is_no_edge_of_a_paper() -> None:
    """A card that fills the picture, half as bright on the right, is not cut off where it grows dark."""
    light = np.linspace(245, 110, 900)[None, :, None]
    card = np.repeat(np.repeat(light, 600, axis=0), 3, axis=2).astype(np.uint8)

    (paper,) = find_papers(card)
    assert paper.whole
