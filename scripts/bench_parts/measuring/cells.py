"""How well the confidence of cells tells true from false."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.stats import rankdata

from numbertaker.evidence.days import from_iso
from numbertaker.evidence.edtf import parse_edtf, widened

Json = dict[str, Any]
_BINS = 15


@dataclass(frozen=True, slots=True)
class Judged:
    """One cell: its field, the probability given, whether it is true, and whether the history rests on it."""

    field: str
    given: float
    true: bool
    used: bool | None


def judged(truth: Json, history: Json) -> Iterator[Judged]:
    """Every cell that a line about a component should have; one that is missing counts as given at .5."""
    given = {
        (cell["line_id"], cell["field"]): (component["component_id"], cell)
        for component in history["components"]
        for cell in component["cells"]
    }
    for line, cells in truth["cells"].items():
        component = truth["lines"][line][0]
        if component is None:
            continue
        for field, (value, as_written, literal) in cells.items():
            under, cell = given.get((line, field), (None, None))
            if cell is None:
                yield Judged(field, 0.5, bool(as_written), None)
            else:
                true = under == component and is_true(cell, value, literal)
                yield Judged(field, cell["confidence"], true, cell["used"])


def is_true(cell: Json, value: Any, literal: Any) -> bool:
    """Whether a meaning is true; a date must hold the day, and not be vaguer than what was written."""
    if cell["field"] not in {"fitted", "removed"} or cell["meaning"] is None:
        return bool(cell["meaning"] == value)
    spans = list(widened(parse_edtf(cell["meaning"])))
    if not any(span.contains(from_iso(value)) for span in spans):
        return False
    first, last = spans[0].first, spans[-1].last
    written = from_iso(literal[1]) - from_iso(literal[0]) + 1
    return first is not None and last is not None and last - first + 1 <= 2 * written + 2


def rates(cells: list[Judged]) -> Json:
    """Brier score, calibration error in bins of equal count, area under the ROC curve, and average precision
    at picking out the false ones. Cells of equal confidence share their mean outcome.
    """
    given = np.array([cell.given for cell in cells])
    true = np.array([cell.true for cell in cells], dtype=float)
    _, group = np.unique(given, return_inverse=True)
    shared = (np.bincount(group, true) / np.bincount(group))[group]
    order = np.argsort(given, kind="stable")
    bins = np.array_split(order, min(_BINS, len(cells)))
    off = sum(len(b) * abs(given[b].mean() - shared[b].mean()) for b in bins) / len(cells)
    found: Json = {"n": len(cells), "brier": float(np.mean((given - true) ** 2)), "ece": float(off)}
    right, false = int(true.sum()), len(cells) - int(true.sum())
    if right and false:
        found["auroc"] = (rankdata(given)[true == 1].sum() - right * (right + 1) / 2) / (right * false)
        size, wrong = np.bincount(group), np.bincount(group, 1 - true)
        found["ap"] = float((np.cumsum(wrong) / np.cumsum(size) * wrong).sum() / false)
    stated = [cell for cell in cells if cell.used is not None and not cell.true]
    found["used"] = sum(bool(cell.used) for cell in stated) / max(1, len(stated))
    return found


def reliability(cells: list[Judged]) -> list[tuple[str, int, float, float]]:
    """Steps of the confidence, each with its count, the mean given and the share that is true."""
    steps = (0.0, 0.05, 0.2, 0.5, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 1.0001)
    rows = []
    for low, high in pairwise(steps):
        here = [cell for cell in cells if low <= cell.given < high]
        if here:
            mean = sum(cell.given for cell in here) / len(here)
            share = sum(cell.true for cell in here) / len(here)
            rows.append((f"{low:g} to {min(1.0, high):g}", len(here), mean, share))
    return rows
