"""The miles that a fitment's time lets one expect: days in traffic at what its class ran, with long tails."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, sqrt
from typing import Final

from numbertaker.reconciling.chronology import rate_of
from numbertaker.reconciling.entries import Draft, Stay

_USUAL_DAYS: Final = 1000.0
_UNKNOWN_SPREAD: Final = 0.8
_SHORTEST: Final = 30.0


@dataclass(frozen=True, slots=True)
class Expected:
    """A distribution of the log of miles: Student's t with four degrees, since rates have tails.

    `known` says whether it rests on the two dates of the fitment; else it is what any fitment may run.
    """

    log_median: float
    spread: float
    known: bool

    @property
    def median(self) -> float:
        """The miles that half of such fitments exceed."""
        return exp(self.log_median)

    def off(self, miles: float) -> float:
        """How many standard deviations a figure lies off."""
        return (log(miles) - self.log_median) / self.spread if miles > 0 else -9.0

    def density(self, miles: float) -> float:
        """The probability of just this number of miles."""
        if miles <= 0:
            return 0.0
        z = (log(miles) - self.log_median) / self.spread
        return 0.375 * float((1 + z * z / 4) ** -2.5) / (self.spread * miles)


def days_run(stay: Stay) -> tuple[float, float] | None:
    """The days between the two ends and how uncertain that is; None where one end is not known."""
    start, end = stay.dates.get("fitted"), stay.dates.get("removed")
    if start is None or end is None:
        return None
    days = (sum(end.likeliest) - sum(start.likeliest)) / 2
    width = (end.likeliest[1] - end.likeliest[0] + start.likeliest[1] - start.likeliest[0]) / 2
    return days, width


def expected(draft: Draft, stay: Stay) -> Expected:
    """What a fitment may have run: two dates to the month widen it little, two years much."""
    run = days_run(stay)
    if run is None or run[0] <= 0:
        return Expected(rate_of(draft, stay) + log(_USUAL_DAYS), _UNKNOWN_SPREAD, known=False)
    days = max(_SHORTEST, run[0])
    spread = sqrt(draft.rate_spread**2 + (run[1] / days / 2) ** 2 + (_SHORTEST / days) ** 2)
    return Expected(rate_of(draft, stay) + log(days), spread, known=True)
