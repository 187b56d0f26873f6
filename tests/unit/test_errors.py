"""Errors say what, where and what to do, and their tree is drawn in full."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator

import pytest

from numbertaker.evidence import errors
from numbertaker.evidence.errors import (
    Ambiguous,
    BadDate,
    BadInput,
    Conflict,
    NotFound,
    NumbertakerError,
    Problem,
    ToolMissing,
    Unreadable,
)

EXAMPLES: tuple[NumbertakerError, ...] = (
    BadInput(file="lines.csv", row=7, column="says", expected="'fitment' or 'total'", found="fitmint"),
    BadDate("199u", "that is the spelling of the 2012 draft", offer="199X"),
    NotFound("component", "B99", near=["B9", "B90"]),
    Ambiguous("component", "52", ["B52", "T52"]),
    Conflict("The same ids are there already with other content.", rows=["lines.csv, row 7: L7"]),
    Unreadable("card.jpg", "the file ends in the middle of the picture"),
    ToolMissing("tesseract", "apt-get install tesseract-ocr", purpose="read with the second recogniser"),
)


def tree(kind: type[NumbertakerError], depth: int = 0) -> Iterator[str]:
    """The classes under one, indented as the docstring draws them."""
    yield f"{'  ' * depth}{kind.__name__}"
    for child in sorted(kind.__subclasses__(), key=lambda child: inspect.getsourcelines(child)[1]):
        if child.__module__ == errors.__name__:
            yield from tree(child, depth + 1)


def test_the_tree_in_the_docstring_is_complete() -> None:
    """Every error stands in the drawing, under its parent, in the order of the file."""
    drawn = re.findall(r"^    ( *[A-Z]\w+)", errors.__doc__ or "", re.MULTILINE)

    assert drawn == list(tree(NumbertakerError))


def test_every_error_has_a_code_of_its_own() -> None:
    """Programs tell errors apart by their codes."""
    codes = [type(example).code for example in EXAMPLES]

    assert len(set(codes)) == len(codes)
    assert {type(example).__name__ for example in EXAMPLES} == {
        name.strip() for name in tree(NumbertakerError)
    } - {"NumbertakerError"}


@pytest.mark.parametrize("error", EXAMPLES, ids=lambda error: type(error).__name__)
def test_a_message_is_a_whole_sentence(error: NumbertakerError) -> None:
    """It starts with a capital, a name or a quotation and ends as a sentence, a command or a list does."""
    assert error.message == str(error)
    assert re.match(r"['A-Za-z0-9]", error.message)
    assert "None" not in error.message
    assert 400 <= type(error).status < 600


def test_a_fault_names_its_place_what_was_expected_and_what_was_found() -> None:
    """File, row and column come first, so that the place can be gone to."""
    assert str(EXAMPLES[0]) == (
        "lines.csv, row 7, column says: expected 'fitment' or 'total', found 'fitmint'."
    )


def test_several_faults_are_listed_at_once() -> None:
    """Nobody should have to mend a file one fault at a time."""
    problems = [
        Problem(expected="a title", found="", file="sources.csv", row=row, column="title") for row in (2, 5)
    ]
    error = BadInput(problems=problems)

    assert error.problems == tuple(problems)
    assert str(error).splitlines() == [
        "There are 2 faults.",
        "- sources.csv, row 2, column title: expected a title, found nothing.",
        "- sources.csv, row 5, column title: expected a title, found nothing.",
    ]


def test_a_long_text_is_cut_in_the_message() -> None:
    """A cell of a thousand letters must not hide the sentence around it."""
    assert len(str(Problem(expected="a number", found="x" * 1000))) < 140


def test_near_misses_are_offered() -> None:
    """An id that isn't there comes with those that are like it."""
    assert str(EXAMPLES[2]) == "There is no component 'B99'. Did you mean 'B9' or 'B90'?"


def test_an_ambiguous_number_lists_its_candidates() -> None:
    """So that one of them can be named."""
    assert str(EXAMPLES[3]) == "2 answer to component '52': B52, T52. Name one of them."


def test_a_missing_tool_comes_with_the_command_to_type() -> None:
    """One command, at the end of the line, ready to be copied."""
    assert str(EXAMPLES[6]).endswith("Type: apt-get install tesseract-ocr")
