"""One written date: a year, a month and year, or a day, in figures, names or Roman months."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from numbertaker.evidence.clerkdates.values import Era
from numbertaker.evidence.days import day_of, month_span

FIRST_PLAUSIBLE_YEAR: Final = 1700
LAST_PLAUSIBLE_YEAR: Final = 2099
"""A number outside these years is taken for something else ('4412' in a date column is an engine's)."""

ANY_ERA: Final = Era(1800, 1999, margin=0)
"""Where no card says when it was kept, a two-digit year may lie in either of these centuries."""

_NAMES: Final = (
    "january jany jan",
    "february febry feby febr feb",
    "march mch mar",
    "april apl apr",
    "may",
    "june jun",
    "july jly jul",
    "august augst augt aug",
    "september septr sept sepr sep",
    "october octr oct",
    "november novr nov",
    "december decr dec",
)
MONTHS: Final = {name: month for month, names in enumerate(_NAMES, 1) for name in names.split()}
_ROMAN: Final = {
    numeral: month
    for month, numeral in enumerate("i ii iii iv v vi vii viii ix x xi xii".split(), 1)  # noqa: SIM905 - legible
}

_MONTH: Final = "(?:" + "|".join(sorted(MONTHS, key=len, reverse=True)) + ")(?![a-z])"
_ROMAN_MONTH: Final = "(?:" + "|".join(sorted(_ROMAN, key=len, reverse=True)) + ")(?![a-z])"
_BETWEEN: Final = "[ ./,'-]*"
_YEAR: Final = r"'?(?P<y>\d{4}|\d{2})"
_ORDINAL: Final = "(?: ?(?:st|nd|rd|th|d)(?![a-z]))?"

_FORMS: Final = tuple(
    re.compile(form, re.ASCII)
    for form in (
        rf"(?P<d>\d{{1,2}})[./, -](?P<m>\d{{1,2}}|{_ROMAN_MONTH})[./, -]{_YEAR}",
        rf"(?P<m>\d{{1,2}}|{_ROMAN_MONTH})[./,-]{_YEAR}",
        rf"(?P<d>\d{{1,2}}){_ORDINAL}{_BETWEEN}(?:of )?(?P<m>{_MONTH}){_BETWEEN}{_YEAR}",
        rf"(?P<m>{_MONTH}){_BETWEEN}{_YEAR}",
        rf"(?P<m>{_MONTH}){_BETWEEN}(?P<d>\d{{1,2}}){_ORDINAL}[ ,.]+(?P<y>\d{{4}})",
        rf"(?P<y>\d{{4}})[./, -](?P<m>\d{{1,2}}|{_ROMAN_MONTH}|{_MONTH})(?:[./, -](?P<d>\d{{1,2}}))?",
        r"(?P<m>\d{1,2}) (?P<y>\d{4})",
        _YEAR,
    )
)


class NotUnderstoodError(ValueError):
    """Why a text can't be read as a date, as a whole sentence."""


@dataclass(frozen=True, slots=True)
class Atom:
    """A date with the year's digits as written, and month and day where they are written."""

    year: str
    month: int | None = None
    day: int | None = None

    @property
    def bare(self) -> bool:
        """Whether it is nothing but two digits, which may be anything."""
        return len(self.year) == 2 and self.month is None


@lru_cache(maxsize=65_536)
def read_atom(text: str) -> Atom | None:
    """Read one date from squeezed lower-case text; None where it is none. Impossible months pass."""
    for form in _FORMS:
        match = form.fullmatch(text)
        if match is not None:
            parts = match.groupdict()
            day = parts.get("d")
            return Atom(match["y"], _month(parts.get("m")), int(day) if day else None)
    return None


def _month(text: str | None) -> int | None:
    if text is None:
        return None
    return int(text) if text.isdigit() else MONTHS.get(text) or _ROMAN[text]


def years_of(digits: str, era: Era | None) -> tuple[int, ...]:
    """The years that the written digits may mean, in order; NotUnderstoodError for an implausible one.

    Two digits take the century that puts the year within the era, else within its margin. Where several
    do, all stand; where none does, the nearest on either side.
    """
    if len(digits) == 4:
        year = int(digits)
        if not FIRST_PLAUSIBLE_YEAR <= year <= LAST_PLAUSIBLE_YEAR:
            raise NotUnderstoodError(
                f"{digits} is no year of a register: expected one from {FIRST_PLAUSIBLE_YEAR} to"
                f" {LAST_PLAUSIBLE_YEAR}."
            )
        return (year,)
    kept = era or ANY_ERA
    for margin in (0, kept.margin):
        found = _within(int(digits), kept.first_year - margin, kept.last_year + margin)
        if found:
            return found
    below = kept.first_year - 1 - (kept.first_year - 1 - int(digits)) % 100
    return (below, below + 100)


def _within(last_two: int, first: int, last: int) -> tuple[int, ...]:
    start = first + (last_two - first) % 100
    return tuple(range(start, last + 1, 100))


def dates_of(atom: Atom, era: Era | None) -> tuple[str, ...]:
    """The EDTF dates that an atom may mean, one a century; NotUnderstoodError where the calendar has none."""
    if atom.month is not None and not 1 <= atom.month <= 12:
        raise NotUnderstoodError(_no_month(atom))
    years = years_of(atom.year, era)
    if atom.month is None:
        return tuple(f"{year:04d}" for year in years)
    if atom.day is None:
        return tuple(f"{year:04d}-{atom.month:02d}" for year in years)
    found = [
        f"{year:04d}-{atom.month:02d}-{atom.day:02d}" for year in years if _exists(year, atom.month, atom.day)
    ]
    if not found:
        raise NotUnderstoodError(_no_day(atom, years[-1]))
    return tuple(found)


def _exists(year: int, month: int, day: int) -> bool:
    try:
        day_of(year, month, day)
    except ValueError:
        return False
    return True


def _no_month(atom: Atom) -> str:
    said = f"There is no month {atom.month}."
    if atom.day is None and len(atom.year) == 2 and 1 <= int(atom.year) <= 12:
        return f"{said} If it means day {atom.month} of month {int(atom.year)}, no year is written."
    return f"{said} The day is read before the month."


def _no_day(atom: Atom, year: int) -> str:
    month = atom.month or 1
    name = _NAMES[month - 1].split()[0].capitalize()
    days = month_span(year, month).days
    return f"There is no day {atom.day} in {name} {year}, which has {days} days."
