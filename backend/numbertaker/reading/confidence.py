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
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

FILE: Final = Path(__file__).parent / "confidence.json"
PLACE: Final[Mapping[str, str]] = {
    "number": "place of values", "date": "place of values", "figure": "place of values",
    "name": "place of words", "words": "place of words",
}  # fmt: skip
"""Which curve says how often a cell of a kind stands in its place: half a remark still reads as one, half a
date doesn't.
"""
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


@cache
def curves() -> Mapping[str, Curve]:
    """The shipped curves: by kind of field, of 'blank', 'ditto' and 'struck', and of the places."""
    told: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))["curves"]
    return {
        name: Curve(tuple((x, y) for x, y in curve["points"]), curve["cells"]) for name, curve in told.items()
    }


def of_cell(what: str, p: float, g: float) -> float:
    """The confidence of a cell: `what` is its field's kind, or 'blank', 'ditto' or 'struck'; `p` how likely
    it was told to be what it is, `g` how far the table is trusted."""
    known = curves()
    own = known.get(what, Curve()).at(g if what == "blank" else p)
    return own * known.get(PLACE[what], Curve()).at(g) if what in PLACE else own


def logit(p: float) -> float:
    """Log-odds, bounded where a float can't tell."""
    bounded = min(max(p, 0.0002), 0.9998)
    return math.log(bounded / (1 - bounded))
