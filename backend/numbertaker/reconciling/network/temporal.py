"""Events in days, the constraints between them, and the tightest bounds that these leave.

`Constraint(one, other, most, claim)` says that `other` happened at most `most` days after `one`; a least
distance is the same the other way round, with its sign turned. In the graph with one edge a constraint, the
network is consistent if and only if no cycle has a negative sum, and the tightest bounds are shortest paths
(R. Dechter, I. Meiri and J. Pearl, "Temporal constraint networks", Artificial Intelligence 49, 1991).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Generic, TypeVar

Event = TypeVar("Event", bound=Hashable)
Claim = TypeVar("Claim", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Constraint(Generic[Event, Claim]):
    """`other` is at most `most` days after `one`, because `claim` says so."""

    one: Event
    other: Event
    most: float
    claim: Claim


def between(
    one: Event, other: Event, least: float | None, most: float | None, claim: Claim
) -> list[Constraint[Event, Claim]]:
    """`least <= other - one <= most`, as up to two constraints of one claim; None leaves a side open."""
    found = [] if most is None else [Constraint(one, other, most, claim)]
    return found if least is None else [*found, Constraint(other, one, -least, claim)]


class Network(Generic[Event, Claim]):
    """Constraints, arranged for asking. Nothing in it changes after it is made."""

    def __init__(self, constraints: Iterable[Constraint[Event, Claim]]) -> None:
        """Arrange the constraints by the event from which they lead."""
        self.constraints: Sequence[Constraint[Event, Claim]] = tuple(constraints)
        self._from: dict[Event, list[Constraint[Event, Claim]]] = {}
        self._to: dict[Event, list[Constraint[Event, Claim]]] = {}
        for constraint in self.constraints:
            for event in (constraint.one, constraint.other):
                self._from.setdefault(event, [])
                self._to.setdefault(event, [])
            self._from[constraint.one].append(constraint)
            self._to[constraint.other].append(constraint)

    @property
    def events(self) -> tuple[Event, ...]:
        """Every event that a constraint names, in the order in which they were first named."""
        return tuple(self._from)

    def without(self, claims: Iterable[Claim]) -> Network[Event, Claim]:
        """The network less what some claims say."""
        left_out = frozenset(claims)
        return Network(c for c in self.constraints if c.claim not in left_out)

    def latest(self, origin: Event) -> Mapping[Event, float]:
        """How many days at most every event lies after one of them; infinity where nothing says so.

        ValueError where the network is inconsistent: ask `negative_cycle` first.
        """
        return self._shortest(origin, forward=True)

    def earliest(self, origin: Event) -> Mapping[Event, float]:
        """How many days at least every event lies after one of them; minus infinity where nothing says so."""
        return {event: -days for event, days in self._shortest(origin, forward=False).items()}

    def bounds(self, origin: Event) -> dict[Event, tuple[float, float]]:
        """The least and the greatest number of days of every event after one of them."""
        first, last = self.earliest(origin), self.latest(origin)
        return {event: (first[event], last[event]) for event in self._from}

    def _shortest(self, origin: Event, *, forward: bool) -> dict[Event, float]:
        """Bellman and Ford's shortest paths with a queue: only what fell is looked at again."""
        edges = self._from if forward else self._to
        far: dict[Event, float] = dict.fromkeys(self._from, inf)
        far[origin] = 0.0
        falls: dict[Event, int] = {}
        queue, waiting = deque([origin]), {origin}
        while queue:
            event = queue.popleft()
            waiting.discard(event)
            for edge in edges.get(event, ()):
                end = edge.other if forward else edge.one
                if far[event] + edge.most < far[end]:
                    far[end] = far[event] + edge.most
                    falls[end] = falls.get(end, 0) + 1
                    if falls[end] > len(far):
                        raise ValueError("A network with a contradiction has no bounds.")
                    if end not in waiting:
                        waiting.add(end)
                        queue.append(end)
        return far

    def negative_cycle(self) -> list[Constraint[Event, Claim]] | None:
        """One simple cycle of constraints whose sum is below nothing, in order; None where all is
        consistent.
        """
        far = dict.fromkeys(self._from, 0.0)
        came: dict[Event, Constraint[Event, Claim]] = {}
        fell: Event | None = None
        for _ in range(len(far)):
            fell = None
            for edge in self.constraints:
                if far[edge.one] + edge.most < far[edge.other]:
                    far[edge.other] = far[edge.one] + edge.most
                    came[edge.other] = edge
                    fell = edge.other
            if fell is None:
                return None
        return None if fell is None else _cycle(came, fell, len(far))

    @property
    def consistent(self) -> bool:
        """Whether all of it can be true at once."""
        return self.negative_cycle() is None

    def minimal(self) -> dict[tuple[Event, Event], float]:
        """The minimal network: between any two events the greatest number of days (Floyd and Warshall)."""
        events = self.events
        far = {(a, b): 0.0 if a == b else inf for a in events for b in events}
        for c in self.constraints:
            far[c.one, c.other] = min(far[c.one, c.other], c.most)
        for via in events:
            for a in events:
                start = far[a, via]
                if start < inf:
                    for b in events:
                        far[a, b] = min(far[a, b], start + far[via, b])
        return far


def _cycle(
    came: Mapping[Event, Constraint[Event, Claim]], fell: Event, steps: int
) -> list[Constraint[Event, Claim]]:
    """The cycle in which the way back from an event that still fell must end."""
    event = fell
    for _ in range(steps):
        event = came[event].one
    found, start = [], event
    while True:
        edge = came[event]
        found.append(edge)
        event = edge.one
        if event == start:
            return found[::-1]


class Bounds(Generic[Event, Claim]):
    """The bounds of every event after an origin, which take in one constraint after another.

    A new constraint is followed along its chain only as far as it tightens something (the incremental form of
    the shortest paths above), so that the cost of an edit is that of what it touches.
    """

    def __init__(self, network: Network[Event, Claim], origin: Event) -> None:
        """Start from a consistent network."""
        self.origin = origin
        self.first: dict[Event, float] = dict(network.earliest(origin))
        self.last: dict[Event, float] = dict(network.latest(origin))
        self._from: dict[Event, list[Constraint[Event, Claim]]] = {}
        self._to: dict[Event, list[Constraint[Event, Claim]]] = {}
        for constraint in network.constraints:
            self._keep(constraint)

    def _keep(self, constraint: Constraint[Event, Claim]) -> None:
        for event in (constraint.one, constraint.other):
            self.first.setdefault(event, -inf)
            self.last.setdefault(event, inf)
        self._from.setdefault(constraint.one, []).append(constraint)
        self._to.setdefault(constraint.other, []).append(constraint)

    def add(self, constraint: Constraint[Event, Claim]) -> frozenset[Event]:
        """Take in one more constraint; the events that it tightened.

        ValueError, and the bounds are no longer good for anything, where it contradicts what is there.
        """
        self._keep(constraint)
        tightened: set[Event] = set()
        queue = deque([constraint.one, constraint.other])
        while queue:
            event = queue.popleft()
            fell = self._pass_on(event)
            if self.first[self.origin] > 0 or any(self.first[e] > self.last[e] for e in fell):
                raise ValueError("The constraint contradicts what is there.")
            tightened |= fell
            queue.extend(fell)
        return frozenset(tightened)

    def _pass_on(self, event: Event) -> set[Event]:
        """The neighbours whose bounds an event's own now tighten."""
        fell = set()
        for edge in self._from.get(event, ()):
            if self.last[event] + edge.most < self.last[edge.other]:
                self.last[edge.other] = self.last[event] + edge.most
                fell.add(edge.other)
        for edge in self._to.get(event, ()):
            if self.first[event] - edge.most > self.first[edge.one]:
                self.first[edge.one] = self.first[event] - edge.most
                fell.add(edge.one)
        return fell
