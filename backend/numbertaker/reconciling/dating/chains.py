"""The events of an archive and which follows which: along each component, along each engine, within a stay.

A chain is put in order by where most of the dates of each stay want it, so that a single wrong date does not
tear it apart. What lies spare between two stays of a component, and whoever saw it on the engine, takes its
place among them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property
from itertools import combinations, pairwise
from math import exp, inf
from statistics import median
from typing import Final

from numbertaker.linking.index import EVER_FIRST, EVER_LAST
from numbertaker.reconciling.dating import laws
from numbertaker.reconciling.dating.events import Event, Kind, Life, Link, Owner
from numbertaker.reconciling.dating.slips import Ways, as_written, ways
from numbertaker.reconciling.dating.told import Told, claims_of
from numbertaker.reconciling.entries import EVENTS, DateClaim, Draft, Entry, Stay
from numbertaker.reconciling.rates import rate_of, spread_of

_STATED: Final = {"built": "fitted", "withdrawn": "removed", "condemned": "removed"}
_WRITTEN_UP: Final = 0.01
_TABLE_SLIP: Final = 0.004
_NEXT: Final = 0.97
_SUREST: Final = 0.999
_OWN: Final = 0.985
_SEEN: Final = 0.98
_UNWRITTEN: Final = 0.01
_TAKEN: Final = 0.1
_GUESSED: Final = 0.8
_GUESSED_REACH: Final = 1500.0
_USUAL_DAYS: Final = 900.0
_WIDEST_SETTLED: Final = 62
_LEARNT_FROM: Final = 50
"""Of how many times in works an archive's own count half."""


class Events:
    """Every event of a draft: of stays, of what lies spare, of sightings, and single days that lines
    state.
    """

    def __init__(self, draft: Draft) -> None:
        """Make the events and tie them together."""
        self.draft = draft
        self.of_stay: dict[int, dict[str, Event]] = {}
        self.of_entry: dict[int, dict[str, Event]] = {}
        for stay in sorted(draft.stays, key=lambda s: s.rank):
            self.of_stay[id(stay)] = {event: self._event(stay, event) for event in EVENTS}
        for stay in sorted(draft.stays, key=lambda s: s.rank):
            self._within(stay)
        for chain in draft.on_component.values():
            self._along(in_order(draft, chain), "component")
        for chain in draft.on_engine.values():
            for run in by_kind(draft, chain):
                self._along(in_order(draft, run), "engine")
        self._single_days()
        for stay in sorted(draft.stays, key=lambda s: s.rank):
            for entry in stay.entries:
                if entry.seen is not None and id(entry) in self.of_entry:
                    self._elsewhere(stay, entry, entry.seen)

    def all(self) -> Iterator[Event]:
        """Every event, in a fixed order."""
        for events in (*self.of_stay.values(), *self.of_entry.values()):
            yield from events.values()

    # ------------------------------------------------------------------ the events of one stay

    def _event(self, stay: Stay, event: str) -> Event:
        told = claims_of(self.draft, stay, event)
        lives = [self.draft.index.life(subject) for subject in (stay.engine_id, stay.component_id) if subject]
        first = max((life.first for life in lives), default=EVER_FIRST)
        last = min((life.last for life in lives), default=EVER_LAST)
        return self._made(event, stay, told, Life(first, max(first, last), -self.draft.settings.life_odds))

    def _made(self, event: str, owner: Owner, told: Told, life: Life) -> Event:
        """An event told of only by what is written; where claims are at odds, by all they may mean."""
        reach = self.draft.settings.slip_reach
        plain = [as_written(claim, claim.slip, reach) for _, claim in told]
        made = Event(event, owner, told, plain, life, _agreed(told, life))
        if not made.settled and _at_odds(told, event):
            self.open_up(made)
        return made

    def open_up(self, event: Event) -> None:
        """Let an event be told of by every way in which its claims may be wrong."""
        reach, shapes = self.draft.settings.slip_reach, self.draft.learnt.date_shapes
        for place, (entry, claim) in enumerate(event.claims):
            other = _backwards(entry, event.name)
            alike = any(
                claim.meets(known) and (known.days, known.spans, at) < (claim.days, claim.spans, place)
                for at, (_, known) in enumerate(event.claims)
            )
            if other is not None:
                told = ways(claim, 0.5, shapes, reach)
                event.told[place] = _either(told, other) if _in_life(event, claim, other) else told
            else:
                told = ways(claim, claim.slip, shapes, reach)
                # Where one card was written up from the other, the vaguer one says nothing of its own.
                event.told[place] = told._replace(far=_WRITTEN_UP, reach=inf) if alike else told
        event.opened = True

    def _within(self, stay: Stay) -> None:
        """A stay's own two ends, what its miles say of the time between, and who saw it there."""
        start, end = (self.of_stay[id(stay)][event] for event in EVENTS)
        law = self._law_of(stay)
        if start.stated or end.stated:
            Link(start, end, law or laws.STAY, _OWN, "rate" if law else "order", "own")
        for entry in stay.entries:
            if entry.seen is not None and not self.draft.refused(entry.seen.key):
                seen = self._sighting(entry, entry.seen)
                if any(e.seen is None for e in stay.entries) and stay.engine_id in self._named(entry):
                    Link(start, seen, laws.AFTER, _SEEN, "order", "seen")
                    Link(seen, end, laws.AFTER, _SEEN, "order", "seen")

    def _law_of(self, stay: Stay) -> laws.Law | None:
        figures = {e.miles.value for e in stay.witnesses if e.miles and not self.draft.refused(e.miles.key)}
        if len(figures) != 1 or min(figures) <= 0:
            return None
        days = min(figures) / exp(rate_of(self.draft, stay))
        return laws.of_miles(round(max(20.0, days), 1), round(spread_of(self.draft, stay), 3))

    def _sighting(self, entry: Entry, seen: DateClaim) -> Event:
        """A photograph is dated by guess more often than by a slip of the pen: it may lie years off."""
        guessed, reach = (
            as_written(seen, _GUESSED * seen.slip, _GUESSED_REACH),
            self.draft.settings.slip_reach,
        )
        slipped = ways(seen, seen.slip, self.draft.learnt.date_shapes, reach).near[len(seen.spans) :]
        near = [(a, b, weight * (1 - _GUESSED)) for a, b, weight in slipped]
        told = guessed._replace(near=(*((a, b, 1 - seen.slip) for a, b in seen.spans), *near))
        event = Event("seen", entry, [(entry, seen)], [told], Life(EVER_FIRST, EVER_LAST, 0.0), opened=True)
        self.of_entry[id(entry)] = {"seen": event}
        return event

    def _named(self, entry: Entry) -> set[str]:
        """Every engine that ever bore what a sighting names; its own, where it stands on an engine's card."""
        if entry.engine_id is not None:
            return {entry.engine_id}
        written = entry.engine
        if written is None:
            return set()
        index = self.draft.index
        return {
            b.subject_id
            for b in (*index.bearers(written.number, "engine"), *index.named(written.name, "engine"))
        }

    def _elsewhere(self, stay: Stay, entry: Entry, seen: DateClaim) -> None:
        """A sighting that falls in no fitment: if the two were together at another time, it is likelier
        misdated than that nobody wrote down a second time, the more so if either was taken then.
        """
        event = self.of_entry[id(entry)]["seen"]
        engines = self._named(entry)
        chain = self.draft.on_component.get(stay.component_id or "", [])
        together = [s for s in chain if s.engine_id in engines and not all(e.seen for e in s.entries)]
        if event.links or not together:
            return
        day = seen.middle
        nearest = min(together, key=lambda s: (_away(s, day), s.lead.rank))
        kinds = by_kind(self.draft, self.draft.on_engine.get(nearest.engine_id or "", []))
        taken = sum(any(_covers(s, day) for s in run) for run in (chain, *(r for r in kinds if nearest in r)))
        start, end = self.of_stay[id(nearest)].values()
        sure = 1 - _UNWRITTEN * _TAKEN**taken
        Link(start, event, laws.AFTER, sure, "order", "seen")
        Link(event, end, laws.AFTER, sure, "order", "seen")

    # ------------------------------------------------------------------ along the chains

    def _along(self, chain: list[Stay], kind: Kind) -> None:
        spare = self._spare(chain) if kind == "component" else {}
        apart = self.draft.learnt.apart
        law = laws.between_stays(apart.low, apart.high) if kind == "component" else self._changed
        for one, other in pairwise(chain):
            sure = _NEXT * one.sure * other.sure
            (start, end), (start2, end2) = (self.of_stay[id(s)].values() for s in (one, other))
            between = spare.get(id(one), [])
            for lying in between:
                self._lies_between(end, lying, start2, sure)
            if end.stated and start2.stated:
                _tie(end, start2, laws.AFTER if between else law, sure, kind)
            else:
                self._past_the_unknown((start, end), (start2, end2), sure, kind)

    @cached_property
    def _changed(self) -> laws.Law:
        works = self.draft.learnt.in_works
        trusted = works.cases / (works.cases + _LEARNT_FROM)
        return laws.changed(laws.Usual(works.least, works.low, works.high, works.most, trusted))

    def _past_the_unknown(
        self, one: tuple[Event, Event], other: tuple[Event, Event], sure: float, kind: Kind
    ) -> None:
        """Where the end of one or the start of the next is not stated, each hears of the other's far end."""
        (start, end), (start2, end2) = one, other
        if end.stated or start2.stated:
            _tie(end, start2, laws.CHANGED, sure, kind)
        if not end.stated and start.stated and start2.stated:
            _tie(start, start2, laws.AFTER, sure, kind)
        if not start2.stated and end.stated and end2.stated:
            _tie(end, end2, laws.AFTER, sure, kind)

    def _spare(self, chain: list[Stay]) -> dict[int, list[Entry]]:
        """What lies spare after each stay of a component, by its place on the card or by its date."""
        found: dict[int, list[Entry]] = {}
        names = {stay.component_id for stay in chain}
        for name in sorted(n for n in names if n):
            for entry in self.draft.spare.get(name, []):
                if entry.twin is None and (entry.fitted or entry.removed):
                    before = self._before(entry, chain)
                    if before is not None:
                        found.setdefault(id(before), []).append(entry)
        return found

    def _before(self, entry: Entry, chain: list[Stay]) -> Stay | None:
        above = [s for s in chain if s.own and s.own.card == entry.card and s.own.rank < entry.rank]
        if above:
            return max(above, key=lambda s: s.lead.rank)
        claim = entry.fitted or entry.removed
        day = claim.first if claim is not None else 0
        earlier = [s for s in chain if s.rough is not None and s.rough[0] <= day]
        return earlier[-1] if earlier else None

    def _lies_between(self, end: Event, lying: Entry, start: Event, sure: float) -> None:
        known = self.of_entry.setdefault(id(lying), {})
        for event in EVENTS:
            claim = self.draft.trusted(lying, event)
            if event not in known:
                told = [(lying, claim)] if claim else []
                known[event] = self._made(event, lying, told, Life(EVER_FIRST, EVER_LAST, 0.0))
        first, last = known["fitted"], known["removed"]
        if first.stated:
            Link(end, first, laws.SPARE, sure, "order", "spare")
        if last.stated:
            Link(last, start, laws.SPARE, sure, "order", "spare")
        if first.stated and last.stated:
            Link(first, last, laws.AFTER, 0.99, "order", "own")

    # ------------------------------------------------------------------ single days

    def _single_days(self) -> None:
        """What lines state as the day on which something was built, withdrawn or condemned."""
        same: dict[tuple[str, str], list[tuple[Entry, DateClaim]]] = {}
        for entry in self.draft.entries:
            column = _STATED.get(entry.says)
            subject = entry.engine_id if entry.side == "engine" else entry.component_id
            claim = self.draft.trusted(entry, column) if column else None
            if subject is not None and claim is not None:
                same.setdefault((subject, entry.says), []).append((entry, claim))
        for (subject, says), told in same.items():
            event = self._single_day(subject, says, told)
            for entry, _ in told:
                self.of_entry[id(entry)] = {_STATED[says]: event}

    def _single_day(self, subject: str, says: str, told: Told) -> Event:
        event = self._made(_STATED[says], told[0][0], told, Life(EVER_FIRST, EVER_LAST, 0.0))
        life = self.draft.index.life(subject)
        span = life.start if says == "built" else life.end
        if span.first is not None and span.last is not None:
            if any(claim.last < span.first or span.last < claim.first for _, claim in told):
                self.open_up(event)
            reach = self.draft.settings.slip_reach
            far = _TABLE_SLIP * (span.last - span.first + 1) / (2 * reach)
            near = ((span.first, span.last, 1 - _TABLE_SLIP),)
            event.told.append(Ways(near, far, reach, span.first, span.last))
            event.settled = False
        return event


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
        known.law = law


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


def _agreed(told: Told, life: Life) -> bool:
    """Whether independent claims have some weeks in common, within the life, and nobody says otherwise."""
    if sum(not entry.copy for entry, _ in told) < 2:
        return False
    first, last = max(c.first for _, c in told), min(c.last for _, c in told)
    if first > last or last - first >= _WIDEST_SETTLED:
        return False
    return life.first <= last and first <= life.last and not any(len(c.spans) > 1 for _, c in told)


def _at_odds(told: Told, event: str) -> bool:
    """Whether the claims of an event contradict one another, or a line itself."""
    claims = [claim for _, claim in told]
    apart = any(not one.meets(other) for one, other in combinations(claims, 2))
    return apart or any(_backwards(entry, event) for entry, _ in told)


def _backwards(entry: Entry, event: str) -> DateClaim | None:
    """The other date of a line whose dates run backwards."""
    if entry.fitted is None or entry.removed is None or entry.fitted.first <= entry.removed.last:
        return None
    return entry.removed if event == "fitted" else entry.fitted


def _in_life(event: Event, *claims: DateClaim) -> bool:
    """Whether all of some dates may lie in the life: else they were not exchanged, one of them is wrong."""
    return all(event.life.first <= claim.last and claim.first <= event.life.last for claim in claims)


def _either(own: Ways, other: DateClaim) -> Ways:
    """Of two dates that run backwards, one is wrong, or the two were exchanged, which is as likely."""
    half = [(a, b, weight * 0.55) for a, b, weight in own.near]
    return own._replace(near=(*half, *((a, b, 0.45) for a, b in other.spans)), far=own.far * 0.55)


def _covers(stay: Stay, day: float) -> bool:
    """Whether something other than a sighting has a stay over a day, with a month to spare."""
    if stay.rough is None or all(e.seen for e in stay.entries):
        return False
    return stay.rough[0] + 31 < day < stay.rough[1] - 31


def _away(stay: Stay, day: float) -> float:
    """How far a day lies outside a stay."""
    start, end = stay.rough or (day, day)
    return max(0.0, start - day, day - end)
