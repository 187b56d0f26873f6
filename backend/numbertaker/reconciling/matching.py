"""One-to-one choices that are jointly best: the pairs whose weights add up to most.

Taking the best pair first can spoil two good ones: of a-x 9, a-y 8 and b-x 7 it takes a-x and leaves b
alone, where a-y and b-x together have 15. So the pairs that hang together are chosen together, each connected
part of the graph for itself: small ones by trying every choice, larger ones as an assignment (H. Kuhn, "The
Hungarian method for the assignment problem", 1955, in the form that scipy offers).

>>> [(e.one, e.other) for e in jointly_best([Edge(9.0, 0, 0), Edge(8.0, 0, 1), Edge(7.0, 1, 0)])]
[(0, 1), (1, 0)]
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple, TypeAlias

Name: TypeAlias = Any
"""Whatever names a member of one side: it can be hashed, and has a place in a fixed order."""
Member: TypeAlias = tuple[bool, Name]
"""A member, and whether it is of the first side."""
_TRIED = 10


class Edge(NamedTuple):
    """A pair that may be chosen: what it adds, and the names of its two members, each on its own side."""

    weight: float
    one: Name
    other: Name


class Choice:
    """A choice that is jointly best, and stays so while pairs come and go: only what hangs together with
    these is chosen anew.
    """

    def __init__(self) -> None:
        """Start with nobody."""
        self._pairs: dict[Member, dict[Member, Edge]] = {}
        self._chosen: dict[Member, Edge] = {}
        self._touched: dict[Member, None] = {}

    def pair_of(self, name: Name, *, first: bool) -> Edge | None:
        """The pair that a member of the first or the other side is chosen for, if any."""
        return self._chosen.get((first, name))

    def pairs_of(self, one: Name) -> tuple[Edge, ...]:
        """The pairs that a member of the first side may be chosen for."""
        return tuple(self._pairs.get((True, one), {}).values())

    def put(self, edge: Edge) -> bool:
        """Let a pair weigh so much; one that adds nothing is none. Gives whether that is news."""
        one, other = (True, edge.one), (False, edge.other)
        known = self._pairs.get(one, {}).get(other)
        if known == edge or (known is None and edge.weight <= 0):
            return False
        self._touched[one] = self._touched[other] = None
        if edge.weight > 0:
            self._pairs.setdefault(one, {})[other] = self._pairs.setdefault(other, {})[one] = edge
        else:
            del self._pairs[one][other], self._pairs[other][one]
        return True

    def drop(self, name: Name, *, first: bool) -> None:
        """Let a member be in no pair."""
        for edge in tuple(self._pairs.get((first, name), {}).values()):
            self.put(edge._replace(weight=0.0))

    def settle(self) -> list[tuple[Edge | None, Edge | None]]:
        """Choose anew around what is news; what each member of the first side was and is chosen for, where
        the two differ.
        """
        seen: dict[Member, None] = {}
        now: dict[Member, Edge] = {}
        for start in self._touched:
            if start not in seen:
                for edge in jointly_best(self._around(start, seen)):
                    now[True, edge.one] = now[False, edge.other] = edge
        before = {member: self._chosen.pop(member, None) for member in seen}
        self._touched.clear()
        self._chosen.update(now)
        return [(b, now.get(m)) for m, b in before.items() if m[0] and b != now.get(m)]

    def _around(self, start: Member, seen: dict[Member, None]) -> list[Edge]:
        """Every pair that hangs together with a member."""
        seen[start] = None
        members, found = [start], []
        for member in members:
            for other, edge in self._pairs.get(member, {}).items():
                if member[0]:
                    found.append(edge)
                if other not in seen:
                    seen[other] = None
                    members.append(other)
        return found


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
    at: dict[tuple[bool, Name], list[Edge]] = {}
    for edge in edges:
        at.setdefault((True, edge.one), []).append(edge)
        at.setdefault((False, edge.other), []).append(edge)
    parts: list[list[Edge]] = []
    seen: set[tuple[Name, Name]] = set()
    for first in sorted(edges, key=_by_names):
        if _by_names(first) in seen:
            continue
        seen.add(_by_names(first))
        part = [first]
        for edge in part:
            for near in (*at[True, edge.one], *at[False, edge.other]):
                if _by_names(near) not in seen:
                    seen.add(_by_names(near))
                    part.append(near)
        parts.append(sorted(part, key=_by_names))
    return parts


def _by_names(edge: Edge) -> tuple[Name, Name]:
    return edge.one, edge.other


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
