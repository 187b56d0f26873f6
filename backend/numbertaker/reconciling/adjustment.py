"""Weighted adjustment of figures that balances over-determine, and the tests for gross errors.

The model is y = x + e with e ~ N(0, S), S diagonal, and A x = 0 for the true x. With r = A y and
V = A S A' the adjusted figures are x = y - S A' V^-1 r, the adjustments a = y - x with the covariance
W = S A' V^-1 A S. Whether anything is wrong at all is told by r' V^-1 r, which is chi-square with as many
degrees of freedom as there are balances; which figure is wrong, by |a| / sqrt(W), against the level of
Z. Šidák for several tests. (S. Narasimhan and C. Jordache, "Data Reconciliation and Gross Error Detection",
2000.)

>>> told = adjust([47_200, 48_000], [500, 1_000], [[1, -1]])
>>> round(told.values[0], 2), round(told.spreads[0], 2), round(told.chi_square, 3)
(47360.0, 447.21, 0.512)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import erfc, exp, gamma, sqrt
from statistics import NormalDist
from typing import TypeAlias

Row: TypeAlias = list[float]
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Adjusted:
    """Adjusted figures with their standard deviations, and the tests.

    `tests` has the statistic of each measurement, None where no balance holds it, so that it can't be
    checked; `alike` the groups that no balance tells apart: a gross error in one shows in all of them.
    """

    values: tuple[float, ...]
    spreads: tuple[float, ...]
    chi_square: float
    degrees: int
    tests: tuple[float | None, ...]
    alike: tuple[tuple[int, ...], ...]

    @property
    def probability(self) -> float:
        """How often right figures would miss their balances by as much as this."""
        return chi_square_above(self.chi_square, self.degrees)

    def suspects(self, level: float = 0.05) -> tuple[int, ...]:
        """The measurements whose test exceeds the critical value, the worst first."""
        told = [
            (z, k) for k, z in enumerate(self.tests) if z is not None and z > critical(level, len(self.tests))
        ]
        return tuple(k for _, k in sorted(told, key=lambda pair: (-pair[0], pair[1])))


def adjust(
    measured: Sequence[float], spreads: Sequence[float], balances: Sequence[Sequence[float]]
) -> Adjusted:
    """Adjust measurements with these standard deviations to balances, rows of coefficients whose sums are 0.

    Balances that follow from the others count once. `ValueError` where a row has another length.
    """
    count = len(measured)
    if any(len(row) != count for row in balances) or len(spreads) != count:
        raise ValueError(f"Expected {count} spreads and {count} coefficients in each balance.")
    rows = _independent([[float(c) for c in row] for row in balances])
    variances = [spread**2 for spread in spreads]
    residuals = [sum(c * y for c, y in zip(row, measured, strict=True)) for row in rows]
    weights = [
        [sum(a * v * b for a, v, b in zip(one, variances, other, strict=True)) for other in rows]
        for one in rows
    ]
    solved = _solve(weights, residuals)
    columns = [[row[k] for row in rows] for k in range(count)]
    offs = [
        v * sum(c * s for c, s in zip(column, solved, strict=True))
        for v, column in zip(variances, columns, strict=True)
    ]
    taken = [
        v**2 * sum(c * s for c, s in zip(column, _solve(weights, column), strict=True))
        for v, column in zip(variances, columns, strict=True)
    ]
    return Adjusted(
        values=tuple(y - a for y, a in zip(measured, offs, strict=True)),
        spreads=tuple(sqrt(max(0.0, v - w)) for v, w in zip(variances, taken, strict=True)),
        chi_square=sum(r * s for r, s in zip(residuals, solved, strict=True)),
        degrees=len(rows),
        tests=tuple(
            abs(a) / sqrt(w) if w > _NOTHING * (v or 1) else None
            for a, w, v in zip(offs, taken, variances, strict=True)
        ),
        alike=_alike(columns),
    )


def critical(level: float, tests: int) -> float:
    """The value that the greatest of so many right statistics exceeds with the probability `level`."""
    single = 1 - (1 - level) ** (1 / max(1, tests))
    return NormalDist().inv_cdf(1 - single / 2)


def chi_square_above(value: float, degrees: int) -> float:
    """The probability that a chi-square variable exceeds a value; 1 for no degree of freedom.

    By the recurrence over the degrees (M. Abramowitz and I. Stegun, "Handbook of Mathematical Functions",
    26.4).
    """
    if degrees < 1 or value <= 0:
        return 1.0
    half = value / 2
    start = 1 if degrees % 2 else 2
    found = erfc(sqrt(half)) if start == 1 else exp(-half)
    for k in range(start, degrees, 2):
        found += half ** (k / 2) * exp(-half) / gamma(k / 2 + 1)
    return min(1.0, found)


def _independent(rows: list[Row]) -> list[Row]:
    """The rows but for those that are sums of multiples of rows before them."""
    kept: list[Row] = []
    reduced: list[tuple[int, Row]] = []
    for row in rows:
        rest = list(row)
        for pivot, other in reduced:
            factor = rest[pivot]
            rest = [a - factor * b for a, b in zip(rest, other, strict=True)]
        pivot = max(range(len(rest)), key=lambda k: abs(rest[k]), default=-1)
        if pivot >= 0 and abs(rest[pivot]) > _NOTHING:
            kept.append(row)
            reduced.append((pivot, [a / rest[pivot] for a in rest]))
    return kept


def _solve(matrix: list[Row], right: Sequence[float]) -> Row:
    """Solve a small regular system by elimination with the greatest pivot."""
    size = len(matrix)
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    for k in range(size):
        best = max(range(k, size), key=lambda j: abs(rows[j][k]))
        rows[k], rows[best] = rows[best], rows[k]
        for j in range(k + 1, size):
            factor = rows[j][k] / rows[k][k]
            rows[j] = [a - factor * b for a, b in zip(rows[j], rows[k], strict=True)]
    found = [0.0] * size
    for k in reversed(range(size)):
        rest = sum(rows[k][j] * found[j] for j in range(k + 1, size))
        found[k] = (rows[k][size] - rest) / rows[k][k]
    return found


def _alike(columns: list[Row]) -> tuple[tuple[int, ...], ...]:
    """Measurements that stand in the same balances in the same proportion."""
    groups: dict[tuple[float, ...], list[int]] = {}
    for k, column in enumerate(columns):
        lead = next((c for c in column if abs(c) > _NOTHING), None)
        if lead is not None:
            groups.setdefault(tuple(round(c / lead, 9) for c in column), []).append(k)
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)
