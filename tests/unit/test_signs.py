"""Ditto marks, dashes, transcribers' signs and the marks of a line."""

from __future__ import annotations

import pytest

from numbertaker.evidence.errors import BadInput
from numbertaker.evidence.signs import Mark, is_dash, is_ditto, read_marks, read_signs, write_marks


@pytest.mark.parametrize(
    "text", ['"', "''", "″", "〃", "do", "do.", "Do.", "ditto", "Ditto.", '-"-', "— 〃 —", "”", ",,", '"[?]']
)
def test_what_stands_for_the_cell_above(text: str) -> None:
    """Ditto marks as typewriters, printers and keyboards make them, and the words."""
    assert is_ditto(text)


@pytest.mark.parametrize("text", ["", "-", "11", "dome", "103", '1"', "d", "'", "Dottie"])
def test_what_does_not(text: str) -> None:
    """An empty cell, a dash and a number are no ditto marks, whatever a recogniser makes of them."""
    assert not is_ditto(text)


@pytest.mark.parametrize(
    ("text", "dash"), [("-", True), ("—", True), ("...", True), ("", False), ("nil", False), ("-1", False)]
)
def test_a_dash_is_something_written(text: str, dash: bool) -> None:
    """A dash says that there is nothing to say; an empty cell says not even that; 'nil' is a figure."""
    assert is_dash(text) is dash


def test_transcribers_signs_are_taken_out_and_kept() -> None:
    """The text is left without them, and each is known."""
    unsure = read_signs("61,204 [?]")

    assert (unsure.text, unsure.uncertain) == ("61,204", True)
    assert read_signs("[blank]").blank
    assert read_signs("  ").blank
    assert read_signs("14.[illegible].25").illegible
    assert not read_signs("103").illegible


def test_marks_name_a_field_and_what_was_seen_there() -> None:
    """The example of the package's description."""
    marks = read_marks("engine=ditto;miles=struck:68,210")

    assert marks == (Mark("engine", "ditto"), Mark("miles", "struck", "68,210"))
    assert write_marks(marks) == "engine=ditto;miles=struck:68,210"


def test_a_struck_reading_may_hold_any_sign() -> None:
    """A semicolon would end the mark, so it is percent-encoded, and a percent sign with it."""
    mark = Mark("remarks", "struck", "5%; sent to stock")

    assert str(mark) == "remarks=struck:5%25%3B sent to stock"
    assert read_marks(str(mark)) == (mark,)


def test_no_marks_are_an_empty_cell() -> None:
    """Both ways."""
    assert read_marks("") == ()
    assert write_marks(()) == ""


@pytest.mark.parametrize("text", ["engine", "engine=", "=ditto", "engine=smudged", "engine=ditto;miles"])
def test_what_is_no_mark_is_refused_by_name(text: str) -> None:
    """The message names the column, what was expected and what was found."""
    with pytest.raises(
        BadInput, match="column marks: expected FIELD=KIND with a kind of ditto, struck"
    ) as caught:
        read_marks(text)

    assert caught.value.problems[0].found in text.split(";")
