"""From a recogniser's probability and the doubt in the geometry to the confidence of a cell.

A logistic curve over the log-odds of both. Its parameters were set by hand while looking at the demo's
scans; `scripts/bench reading` measures how well they are calibrated there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Curve:
    """confidence = 1 / (1 + exp(-(offset + reading * logit(p) + table * logit(g))))."""

    offset: float
    reading: float
    table: float

    def at(self, p: float, g: float) -> float:
        """The confidence of a cell read with probability `p` in a table trusted to `g`."""
        return 1 / (1 + math.exp(-(self.offset + self.reading * logit(p) + self.table * logit(g))))


CURVE: Final = Curve(offset=0.0, reading=0.8, table=0.3)
TOLD: Final = 0.97
"""How surely a cell seen to be blank or a ditto is that, in a table beyond doubt."""
SPECK: Final = 0.85
"""How surely a cell is blank in which something small was seen that makes no sense there."""
STRUCK: Final = 0.6
"""How far the reading of a struck cell is trusted: a person should look."""


def logit(p: float) -> float:
    """Log-odds, bounded where a float can't tell."""
    bounded = min(max(p, 0.001), 0.999)
    return math.log(bounded / (1 - bounded))
