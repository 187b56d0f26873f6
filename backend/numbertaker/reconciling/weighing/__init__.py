"""How sure a statement is: a sum of terms in log odds, each with a weight that was fitted once.

Every term is something a person can look at: how the cell was read, whom its line is tied to, who agrees
with it, what stands before and after, the miles, a contradiction. Its value comes from the steps before, its
weight from worlds of our own making (`scripts/train/confidence.py`).
"""

from __future__ import annotations

from numbertaker.reconciling.weighing.terms import Term, rows_of
from numbertaker.reconciling.weighing.weights import WEIGHTS, Kind, Weights

__all__ = ["WEIGHTS", "Kind", "Term", "Weights", "rows_of"]
