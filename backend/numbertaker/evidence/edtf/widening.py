"""How much looser 'about' makes a date: a policy of ours, with a name.

EDTF says that a date is approximate or uncertain and never by how much. The default follows what the
evidence package states: 'circa' widens a date by one of the units written, so that `1925~` is 1924 to 1926
and `1925-11~` October to December. A question mark says that the statement is doubtful, not that it is
loose, and widens nothing unless it is told to.
"""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from typing import Final

from numbertaker.evidence.days import Day, Span, civil, day_of, merged
from numbertaker.evidence.edtf.values import Edtf, Range, Single, Step


@dataclass(frozen=True, slots=True)
class WideningPolicy:
    """By how many of the units written a qualifier loosens a date, and by how many months a season is loose.

    `%` is both approximate and uncertain, and takes the larger of the two.
    """

    approximate_units: int = 1
    uncertain_units: int = 0
    season_months: int = 1


DEFAULT_POLICY: Final = WideningPolicy()
_NOMINAL: Final = WideningPolicy(0, 0, 0)


def widened(date: Edtf, policy: WideningPolicy = DEFAULT_POLICY) -> tuple[Span, ...]:
    """The spans that a date may mean once its qualifiers are taken in: ordered, disjoint, never narrower."""
    if policy == _NOMINAL:
        return date.candidates
    return merged(span for between in date.ranges for span in _widened_range(between, policy))


def _widened_range(between: Range, policy: WideningPolicy) -> tuple[Span, ...]:
    if between.start is not None and between.alone:
        return _widened_single(between.start, policy)
    first = _widened_single(between.start, policy)[0].first if between.start else None
    last = _widened_single(between.end, policy)[-1].last if between.end else None
    return (Span(first, last),)


def _widened_single(single: Single, policy: WideningPolicy) -> tuple[Span, ...]:
    spans = single.candidates
    for step, units in _loosened(single, policy).items():
        spans = merged(_shifted(span, step, n) for span in spans for n in range(-units, units + 1))
    if single.season and policy.season_months:
        month = Step("month", policy.season_months)
        spans = merged(_shifted(span, month, n) for span in spans for n in (-1, 0, 1))
    return spans


def _loosened(single: Single, policy: WideningPolicy) -> dict[Step, int]:
    units: dict[Step, int] = dict.fromkeys(single.uncertain, policy.uncertain_units)
    for step in single.approximate:
        units[step] = max(units.get(step, 0), policy.approximate_units)
    return units


def _shifted(span: Span, step: Step, times: int) -> Span:
    """The span moved by so many steps; the end of a month stays the end of a month."""
    if times == 0:
        return span
    count = step.count * times
    if step.unit == "day":
        return Span(_plus(span.first, count), _plus(span.last, count))
    months = count * 12 if step.unit == "year" else count
    single_day = span.first == span.last
    first = None if span.first is None else _by_months(span.first, months, at_end=False)
    last = None if span.last is None else _by_months(span.last, months, at_end=not single_day)
    return Span(first, last)


def _plus(day: Day | None, count: int) -> Day | None:
    return None if day is None else day + count


def _by_months(day: Day, months: int, *, at_end: bool) -> Day:
    year, month, of_month = civil(day)
    over, index = divmod(month - 1 + months, 12)
    longest = _length(year + over, index + 1)
    if at_end and of_month == _length(year, month):
        return day_of(year + over, index + 1, longest)
    return day_of(year + over, index + 1, min(of_month, longest))


def _length(year: int, month: int) -> int:
    return calendar.monthrange(2000 + year % 400, month)[1]
