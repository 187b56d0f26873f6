"""Dates that can't all be true: against themselves, the tables, one another and their neighbours.

There is one way of looking. Every date that is unlikely, or that another contradicts, is taken up, the least
likely first; what it contradicts is looked for from near to far: on its own line, among the other claims of
its event, in the lives of its engine and component, along the two chains. The first that is met makes the
finding.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from numbertaker.reconciling.dating.events import Event
from numbertaker.reconciling.entries import EVENTS, DateClaim, Draft, Entry, Stay
from numbertaker.reconciling.findings import dates
from numbertaker.reconciling.findings.notes import Notes
from numbertaker.reconciling.network.around import Against, against

_SUSPECT = 0.9
_UNLIKELY = 0.45
_FALSE = 0.5
_STATED = ("built", "withdrawn", "condemned")


class Suspect(NamedTuple):
    """A date claim that is taken up, and how likely it is true."""

    right: float
    event: Event
    entry: Entry
    claim: DateClaim


def find(draft: Draft, notes: Notes) -> None:
    """Take up every suspect, the least likely first."""
    for entry in draft.entries:
        if entry.twin is None and not entry.copy:
            dates.backwards(draft, notes, entry)
    for suspect in sorted(_suspects(draft), key=_rank):
        if suspect.claim.key not in notes.explained and not draft.refused(suspect.claim.key):
            _take_up(draft, notes, suspect)
    for stay in sorted(draft.stays, key=lambda s: s.rank):
        for entry in stay.entries:
            if entry.seen is not None and entry.seen.key not in notes.explained:
                _seen_elsewhere(draft, notes, stay, entry, entry.seen)


def _rank(suspect: Suspect) -> tuple[object, ...]:
    return (round(suspect.right, 3), not suspect.entry.copy, suspect.entry.rank, suspect.claim.key.field)


def _suspects(draft: Draft) -> Iterator[Suspect]:
    """Every date that is unlikely, that another claim of its event contradicts, or that lies outside a
    life.
    """
    done: set[int] = set()
    for event in draft.events.all() if draft.events else ():
        if id(event) in done or not event.claims:
            continue
        done.add(id(event))
        claims = [claim for _, claim in event.claims]
        for entry, claim in event.claims:
            right = event.right(claim)
            apart = any(not claim.meets(other) for other in claims)
            if right < _SUSPECT or apart or _outside(event, claim) > 0 or entry.says in _STATED:
                yield Suspect(right, event, entry, claim)


def _outside(event: Event, claim: DateClaim) -> int:
    """How many days a claim lies outside the lives."""
    return max(event.life.first - claim.last, claim.first - event.life.last)


def _take_up(draft: Draft, notes: Notes, suspect: Suspect) -> None:
    """Name what a suspect contradicts, if anything does; else, if it is unlikely, what makes it so."""
    _, event, entry, claim = suspect
    if entry.says in _STATED and dates.against_tables(draft, notes, entry, claim):
        return
    rival = against(event, claim)
    known = rival is not None and rival.claim.key in notes.explained
    _name(draft, notes, suspect, rival)
    if rival is not None and not known and rival.event.right(rival.claim) > _FALSE:
        notes.explained.discard(rival.claim.key)  # it is likely right, and may stand beside what is missing


def _name(draft: Draft, notes: Notes, suspect: Suspect, rival: Against | None) -> None:
    """Make the finding of the kind that is nearest to its cause."""
    _, event, entry, claim = suspect
    if rival is not None and not rival.path:
        if suspect.right < _FALSE or rival.claim.key not in notes.explained:
            dates.apart(draft, notes, event, (entry, claim), (rival.entry, rival.claim))
        return
    stay = event.owner if isinstance(event.owner, Stay) else None
    if stay is not None and not entry.copy and _outside(event, claim) > 0:
        dates.outside_life(draft, notes, stay, entry, claim)
    elif rival is not None and (suspect.right < _FALSE or rival.claim.key not in notes.explained):
        dates.out_of_order(draft, notes, event, (entry, claim), rival)
    elif suspect.right < _UNLIKELY and not entry.copy:
        dates.unlikely(draft, notes, event, (entry, claim), suspect.right)


def _seen_elsewhere(draft: Draft, notes: Notes, stay: Stay, entry: Entry, seen: DateClaim) -> None:
    """A sighting on an engine on which nothing else ever puts the component, while a card has it on
    another.
    """
    if any(e.seen is None for e in stay.entries):
        return
    for other in draft.on_component.get(stay.component_id or "", []):
        start, end = (other.dates.get(event) for event in EVENTS)
        if other.hearsay or other.component_sure < _FALSE or not start or not end:
            continue
        if start.last <= seen.first and seen.last <= end.first:
            dates.seen_elsewhere(draft, notes, stay, other, (entry, seen))
            return
