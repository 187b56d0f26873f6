"""From a recogniser's probability and the doubt in the geometry to the confidence of a cell.

A cell is right if it was read right and if it stands where it was looked for. So its confidence is a
product: how often readings of this probability are right, by kind of field, times how often cells of a table
trusted so far are in their place. Both are rising lines through what was counted on labelled cards (isotonic
regression: Zadrozny and Elkan, 2002), over log-odds. They are data: `confidence.json`, with how many cells
each rests on, made by `scripts/train/calibrate.py`.
"""

from __future__ import annotations

import json
import math
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

FILE: Final = Path(__file__).parent / "confidence.json"
SPECK: Final = 0.85
"""How surely a cell is blank in which something small was seen that makes no sense there."""
TOLD: Final = 0.97
"""The probability that stands for geometry's word on a blank or a ditto, before it is calibrated."""


@dataclass(frozen=True, slots=True)
class Curve:
    """Points (log-odds, share right), both rising, and how many labelled cells they rest on.

    Between points it is a straight line, beyond the last ones level; without points it says what it is told.
    """

    points: tuple[tuple[float, float], ...] = ()
    cells: int = 0

    def at(self, p: float) -> float:
        """The share that is right of what is told with probability `p`."""
        if not self.points:
            return p
        x = logit(p)
        k = bisect_left(self.points, (x, 0.0))
        if k == 0 or k == len(self.points):
            return self.points[min(k, len(self.points) - 1)][1]
        (x0, y0), (x1, y1) = self.points[k - 1], self.points[k]
        return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


@dataclass(frozen=True, slots=True)
class Tree:
    """A tree of questions: at node n, if trait `trait[n]` is at most `bound[n]` go to `low[n]`, else to
    `high[n]`; where `low[n]` is 0 it ends, and says `says[n]`.
    """

    trait: tuple[int, ...]
    bound: tuple[float, ...]
    low: tuple[int, ...]
    high: tuple[int, ...]
    says: tuple[float, ...]

    def at(self, row: Sequence[float]) -> float:
        """What it says of a row of traits."""
        n = 0
        while self.low[n]:
            n = self.low[n] if row[self.trait[n]] <= self.bound[n] else self.high[n]
        return self.says[n]


@dataclass(frozen=True, slots=True)
class Weights:
    """Trees whose sum are log-odds, the curve that makes those honest, and the curves of headings."""

    traits: tuple[str, ...]
    trees: tuple[Tree, ...]
    curve: Curve
    headings: Mapping[str, Curve]

    def of(self, traits: Mapping[str, float]) -> float:
        """The probability that a cell is right."""
        row = [traits[name] for name in self.traits]
        return self.curve.at(odds(sum(tree.at(row) for tree in self.trees)))


@cache
def weights() -> Weights:
    """The shipped weights."""
    told: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))
    trees = tuple(
        Tree(*(tuple(tree[part]) for part in ("trait", "bound", "low", "high", "says")))
        for tree in told["trees"]
    )
    headings = {kind: _curve(curve) for kind, curve in told["headings"].items()}
    return Weights(tuple(told["traits"]), trees, _curve(told["curve"]), headings)


def _curve(told: Mapping[str, Any]) -> Curve:
    return Curve(tuple((x, y) for x, y in told["points"]), told["cells"])


def of_cell(traits: Mapping[str, float]) -> float:
    """The confidence of a cell, by its traits (`numbertaker.reading.cell_traits`)."""
    return weights().of(traits)


def of_heading(kind: str, p: float) -> float:
    """The confidence of a number or name in a card's heading that was read with probability `p`."""
    return weights().headings.get(kind, Curve()).at(p)


def logit(p: float) -> float:
    """Log-odds, bounded where a float can't tell."""
    bounded = min(max(p, 0.0002), 0.9998)
    return math.log(bounded / (1 - bounded))


def odds(x: float) -> float:
    """The probability of log-odds."""
    return 1 / (1 + math.exp(-x))
