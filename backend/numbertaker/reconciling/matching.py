"""One-to-one choices that are jointly best: the pairs whose weights add up to most.

Taking the best pair first can spoil two good ones: of a-x 9, a-y 8 and b-x 7 it takes a-x and leaves b
alone, where a-y and b-x together have 15. So the pairs that hang together are chosen together, each connected
part of the graph for itself: small ones by trying every choice, larger ones as an assignment (H. Kuhn, "The
Hungarian method for the assignment problem", 1955, in the form that scipy offers).

>>> [(e.one, e.other) for e in jointly_best([Edge(9.0, 0, 0), Edge(8.0, 0, 1), Edge(7.0, 1, 0)])]
[(0, 1), (1, 0)]
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

_TRIED = 10


@dataclass(frozen=True, slots=True)
class Edge:
    """A pair that may be chosen: what it adds, and the places of its two members, each on its own side."""

    weight: float
    one: int
    other: int


def jointly_best(edges: Iterable[Edge]) -> list[Edge]:
    """The choice of most weight in which nobody is paired twice, in the order of the first side.

    Weights count against 0, the weight of leaving both alone: what does not add is not chosen.
    The work grows with the cube of the largest connected part, which is small where pairs are told apart.
    """
    chosen: list[Edge] = []
    for part in _parts([edge for edge in edges if edge.weight > 0]):
        chosen += part if len(part) == 1 else _tried(part) if len(part) <= _TRIED else _assigned(part)
    return sorted(chosen, key=lambda edge: (edge.one, edge.other))


def _parts(edges: list[Edge]) -> list[list[Edge]]:
    """The edges by connected parts of their graph, in a fixed order."""
    at: dict[tuple[bool, int], list[Edge]] = defaultdict(list)
    for edge in edges:
        at[True, edge.one].append(edge)
        at[False, edge.other].append(edge)
    parts: list[list[Edge]] = []
    seen: set[Edge] = set()
    for first in sorted(edges, key=lambda edge: (edge.one, edge.other)):
        if first in seen:
            continue
        seen.add(first)
        part = [first]
        for edge in part:
            for near in (*at[True, edge.one], *at[False, edge.other]):
                if near not in seen:
                    seen.add(near)
                    part.append(near)
        parts.append(sorted(part, key=lambda edge: (edge.one, edge.other)))
    return parts


def _tried(part: list[Edge]) -> list[Edge]:
    """The best choice by trying every one: the first edge is taken, or it is not."""
    if not part:
        return []
    first, rest = part[0], part[1:]
    free = [edge for edge in rest if edge.one != first.one and edge.other != first.other]
    taken = [first, *_tried(free)]
    if len(free) == len(rest):
        return taken
    left = _tried(rest)
    return taken if sum(e.weight for e in taken) >= sum(e.weight for e in left) else left


def _assigned(part: list[Edge]) -> list[Edge]:
    """The best choice as an assignment, where a pair that is no edge adds nothing."""
    import numpy as np
    from scipy.optimize import linear_sum_assignment

    ones, others = sorted({e.one for e in part}), sorted({e.other for e in part})
    row, column = {n: k for k, n in enumerate(ones)}, {n: k for k, n in enumerate(others)}
    gain, at = np.zeros((len(ones), len(others))), {}
    for edge in part:
        place = row[edge.one], column[edge.other]
        gain[place], at[place] = edge.weight, edge
    pairs = zip(*linear_sum_assignment(gain, maximize=True), strict=True)
    return [at[int(r), int(c)] for r, c in pairs if (int(r), int(c)) in at]
