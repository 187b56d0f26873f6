"""Which event follows which: along each component, along each engine, within a stay.

A chain is put in order by where most of the dates of each stay want it, so that a single wrong date does not
tear it apart. What lies spare between two stays of a component, and whoever saw it on the engine, takes its
place among them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise
from math import exp
from statistics import median
from typing import Final

from numbertaker.linking import Sort
from numbertaker.reconciling.dating import laws
from numbertaker.reconciling.dating.events import Event, Kind, Link
from numbertaker.reconciling.dating.making import make_events
from numbertaker.reconciling.dating.told import claims_of
from numbertaker.reconciling.entries import EVENTS, Draft, Entry, Stay, nothing
from numbertaker.reconciling.rates import rate_of, spread_of

SORTS: Final[tuple[Sort, Sort]] = ("component", "engine")
_NEXT: Final = 0.97
_SUREST: Final = 0.999
_OWN: Final = 0.985
_SEEN: Final = 0.98
_UNWRITTEN: Final = 0.01
_TAKEN: Final = 0.1
_USUAL_DAYS: Final = 900.0
_LEARNT_FROM: Final = 50
"""Of how many times in works an archive's own count half."""


class Chains:
    """The stays of every component and of every engine in their order, kept from run to run."""

    def __init__(self) -> None:
        """Start with none."""
        self.after: dict[Sort, dict[Stay, Stay]] = {"component": {}, "engine": {}}
        self.before: dict[Sort, dict[Stay, Stay]] = {"component": {}, "engine": {}}
        self.lying: dict[Stay, list[Entry]] = {}
        self.nearest: dict[Stay, dict[Stay, None]] = {}
        self._runs: dict[tuple[Sort, str], list[list[Stay]]] = {}
        self._lies_after: dict[tuple[Sort, str], dict[Stay, list[Entry]]] = {}

    def renew(self, draft: Draft) -> dict[Stay, None]:
        """Put the chains with news in order; the stays that are new, or that stand beside others now."""
        news = draft.news
        due = dict.fromkeys(news.stays)
        for slot in news.chains:
            due.update((stay, None) for stay in self._reorder(draft, slot))
        for stay, nearest in tuple(self.nearest.items()):
            asked = [("component", stay.component_id), *(("engine", other.engine_id) for other in nearest)]
            if stay not in draft.stays:
                del self.nearest[stay]
            elif any(slot in news.chains for slot in asked):
                due[stay] = None
        return {stay: None for stay in due if stay in draft.stays}

    def _reorder(self, draft: Draft, slot: tuple[Sort, str]) -> Iterator[Stay]:
        sort, subject = slot
        chain = (draft.on_component if sort == "component" else draft.on_engine).get(subject, [])
        runs = [in_order(draft, run) for run in (by_kind(draft, chain) if sort == "engine" else [chain])]
        old, now = (_followers(r) for r in (self._runs.get(slot, []), runs))
        for one, other in old:
            if self.after[sort].get(one) is other:
                del self.after[sort][one]
            if self.before[sort].get(other) is one:
                del self.before[sort][other]
        for one, other in now:
            self.after[sort][one], self.before[sort][other] = other, one
        for pair in old.keys() ^ now.keys():
            yield from pair
        self._runs[slot] = runs
        if sort == "component":
            lies, lay = _spare(draft, runs[0], subject), self._lies_after.get(slot, {})
            for stay in lay:
                self.lying.pop(stay, None)
            self.lying.update(lies)
            self._lies_after[slot] = lies
            yield from (stay for stay in {**lay, **lies} if lay.get(stay) != lies.get(stay))

    def lies_after(self, stay: Stay) -> list[Entry]:
        """What lies spare between a stay of a component and the next."""
        return self.lying.get(stay, []) if stay in self.after["component"] else []


def _followers(runs: Iterable[list[Stay]]) -> dict[tuple[Stay, Stay], None]:
    return {pair: None for run in runs for pair in pairwise(run)}


def tie(draft: Draft, chains: Chains, region: Iterable[Stay]) -> None:
    """Make the events of some stays anew, and tie them to one another and to those around."""
    stays = dict.fromkeys(sorted(region, key=lambda s: s.rank))
    around = _untie(draft, stays)
    for stay in stays:
        make_events(draft, stay, chains.lies_after(stay))
    for stay in stays:
        _within(draft, stay)
    for sort in SORTS:
        for one, other in _pairs(chains, sort, stays):
            _follow(draft, chains, one, other, sort)
    for stay in stays:
        _sight(draft, chains, stay)
    for event in (*(e for stay in stays for e in stay.made), *around):
        event.links.sort(key=lambda link: link.rank(event))


def _untie(draft: Draft, stays: dict[Stay, None]) -> list[Event]:
    """Unmake the events of some stays, and of those that are no more; gives the events that were tied to
    them.
    """
    others: dict[Event, None] = {}
    unmade: list[Event] = []
    for stay in (*stays, *draft.news.left):
        for event in stay.made:
            others |= {link.other(event): None for link in event.links}
            if isinstance(event.owner, Entry):
                event.owner.events, event.owner.dates = nothing(), nothing()
                draft.news.lines[event.owner] = None
            unmade.append(event)
        stay.events = nothing()
    kept = [event for event in others if event.home not in stays and event.home in draft.stays]
    for event in kept:
        homes = [(link, link.other(event).home) for link in event.links]
        event.links = [link for link, home in homes if home not in stays and home in draft.stays]
    for event in unmade:
        event.links = []  # so that it goes at once, and not when somebody looks for circles
    return kept


def _pairs(chains: Chains, sort: Sort, stays: dict[Stay, None]) -> dict[tuple[Stay, Stay], None]:
    """Every two that follow one another, of which one is among some stays."""
    found: dict[tuple[Stay, Stay], None] = {}
    for stay in stays:
        if stay in chains.before[sort]:
            found[chains.before[sort][stay], stay] = None
        if stay in chains.after[sort]:
            found[stay, chains.after[sort][stay]] = None
    return found


def _within(draft: Draft, stay: Stay) -> None:
    """A stay's own two ends, what its miles say of the time between, and who saw it there."""
    start, end = (stay.events[name] for name in EVENTS)
    law = _law_of(draft, stay)
    if start.stated or end.stated:
        Link(start, end, law or laws.STAY, _OWN, "rate" if law else "order", "own")
    for entry in stay.entries:
        seen = entry.events.get("seen")
        fitted = any(e.seen is None for e in stay.entries)
        if seen is not None and fitted and stay.engine_id in _named(draft, entry):
            Link(start, seen, laws.AFTER, _SEEN, "order", "seen")
            Link(seen, end, laws.AFTER, _SEEN, "order", "seen")


def _law_of(draft: Draft, stay: Stay) -> laws.OfMiles | None:
    figures = {e.miles.value for e in stay.witnesses if e.miles and not draft.refused(e.miles.key)}
    if len(figures) != 1 or min(figures) <= 0:
        return None
    days = min(figures) / exp(rate_of(draft, stay))
    return laws.OfMiles(round(max(20.0, days), 1), round(spread_of(draft, stay), 3))


def _named(draft: Draft, entry: Entry) -> set[str]:
    """Every engine that ever bore what a sighting names; its own, where it stands on an engine's card."""
    if entry.engine_id is not None:
        return {entry.engine_id}
    written = entry.engine
    if written is None:
        return set()
    index = draft.index
    return {
        b.subject_id for b in (*index.bearers(written.number, "engine"), *index.named(written.name, "engine"))
    }


def _sight(draft: Draft, chains: Chains, stay: Stay) -> None:
    """Tie a sighting that falls in no fitment to the nearest time at which the two were together.

    It is likelier misdated than that nobody wrote down a second time, the more so if either was taken then.
    """
    chains.nearest.pop(stay, None)
    for entry in stay.entries:
        event = entry.events.get("seen")
        if event is None or event.links or entry.seen is None:
            continue
        day, engines = entry.seen.middle, _named(draft, entry)
        chain = draft.on_component.get(stay.component_id or "", [])
        together = [s for s in chain if s.engine_id in engines and not all(e.seen for e in s.entries)]
        nearest = min(together, key=lambda s: (_away(s, day), s.lead.rank), default=None)
        asks = chains.nearest.setdefault(stay, {})
        if nearest is not None:
            asks[nearest] = None
            kinds = by_kind(draft, draft.on_engine.get(nearest.engine_id or "", []))
            runs = (chain, *(run for run in kinds if nearest in run))
            sure = 1 - _UNWRITTEN * _TAKEN ** sum(any(_covers(s, day) for s in run) for run in runs)
            Link(nearest.events["fitted"], event, laws.AFTER, sure, "order", "seen")
            Link(event, nearest.events["removed"], laws.AFTER, sure, "order", "seen")


def _follow(draft: Draft, chains: Chains, one: Stay, other: Stay, sort: Sort) -> None:
    """Tie the end of a stay to the start of the next, with what lies spare between."""
    sure = _NEXT * min(one.placed) * min(other.placed)
    (start, end), (start2, end2) = one.events.values(), other.events.values()
    between = chains.lies_after(one) if sort == "component" else []
    for lying in between:
        _lies_between(end, lying, start2, sure)
    if end.stated and start2.stated:
        apart = draft.learnt.apart
        law = laws.between_stays(apart.low, apart.high) if sort == "component" else _changed(draft)
        _tie(end, start2, laws.AFTER if between else law, sure, sort)
        return
    # Where the end of one or the start of the next is not stated, each hears of the other's far end.
    if end.stated or start2.stated:
        _tie(end, start2, laws.CHANGED, sure, sort)
    if not end.stated and start.stated and start2.stated:
        _tie(start, start2, laws.AFTER, sure, sort)
    if not start2.stated and end.stated and end2.stated:
        _tie(end, end2, laws.AFTER, sure, sort)


def _changed(draft: Draft) -> laws.Law:
    """From one component of an engine to the next: time in works, as far as the archive taught it."""
    works = draft.learnt.in_works
    trusted = works.cases / (works.cases + _LEARNT_FROM)
    return laws.changed(laws.Usual(works.least, works.low, works.high, works.most, trusted))


def _lies_between(end: Event, lying: Entry, start: Event, sure: float) -> None:
    first, last = lying.events["fitted"], lying.events["removed"]
    if first.stated:
        Link(end, first, laws.SPARE, sure, "order", "spare")
    if last.stated:
        Link(last, start, laws.SPARE, sure, "order", "spare")
    if first.stated and last.stated:
        Link(first, last, laws.AFTER, 0.99, "order", "own")


def _tie(before: Event, after: Event, law: laws.Law, sure: float, kind: Kind) -> None:
    """Tie two events of a chain. Where the same two follow each other on both chains they are tied once, more
    surely and by the narrower law, so that they do not hear the same thing twice.
    """
    known = next((link for link in before.links if link.before is before and link.after is after), None)
    if known is None:
        Link(before, after, law, sure, "order", kind)
        return
    known.sure = min(_SUREST, 1 - (1 - known.sure) * (1 - sure))
    if law.peak > known.law.peak and known.law is not laws.AFTER:
        known.by = law


def in_order(draft: Draft, chain: Iterable[Stay]) -> list[Stay]:
    """The stays that something dates, by where most of their dates want them."""
    dated = [stay for stay in chain if any(e.fitted or e.removed for e in stay.entries)]
    return sorted(dated, key=lambda stay: (_time(draft, stay), stay.lead.rank))


def _time(draft: Draft, stay: Stay) -> float:
    """About when a stay began: the middle one of what each date says of it."""
    figures = [e.miles.value for e in stay.witnesses if e.miles]
    length = figures[0] / exp(rate_of(draft, stay)) if figures and figures[0] > 0 else _USUAL_DAYS
    starts = [c.middle for _, c in claims_of(draft, stay, "fitted")]
    starts += [c.middle - length for _, c in claims_of(draft, stay, "removed")]
    return median(starts) if starts else (stay.rough[0] if stay.rough else 0.0)


def by_kind(draft: Draft, chain: Iterable[Stay]) -> list[list[Stay]]:
    """An engine carries a boiler and a tender at once: one chain for each kind."""
    kinds: dict[str, list[Stay]] = {}
    for stay in chain:
        component = draft.index.components.get(stay.component_id or "")
        kinds.setdefault(component.kind if component else "", []).append(stay)
    return list(kinds.values())


def _spare(draft: Draft, chain: list[Stay], component: str) -> dict[Stay, list[Entry]]:
    """What lies spare after each stay of a component, by its place on the card or by its date."""
    found: dict[Stay, list[Entry]] = {}
    for entry in draft.spare.get(component, []):
        if entry.twin is None and (entry.fitted or entry.removed):
            before = _before(entry, chain)
            if before is not None:
                found.setdefault(before, []).append(entry)
    return found


def _before(entry: Entry, chain: list[Stay]) -> Stay | None:
    above = [s for s in chain if s.own and s.own.card == entry.card and s.own.rank < entry.rank]
    if above:
        return max(above, key=lambda s: s.lead.rank)
    claim = entry.fitted or entry.removed
    day = claim.first if claim is not None else 0
    earlier = [s for s in chain if s.rough is not None and s.rough[0] <= day]
    return earlier[-1] if earlier else None


def _covers(stay: Stay, day: float) -> bool:
    """Whether something other than a sighting has a stay over a day, with a month to spare."""
    if stay.rough is None or all(e.seen for e in stay.entries):
        return False
    return stay.rough[0] + 31 < day < stay.rough[1] - 31


def _away(stay: Stay, day: float) -> float:
    """How far a day lies outside a stay."""
    start, end = stay.rough or (day, day)
    return max(0.0, start - day, day - end)
