"""The Brier score of probabilities, taken apart: how reliable, how telling, how uncertain it was anyway.

G. Brier, "Verification of forecasts expressed in terms of probability", Monthly Weather Review 78 (1950);
A. Murphy, "A new vector partition of the probability score", J. Applied Meteorology 12 (1973), 595-600.
Forecasts of equal probability make a group; the identity BS = REL - RES + UNC is exact then.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from math import inf, log


@dataclass(frozen=True, slots=True)
class Parts:
    """A Brier score and its parts.

    `reliability` is how far what was given lies off what came (0 is best), `resolution` how far the groups
    lie off the mean (more is better), `uncertainty` what the mean alone would score. `off` is the mean and
    `most` the greatest distance of a group (expected and maximal calibration error), `skill` what is better
    than always giving the mean, and `log_loss` the mean surprise in natural units.
    """

    score: float
    reliability: float
    resolution: float
    uncertainty: float
    off: float
    most: float
    skill: float
    log_loss: float


def parts(given: Iterable[float], true: Iterable[bool]) -> Parts:
    """Take the score of some probabilities apart; ValueError where there are none."""
    groups: dict[float, list[bool]] = defaultdict(list)
    for probability, came in zip(given, true, strict=True):
        groups[probability].append(came)
    count = sum(map(len, groups.values()))
    if not count:
        raise ValueError("no probabilities")
    mean = sum(map(sum, groups.values())) / count
    shares = [(p, sum(came) / len(came), len(came) / count) for p, came in sorted(groups.items())]
    uncertainty = mean * (1 - mean)
    score = sum(part * (o * (p - 1) ** 2 + (1 - o) * p**2) for p, o, part in shares)
    return Parts(
        score=score,
        reliability=sum(part * (p - o) ** 2 for p, o, part in shares),
        resolution=sum(part * (o - mean) ** 2 for _, o, part in shares),
        uncertainty=uncertainty,
        off=sum(part * abs(p - o) for p, o, part in shares),
        most=max(abs(p - o) for p, o, _ in shares),
        skill=1 - score / uncertainty if uncertainty else 0.0,
        log_loss=-sum(part * (_surprise(o, p) + _surprise(1 - o, 1 - p)) for p, o, part in shares),
    )


def _surprise(share: float, probability: float) -> float:
    if not share:
        return 0.0
    return share * log(probability) if probability else -inf
