"""The columns of a table, out of the best set of cuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from numbertaker.reading.cuts import Cut, Cutting, Span
from numbertaker.reading.titles import title_text

UNCROSSED: Final = 0.97


@dataclass(frozen=True, slots=True)
class Column:
    """A column from `left` to `right`; `sure` is the probability-like evidence for its edges, 0 to 1."""

    left: float
    right: float
    title: str
    field: str
    sure: float


def columns_of(cutting: Cutting, cap: float, *, ruled: bool) -> list[Column]:
    """The columns; where two titles mean one field, the worse keeps its printed words only."""
    spans = cutting.spans
    edges = [sure_of(s.left, ruled=ruled, outer=i == 0) for i, s in enumerate(spans)]
    edges.append(sure_of(spans[-1].right, ruled=ruled, outer=True))
    columns = [
        Column(s.left.at, s.right.at, title_text(s.words, cap), s.match.field, min(edges[i], edges[i + 1]))
        for i, s in enumerate(spans)
    ]
    return _unrepeated(columns, spans)


def sure_of(cut: Cut, *, ruled: bool, outer: bool) -> float:
    """How far a cut is trusted: by its ruling, or by the gap that it stands in."""
    if outer:
        return UNCROSSED - 0.3 * min(1.0, cut.crossed)
    seen = max(cut.ruling, 0.0 if ruled else cut.gap * 0.95)
    return float(np.clip(0.55 + 0.44 * seen - (0.35 if ruled else 0.9) * cut.crossed, 0.05, 0.99))


def _unrepeated(columns: Sequence[Column], spans: Sequence[Span]) -> list[Column]:
    best: dict[str, int] = {}
    for k, span in enumerate(spans):
        name = span.match.field
        if name and (name not in best or span.match.score > spans[best[name]].match.score):
            best[name] = k
    return [c if not c.field or best[c.field] == k else replace(c, field="") for k, c in enumerate(columns)]
