"""Laws of marks, figures and numbers as written."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import MARKS

from numbertaker.evidence.designations import bare_number, read_number
from numbertaker.evidence.figures import read_figure
from numbertaker.evidence.signs import Mark, read_marks, write_marks

SOME = settings(max_examples=100, deadline=None)


@SOME
@given(st.lists(MARKS, max_size=4))
def test_marks_survive_being_written(marks: list[Mark]) -> None:
    """Whatever was struck, reading the written marks gives the same marks in the same order."""
    assert read_marks(write_marks(marks)) == tuple(marks)


@SOME
@given(
    st.integers(0, 9_999_999),
    st.sampled_from([",", " ", "'", ", "]),
    st.sampled_from(["", " miles", " mls", "[?]"]),
)
def test_a_figure_survives_being_grouped(value: int, separator: str, after: str) -> None:
    """Groups of three, set apart by whatever is usual, give the figure back."""
    text = f"{value:,}".replace(",", separator) + after

    assert read_figure(text).value == value
    assert read_figure(text).text == text


@SOME
@given(st.text(max_size=30))
def test_any_cell_is_read_somehow(text: str) -> None:
    """Reading never raises, keeps the text, and gives a value or a reason for none."""
    figure, number = read_figure(text), read_number(text)

    assert (figure.text, number.text) == (text, text)
    explained = figure.is_ditto or figure.is_blank or figure.illegible or figure.problem is not None
    assert (figure.value is None) == explained


@SOME
@given(
    st.from_regex(r"[A-DT]{0,2}[0-9]{1,5}[A-Z]?", fullmatch=True),
    st.sampled_from(["", "No. ", "Boiler ", "Engine No "]),
)
def test_a_bare_number_stays_bare(number: str, before: str) -> None:
    """Making it bare twice changes nothing, and what stands before it doesn't matter."""
    bare = bare_number(number)

    assert bare_number(bare) == bare
    assert read_number(before + number).number == bare
