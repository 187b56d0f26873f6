"""How a table's best set of cuts stands against the best sets that lack one of its cuts, or have another.

Forward and backward sums of one dynamic programme give the best table through any one cut (the max-marginals
of its chain: Pearl, 1988); leaving a cut out takes the forward sum anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from numbertaker.reading.geometry import Array

NEVER: Final = -1e9
MOST: Final = 6.0
"""What a set of cuts is better by where there is no other."""


@dataclass(frozen=True, slots=True)
class Gains:
    """What each cut gains as the left or right side of a table and within it, and (cut × cut) each column
    between two of them.
    """

    left: Array
    right: Array
    inner: Array
    columns: Array

    def without(self, k: int) -> Gains:
        """The same without one cut within the table."""
        inner = self.inner.copy()
        inner[k] = NEVER
        return replace(self, inner=inner)


@dataclass(frozen=True, slots=True)
class Rivals:
    """The score that is lost at least by leaving out one of a table's inner cuts, and by making another."""

    without: float
    with_another: float


def hold_against(gains: Gains, own: Sequence[int], others: Sequence[int]) -> Rivals:
    """Hold the best set of cuts, whose inner ones are `own`, against those without one and with another."""
    before = _forward(gains)
    best = float((before + gains.right).max())
    without = [best - float((_forward(gains.without(k)) + gains.right).max()) for k in own]
    through = before + gains.inner + _backward(gains)
    another = [best - float(through[k]) for k in others]
    return Rivals(min(MOST, *without, MOST), min(MOST, *another, MOST))


def _forward(gains: Gains) -> Array:
    """The best score of a table's part left of each cut."""
    out = np.full(len(gains.left), NEVER)
    for j in range(1, len(out)):
        start = np.maximum(gains.left[:j], out[:j] + gains.inner[:j])
        out[j] = float((start + gains.columns[:j, j]).max())
    return out


def _backward(gains: Gains) -> Array:
    """The best score of a table's part right of each cut."""
    out = np.full(len(gains.left), NEVER)
    for i in range(len(out) - 2, -1, -1):
        end = np.maximum(gains.right[i + 1 :], out[i + 1 :] + gains.inner[i + 1 :])
        out[i] = float((gains.columns[i, i + 1 :] + end).max())
    return out


def path_to(before: Array, last: int, columns: int) -> tuple[int, ...]:
    """The cuts of the best table with so many columns that ends at a cut, left to right; `before` holds for
    each cut and number of columns the cut before.
    """
    path = [last]
    for count in range(columns, 0, -1):
        path.append(int(before[path[-1], count]))
    return tuple(reversed(path))
