"""How far confidence can be trusted, on cells that a person checked; and mending it by them.

A confidence is honest if of all cells that were read with it so many are right. `reliability` counts that
(a reliability diagram: DeGroot and Fienberg, 1983), and `curve_of_checked` is the rising line that makes it
so (isotonic regression: Zadrozny and Elkan, 2002).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from typing import Final, TypeAlias

from numbertaker.reading.confidence import Curve, logit

Pair: TypeAlias = tuple[float, bool]
"""How surely a cell was read, and whether it was right."""
EDGES: Final = (0.0, 0.5, 0.7, 0.85, 0.93, 0.96, 0.98, 0.99, 1.0)
"""Where one group of confidences ends and the next begins: finer where most cells are."""
FEWEST: Final = 60
"""From so many checked cells on a curve is learnt of them."""
PRIOR: Final = 30.0
"""What was said before weighs as much as so many checked cells, spread over all confidences."""
GRID: Final = (0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.95, 0.97, 0.98, 0.99, 0.995, 0.998)
"""The confidences at which what was said before stands."""
_Z: Final = 1.96


@dataclass(frozen=True, slots=True)
class Group:
    """Cells of nearly one confidence: from `low` to `high`, how many, how many right, their mean confidence.

    `at_least` and `at_most` bound the share that is right with probability .95 (Wilson, 1927).
    """

    low: float
    high: float
    cells: int
    right: int
    mean: float
    at_least: float
    at_most: float

    @property
    def share(self) -> float:
        """The share that was right."""
        return self.right / self.cells


@dataclass(frozen=True, slots=True)
class Reliability:
    """Groups that have cells, lowest first; `error` is the mean distance between confidence and share right,
    each group weighed by its cells (expected calibration error)."""

    cells: int
    right: int
    error: float
    groups: tuple[Group, ...]


def reliability(pairs: Iterable[Pair]) -> Reliability:
    """Count how often cells of each confidence are right."""
    every = list(pairs)
    groups = []
    for low, high in pairwise(EDGES):
        inside = [pair for pair in every if low <= pair[0] < high or (high == 1.0 and pair[0] >= 1.0)]
        if inside:
            groups.append(_group(low, high, inside))
    off = sum(group.cells * abs(group.mean - group.share) for group in groups)
    right = sum(ok for _, ok in every)
    return Reliability(len(every), right, off / len(every) if every else 0.0, tuple(groups))


def _group(low: float, high: float, pairs: Sequence[Pair]) -> Group:
    cells, right = len(pairs), sum(ok for _, ok in pairs)
    mean = sum(p for p, _ in pairs) / cells
    return Group(low, high, cells, right, mean, *wilson(right, cells))


def wilson(right: int, cells: int) -> tuple[float, float]:
    """The bounds within which a share lies with probability .95, by how often it was so."""
    share, z2 = right / cells, _Z * _Z
    middle = (share + z2 / (2 * cells)) / (1 + z2 / cells)
    reach = _Z * sqrt(share * (1 - share) / cells + z2 / (4 * cells * cells)) / (1 + z2 / cells)
    return max(0.0, middle - reach), min(1.0, middle + reach)


def curve_of_checked(pairs: Sequence[Pair], prior: float = PRIOR) -> Curve:
    """The rising line through checked cells: what a confidence is worth in this source.

    Few cells move it little: beside them stand `prior` cells that say what was said before. Without enough
    cells it has no points, and says what it is told.
    """
    if len(pairs) < FEWEST:
        return Curve(cells=len(pairs))
    import numpy as np
    from scipy.optimize import isotonic_regression

    told = [(p, p, prior / len(GRID)) for p in GRID] + [(p, float(ok), 1.0) for p, ok in pairs]
    x, y, weight = (np.array(column) for column in zip(*_tied(told), strict=True))
    fitted = isotonic_regression(y, weights=weight).x
    points = []
    for value in np.unique(fitted):
        there = fitted == value
        at = float(np.average([logit(p) for p in x[there]], weights=weight[there]))
        points.append((round(at, 4), round(float(min(max(value, 0.0005), 0.9995)), 5)))
    return Curve(_rising(points), len(pairs))


def _tied(told: Sequence[tuple[float, float, float]]) -> list[tuple[float, float, float]]:
    """Confidence, share right and weight, each confidence once and rising."""
    sums: dict[float, tuple[float, float]] = {}
    for p, y, weight in told:
        right, whole = sums.get(p, (0.0, 0.0))
        sums[p] = (right + weight * y, whole + weight)
    return [(p, right / whole, whole) for p, (right, whole) in sorted(sums.items())]


def _rising(points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Points of which each is farther right than the last."""
    rising = [points[0]]
    rising += [point for last, point in pairwise(points) if point[0] > last[0]]
    return tuple(rising)
