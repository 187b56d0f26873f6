"""Sums of uncertain numbers as small mixtures: points and normal distributions, with their shares."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import erf, sqrt
from typing import Final, NamedTuple

_AT_MOST: Final = 16
_NEGLIGIBLE: Final = 1e-5
_QUARTERS: Final = 4
_FINE: Final = 4
_FAR: Final = 30.0
_UNHEEDED: Final = 5e-4


class Part(NamedTuple):
    """A share of a mixture: normal about a mean with this variance; a single point where that is 0."""

    share: float
    mean: float
    variance: float = 0.0


@dataclass(frozen=True, slots=True)
class Mixture:
    """A distribution made of parts whose shares add up to 1."""

    parts: tuple[Part, ...]

    def plus(self, other: Mixture) -> Mixture:
        """The distribution of the sum of two independent numbers; what is least likely is taken together."""
        found: dict[tuple[float, float], float] = {}
        if len(other.parts) == 1 and other.parts[0].variance == 0:
            off = other.parts[0].mean
            return self if off == 0 else Mixture(tuple(Part(p, m + off, v) for p, m, v in self.parts))
        for one in self.parts:
            for two in other.parts:
                key = (one.mean + two.mean, one.variance + two.variance)
                found[key] = found.get(key, 0.0) + one.share * two.share
        ranked = sorted(((p, *key) for key, p in found.items() if p > _NEGLIGIBLE), reverse=True)
        parts = [Part(*row) for row in ranked[:_AT_MOST]]
        if len(ranked) > _AT_MOST:
            parts.append(_together([Part(*row) for row in ranked[_AT_MOST:]]))
        whole = sum(part.share for part in parts)
        return Mixture(tuple(Part(p / whole, mean, variance) for p, mean, variance in parts))

    def below(self, bound: float) -> float:
        """The probability of at most so much."""
        whole = 0.0
        for share, mean, variance in self.parts:
            off = bound - mean
            if off * off > _FAR * variance:
                whole += share if off >= 0 else 0.0
            elif variance > 0:
                whole += share * (1 + erf(off / sqrt(2 * variance))) / 2
            else:
                whole += share
        return whole

    def quantile(self, share: float, asked: dict[int, float] | None = None) -> int:
        """The least whole number that so much of the distribution does not exceed: a point where it lies on
        one, else to within a few units.

        `asked` keeps what was found below the numbers tried, for whoever asks for several shares.
        """
        asked = {} if asked is None else asked
        low = int(min(mean - 5 * sqrt(variance) for _, mean, variance in self.parts)) - 1
        high = int(max(mean + 5 * sqrt(variance) for _, mean, variance in self.parts)) + 1
        while high - low > _FINE:
            middle = (low + high) // 2
            if middle not in asked:
                asked[middle] = self.below(middle)
            if asked[middle] >= share:
                high = middle
            else:
                low = middle
        points = sorted(mean for _, mean, variance in self.parts if variance == 0 and low < mean <= high)
        return next((round(point) for point in points if self.below(point) >= share), high)

    def interval(self, level: float) -> tuple[int, int]:
        """The narrowest interval that holds so much, of those that leave out none of the rest, a
        quarter of it, two quarters and so on at the lower end.
        """
        out = 1 - level
        top = max(self.parts)
        if top.variance == 0 and self.below(top.mean) - self.below(top.mean - 1) >= level:
            return round(top.mean), round(top.mean)
        asked: dict[int, float] = {}
        quarters = [out * k / _QUARTERS for k in range(_QUARTERS + 1)]
        ends = [
            (self.quantile(max(1e-9, left), asked), self.quantile(level + left, asked)) for left in quarters
        ]
        return min(ends, key=lambda pair: (pair[1] - pair[0], pair))


NOTHING: Final = Mixture((Part(1.0, 0.0),))


def point(value: float) -> Mixture:
    """A number that is known."""
    return Mixture((Part(1.0, value),))


def either(choices: Iterable[tuple[float, Mixture]]) -> Mixture:
    """One of several distributions, with the probability of each, scaled to add up to 1. What is less likely
    than one in 2,000 is let go: far less than the level leaves out, over all the terms of a sum.
    """
    told = [(p, mixture) for p, mixture in choices if p > _UNHEEDED]
    whole = sum(p for p, _ in told)
    return Mixture(
        tuple(
            Part(p / whole * q, mean, variance) for p, mixture in told for q, mean, variance in mixture.parts
        )
    )


def _together(parts: list[Part]) -> Part:
    """One part with the mean and the variance of all of them."""
    whole = sum(part.share for part in parts)
    mean = sum(part.share * part.mean for part in parts) / whole
    variance = sum(part.share * (part.variance + (part.mean - mean) ** 2) for part in parts) / whole
    return Part(whole, mean, variance)
