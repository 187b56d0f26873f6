"""Figures as written."""

from __future__ import annotations

import pytest

from numbertaker.evidence.figures import read_figure
from numbertaker.evidence.signs import Mark, read_marks


@pytest.mark.parametrize(
    "text", ["61,204", "61 204", "61204", "61.204", "61, 204", "61\N{THIN SPACE}204", "61'204", " 61,204 "]
)
def test_groups_of_three_may_be_set_apart_by_anything_usual(text: str) -> None:
    """Commas, spaces, stops: all the same figure."""
    figure = read_figure(text)

    assert (figure.value, figure.unit, figure.problem) == (61_204, None, None)


@pytest.mark.parametrize(
    "text", ["61,204 miles", "61,204 mls", "61,204mls.", "61,204 m", "61204 Miles", "1 mile"]
)
def test_a_unit_is_kept(text: str) -> None:
    """Miles in the usual shortenings."""
    figure = read_figure(text)

    assert figure.unit == "miles"
    assert figure.value in (61_204, 1)


def test_nil_is_a_figure_and_a_dash_is_not() -> None:
    """'nil' states that none were run; a dash or an empty cell states nothing."""
    assert read_figure("nil").value == 0
    assert (read_figure("-").value, read_figure("-").is_blank) == (None, True)
    assert (read_figure("").value, read_figure("[blank]").is_blank) == (None, True)


def test_a_doubtful_figure_keeps_its_value() -> None:
    """The transcriber's sign is no part of the number."""
    figure = read_figure("61,204[?]")

    assert (figure.value, figure.uncertain) == (61_204, True)


def test_a_ditto_mark_waits_for_the_line_above() -> None:
    """It is known for what it is and given no value here."""
    figure = read_figure('"')

    assert (figure.is_ditto, figure.value, figure.problem) == (True, None, None)


def test_a_struck_reading_stands_beside_the_one_that_replaced_it() -> None:
    """What was struck is kept and not counted."""
    figure = read_figure("63,210", read_marks("miles=struck:68,210"))

    assert (figure.value, figure.struck) == (63_210, "68,210")


def test_a_mark_says_ditto_where_the_text_does_not_show_it() -> None:
    """A recogniser reads ditto marks as '11'; the mark says what they are."""
    figure = read_figure("11", (Mark("miles", "ditto"),))

    assert (figure.is_ditto, figure.value) == (True, None)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("61½", "has a fraction: expected whole miles"),
        ("61 1/2", "has a fraction"),
        ("61.2", "has a fraction"),
        ("6,12,04", "not in groups of three"),
        ("61,2O4", "is no figure"),
        ("about 61,000", "is no figure"),
        ("[illegible]", "illegible"),
        ("61,2[illegible]", "illegible"),
    ],
)
def test_what_is_no_whole_number_is_a_problem(text: str, says: str) -> None:
    """Nothing is rounded, completed or corrected in silence."""
    figure = read_figure(text)

    assert figure.value is None
    assert says in (figure.problem or "")


@pytest.mark.parametrize(
    ("text", "offered"),
    [("61,2O4", (61_204,)), ("6l,204", (61_204,)), ("6,12,04", (61_204,)), ("61½", ()), ("x", ())],
)
def test_a_likely_figure_is_offered(text: str, offered: tuple[int, ...]) -> None:
    """Letters that look like digits are offered as digits, for a person to accept."""
    assert read_figure(text).suggestions == offered
