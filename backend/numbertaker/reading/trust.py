"""How far a table's geometry is trusted: the probability that all of it is right, by its witnesses.

A logistic regression whose weights are none of them negative: every witness speaks for the table, and the
absence of none can. They are data: `trust.json`, fitted by `scripts/train/trust.py` on tables of which some
are wrong, and measured there on forms that were left out of the fit, one after the other.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

FILE: Final = Path(__file__).parent / "trust.json"


@dataclass(frozen=True, slots=True)
class Weights:
    """What each witness weighs, and where the sum begins."""

    offset: float
    by_witness: Mapping[str, float]

    def probability(self, seen: Mapping[str, float]) -> float:
        """The probability that a table with these witnesses (each 0 to 1) is wholly right."""
        x = self.offset + sum(weight * seen[name] for name, weight in self.by_witness.items())
        return 1 / (1 + math.exp(-max(-30.0, min(30.0, x))))


@cache
def shipped() -> Weights:
    """The weights that the reader ships with."""
    told: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))
    return Weights(told["offset"], told["weights"])


def trust(seen: Mapping[str, float]) -> float:
    """The probability that a table is wholly right, by its witnesses."""
    return shipped().probability(seen)
