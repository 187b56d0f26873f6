"""How long one event lies before another, as far as the trade knows: a density over the days between.

An engine comes out of works with another component some weeks after its own was taken out; a component goes
to the next engine in that time or lies spare for years; a stay lasts as long as its miles take. A law is a
staircase: even within each run of days, so that the share up to any day is found by looking up and adding.
The shares are common practice, no source; what an archive taught replaces them where it taught it.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from math import exp
from typing import Final, NamedTuple, TypeAlias

from numbertaker.evidence.days import Day

Steps: TypeAlias = tuple[tuple[float, float], ...]
UNKNOWN: Final = 1 / 8000
"""The density where two events have nothing to do with one another."""

_RUN_STEPS: Final = ((0.5, 0.36), (1.0, 0.26), (1.5, 0.16), (2.5, 0.13), (4.0, 0.05))
"""Shares within so many standard deviations of the log, each way together; what is left lies anywhere."""


class Law:
    """A density over the days from one event to the next, even between one limit and the next."""

    __slots__ = ("_area", "_below", "_density", "_limits", "peak")

    def __init__(self, *steps: tuple[float, float], start: float = 0.0) -> None:
        """Each step: up to which day, and the share that lies between it and the step before."""
        self._limits = [start, *(limit for limit, _ in steps)]
        whole = sum(share for _, share in steps)
        self._below, self._density = [0.0], [0.0]
        for (limit, share), low in zip(steps, self._limits, strict=False):
            self._below.append(self._below[-1] + share / whole)
            self._density.append(share / whole / (limit - low))
        self._density.append(0.0)
        self.peak = max(self._density)
        self._area = [0.0]
        for low, high, before, after in zip(
            self._limits, self._limits[1:], self._below, self._below[1:], strict=False
        ):
            self._area.append(self._area[-1] + (high - low) * (before + after) / 2)

    def upto(self, days: float) -> float:
        """The share of all cases with fewer days between."""
        step = bisect_right(self._limits, days)
        if not step:
            return 0.0
        return self._below[step - 1] + self._density[step] * (days - self._limits[step - 1])

    def before(self, edges: Sequence[Day], first: Day, last: Day) -> list[float]:
        """For each run between two edges the mean density of its days, each before those of one run, times
        the days of both runs.

        Beyond the longest time that the law knows, and on the wrong side of the run, there is nothing to add.
        """
        near = bisect_right(edges, first - self._limits[-1])
        far = bisect_left(edges, last + 1 - self._limits[0])
        between = [self._area_of(first - edge, last + 1 - edge) for edge in edges[near:far]]
        areas = [float(last + 1 - first)] * near + between + [0.0] * (len(edges) - far)
        return [one - other if one > other else 0.0 for one, other in pairwise(areas)]

    def after(self, edges: Sequence[Day], first: Day, last: Day) -> list[float]:
        """The same where its days come after those of the run."""
        near = bisect_right(edges, first + self._limits[0])
        far = bisect_left(edges, last + 1 + self._limits[-1])
        between = [self._area_of(edge - last - 1, edge - first) for edge in edges[near:far]]
        areas = [0.0] * near + between + [float(last + 1 - first)] * (len(edges) - far)
        return [other - one if other > one else 0.0 for one, other in pairwise(areas)]

    def _area_of(self, low: float, high: float) -> float:
        """The integral of `upto` from one number of days to another: differences of it are exact means over
        two runs of days.
        """
        step, over = bisect_right(self._limits, high), 0.0
        if step:
            over = high - self._limits[step - 1]
            over = self._area[step - 1] + over * (self._below[step - 1] + self._density[step] * over / 2)
        step = bisect_right(self._limits, low)
        if not step:
            return over
        less = low - self._limits[step - 1]
        return over - (self._area[step - 1] + less * (self._below[step - 1] + self._density[step] * less / 2))


AFTER: Final = Law((4000, 1.0))
"""Some time after: it says no more than the order."""

STAY: Final = Law((30, 0.01), (200, 0.08), (1600, 0.73), (4000, 0.18))
"""A fitment of unknown miles."""

_CHANGED: Final = ((100.0, 0.86), (400.0, 0.08), (4000.0, 0.06))
CHANGED: Final = Law(*_CHANGED)
"""From one component of an engine to its next: weeks in works."""

SPARE: Final = Law((0, 0.1), (12, 0.64), (60, 0.18), (400, 0.05), (4000, 0.03), start=-15.0)
"""From a removal to the day from which it is said to lie spare, and from its end to the next fitting."""


class Usual(NamedTuple):
    """How long engines stand in works here, between which days nine of ten such times lie and half of them,
    and how far that is trusted, 0 to 1.
    """

    least: float
    low: float
    high: float
    most: float
    trusted: float

    @property
    def steps(self) -> Steps:
        """A staircase of it; where a line is lost between the two, it may be years."""
        low = max(self.low, self.least + 1)
        high = max(self.high, low + 1)
        most = max(self.most, high + 1)
        return (
            *((self.least, 0.04), (low, 0.2), (high, 0.5)),
            *((most, 0.17), (1.25 * most, 0.03), (max(4000.0, 2 * most), 0.06)),
        )


@lru_cache(maxsize=64)
def changed(usual: Usual) -> Law:
    """From one component of an engine to its next: time in works, as far as an archive taught it."""
    if not usual.trusted:
        return CHANGED
    return _mixed((usual.trusted, usual.steps), (1 - usual.trusted, _CHANGED))


@lru_cache(maxsize=256)
def between_stays(low: float, high: float) -> Law:
    """From one engine of a component to its next, where a quarter takes less than `low` and a quarter more
    than `high` days. Half of the whole goes by that, half is spread as wide as in any archive.
    """
    low, high = max(10.0, low), max(20.0, low + 10.0, high)
    far = max(4000.0, 2 * high)
    return _mixed(
        (0.5, ((low, 0.25), (high, 0.5), (far, 0.25))), (0.5, ((100.0, 0.4), (400.0, 0.25), (far, 0.35)))
    )


def _mixed(*parts: tuple[float, Steps]) -> Law:
    """Several staircases laid over one another, each with its weight."""
    laws = [(weight, Law(*steps)) for weight, steps in parts]
    found, low = [], 0.0
    for limit in sorted({limit for _, steps in parts for limit, _ in steps}):
        found.append((limit, sum(weight * (law.upto(limit) - law.upto(low)) for weight, law in laws)))
        low = limit
    return Law(*found)


class OfMiles(NamedTuple):
    """What the law of a stay is made of: the days that its miles take at the usual rate, and the standard
    deviation of their log.
    """

    days: float
    spread: float

    def law(self) -> Law:
        """The law itself."""
        return of_miles(self.days, self.spread)


@lru_cache(maxsize=8192)
def of_miles(days: float, spread: float) -> Law:
    """How long a stay lasts whose miles take `days` at the usual rate; `spread` is the standard deviation of
    the log.
    """
    limits: dict[float, float] = {}
    inner = 0.0
    for outer, share in _RUN_STEPS:
        limits[days * exp(-inner * spread)] = share / 2
        limits[days * exp(outer * spread)] = share / 2
        inner = outer
    shortest, longest = days * exp(-inner * spread), days * exp(inner * spread)
    limits[shortest] = 0.01
    steps = sorted(limits.items())
    return Law(*steps, (max(longest * 1.5, longest + 2000), 0.03))
