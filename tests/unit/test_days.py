"""Days and spans of days."""

from __future__ import annotations

import pytest

from numbertaker.evidence.days import (
    ALWAYS,
    Span,
    day_of,
    from_iso,
    hull_of,
    iso,
    merged,
    month_span,
    year_span,
)


def span(first: str, last: str) -> Span:
    """A span written as two days; empty for no bound."""
    return Span(from_iso(first) if first else None, from_iso(last) if last else None)


def test_a_day_is_a_span_of_the_length_of_one_day() -> None:
    """The convention: first and last day are both included."""
    assert span("1911-04-01", "1911-04-01").days == 1
    assert month_span(1911, 4) == span("1911-04-01", "1911-04-30")
    assert year_span(1912).days == 366


def test_a_span_can_not_run_backwards() -> None:
    """Misuse is refused with both days in the message."""
    with pytest.raises(ValueError, match="can't end on 1911-04-01, before its first day 1911-04-02"):
        span("1911-04-02", "1911-04-01")


def test_spans_that_share_a_day_intersect_and_neighbours_do_not() -> None:
    """April and May have no day in common; April and the week over its end have."""
    april, may = month_span(1911, 4), month_span(1911, 5)
    week = span("1911-04-28", "1911-05-04")

    assert not april.intersects(may)
    assert april.intersection(may) is None
    assert april.intersection(week) == span("1911-04-28", "1911-04-30")


def test_no_bound_reaches_everywhere() -> None:
    """A span without an end meets whatever comes later, and has no length."""
    since = span("1911-04-01", "")

    assert since.intersects(span("1960-01-01", "1960-01-02"))
    assert not since.intersects(span("", "1911-03-31"))
    assert since.days is None
    assert since.hull(span("", "1900-01-01")) == ALWAYS
    assert ALWAYS.contains(since)
    assert not since.contains(ALWAYS)


def test_a_span_contains_its_days() -> None:
    """Both ends are in it, the days around it are not."""
    april = month_span(1911, 4)

    assert april.contains(day_of(1911, 4, 1))
    assert april.contains(day_of(1911, 4, 30))
    assert not april.contains(day_of(1911, 5, 1))


def test_spans_are_ordered_by_start_then_by_end() -> None:
    """No bound at the start comes first, no bound at the end last."""
    none, some, endless = span("", "1911-01-01"), span("1911-01-01", "1911-01-02"), span("1911-01-01", "")

    assert sorted([endless, some, none]) == [none, some, endless]


def test_touching_spans_merge_into_one() -> None:
    """January and February are one run of days; March apart stays apart."""
    runs = merged([month_span(1911, 4), month_span(1911, 2), month_span(1911, 1)])

    assert runs == (span("1911-01-01", "1911-02-28"), month_span(1911, 4))
    assert hull_of(runs) == span("1911-01-01", "1911-04-30")


def test_no_spans_have_no_hull() -> None:
    """Nothing can contain nothing sensibly; the caller is told."""
    with pytest.raises(ValueError, match="no hull"):
        hull_of([])


@pytest.mark.parametrize(
    ("year", "text"),
    [(-1, "-0001-01-01"), (0, "0000-01-01"), (9999, "9999-01-01"), (10_000, "+10000-01-01")],
)
def test_years_beyond_four_digits_have_a_sign(year: int, text: str) -> None:
    """As ISO 8601 has it for expanded years."""
    assert iso(day_of(year, 1, 1)) == text
    assert from_iso(text) == day_of(year, 1, 1)


@pytest.mark.parametrize("text", ["", "1911", "1911-4-1", "19110401", "1911-02-29", "11.4.1911"])
def test_what_is_no_day_is_refused(text: str) -> None:
    """Only the extended format, and only days that exist."""
    with pytest.raises(ValueError, match=r"day|month"):
        from_iso(text)
