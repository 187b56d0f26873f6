"""The ways in which a written date goes wrong: for each, the days that it would then really mean.

A clerk takes the month before or after, goes on writing last year's number in January, puts the day for the
month, or enters the day on which he wrote instead of the day of the event; a reader takes one figure for
another. Each way moves the date to a few days of its own, and so a date that is wrong still says a good deal
of where the true day lies. Which ways there are is common practice, no source; how often each is taken is
learnt (`Learnt.date_shapes`: a wrong day, month, year, or something else).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from functools import lru_cache
from math import exp
from typing import Final, NamedTuple, TypeAlias

from numbertaker.evidence.days import Day, civil
from numbertaker.reconciling.entries import DateClaim
from numbertaker.reconciling.learning.learnt import Share

Way: TypeAlias = tuple[Day, Day, float]
"""From one day to another, how likely the text is if the event was on any one of them."""

_LONGEST: Final = 400
_MONTHS: Final = ((1, 0.26), (2, 0.09), (3, 0.05))
_TURN_OF_YEAR: Final = 0.5
_OTHER_MONTH: Final = 0.15
_EXCHANGED: Final = 0.05
_YEARS: Final = ((1, 0.38), (10, 0.05), (2, 0.02), (5, 0.015), (3, 0.015))
_OTHER_YEAR: Final = 0.04
_LATE_ENTRY: Final = 0.4
_LATEST_ENTRY: Final = 31
_FIRST_YEAR, _LAST_YEAR = 2, 9997


class Ways(NamedTuple):
    """What a text says for each day: on these days so much, on any other `far` with an exponential fall."""

    near: tuple[Way, ...]
    far: float
    reach: float
    first: Day
    last: Day

    def beyond(self, day: float) -> float:
        """How likely the text is if the event lies off, for no reason that one could name."""
        off = self.first - day if day < self.first else day - self.last if day > self.last else 0.0
        return self.far * exp(-off / self.reach)


def as_written(claim: DateClaim, slip: float, reach: float) -> Ways:
    """Only what is written, and a fall to both sides: enough where nothing speaks against it."""
    share = slip * claim.days / (2 * reach)
    near = tuple((a, b, 1 - slip) for a, b in claim.spans)
    return Ways(near, share, reach, claim.first, claim.last)


def ways(claim: DateClaim, slip: float, shapes: Mapping[str, Share], reach: float) -> Ways:
    """What is written, and every way in which it may be wrong, with `slip` shared out among them."""
    plain = as_written(claim, slip, reach)
    if len(claim.spans) > 3 or claim.days > _LONGEST:
        return plain
    parts = {name: shapes[name].share * slip for name in ("day", "month", "year", "other")}
    exact = claim.days <= 7
    near = list(plain.near)
    for a, b in claim.spans:
        of_all = 1 / len(claim.spans)
        if exact:
            near += _wrong_day(a, b, parts["day"] * of_all)
        if b - a < 31:
            near += _wrong_month(a, b, parts["month"] * of_all)
        near += _wrong_year(a, b, parts["year"] * of_all)
    left = parts["other"] + (0 if exact else parts["day"]) + (0 if claim.days <= 31 else parts["month"])
    return plain._replace(near=tuple(near), far=left * claim.days / (2 * reach))


def _wrong_day(a: Day, b: Day, share: float) -> Iterator[Way]:
    """Another day of the month; or the day of the entry, some time after the event."""
    year, month, _ = civil(b)
    first, last = _month(year, month)
    yield first, last, (1 - _LATE_ENTRY) * share * (b - a + 1) / (last - first + 1)
    yield a - _LATEST_ENTRY, a - 1, _LATE_ENTRY * share * (b - a + 1) / _LATEST_ENTRY


def _wrong_month(a: Day, b: Day, share: float) -> Iterator[Way]:
    """The month before or after and those near, any other of the year, or day and month exchanged."""
    year, month, of_month = civil(a)
    for by, part in _MONTHS:
        for sign in (-1, 1):
            turned = (month - 1 + sign * by) // 12
            yield *_moved(a, b, 12 * -turned + sign * by), share * part
            if turned:  # the month is right, the year had not turned
                yield *_moved(a, b, sign * by), share * part * _TURN_OF_YEAR
    start, end = date(year, 1, 1).toordinal(), date(year, 12, 31).toordinal()
    yield start, end, share * _OTHER_MONTH * (b - a + 1) / (end - start + 1)
    if a == b and of_month <= 12 and of_month != month:
        exchanged = date(year, of_month, month).toordinal()
        yield exchanged, exchanged, share * _EXCHANGED


def _wrong_year(a: Day, b: Day, share: float) -> Iterator[Way]:
    """The year before or after, another decade, a figure taken for one that looks like it."""
    for by, part in _YEARS:
        for sign in (-1, 1):
            yield *_moved(a, b, 12 * sign * by), share * part
    year = civil(a)[0]
    start, end = date(year - year % 10, 1, 1).toordinal(), date(year - year % 10 + 9, 12, 31).toordinal()
    yield start, end, share * _OTHER_YEAR * (b - a + 1) / (end - start + 1)


@lru_cache(maxsize=4096)
def _month(year: int, month: int) -> tuple[Day, Day]:
    first = date(year, month, 1).toordinal()
    after = date(year + month // 12, month % 12 + 1, 1).toordinal()
    return first, after - 1


def _moved(a: Day, b: Day, months: int) -> tuple[Day, Day]:
    """A span moved by whole months: whole months stay whole, a single day keeps its number, and a week is
    given three days each way, since its weekday moves.
    """
    if b - a >= 27:
        (first, _), (_, last) = _month_off(a, months), _month_off(b, months)
        return first, last
    first, last = _day_off(a, months), _day_off(b, months)
    return (first, last) if a == b else (first - 3, first + (b - a) + 3)


def _month_off(day: Day, months: int) -> tuple[Day, Day]:
    year, month, _ = civil(day)
    turned, wanted = divmod(month - 1 + months, 12)
    return _month(min(_LAST_YEAR, max(_FIRST_YEAR, year + turned)), wanted + 1)


def _day_off(day: Day, months: int) -> Day:
    first, last = _month_off(day, months)
    return min(last, first + civil(day)[2] - 1)
