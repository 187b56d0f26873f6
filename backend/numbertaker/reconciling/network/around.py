"""What a claim can't be true together with: looked for from near to far, as a minimal conflict of the
network.

The events around one are those that must lie before it and those that must lie after it, along the links of
its stay, its component and its engine. With these links given, a minimal conflict of dates has two claims,
one that says 'not before' and one, of the same or an earlier event, that says 'not after'; the links
between the two close the circle.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, TypeAlias

from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.dating.events import Event, Link
from numbertaker.reconciling.entries import DateClaim, Entry
from numbertaker.reconciling.network.conflicts import Conflict, one_conflict
from numbertaker.reconciling.network.temporal import Constraint, Network, between

Member: TypeAlias = CellKey | str
FARTHEST: Final = 4
"""How many links away a contradiction is looked for."""
_ORIGIN: Final = "origin"
_BELIEVED: Final = 0.5


@dataclass(frozen=True, slots=True)
class Against:
    """One claim against another: whose it is, of which event, over which links, and the conflict itself."""

    event: Event
    entry: Entry
    claim: DateClaim
    path: tuple[Link, ...]
    conflict: Conflict[str, Member]

    @property
    def days(self) -> int:
        """By how many days the two miss."""
        return int(self.conflict.days)


def against(event: Event, claim: DateClaim) -> Against | None:
    """The nearest claim that one can't be true together with, of several as near the likeliest; or None."""
    least = min(_BELIEVED, event.right(claim))
    for path, other in _outward(event):
        rivals = [
            (entry, rival)
            for entry, rival in other.claims
            if rival.key != claim.key
            and not _together(claim, rival, path, event)
            and (not path or other.right(rival) >= least)
        ]
        if rivals:
            entry, rival = max(rivals, key=lambda pair: (round(other.right(pair[1]), 3), not pair[0].copy))
            conflict = one_conflict(_network(event, claim, other, rival, path))
            if conflict is not None:
                return Against(other, entry, rival, path, conflict)
    return None


def _outward(event: Event) -> Iterator[tuple[tuple[Link, ...], Event]]:
    """The event itself, then those before and after it with the links that lead there, the nearest first."""
    yield (), event
    seen = {id(event)}
    edge: list[tuple[tuple[Link, ...], Event, bool]] = [((), event, True), ((), event, False)]
    for _ in range(FARTHEST):
        found = []
        for path, at, forward in edge:
            for link in at.links:
                if (link.before if forward else link.after) is at and id(link.other(at)) not in seen:
                    seen.add(id(link.other(at)))
                    found.append(((*path, link), link.other(at), forward))
        for path, at, _ in found:
            yield path, at
        edge = found


def _together(claim: DateClaim, rival: DateClaim, path: tuple[Link, ...], event: Event) -> bool:
    """Whether both may be true: of one event they need a day in common, else no more than their order."""
    if not path:
        return claim.meets(rival)
    return claim.first <= rival.last if path[0].before is event else rival.first <= claim.last


def _network(
    event: Event, claim: DateClaim, other: Event, rival: DateClaim, path: tuple[Link, ...]
) -> Network[str, Member]:
    """Two claims and the links between them. Where both are of one event that need not be one run of days,
    the nearest ends stand for them.
    """
    names = {id(event): "its event", id(other): "the other event" if other is not event else "its event"}
    constraints: list[Constraint[str, Member]] = []
    for at, said in ((event, claim), (other, rival)):
        constraints += between(_ORIGIN, names[id(at)], said.first, said.last, said.key)
    if path:
        first, last = (event, other) if path[0].before is event else (other, event)
        constraints.append(Constraint(names[id(last)], names[id(first)], 0, "order"))
    return Network(constraints)
