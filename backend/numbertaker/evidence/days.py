"""Days as whole numbers, and spans of days.

A `Day` counts days of the proleptic Gregorian calendar as `datetime.date.toordinal()`
does (1 January of year 1 is day 1) and goes on beyond the years 1 to 9999, year 0 being
1 BC (ISO 8601). The extension rests on the calendar's cycle: 400 years are always
400 * 365 + 97 = 146,097 days.

The convention, decided once: **a day is a closed interval of the length of one day.** A
span holds its first and its last day; a span of one day has `first == last` and lasts 1.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import total_ordering
from typing import Final, TypeAlias

Day: TypeAlias = int

_CYCLE_YEARS: Final = 400
_CYCLE_DAYS: Final = 146_097
_LAST_ORDINAL: Final = date.max.toordinal()


def day_of(year: int, month: int, day: int) -> Day:
    """The day of a calendar date; ValueError where there is no such date."""
    if 1 <= year <= 9999:
        return date(year, month, day).toordinal()
    cycles, rest = divmod(year, _CYCLE_YEARS)
    # Year 400 of the cycle stands for its year 0, which `datetime` has not got.
    return date(rest + _CYCLE_YEARS, month, day).toordinal() + (cycles - 1) * _CYCLE_DAYS


def civil(day: Day) -> tuple[int, int, int]:
    """Year, month and day of the month."""
    if 1 <= day <= _LAST_ORDINAL:
        plain = date.fromordinal(day)
        return plain.year, plain.month, plain.day
    cycles, rest = divmod(day, _CYCLE_DAYS)
    shifted = date.fromordinal(rest + _CYCLE_DAYS)
    return shifted.year + (cycles - 1) * _CYCLE_YEARS, shifted.month, shifted.day


def iso(day: Day) -> str:
    """The day in the extended format of ISO 8601; a year of more than four digits has its sign."""
    if 1 <= day <= _LAST_ORDINAL:
        return date.fromordinal(day).isoformat()
    year, month, of_month = civil(day)
    return f"{year_text(year)}-{month:02d}-{of_month:02d}"


def year_text(year: int) -> str:
    """A year in at least four digits, with a sign where it is before year 0 or has more than four."""
    if 0 <= year <= 9999:
        return f"{year:04d}"
    return f"{year:+05d}"


_ISO: Final = re.compile(r"([+-]?\d{4,})-(\d\d)-(\d\d)", re.ASCII)


def from_iso(text: str) -> Day:
    """Read back what `iso` writes; ValueError for anything else."""
    match = _ISO.fullmatch(text)
    if match is None:
        raise ValueError(f"'{text}' is no ISO 8601 day: expected YYYY-MM-DD.")
    return day_of(int(match[1]), int(match[2]), int(match[3]))


@total_ordering
@dataclass(frozen=True, slots=True)
class Span:
    """A run of days, both ends included; None at an end means that there is no bound on that side.

    Spans are ordered by their first day, then by their last.
    """

    first: Day | None
    last: Day | None

    def __post_init__(self) -> None:
        """Refuse a span that ends before it starts."""
        if self.first is not None and self.last is not None and self.last < self.first:
            raise ValueError(f"A span can't end on {iso(self.last)}, before its first day {iso(self.first)}.")

    def __lt__(self, other: Span) -> bool:
        """Whether this span starts earlier, or starts alike and ends earlier."""
        return self._order < other._order

    @property
    def _order(self) -> tuple[float, float]:
        return (
            float("-inf") if self.first is None else self.first,
            float("inf") if self.last is None else self.last,
        )

    @property
    def days(self) -> int | None:
        """How many days it has; None where it is unbounded."""
        if self.first is None or self.last is None:
            return None
        return self.last - self.first + 1

    def contains(self, other: Day | Span) -> bool:
        """Whether a day, or every day of a span, lies in it."""
        first, last = (other, other) if isinstance(other, int) else (other.first, other.last)
        starts = self.first is None or (first is not None and self.first <= first)
        ends = self.last is None or (last is not None and last <= self.last)
        return starts and ends

    def intersects(self, other: Span) -> bool:
        """Whether the two have a day in common."""
        return not (_before(self.last, other.first) or _before(other.last, self.first))

    def intersection(self, other: Span) -> Span | None:
        """The days that both have; None where there are none."""
        if not self.intersects(other):
            return None
        firsts = [day for day in (self.first, other.first) if day is not None]
        lasts = [day for day in (self.last, other.last) if day is not None]
        return Span(max(firsts, default=None), min(lasts, default=None))

    def hull(self, other: Span) -> Span:
        """The shortest span that contains both."""
        first = None if self.first is None or other.first is None else min(self.first, other.first)
        last = None if self.last is None or other.last is None else max(self.last, other.last)
        return Span(first, last)


ALWAYS: Final = Span(None, None)
"""No bound on either side: nothing is known."""


def _before(last: Day | None, first: Day | None) -> bool:
    """Whether an end lies before a start; an end that is not there never does."""
    return last is not None and first is not None and last < first


def month_span(year: int, month: int) -> Span:
    """The days of one month; ValueError where there is no such month."""
    first = day_of(year, month, 1)
    after = day_of(year + 1, 1, 1) if month == 12 else day_of(year, month + 1, 1)
    return Span(first, after - 1)


def year_span(year: int) -> Span:
    """The days of one year."""
    return Span(day_of(year, 1, 1), day_of(year, 12, 31))


def hull_of(spans: Iterable[Span]) -> Span:
    """The shortest span that contains them all; ValueError where there are none."""
    whole: Span | None = None
    for span in spans:
        whole = span if whole is None else whole.hull(span)
    if whole is None:
        raise ValueError("There is no hull of no spans.")
    return whole


def merged(spans: Iterable[Span]) -> tuple[Span, ...]:
    """The same days as ordered spans that neither overlap nor touch."""
    runs: list[Span] = []
    for span in sorted(spans):
        if runs and _joins(runs[-1], span):
            runs[-1] = runs[-1].hull(span)
        else:
            runs.append(span)
    return tuple(runs)


def _joins(earlier: Span, later: Span) -> bool:
    """Whether the later one starts within the earlier or on the day after it."""
    return earlier.last is None or later.first is None or later.first <= earlier.last + 1
