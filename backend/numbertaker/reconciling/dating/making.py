"""The events of stays, sightings, spare time and single days: what is told of each, and what bounds it."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from math import inf
from typing import Final

from numbertaker.linking.index import EVER_FIRST, EVER_LAST
from numbertaker.reconciling.dating.events import Event, Life, Owner
from numbertaker.reconciling.dating.slips import Ways, as_written, ways
from numbertaker.reconciling.dating.told import Told, claims_of
from numbertaker.reconciling.entries import EVENTS, DateClaim, Draft, Entry, Stay

STATED: Final = {"built": "fitted", "withdrawn": "removed", "condemned": "removed"}
_WRITTEN_UP: Final = 0.01
_TABLE_SLIP: Final = 0.004
_GUESSED: Final = 0.8
_GUESSED_REACH: Final = 1500.0
_WIDEST_SETTLED: Final = 62
_ANY_TIME: Final = Life(EVER_FIRST, EVER_LAST, 0.0)


def make_events(draft: Draft, stay: Stay, lying: Iterable[Entry]) -> None:
    """Make a stay's two events anew, those of who saw it, and those of what lies spare after it."""
    stay.events = {name: _event(draft, stay, name) for name in EVENTS}
    for entry in stay.entries:
        if entry.seen is not None and not draft.refused(entry.seen.key):
            entry.events = {"seen": _sighting(draft, entry, entry.seen)}
    for entry in lying:
        entry.events = {name: _lying(draft, entry, name) for name in EVENTS}
    mine = [entry for entry in (*stay.entries, *lying) if entry.stay in {stay, None}]
    stay.made = [*stay.events.values(), *(event for entry in mine for event in entry.events.values())]
    for event in stay.made:
        event.home = stay


def _lying(draft: Draft, entry: Entry, name: str) -> Event:
    claim = draft.trusted(entry, name)
    return _made(draft, name, entry, [(entry, claim)] if claim else [], _ANY_TIME)


def _event(draft: Draft, stay: Stay, name: str) -> Event:
    told = list(claims_of(draft, stay, name))
    lives = [draft.index.life(subject) for subject in (stay.engine_id, stay.component_id) if subject]
    first = max((life.first for life in lives), default=EVER_FIRST)
    last = min((life.last for life in lives), default=EVER_LAST)
    life = Life(first, max(first, last), -draft.settings.life_odds)
    return _made(draft, name, stay, told, life)


def _made(draft: Draft, name: str, owner: Owner, told: Told, life: Life) -> Event:
    """An event told of only by what is written; where claims are at odds, by all they may mean."""
    reach = draft.settings.slip_reach
    plain = [as_written(claim, claim.slip, reach) for _, claim in told]
    made = Event(name, owner, told, plain, life, _agreed(told, life))
    if not made.settled and _at_odds(told, name):
        open_up(draft, made)
    return made


def open_up(draft: Draft, event: Event) -> None:
    """Let an event be told of by every way in which its claims may be wrong."""
    reach, shapes = draft.settings.slip_reach, draft.learnt.date_shapes
    found: list[Ways] = []
    for place, (entry, claim) in enumerate(event.claims):
        other = _backwards(entry, event.name)
        alike = any(
            claim.meets(known)
            and (known.days, known.spans, at) < (claim.days, claim.spans, place)
            and _backwards(one, event.name) is None  # else either card may be the one that was written up
            for at, (one, known) in enumerate(event.claims)
        )
        if other is not None:
            told = ways(claim, 0.5, shapes, reach)
            found.append(_either(told, other) if _in_life(event, claim, other) else told)
        else:
            told = ways(claim, claim.slip, shapes, reach)
            # Where one card was written up from the other, the vaguer one says nothing of its own.
            found.append(told._replace(far=_WRITTEN_UP, reach=inf) if alike else told)
    event.told, event.opened = found, True


def _sighting(draft: Draft, entry: Entry, seen: DateClaim) -> Event:
    """A photograph is dated by guess more often than by a slip of the pen: it may lie years off."""
    guessed, reach = (
        as_written(seen, _GUESSED * seen.slip, _GUESSED_REACH),
        draft.settings.slip_reach,
    )
    slipped = ways(seen, seen.slip, draft.learnt.date_shapes, reach).near[len(seen.spans) :]
    near = [(a, b, weight * (1 - _GUESSED)) for a, b, weight in slipped]
    told = guessed._replace(near=(*((a, b, 1 - seen.slip) for a, b in seen.spans), *near))
    return Event("seen", entry, [(entry, seen)], [told], _ANY_TIME, opened=True)


def single_day(draft: Draft, subject: str, says: str, told: Told) -> Event:
    """The event of what lines state as the day on which something was built, withdrawn or condemned."""
    event = _made(draft, STATED[says], told[0][0], told, _ANY_TIME)
    life = draft.index.life(subject)
    span = life.start if says == "built" else life.end
    if span.first is not None and span.last is not None:
        if any(claim.last < span.first or span.last < claim.first for _, claim in told):
            open_up(draft, event)
        reach = draft.settings.slip_reach
        far = _TABLE_SLIP * (span.last - span.first + 1) / (2 * reach)
        near = ((span.first, span.last, 1 - _TABLE_SLIP),)
        event.told = [*event.told, Ways(near, far, reach, span.first, span.last)]
        event.settled = False
    return event


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
