"""The intervals of events, narrowed by what must hold between them: a small network around each one.

An interval is the days that hold an event with the stated level, going by its own regions. What follows on
the same component or engine must come later, and a number or name that was borne only in a span was written
of that time, so part of it may be impossible: the days are cut to the bounds of the network of its own
interval, those of the events that it is tied to, and the spans of designations. Where these contradict one
another nothing is cut, and the contradiction is left for a finding. A further bound can only narrow.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from numbertaker.linking.index import Borne
from numbertaker.reconciling.dating.events import Event
from numbertaker.reconciling.entries import Dated, Draft, Stay
from numbertaker.reconciling.network.designations import bounds, named_by, row_of
from numbertaker.reconciling.network.temporal import Constraint, Network, between

_ORIGIN: Final = 0
_SURE: Final = 0.9


def narrow(draft: Draft, stays: Iterable[Stay]) -> None:
    """Cut the interval of every event of some stays; all look at what was held before any was cut."""
    for stay in stays:
        named = list(named_by(draft, stay, _SURE))
        for name, dated in stay.dates.items():
            event = stay.events[name]
            tied = list(_tied(event, dated))
            found = _bounds(event, dated, tied, named) if tied or named else None
            dated.first, dated.last = found or dated.held


def _of(event: Event) -> Dated | None:
    """What is known of an event of a stay."""
    return event.owner.dates.get(event.name) if isinstance(event.owner, Stay) else None


def _tied(event: Event, mine: Dated) -> Iterator[tuple[Event, Dated, bool]]:
    """The events whose order cuts into an interval, and whether they come after."""
    if mine.held[0] == mine.held[1]:
        return
    for link in event.links:
        other = _of(link.other(event))
        if other is None or other.sure * link.sure < _SURE:
            continue
        after = link.before is event
        if mine.held[1] > other.held[1] if after else mine.held[0] < other.held[0]:
            yield link.other(event), other, after


def _bounds(
    event: Event, mine: Dated, tied: list[tuple[Event, Dated, bool]], named: list[Borne]
) -> tuple[int, int] | None:
    """The bounds of the network around one event; None where it is contradictory."""
    constraints: list[Constraint[int, str]] = []
    for one, dated in ((event, mine), *((other, known) for other, known, _ in tied)):
        constraints += between(_ORIGIN, id(one), *dated.held, "interval")
    for other, _, after in tied:
        one, two = (event, other) if after else (other, event)
        constraints += between(id(one), id(two), 0, None, "order")
    for borne in named:
        constraints += between(_ORIGIN, id(event), *bounds(event.name, borne), row_of(borne))
    network = Network(constraints)
    if not network.consistent:
        return None
    first, last = network.bounds(_ORIGIN)[id(event)]
    return int(first), int(last)
