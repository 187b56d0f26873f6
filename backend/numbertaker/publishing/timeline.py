"""The timeline as values: one engine one lane, the component one thread, time left to right.

Only what is to be drawn, in days and miles; how it is drawn is the renderer's business.
"""

from __future__ import annotations

from dataclasses import dataclass

from numbertaker.evidence.days import Day, Span
from numbertaker.publishing.degrees import Degree


@dataclass(frozen=True, slots=True)
class Stretch:
    """One stay on a lane: the days on which it may have begun and ended, its degree, and what to call it.

    `miles` is a stated or derived figure, None where there is none; `low` and `high` are the range its true
    miles lie in. `doubled` is the time in which it would overlap another, where there can be only one.
    """

    lane: int
    start: Span
    end: Span
    degree: Degree
    says: str
    miles: int | None
    low: int | None = None
    high: int | None = None
    doubled: Span | None = None

    def ends(self) -> tuple[Day, Day, Day, Day] | None:
        """Earliest start, latest start, earliest end, latest end, in order; None where nothing is known.

        An end without a bound is drawn as short as can be, at the bound that is known.
        """
        known = [
            day
            for day in (self.start.first, self.start.last, self.end.first, self.end.last)
            if day is not None
        ]
        if not known:
            return None
        a = self.start.first if self.start.first is not None else min(known)
        b = self.start.last if self.start.last is not None else a
        d = self.end.last if self.end.last is not None else max(known)
        c = self.end.first if self.end.first is not None else d
        first, last = min(a, b, c, d), max(a, b, c, d)
        middle = (min(b, c), max(b, c)) if b > c else (b, c)
        return first, middle[0], middle[1], last


@dataclass(frozen=True, slots=True)
class Silence:
    """A time for which nothing says where the component was."""

    first: Day
    last: Day
    says: str


@dataclass(frozen=True, slots=True)
class Timeline:
    """The lanes from top to bottom, the stretches in order, and the silences between them.

    `adds` where the stretches are of one component, whose miles add up; `low` to `high` is the range of its
    true total, gaps and fitments without a figure counted in.
    """

    lanes: tuple[str, ...]
    stretches: tuple[Stretch, ...]
    silences: tuple[Silence, ...] = ()
    adds: bool = True
    low: int | None = None
    high: int | None = None

    @property
    def has_miles(self) -> bool:
        """Whether there are figures of miles to draw."""
        return self.adds and any(stretch.miles for stretch in self.stretches)

    @property
    def supported(self) -> int:
        """The sum of the figures that are stated or derived."""
        return sum(stretch.miles or 0 for stretch in self.stretches)

    def miles_told(self) -> str:
        """What the chart of miles shows, in words."""
        unknown = sum(stretch.miles is None for stretch in self.stretches) + len(self.silences)
        hatched = (
            f" {unknown} {'time is' if unknown == 1 else 'times are'} hatched: no figure is known there."
        )
        ends = ""
        if self.low is not None and self.high is not None and self.low != self.high:
            ends = f" The true total is estimated to lie between {self.low:,} and {self.high:,}."
        return f"The supported miles grow to {self.supported:,}.{hatched if unknown else ''}{ends}"

    def bounds(self) -> tuple[Day, Day] | None:
        """The first and the last day that anything on it touches; None where nothing is dated."""
        ends = [day for stretch in self.stretches for day in stretch.ends() or ()]
        ends += [day for silence in self.silences for day in (silence.first, silence.last)]
        return (min(ends), max(ends)) if ends else None
