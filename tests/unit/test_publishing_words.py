"""Dates, figures, names and degrees in words."""

from __future__ import annotations

import pytest
from tests.small_history import EVIDENCE, when

from numbertaker.evidence.days import ALWAYS, Span, day_of, month_span, year_span
from numbertaker.evidence.records import CellKey
from numbertaker.publishing.dates import date_phrase, date_words, when_phrase, when_span, when_words
from numbertaker.publishing.degrees import contradicted_cells, degree_of
from numbertaker.publishing.figures import counted, grouped, listed, mile_range, miles
from numbertaker.publishing.names import Names
from numbertaker.reconciling.history import Finding, When

NAMES = Names(EVIDENCE)


@pytest.mark.parametrize(
    ("edtf", "phrase"),
    [
        ("1911-04", "in April 1911"),
        ("1925-11-14", "on 14 November 1925"),
        ("1913", "in 1913"),
        ("191X", "in the 1910s"),
        ("[1925-11-08..1925-11-14]", "in the week ending 14 November 1925"),
        ("1915~", "about 1915"),
        ("1915-06~", "about June 1915"),
        ("1915?", "perhaps in 1915"),
        ("1915%", "perhaps about 1915"),
        ("[1903-05-01..1903-08-31]", "between May and August 1903"),
        ("[1903-05..1904-08]", "between May 1903 and August 1904"),
        ("[1903..1905]", "between 1903 and 1905"),
        ("[1903-05-03..1903-05-04]", "between 3 and 4 May 1903"),
        ("[1903-05-03..1903-06-04]", "between 3 May and 4 June 1903"),
        ("[1903-12-30..1904-01-02]", "between 30 December 1903 and 2 January 1904"),
        ("[1911-05..]", "in or after May 1911"),
        ("[1911..]", "in or after 1911"),
        ("[1911-05-03..]", "on or after 3 May 1911"),
        ("[..1913]", "by the end of 1913"),
        ("[..1913-05]", "by the end of May 1913"),
        ("[..1913-05-14]", "by 14 May 1913"),
        ("[1911,1917]", "in 1911 or 1917"),
        ("[1911-05-03,1917]", "on 3 May 1911 or in 1917"),
        ("1911-21", "in the spring of 1911"),
        ("1913-03/1914-02", "between March 1913 and February 1914"),
    ],
)
def test_a_date_is_told_as_exactly_as_it_is_known(edtf: str, phrase: str) -> None:
    """Each kind of EDTF date has its British wording, and no more precision than it has."""
    assert date_phrase(edtf) == phrase


def test_a_table_leaves_the_preposition_out() -> None:
    """'April 1911' in a cell where a sentence has 'in April 1911'."""
    assert date_words("1911-04") == "April 1911"
    assert date_words("1915~") == "about 1915"


def test_what_is_no_date_is_given_as_it_stands() -> None:
    """A text that is no EDTF is shown, not dropped and not guessed at."""
    assert date_words("spring?") == "spring?"
    assert date_phrase("spring?") == "at a date written as spring?"


def test_without_a_likely_claim_the_bounds_are_told() -> None:
    """A date that no line gives is told by the days between which it must lie."""
    may = month_span(1911, 5)

    assert when_phrase(When(None, may.first, None)) == "in or after May 1911"
    assert when_phrase(When(None, None, year_span(1913).last)) == "by the end of 1913"
    assert when_phrase(When(None, may.first, may.last)) == "in May 1911"
    assert when_words(When(None, None, None)) == when_words(None) == "not known"
    assert when_phrase(None) == "at a date not known"


def test_bounds_the_wrong_way_round_are_still_a_span() -> None:
    """Contradictory bounds don't break a document: the span runs between them."""
    assert when_span(When("1911", day_of(1912, 1, 1), day_of(1911, 1, 1))) == Span(
        day_of(1911, 1, 1), day_of(1912, 1, 1)
    )
    assert when_span(When("1911", None, None)) == year_span(1911)


def test_figures_have_commas_units_and_plurals() -> None:
    """61,204 miles, one mile, a true minus, counts in words up to twelve."""
    assert (miles(61_204), miles(1), grouped(-5_000)) == ("61,204 miles", "1 mile", "\u22125,000")
    assert (counted(1, "engine"), counted(2, "engine"), counted(13, "engine")) == (
        "one engine",
        "two engines",
        "13 engines",
    )
    assert (listed(["a"]), listed(["a", "b", "c"])) == ("a", "a, b and c")


def test_a_range_of_miles_says_which_end_is_known() -> None:
    """Between, at least, at most, or nothing."""
    assert mile_range(60_000, 70_000) == "between 60,000 and 70,000 miles"
    assert (mile_range(5, None), mile_range(None, 5)) == ("at least 5 miles", "at most 5 miles")
    assert (mile_range(5, 5), mile_range(None, None)) == ("5 miles", "")


def test_an_engine_is_called_what_it_was_called_then() -> None:
    """The number borne at the date, not the last one; both where the day is in doubt between them."""
    assert str(NAMES.then("E1", month_span(1907, 3))) == "31"
    assert str(NAMES.then("E1", month_span(1911, 3))) == "38"
    assert str(NAMES.then("E1", year_span(1909))) == "31 or 38"
    assert str(NAMES.then("E2", year_span(1916))) == "40 Fellgate"
    assert str(NAMES.then("E2", year_span(1920))) == "40"


def test_engines_of_one_number_are_told_apart() -> None:
    """The second engine that bore a number is said to be the second."""
    assert str(NAMES.then("E3", year_span(1915))) == "31 (second of that number)"
    assert NAMES.all_of("E3") == "31 (second of that number)"
    assert NAMES.all_of("E1") == "31, later 38"


def test_what_has_no_designation_goes_by_its_id() -> None:
    """An engine or component that the tables call nothing is called by its id."""
    assert str(NAMES.then("E9", ALWAYS)) == NAMES.all_of("E9") == "E9"
    assert NAMES.component("B9") == "Component B9"
    assert NAMES.component("B7") == "Boiler 7"


@pytest.mark.parametrize(
    ("probability", "word"),
    [
        (0.98, "near certain"),
        (0.9799, "probable"),
        (0.85, "probable"),
        (0.5, "doubtful"),
        (0.4999, "improbable"),
        (None, "unknown"),
    ],
)
def test_each_degree_has_its_floor(probability: float | None, word: str) -> None:
    """Near certain from .98, probable from .85, doubtful from .5, improbable below."""
    assert degree_of(probability) == word


def test_an_open_finding_contradicts_its_claims_and_a_gap_does_not() -> None:
    """What an open finding names is contradicted; a settled one and a gap leave claims alone."""
    cell = CellKey("a1", "miles")
    conflict = Finding("F", "mileage-conflict", 0.9, ("a1",), "", claims=(cell,))
    settled = Finding("F", "mileage-conflict", 0.9, ("a1",), "", claims=(cell,), settled_by="D1")
    gap = Finding("F", "gap", 0.9, ("a1",), "", claims=(cell,))

    assert contradicted_cells([conflict]) == {cell}
    assert contradicted_cells([settled, gap]) == frozenset()
    assert degree_of(0.999, contradicted=True) == "contradicted"


def test_the_likeliest_claim_is_told_before_the_bounds() -> None:
    """What is written comes before what is inferred."""
    assert when_phrase(when("1913", day_of(1913, 2, 1))) == "in 1913"
