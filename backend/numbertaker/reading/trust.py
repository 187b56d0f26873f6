"""How far a table's geometry is trusted: a logistic of what is seen of it, fitted on the bench's seen cards.

Each trait runs from 0 (doubt) to 1. `scripts/bench tables` measures how well the result tells the tables
that are
wholly right, on forms and faces that it was not fitted on too.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

import numpy as np

from numbertaker.reading.columns import Column
from numbertaker.reading.cuts import Cutting
from numbertaker.reading.ground import Ground, words_in
from numbertaker.reading.header import Header
from numbertaker.reading.rows import Row

WEIGHTS: Final[Mapping[str, float]] = MappingProxyType(
    {"weakest": 3.5, "margin": 1.5, "named": 4.1, "titled": 1.9, "regular": 2.6, "within": 4.1}
)
OFFSET: Final = -14.4


def traits(
    ground: Ground, header: Header, cutting: Cutting, columns: Sequence[Column], rows: Sequence[Row]
) -> dict[str, float]:
    """What is seen of a table: its weakest edge, its distance from the next best, how many columns are
    named, how
    surely the titles were read, how even the rows are, how much writing keeps within the columns.
    """
    return {
        "weakest": min(c.sure for c in columns),
        "margin": float(np.clip(cutting.margin / 2, 0, 1)),
        "named": sum(bool(c.field) for c in columns) / len(columns),
        "titled": header.sure,
        "regular": _regular(rows),
        "within": _within(ground, columns, rows),
    }


def trust(seen: Mapping[str, float]) -> float:
    """The probability that the table is wholly right, by its traits."""
    x = OFFSET + sum(weight * seen[name] for name, weight in WEIGHTS.items())
    return 1 / (1 + math.exp(-x))


def _regular(rows: Sequence[Row]) -> float:
    """The share of rows that stand a whole number of pitches from the last."""
    levels = np.array([row.level for row in rows])
    gaps = np.diff(levels)
    if len(gaps) < 2:
        return 0.5
    pitch = float(np.median(gaps))
    off = np.abs(gaps / pitch - np.maximum(1, np.round(gaps / pitch)))
    return float((off < 0.15).mean())


def _within(ground: Ground, columns: Sequence[Column], rows: Sequence[Row]) -> float:
    """The share of words in the table's rows that go over no cut."""
    inner = [c.left for c in columns[1:]]
    over = count = 0
    for row in rows:
        if row.runs:
            continue
        for b in words_in(ground, row, 0.5):
            count += 1
            over += any(b.left + 0.3 * ground.cap < x < b.right - 0.3 * ground.cap for x in inner)
    return 1 - over / count if count else 0.0
