"""One date of an EDTF text: year, month or season, day, with their qualifiers and unspecified digits."""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterator
from itertools import product
from typing import Final

from numbertaker.evidence.days import Span, day_of, merged, month_span, year_span
from numbertaker.evidence.edtf.values import Precision, Single, Step

_YEAR: Final = Step("year")
_MONTH: Final = Step("month")
_DAY: Final = Step("day")
_STEPS: Final = (_YEAR, _MONTH, _DAY)
_PRECISIONS: Final[tuple[Precision, ...]] = ("year", "month", "day")

MOST_CANDIDATES: Final = 10_000
"""Above this many single dates (`XXXX-XX-25`) their hull stands for them: a superset, in bounded time."""

MOST_DIGITS: Final = 12
"""The longest year that is read; longer ones mean nothing to a register and would only cost time."""

# Codes of ISO 8601-2 for parts of a year: first month and number of months. The standard gives seasons
# no months: these are the meteorological ones, and a season without hemisphere (21 to 24) is taken as
# northern. A season that runs over the new year belongs to the year in which it starts.
SEASON_MONTHS: Final[dict[int, tuple[int, int]]] = {
    **dict(zip((21, 22, 23, 24), ((3, 3), (6, 3), (9, 3), (12, 3)), strict=True)),
    **dict(zip((25, 26, 27, 28), ((3, 3), (6, 3), (9, 3), (12, 3)), strict=True)),
    **dict(zip((29, 30, 31, 32), ((9, 3), (12, 3), (3, 3), (6, 3)), strict=True)),
    **{33 + quarter: (1 + 3 * quarter, 3) for quarter in range(4)},
    **{37 + third: (1 + 4 * third, 4) for third in range(3)},
    **{40 + half: (1 + 6 * half, 6) for half in range(2)},
}

_SINGLE: Final = re.compile(
    r"([?~%]?)(-?[\dX]{4})([?~%]?)(?:-([?~%]?)([\dX]{2})([?~%]?)(?:-([?~%]?)([\dX]{2})([?~%]?))?)?",
    re.ASCII,
)
_LONG_YEAR: Final = re.compile(r"(Y?)(-?)(\d+)(?:E(\d+))?(?:S(\d+))?([?~%]?)", re.ASCII)


class NoDateError(ValueError):
    """Why a text is no date, as the end of the sentence '... is no EDTF date: ...'."""


def plain_single(year: int, month: int | None, day: int | None) -> Single:
    """A date of level 0; NoDateError where the calendar has no such date."""
    if month is None:
        return Single((year_span(year),), "year", 0, _YEAR)
    if day is None:
        if month > 12:
            return _season(year, month)
        _check_month(month)
        return Single((month_span(year, month),), "month", 0, _MONTH)
    _check_day(year, month, day)
    on = day_of(year, month, day)
    return Single((Span(on, on),), "day", 0, _DAY)


def parse_single(text: str) -> Single:
    """Read one date of any level; NoDateError says why it is none."""
    match = _SINGLE.fullmatch(text)
    if match is None:
        return _long_year(text)
    year, month, day = match[2], match[5], match[8]
    if year == "-0000":
        raise NoDateError("year 0 has no sign")
    masked = "X" in year or (month is not None and "X" in month) or (day is not None and "X" in day)
    plain = _masked(year, month, day) if masked else plain_single(int(year), _number(month), _number(day))
    signs = match.group(1, 3, 4, 6, 7, 9)
    level = max(plain.level, 1 if year.startswith("-") else 0)
    if not any(signs):
        return plain if level == plain.level else _with(plain, level=level)
    return _qualified(plain, signs, level)


def _number(part: str | None) -> int | None:
    return None if part is None else int(part)


def _with(single: Single, *, level: int) -> Single:
    return Single(single.candidates, single.precision, level, single.step, season=single.season)


def _qualified(plain: Single, signs: tuple[str | None, ...], level: int) -> Single:
    """Add qualifiers, given as left and right of year, month and day."""
    written = len([sign for sign in signs if sign is not None]) // 2
    steps = (*_STEPS[: written - 1], plain.step)
    approximate: list[Step] = []
    uncertain: list[Step] = []
    for place, sign in enumerate(signs[: 2 * written]):
        if sign in ("~", "%"):
            approximate.append(steps[place // 2])
        if sign in ("?", "%"):
            uncertain.append(steps[place // 2])
    at_end_only = not any(signs[: 2 * written - 1])
    return Single(
        plain.candidates,
        plain.precision,
        max(level, 1 if at_end_only else 2),
        plain.step,
        tuple(dict.fromkeys(approximate)),
        tuple(dict.fromkeys(uncertain)),
        plain.season,
    )


def _check_month(month: int) -> None:
    if not 1 <= month <= 12:
        raise NoDateError(f"there is no month {month:02d}")


def _check_day(year: int, month: int, day: int) -> None:
    _check_month(month)
    longest = calendar.monthrange(2000 + year % 400, month)[1]
    if not 1 <= day <= longest:
        raise NoDateError(f"{calendar.month_name[month]} {year} has {longest} days, and no day {day:02d}")


def _season(year: int, code: int) -> Single:
    if code not in SEASON_MONTHS:
        raise NoDateError(f"there is no month {code:02d}, and the codes for parts of a year are 21 to 41")
    month, months = SEASON_MONTHS[code]
    over, last = divmod(month + months - 2, 12)
    span = Span(month_span(year, month).first, month_span(year + over, last + 1).last)
    level = 1 if code <= 24 else 2
    return Single((span,), "other", level, Step("month", months), season=code <= 32)


def _long_year(text: str) -> Single:
    """A year with a `Y`, an exponent or significant digits; a bare year may have only the last."""
    match = _LONG_YEAR.fullmatch(text)
    if match is None or not (match[1] or match[5]):
        raise NoDateError("expected YYYY, YYYY-MM, YYYY-MM-DD or another form of ISO 8601-2")
    prefix, sign, digits, exponent, significant, qualifier = match.groups()
    if not prefix and (len(digits) != 4 or exponent):
        raise NoDateError("only a year of four digits goes without Y")
    if len(digits) + int((exponent or "0")[:4]) > MOST_DIGITS:
        raise NoDateError(f"a year of more than {MOST_DIGITS} digits is not read here")
    year = int(digits) * 10 ** int(exponent or 0)
    if prefix and year <= 9999:
        raise NoDateError("Y is for years of more than four digits")
    low, high = (year, year) if significant is None else _significant(year, int(significant))
    if sign:
        low, high = -high, -low
    plain = Single(
        (Span(year_span(low).first, year_span(high).last),),
        "year" if low == high else "other",
        2 if exponent or significant else 1,
        Step("year", high - low + 1),
    )
    return _qualified(plain, ("", qualifier), plain.level) if qualifier else plain


def _significant(year: int, digits: int) -> tuple[int, int]:
    """The first and last year that agree with this one in so many leading digits."""
    length = len(str(year).zfill(4))
    if not 1 <= digits <= length:
        raise NoDateError(f"a year of {length} digits has 1 to {length} significant ones")
    unit: int = 10 ** (length - digits)
    low = year // unit * unit
    return low, low + unit - 1


def _masked(year: str, month: str | None, day: str | None) -> Single:
    """A date with unspecified digits."""
    candidates = _masked_spans(year, month, day)
    if not candidates:
        raise NoDateError("no day of the calendar fits it")
    precision = _PRECISIONS[(month is not None) + (day is not None)]
    step = _STEPS[(month is not None) + (day is not None)]
    if precision == "year":
        precision, step = "other", Step("year", 10 ** year.count("X"))
    return Single(candidates, precision, _masked_level(year, month, day), step)


def _masked_level(year: str, month: str | None, day: str | None) -> int:
    """Level 1 has the rightmost digits only, in the combinations that the specification lists."""
    digits = year.removeprefix("-")
    if month is None:
        return 1 if re.fullmatch(r"\d{3}X|\d{2}XX", digits) else 2
    if "X" in digits or (month != "XX" and "X" in month):
        return 2
    return 1 if day in (None, "XX") else 2


def _masked_spans(year: str, month: str | None, day: str | None) -> tuple[Span, ...]:
    digits = year.removeprefix("-")
    whole_years = month in (None, "XX") and day in (None, "XX")
    if whole_years and digits.rstrip("X").isdigit() | (digits == "XXXX"):
        low, high = _extremes(year)
        return (Span(year_span(low).first, year_span(high).last),)
    years, months, days = _matching(digits, 0, 9999), _months(month), _days(day)
    if year.startswith("-"):
        years = [-y for y in reversed(years)]
    if day not in (None, "XX") and len(years) * len(months) * len(days) > MOST_CANDIDATES:
        return _hull_of_many(years, months, days)
    return merged(_spans(years, months, days, by_month=day in (None, "XX")))


def _extremes(year: str) -> tuple[int, int]:
    low, high = int(year.replace("X", "0")), int(year.replace("X", "9"))
    return min(low, high), max(low, high)


def _months(month: str | None) -> list[int]:
    return list(range(1, 13)) if month is None else _matching(month, 1, 12)


def _days(day: str | None) -> list[int]:
    return list(range(1, 32)) if day is None else _matching(day, 1, 31)


def _matching(pattern: str, low: int, high: int) -> list[int]:
    """The numbers in the range whose digits fit the pattern."""
    if "X" not in pattern:
        number = int(pattern)
        return [number] if low <= number <= high else []
    choices = ("0123456789" if sign == "X" else sign for sign in pattern)
    numbers = (int("".join(digits)) for digits in product(*choices))
    return [number for number in numbers if low <= number <= high]


def _spans(years: list[int], months: list[int], days: list[int], *, by_month: bool) -> Iterator[Span]:
    for year, month in product(years, months):
        if by_month:
            yield month_span(year, month)
            continue
        longest = calendar.monthrange(2000 + year % 400, month)[1]
        for day in days:
            if day <= longest:
                on = day_of(year, month, day)
                yield Span(on, on)


def _hull_of_many(years: list[int], months: list[int], days: list[int]) -> tuple[Span, ...]:
    first = next(_spans(years, months, days, by_month=False), None)
    last = next(_spans(years[::-1], months[::-1], days[::-1], by_month=False), None)
    return () if first is None or last is None else (Span(first.first, last.last),)
