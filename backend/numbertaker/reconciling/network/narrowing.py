"""The intervals of events, narrowed by what must hold between them: a small network around each one.

An interval is the days that hold an event with the stated level, going by its own regions. What follows on
the same component or engine must come later, and a number or name that was borne only in a span was written
of that time, so part of it may be impossible: the days are cut to the bounds of the network of its own
interval, those of the events that it is tied to, and the spans of designations. Where these contradict one
another nothing is cut, and the contradiction is left for a finding. A further bound can only narrow.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from numbertaker.linking.index import Borne
from numbertaker.reconciling.dating.events import Event
from numbertaker.reconciling.entries import Dated, Draft
from numbertaker.reconciling.network.designations import bounds, named_by, row_of
from numbertaker.reconciling.network.temporal import Constraint, Network, between

if TYPE_CHECKING:
    from numbertaker.reconciling.dating.chains import Events

_ORIGIN: Final = 0
_SURE: Final = 0.9


def narrow(draft: Draft, events: Events) -> None:
    """Cut the interval of every event of a stay; all look at what stood before any was cut."""
    known = {
        id(event): stay.dates[name]
        for stay in draft.stays
        for name, event in events.of_stay[id(stay)].items()
        if name in stay.dates
    }
    cut = []
    for stay in draft.stays:
        named = list(named_by(draft, stay, _SURE))
        for event in events.of_stay[id(stay)].values():
            tied = list(_tied(event, known))
            if tied or (named and id(event) in known):
                found = _bounds(event, tied, known, named)
                if found is not None:
                    cut.append((known[id(event)], found))
    for dated, (first, last) in cut:
        dated.first, dated.last = first, last


def _tied(event: Event, known: dict[int, Dated]) -> Iterator[tuple[Event, bool]]:
    """The events whose order cuts into an interval, and whether they come after."""
    mine = known.get(id(event))
    if mine is None or mine.first == mine.last:
        return
    for link in event.links:
        other = known.get(id(link.other(event)))
        if other is None or other.sure * link.sure < _SURE:
            continue
        after = link.before is event
        if mine.last > other.last if after else mine.first < other.first:
            yield link.other(event), after


def _bounds(
    event: Event, tied: list[tuple[Event, bool]], known: dict[int, Dated], named: list[Borne]
) -> tuple[int, int] | None:
    """The bounds of the network around one event; None where it is contradictory."""
    constraints: list[Constraint[int, str]] = []
    for one in (event, *(other for other, _ in tied)):
        dated = known[id(one)]
        constraints += between(_ORIGIN, id(one), dated.first, dated.last, "interval")
    for other, after in tied:
        one, two = (event, other) if after else (other, event)
        constraints += between(id(one), id(two), 0, None, "order")
    for borne in named:
        constraints += between(_ORIGIN, id(event), *bounds(event.name, borne), row_of(borne))
    network = Network(constraints)
    if not network.consistent:
        return None
    first, last = network.bounds(_ORIGIN)[id(event)]
    return int(first), int(last)
