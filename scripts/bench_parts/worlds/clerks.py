"""How clerks wrote: dates in many styles, figures with a comma or without, ditto marks, running totals.

Each style gives the text and the first and last day that the text may mean. The habits are common practice
and have no source.
"""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from .values import Cell

MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
ROMAN = ["i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii"]
DAY_STYLES = ("d.m.Y", "d/m/Y", "d.m.y", "d/m/y", "d Mon Y", "d-m-y", "d.rom.y")
MONTH_STYLES = {
    "d.m.Y": ("m.Y",),
    "d/m/Y": ("m/Y", "Mon Y"),
    "d.m.y": ("m.y",),
    "d/m/y": ("m/y",),
    "d Mon Y": ("Mon Y",),
    "d-m-y": ("m-y", "Mon 'y"),
    "d.rom.y": ("rom.y",),
}
Span = tuple[date, date]


def month_span(day: date) -> Span:
    """The month that a day lies in."""
    last = calendar.monthrange(day.year, day.month)[1]
    return day.replace(day=1), day.replace(day=last)


def year_span(first: int, last: int) -> Span:
    """From the first day of one year to the last day of another."""
    return date(first, 1, 1), date(last, 12, 31)


def _in_day_style(day: date, style: str) -> str:
    parts = {
        "d": str(day.day),
        "m": str(day.month),
        "Mon": MONTHS[day.month - 1],
        "rom": ROMAN[day.month - 1],
        "Y": str(day.year),
        "y": f"{day.year % 100:02d}",
        "'y": f"'{day.year % 100:02d}",
    }
    for mark in (".", "/", "-", " "):
        if mark in style:
            return mark.join(parts[p] for p in style.split(mark))
    raise ValueError(style)


@dataclass(frozen=True, slots=True)
class Clerk:
    """The habits of one hand."""

    day_style: str
    month_style: str
    exact: float  # how often the day is written, else the month
    week: float
    vague: float
    comma: bool
    ditto: str
    ditto_share: float
    blank_miles: float
    blank_removed: float
    by_name: float
    read: bool
    legibility: float

    def date(self, rng: Random, day: date, plain: bool = False) -> Cell:
        """A date as this clerk would write it; `plain` keeps to days and months."""
        draw = rng.random()
        if not plain and draw < self.vague:
            return vague_date(rng, day)
        if not plain and draw < self.vague + self.week:
            return self.week_ending(day)
        return self.written(day, rng.random() < self.exact)

    def written(self, day: date, exact: bool, value: date | None = None) -> Cell:
        """The day or its month in this clerk's style. `value` is what is true, where it is another day."""
        style = self.day_style if exact else self.month_style
        span = (day, day) if exact else month_span(day)
        return Cell(_in_day_style(day, style), value or day, span)

    def week_ending(self, day: date) -> Cell:
        """'w/e' and the Saturday on or after the day."""
        end = day + timedelta(days=(5 - day.weekday()) % 7)
        text = f"w/e {end.day}.{end.month}.{end.year % 100:02d}"
        return Cell(text, day, (end - timedelta(days=6), end))

    def figure(self, miles: int) -> str:
        """A figure with its comma or without."""
        return f"{miles:,}" if self.comma else str(miles)

    def sureness(self, rng: Random, doubtful: bool = False) -> float:
        """How surely a line in this hand was read, 0 to 1."""
        if doubtful:
            return round(min(1.0, max(0.3, rng.gauss(self.legibility - 0.12, 0.09))), 2)
        return round(min(1.0, max(0.4, self.legibility - abs(rng.gauss(0, 0.025)))), 2)


def vague_date(rng: Random, day: date) -> Cell:
    """A year, circa, a span of years, a season's half, or early and late."""
    choice = rng.random()
    if choice < 0.5:
        return Cell(str(day.year), day, year_span(day.year, day.year))
    if choice < 0.7:
        shift = rng.choice((0, 0, 1, -1))
        return Cell(f"c.{day.year + shift}", day, year_span(day.year + shift - 1, day.year + shift + 1))
    if choice < 0.85:
        first = day.year - rng.choice((0, 1))
        about = rng.random() < 0.5
        last = first + (rng.randint(1, 4) if about else 1)
        text = f"c.{first}-{last % 100:02d}" if about and last % 100 > 12 else f"{first}-{last}"
        return Cell(text, day, year_span(first, last))
    first = day - timedelta(days=rng.randint(0, 80))
    span = month_span(first)[0], month_span(first + timedelta(days=100))[1]
    return Cell(f"between {_month(span[0])} and {_month(span[1])}", day, span)


def _month(day: date) -> str:
    return f"{day.month}.{day.year}"


def make_clerk(rng: Random, century: bool = True) -> Clerk:
    """A hand with habits of its own. Where `century` is wanted, two-figure years are left to other hands."""
    day_style = rng.choice(DAY_STYLES[:5] if century and rng.random() < 0.5 else DAY_STYLES)
    return Clerk(
        day_style=day_style,
        month_style=rng.choice(MONTH_STYLES[day_style]),
        exact=rng.choice((0.15, 0.35, 0.6, 0.85)),
        week=rng.choice((0.0, 0.05, 0.1, 0.2)),
        vague=rng.choice((0.02, 0.05, 0.09)),
        comma=rng.random() < 0.45,
        ditto=rng.choice(('"', "do.", "ditto", "„")),
        ditto_share=rng.choice((0.0, 0.6, 0.9)),
        blank_miles=rng.choice((0.01, 0.04, 0.1)),
        blank_removed=rng.choice((0.02, 0.05, 0.08)),
        by_name=rng.choice((0.0, 0.15, 0.5)),
        read=rng.random() < 0.75,
        legibility=rng.choice((0.99, 0.98, 0.96, 0.93)),
    )
