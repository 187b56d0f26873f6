"""Sets of claims that can't all be true, each as small as can be, and the smallest ways of mending them.

A conflict is minimal if dropping any one of its claims restores consistency. In a simple temporal network
every minimal conflict is the claims of one simple negative cycle; the converse need not hold where a claim
binds more than one pair of events, so each cycle is thinned out. A correction is a set of claims without
which the rest is consistent; minimal corrections are the minimal sets that hit every conflict, and the
other way round (R. Reiter, "A theory of diagnosis from first principles", Artificial Intelligence 32, 1987).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final, Generic

from numbertaker.reconciling.network.temporal import Claim, Constraint, Event, Network

MOST_CONFLICTS: Final = 200
MOST_NETWORKS: Final = 4000


@dataclass(frozen=True, slots=True)
class Conflict(Generic[Event, Claim]):
    """Claims that can't all be true, the constraints that close the circle, and by how many days they
    miss.
    """

    claims: frozenset[Claim]
    cycle: tuple[Constraint[Event, Claim], ...]

    @property
    def days(self) -> float:
        """By how many days they miss."""
        return -sum(constraint.most for constraint in self.cycle)


@dataclass(frozen=True, slots=True)
class Conflicts(Generic[Event, Claim]):
    """The minimal conflicts that were found; `complete` is False where the search stopped before the end."""

    found: tuple[Conflict[Event, Claim], ...]
    complete: bool


def one_conflict(network: Network[Event, Claim], keep: Iterable[Claim] = ()) -> Conflict[Event, Claim] | None:
    """One minimal conflict; None where the network is consistent.

    Claims of `keep` are the last to be dropped while the cycle is thinned out.
    """
    cycle = network.negative_cycle()
    if cycle is None:
        return None
    kept = frozenset(keep)
    claims = list(dict.fromkeys(constraint.claim for constraint in cycle))
    for claim in sorted(claims, key=lambda c: c in kept):
        if claim not in claims:
            continue
        rest = [c for c in claims if c != claim]
        smaller = _only(network, rest).negative_cycle()
        if smaller is not None:
            cycle = smaller
            claims = [c for c in rest if c in {constraint.claim for constraint in smaller}]
    return Conflict(frozenset(claims), tuple(cycle))


def _only(network: Network[Event, Claim], claims: Iterable[Claim]) -> Network[Event, Claim]:
    wanted = frozenset(claims)
    return Network(c for c in network.constraints if c.claim in wanted)


def minimal_conflicts(
    network: Network[Event, Claim], *, most: int = MOST_CONFLICTS, networks: int = MOST_NETWORKS
) -> Conflicts[Event, Claim]:
    """Every minimal conflict, smallest first, or as many as a bounded search comes upon.

    Reiter's tree: where a conflict was found, each of its claims in turn is left out and the rest is looked
    at again; what was left out once is not left out again in another order.
    """
    found: dict[frozenset[Claim], Conflict[Event, Claim]] = {}
    seen: set[frozenset[Claim]] = set()
    waiting: list[frozenset[Claim]] = [frozenset()]
    while waiting:
        left_out = waiting.pop(0)
        if left_out in seen:
            continue
        if len(seen) >= networks or len(found) >= most:
            return Conflicts(_in_order(found.values()), complete=False)
        seen.add(left_out)
        conflict = next((c for c in found.values() if not c.claims & left_out), None)
        if conflict is None:
            conflict = one_conflict(network.without(left_out))
        if conflict is not None:
            found[conflict.claims] = conflict
            waiting += [left_out | {claim} for claim in _sorted(conflict.claims)]
    return Conflicts(_in_order(found.values()), complete=True)


def _in_order(found: Iterable[Conflict[Event, Claim]]) -> tuple[Conflict[Event, Claim], ...]:
    return tuple(sorted(found, key=lambda c: (len(c.claims), -c.days, [repr(x) for x in _sorted(c.claims)])))


def _sorted(claims: Iterable[Claim]) -> list[Claim]:
    return sorted(claims, key=repr)


def minimal_corrections(
    conflicts: Iterable[frozenset[Claim]], *, most: int = MOST_CONFLICTS
) -> list[frozenset[Claim]]:
    """The minimal sets of claims that hit every conflict, smallest first; at most so many.

    With all minimal conflicts given, these are all the smallest ways of making the network consistent.
    """
    hitting: set[frozenset[Claim]] = {frozenset()}
    for conflict in conflicts:
        extended = {h for h in hitting if h & conflict}
        extended |= {h | {claim} for h in hitting if not h & conflict for claim in conflict}
        hitting = {h for h in extended if not any(other < h for other in extended)}
    ordered = sorted(hitting, key=lambda h: (len(h), [repr(x) for x in _sorted(h)]))
    return list(islice(ordered, most))


def lightest_correction(
    conflicts: Sequence[frozenset[Claim]], weight: Callable[[Claim], float]
) -> frozenset[Claim]:
    """The set of claims of least weight that hits every conflict, by branch and bound.

    Weights are not negative: with the log odds of each claim, this is the likeliest set of wrong ones.
    """
    best: tuple[float, list[str], frozenset[Claim]] | None = None

    def branch(chosen: frozenset[Claim], cost: float, barred: frozenset[Claim]) -> None:
        nonlocal best
        open_ = next((c for c in conflicts if not c & chosen), None)
        if open_ is None:
            rank = (cost, [repr(x) for x in _sorted(chosen)], chosen)
            if best is None or rank[:2] < best[:2]:
                best = rank
            return
        tried = barred
        for claim in sorted(open_ - barred, key=lambda c: (weight(c), repr(c))):
            more = cost + weight(claim)
            if best is None or more <= best[0]:
                branch(chosen | {claim}, more, tried)
            tried |= {claim}

    branch(frozenset(), 0.0, frozenset())
    return best[2] if best is not None else frozenset()
