"""Days against calendars made by others."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from numbertaker.evidence.days import civil, day_of, iso, month_span


def days_from_civil(year: int, month: int, day: int) -> int:
    """Days since 1 January 1970.

    Source: H. Hinnant, "chrono-Compatible Low-Level Date Algorithms", `days_from_civil`; from memory.
    """
    year -= month <= 2
    era = year // 400
    of_era = year - era * 400
    of_year = (153 * (month + (-3 if month > 2 else 9)) + 2) // 5 + day - 1
    return era * 146_097 + of_era * 365 + of_era // 4 - of_era // 100 + of_year - 719_468


@pytest.mark.parametrize(
    "year", [-170_000_000, -4713, -400, -1, 0, 1, 4, 400, 1582, 1900, 2000, 9999, 10_000, 12_345]
)
def test_years_beyond_the_library_agree_with_a_published_algorithm(year: int) -> None:
    """The extension by cycles of 400 years gives what an algorithm for any year gives."""
    epoch = date(1970, 1, 1).toordinal()

    for month, day in ((1, 1), (2, 28), (3, 1), (12, 31)):
        expected = epoch + days_from_civil(year, month, day)
        assert day_of(year, month, day) == expected
        assert civil(expected) == (year, month, day)


def test_days_are_those_of_the_standard_library() -> None:
    """Within the years that `datetime` knows, a day is its ordinal."""
    for day in (date(1, 1, 1), date(1900, 2, 28), date(1908, 2, 29), date(9999, 12, 31)):
        assert day_of(day.year, day.month, day.day) == day.toordinal()
        assert iso(day.toordinal()) == day.isoformat()


@pytest.mark.parametrize(
    ("year", "leap"), [(-4, True), (0, True), (1700, False), (1900, False), (1904, True), (2000, True)]
)
def test_leap_years_are_those_of_the_gregorian_calendar(year: int, leap: bool) -> None:
    """A century is a leap year only every fourth time (ISO 8601: proleptic, and 0 is 1 BC)."""
    assert month_span(year, 2).days == (29 if leap else 28)


def test_a_known_weekday() -> None:
    """1 January 2000 was a Saturday, ISO weekday 6: ordinals leave it as the remainder by 7."""
    assert day_of(2000, 1, 1) % 7 == 6
    assert date.fromordinal(day_of(2000, 1, 1)) - timedelta(days=1) == date(1999, 12, 31)
