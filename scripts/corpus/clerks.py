"""The clerks: how each of them wrote a date, a figure and the same again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random
from typing import Final

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class WrittenDate:
    """A date as it stands on the paper, and the first and last day that it can mean."""

    text: str
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Clerk:
    """One clerk's habits. `dates` are styles in order of liking; `face` is his machine, or his hand."""

    name: str
    dates: tuple[str, ...]
    ditto: str
    face: str
    repeats_engine: bool  # writes the number again instead of a ditto mark
    dittos_works: bool
    thousands: str = ","


CLERKS: Final = (
    Clerk("first", ("month", "month", "month", "day"), '"', "CourierPrime-Regular", False, True),
    Clerk("second", ("day", "day", "month"), '"', "SpecialElite-Regular", False, True),
    Clerk("third", ("named", "named", "named"), "do.", "CutiveMono-Regular", False, True),
    Clerk("fourth", ("week", "day"), '"', "CourierPrime-Bold", True, False),
    Clerk("fifth", ("long", "long", "named"), '"', "SpecialElite-Regular", True, True),
    Clerk("sixth", ("slash",), '"', "CourierPrime-Regular", False, False),
)
HANDS: Final = (  # the clerks of the sheds, who had no machine
    Clerk("shed, first", ("month", "month", "day"), '"', "Damion-Regular", False, True),
    Clerk("shed, second", ("day", "day", "month"), "do.", "Satisfy-Regular", False, True),
    Clerk("shed, third", ("named",), '"', "Neucha-Regular", False, True),
    Clerk("shed, fourth", ("slash", "slash", "month"), '"', "Ephesis-Regular", True, True),
)
LEDGER_KEEPER: Final = Clerk("ledger", ("named",), '"', "CutiveMono-Regular", False, True)
STOREMAN: Final = Clerk("list", ("day",), '"', "SpecialElite-Regular", True, True)
PRINTER: Final = Clerk("printer", ("named",), '"', "OldStandardTT-Regular", False, False)


def month_span(day: date) -> tuple[date, date]:
    """The first and last day of a day's month."""
    first = day.replace(day=1)
    following = (first + timedelta(days=32)).replace(day=1)
    return first, following - timedelta(days=1)


def write_date(day: date, style: str) -> WrittenDate:
    """A date in one of the styles: a month, a day, a week's end, or a year with or without 'c.'."""
    first, last = month_span(day)
    year = f"{day.year % 100:02d}"
    saturday = day + timedelta(days=(5 - day.weekday()) % 7)
    as_month = {"month": f"{day.month}.{year}", "named": f"{MONTHS[day.month - 1]} {day.year}"}
    as_day = {
        "day": f"{day.day}.{day.month}.{year}",
        "long": f"{day.day}.{day.month}.{day.year}",
        "slash": f"{day.day}/{day.month}/{year}",
    }
    if style in as_month:
        return WrittenDate(as_month[style], first, last)
    if style in as_day:
        return WrittenDate(as_day[style], day, day)
    if style == "week":
        text = f"w/e {saturday.day}.{saturday.month}.{saturday.year % 100:02d}"
        return WrittenDate(text, saturday - timedelta(days=6), saturday)
    if style == "year":
        return WrittenDate(str(day.year), date(day.year, 1, 1), date(day.year, 12, 31))
    if style == "circa":
        return WrittenDate(f"c.{day.year}", date(day.year - 1, 1, 1), date(day.year + 1, 12, 31))
    raise ValueError(f"no clerk writes dates in the style '{style}'")


def write_miles(miles: int, clerk: Clerk) -> str:
    """A figure with the clerk's sign between thousands and hundreds."""
    return f"{miles:,}".replace(",", clerk.thousands)


def clerk_of(rng: Random, year: int) -> Clerk:
    """A clerk for a card opened in a year: the later clerks were not yet there in the early years."""
    pool = CLERKS[:4] if year < 1918 else CLERKS
    return rng.choice(pool)
