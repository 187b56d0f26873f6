"""Runs of days with a probability each: made, asked, and cut to the shortest interval."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import exp, log
from typing import Final

from numbertaker.evidence.days import Day
from numbertaker.reconciling.dating.slips import Ways
from numbertaker.reconciling.entries import Posterior

_LEAST: Final = 1e-7


class Regions:
    """Time cut into runs of days within which nothing changes, and the log weight of each by the claims."""

    __slots__ = ("claims", "days", "edges", "ends", "middles", "starts")

    def __init__(self, told: Sequence[Ways], cuts: Iterable[Day], low: Day, high: Day) -> None:
        """Cut at the ends of all that is told and at `cuts`, from `low` to `high`."""
        edges = {low, high + 1, *(cut for cut in cuts if low < cut <= high)}
        for one in told:
            for a, b, _ in one.near:
                if low < a <= high:
                    edges.add(a)
                if low <= b < high:
                    edges.add(b + 1)
        self.edges = sorted(edges)
        self.starts, self.ends = self.edges[:-1], [edge - 1 for edge in self.edges[1:]]
        self.days = [b - a for a, b in pairwise(self.edges)]
        self.middles = [(a + b) / 2 for a, b in zip(self.starts, self.ends, strict=True)]
        self.claims = [log(days) for days in self.days]
        for one in told:
            self._weigh(one)

    def _weigh(self, told: Ways) -> None:
        likely = [told.beyond(middle) for middle in self.middles]
        for a, b, weight in told.near:
            first = bisect_right(self.starts, a) - 1
            first = max(0, first if self.starts[max(0, first)] >= a else first + 1)
            for k in range(first, bisect_right(self.starts, b)):
                likely[k] += weight
        self.claims = [whole + log(one) for whole, one in zip(self.claims, likely, strict=True)]

    def posterior(self, weights: Sequence[float]) -> Posterior:
        """The regions with their shares of one, but for those that hardly count."""
        top = max(weights)
        powers = [exp(weight - top) for weight in weights]
        whole = sum(powers)
        return tuple(
            (a, b, power / whole)
            for a, b, power in zip(self.starts, self.ends, powers, strict=True)
            if power > _LEAST * whole
        )


def mass_in(posterior: Posterior, spans: tuple[tuple[Day, Day], ...]) -> float:
    """The probability that the day lies in one of these spans, which do not overlap."""
    total = 0.0
    for a, b in spans:
        for first, last, p in posterior:
            if first <= b and a <= last:
                if a <= first and last <= b:
                    total += p
                else:
                    total += p * (min(b, last) - max(a, first) + 1) / (last - first + 1)
    return min(1.0, total)


def interval(posterior: Posterior, level: float) -> tuple[Day, Day]:
    """The shortest run of days that holds the level; of equal ones the earliest.

    A region at its edge is taken in part, where a part of it is enough.
    """
    whole = sum(p for _, _, p in posterior)
    wanted = min(level, 1.0) * whole
    best: tuple[int, Day, Day] | None = None
    held, end = 0.0, 0
    for start, (_, _, p) in enumerate(posterior):
        while end < len(posterior) and held < wanted - 1e-12:
            held += posterior[end][2]
            end += 1
        if held < wanted - 1e-12:
            break
        a, b = _trimmed(posterior, start, end - 1, held - wanted)
        if best is None or b - a < best[0]:
            best = (b - a, a, b)
        held -= p
    if best is None:
        return posterior[0][0], posterior[-1][1]
    return best[1], best[2]


def _trimmed(posterior: Posterior, start: int, end: int, over: float) -> tuple[Day, Day]:
    """The run from one region to another, less the days at one end that are not needed."""
    first, last = posterior[start][0], posterior[end][1]
    if start == end:
        return first, last
    at_start, at_end = (
        int(over / p * (b - a + 1)) if p > 0 else 0 for a, b, p in (posterior[start], posterior[end])
    )
    if at_start > at_end:
        return first + min(at_start, posterior[start][1] - first), last
    return first, last - min(at_end, last - posterior[end][0])
