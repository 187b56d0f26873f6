"""From a recogniser's probability and the doubt in the geometry to the confidence of a cell.

For each kind of field a logistic curve over the log-odds of both (Platt, 1999), then a rising line through what was counted on
labelled cards (isotonic regression: Zadrozny and Elkan, 2002). The curves are data: `confidence.json`, with how many cells each rests
on, made by `scripts/train/calibrate.py` on the developing half of the bench's cards and the demo's.
"""

from __future__ import annotations

import json
import math
from bisect import bisect_left
from collections.abc import Mapping
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
    """score = 1 / (1 + exp(-(offset + reading * logit(p) + table * logit(g)))), then along `steps`.

    `steps` are points (score, probability), both rising; `cells` is how many labelled cells they rest on.
    """

    offset: float
    reading: float
    table: float
    steps: tuple[tuple[float, float], ...] = ()
    cells: int = 0

    def score(self, p: float, g: float) -> float:
        """The logistic curve alone."""
        return 1 / (1 + math.exp(-(self.offset + self.reading * logit(p) + self.table * logit(g))))

    def at(self, p: float, g: float) -> float:
        """The confidence of a cell read with probability `p` in a table trusted to `g`."""
        score = self.score(p, g)
        if not self.steps:
            return score
        k = bisect_left(self.steps, (score, 0.0))
        if k == 0 or k == len(self.steps):
            return self.steps[min(k, len(self.steps) - 1)][1]
        (x0, y0), (x1, y1) = self.steps[k - 1], self.steps[k]
        return y0 + (y1 - y0) * (score - x0) / (x1 - x0) if x1 > x0 else y1


PLAIN: Final = Curve(offset=0.0, reading=0.8, table=0.3)
"""The curve of what nothing was counted for."""


@cache
def curves() -> Mapping[str, Curve]:
    """The shipped curves, by kind of field, and those of 'blank', 'ditto' and 'struck'."""
    told: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))["curves"]
    return {
        name: Curve(c["offset"], c["reading"], c["table"], tuple((x, y) for x, y in c["steps"]), c["cells"])
        for name, c in told.items()
    }


def of_text(kind: str, p: float, g: float) -> float:
    """The confidence of a text read with probability `p`, in a field of a kind, in a table trusted to `g`."""
    return curves().get(kind, PLAIN).at(p, g)


def of_mark(mark: str, g: float, p: float = TOLD) -> float:
    """The confidence that a cell is a blank, a ditto or struck out, in a table trusted to `g`."""
    return curves().get(mark, PLAIN).at(p, g)


def logit(p: float) -> float:
    """Log-odds, bounded where a float can't tell."""
    bounded = min(max(p, 0.0002), 0.9998)
    return math.log(bounded / (1 - bounded))
