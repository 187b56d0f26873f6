"""Dates that can't all be true: against themselves, the tables, one another and their neighbours.

There is one way of looking. Every date that is unlikely, or that another contradicts, is taken up, the least
likely first; what it contradicts is looked for from near to far: on its own line, among the other claims of
its event, in the lives of its engine and component, along the two chains. The first that is met makes the
finding.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple, TypeAlias

from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.dating.events import Event
from numbertaker.reconciling.entries import EVENTS, DateClaim, Draft, Entry, Stay
from numbertaker.reconciling.findings import dates
from numbertaker.reconciling.findings.due import Due
from numbertaker.reconciling.findings.notes import Notes
from numbertaker.reconciling.network.around import FARTHEST, Against, against

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


Home: TypeAlias = Stay | tuple[str, str]
"""Where an event is at home: a stay, or a day of something that lines state."""


class Suspects:
    """The suspects by where they are at home, and which of these met; kept from run to run."""

    def __init__(self) -> None:
        """Start with none."""
        self.at: dict[Home, list[Suspect]] = {}
        self.met: dict[Home, dict[Home, None]] = {}
        self.wrote: dict[Home, dict[CellKey, None]] = {}

    def together(self, homes: Iterable[Home]) -> dict[Home, None]:
        """Homes, and all that have to do with them."""
        found = dict.fromkeys(homes)
        queue = list(found)
        for home in queue:
            for other in self.met.get(home, ()):
                if other not in found:
                    found[other] = None
                    queue.append(other)
        return found

    def meet(self, one: Home, other: Home) -> None:
        """Note that what is made of the one may hang on the other."""
        self.met.setdefault(one, {})[other] = self.met.setdefault(other, {})[one] = None

    def part(self, home: Home) -> None:
        """Forget whom it met, and what it wrote."""
        for other in self.met.pop(home, ()):
            self.met.get(other, {}).pop(home, None)
        self.wrote.pop(home, None)


def backwards(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look at every line for its own order."""
    for key, entries in due.entries():
        with notes.at((family, key), key):
            for entry in entries:
                if entry.twin is None and not entry.copy:
                    dates.backwards(draft, notes, entry)


def suspects(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Take up every suspect, the least likely first; of those with news, and all that may hang on them."""
    known = draft.suspects = draft.suspects or Suspects()
    homes = known.together(_homes_with_news(draft, due))
    while True:
        for home in homes:
            for suspect in known.at.pop(home, ()):
                notes.gone((family, suspect.claim.key))
        known.at.update((home, list(_suspects(draft, home))) for home in homes if _there(draft, home))
        for home in homes:
            for cell in known.wrote.get(home, ()):
                notes.mark(family, cell, None)
            known.part(home)
        told = sorted((s for home in homes for s in known.at.get(home, ())), key=_rank)
        marks: dict[CellKey, bool] = {}
        for suspect in told:
            with notes.at((family, suspect.claim.key), _rank(suspect), marks):
                if suspect.claim.key not in notes.explained and not draft.refused(suspect.claim.key):
                    _take_up(draft, notes, suspect)
            known.wrote.setdefault(home_of(suspect.event), {}).update(dict.fromkeys(notes.explained.wrote))
        more = known.together(homes)
        if len(more) == len(homes):
            break
        homes = more
    for cell, mark in marks.items():
        notes.mark(family, cell, mark)


def home_of(event: Event) -> Home:
    """The stay with which an event is made, or what lines state a day of."""
    if event.home is not None:
        return event.home
    entry = event.claims[0][0]
    return (entry.engine_id if entry.side == "engine" else entry.component_id) or "", entry.says


def sightings(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look at every sighting for a card that has the component elsewhere."""
    chains = (stay for _, chain in due.chains("component") for stay in chain)
    for stay in dict.fromkeys((*due.stays, *chains)):
        seen = [(entry, entry.seen) for entry in stay.entries if entry.seen is not None]
        with notes.at((family, stay), stay.rank):
            for entry, claim in seen:
                if claim.key not in notes.explained:
                    _seen_elsewhere(draft, notes, stay, entry, claim)


def _rank(suspect: Suspect) -> tuple[object, ...]:
    return (round(suspect.right, 3), not suspect.entry.copy, suspect.entry.rank, suspect.claim.key.field)


def _homes_with_news(draft: Draft, due: Due) -> dict[Home, None]:
    """Where events were worked out anew or lie within reach of such, and where cells are explained otherwise.

    A contradiction is looked for over a few links, all forwards or all backwards, so news reaches no farther.
    """
    homes: dict[Home, None] = dict.fromkeys((*due.stays, *due.days))
    homes |= dict.fromkeys(s for s in (*draft.news.redated, *draft.news.left) if s in draft.stays)
    known = draft.suspects.at if draft.suspects is not None else {}
    for home in [home for home in known if not _there(draft, home)]:
        homes[home] = None
    if len(homes) < len(draft.stays):
        for forward in (True, False):
            edge = {event: None for stay in draft.news.redated for event in stay.made}
            for _ in range(FARTHEST):
                edge = {
                    link.other(event): None
                    for event in edge
                    for link in event.links
                    if (link.before if forward else link.after) is event
                }
                homes.update((event.home, None) for event in edge if event.home is not None)
    return homes


def _there(draft: Draft, home: Home) -> bool:
    """Whether a home is still there."""
    return home in draft.stays if isinstance(home, Stay) else bool(draft.single.get(home))


def _suspects(draft: Draft, home: Home) -> Iterator[Suspect]:
    """Every date that is unlikely, that another claim of its event contradicts, or that lies outside a
    life.
    """
    for event in _events(draft, home):
        claims = [claim for _, claim in event.claims]
        for entry, claim in event.claims:
            right = event.right(claim)
            apart = any(not claim.meets(other) for other in claims)
            if right < _SUSPECT or apart or _outside(event, claim) > 0 or entry.says in _STATED:
                yield Suspect(right, event, entry, claim)


def _events(draft: Draft, home: Home) -> list[Event]:
    """The events that are made with a stay; or the day that lines state of something."""
    if isinstance(home, Stay):
        return list(home.made) if home in draft.stays else []
    entries = draft.single.get(home, [])
    return list(entries[0].events.values()) if entries else []


def _outside(event: Event, claim: DateClaim) -> int:
    """How many days a claim lies outside the lives."""
    return max(event.life.first - claim.last, claim.first - event.life.last)


def _take_up(draft: Draft, notes: Notes, suspect: Suspect) -> None:
    """Name what a suspect contradicts, if anything does; else, if it is unlikely, what makes it so."""
    _, event, entry, claim = suspect
    if entry.says in _STATED and dates.against_tables(draft, notes, entry, claim):
        return
    rival = against(event, claim)
    if rival is not None and draft.suspects is not None:
        draft.suspects.meet(home_of(event), home_of(rival.event))
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
