"""When each stay began and ended: an exact posterior over runs of days for every event.

An event is told of by claims, each of which has days on which it is right and days on which it would lie if
it were wrong in one of the usual ways (`dating.slips`); it is bounded by lives; and its neighbours say how
long before or after them it will have been (`dating.laws`). What is said passes along the chains in a few
sweeps, all events of one sweep hearing what was believed after the sweep before, and nobody hearing his own
words (belief propagation: J. Pearl, "Probabilistic Reasoning in Intelligent Systems", 1988, chapter 4).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from numbertaker.evidence.days import Day
from numbertaker.linking.index import EVER_FIRST, EVER_LAST
from numbertaker.reconciling.dating.chains import Events
from numbertaker.reconciling.dating.events import Event, Group, Link
from numbertaker.reconciling.dating.regions import interval, mass_in
from numbertaker.reconciling.dating.told import claims_of
from numbertaker.reconciling.entries import DateClaim, Dated, Draft, Posterior, Spans, Stay
from numbertaker.reconciling.network.narrowing import narrow
from numbertaker.reconciling.rates import class_of, rate_of
from numbertaker.reconciling.settings import Settings

_WINDOW: Final = 1500
_FARTHEST: Final = 4200
_FINE: Final = 31
_WIDE: Final = 62
_STEPS: Final = (0, 8, 15, 31, 46, 61, 81, 101, 131, 181, 271, 401, 731, 1461)
_SHAKEN: Final = 2.0
_UNSTATED_SURE: Final = 0.8
_LET_IN: Final[tuple[Group, ...]] = ("order", "rate")


def date_stays(draft: Draft) -> None:
    """Work out every event of every stay, and every day that a line states of something."""
    events = draft.events = Events(draft)
    _believe(events, [event for event in events.all() if event.stated], draft.settings)
    level = draft.settings.level
    for stay in draft.stays:
        for name, event in events.of_stay[id(stay)].items():
            dated = event.dated if event.stated else _unstated(event, level)
            if dated is not None:
                stay.dates[name] = dated
        _doubt_sightings(stay, events)
    narrow(draft, events)
    for entry in draft.entries:
        for name, event in events.of_entry.get(id(entry), {}).items():
            if event.dated is not None:
                entry.dates[name] = event.dated


def _believe(events: Events, stated: list[Event], settings: Settings) -> None:
    """Weigh the claims of every event, then let events hear one another until there is nothing new.

    Nothing is heard past a settled event, so those in doubt are gone through group by group, and what a group
    was worked out with is let go of before the next.
    """
    for event in [event for event in stated if event.settled and _impossible(event)]:
        event.settled = False
        events.open_up(event)
    for event in stated:
        if event.settled:
            _begin(event)
            _close(event, settings.level)
    for group in _groups([event for event in stated if not event.settled]):
        for event in group:
            _begin(event)
        _sweep(group)
        for event in group:
            if not event.opened and _shaken(event):
                events.open_up(event)
                _begin(event)
        for _ in range(settings.sweeps):
            if not _sweep(group):
                break
        for event in group:
            _close(event, settings.level)


def _groups(doubtful: list[Event]) -> Iterator[list[Event]]:
    """Events in doubt, those together that hear of one another, in their order."""
    left = set(doubtful)
    for event in doubtful:
        if event in left:
            left.remove(event)
            found = [event]
            for one in found:  # it grows while it is gone through
                for other in (link.other(one) for link in one.links):
                    if other in left:
                        left.remove(other)
                        found.append(other)
            yield found


def _close(event: Event, level: float) -> None:
    """Say what is known of an event, and let go of what it was worked out with."""
    event.dated = _dated(event, level)
    event.close(event.dated.regions)


def _impossible(event: Event) -> bool:
    """Whether an event on which its claims agree stands in the wrong order to another on which all agree."""
    for link in event.links:
        other = link.other(event)
        if other.claims and (other.settled or other.opened):
            first, last = (event, other) if link.before is event else (other, event)
            if min(c.last for _, c in last.claims) < max(c.first for _, c in first.claims):
                return True
    return False


def _doubt_sightings(stay: Stay, events: Events) -> None:
    """A stay that rests on sightings alone is no surer than that one of them is rightly dated."""
    if all(entry.seen for entry in stay.entries):
        seen = [events.of_entry[id(e)]["seen"] for e in stay.entries if id(e) in events.of_entry]
        sure = max((mass_in(e.without(None), e.claims[0][1].spans) for e in seen), default=0.0)
        stay.component_sure = min(stay.component_sure, sure)


def _shaken(event: Event) -> bool:
    """Whether what is written lies outside a life, or where a neighbour or the miles hardly want it."""
    regions = event.regions
    if regions is None:
        return False
    own = [
        place
        for place, (a, b) in enumerate(zip(regions.starts, regions.ends, strict=True))
        if any(x <= a and b <= y for _, claim in event.claims for x, y in claim.spans)
    ]
    if all(event.outside[place] for place in own):
        return True
    parts = ((link, event.parts.get(id(link))) for link in event.links)
    return any(max(part[place] for place in own) < link.ease - _SHAKEN for link, part in parts if part)


def _begin(event: Event) -> None:
    """Cut the time of an event that is dated: at its claims and lives, and where sure neighbours end."""
    turns = [] if event.settled else _turns(event)
    days = [day for told in event.told for day in (told.first, told.last)] + turns
    low, high = max(EVER_FIRST, min(days) - _WINDOW), min(EVER_LAST, max(days) + _WINDOW)
    event.weigh([*turns, *(() if event.settled else _fine(event))], low, high)


def _turns(event: Event) -> list[Day]:
    """Where the narrow dates of the neighbours begin and end: there order begins to speak."""
    return [
        told.last + 1 if link.before is event else told.first
        for link in event.links
        for told in link.other(event).told
        if told.last - told.first <= _WIDE
    ]


def _fine(event: Event) -> list[Day]:
    """A wide date is cut into months, since neighbours may favour a part of it."""
    return [
        day
        for _, claim in event.claims
        for a, b in claim.spans
        if _FINE < b - a <= _FARTHEST
        for day in range(a + _FINE, b, _FINE)
    ]


def _sweep(doubtful: list[Event]) -> bool:
    """Let every doubtful event hear its neighbours anew; whether any heard something new."""
    news: list[tuple[Event, Link, Posterior]] = []
    for event in doubtful:
        for link in event.links:
            other = link.other(event)
            if other.stated:
                heard = other.believes(link)
                if event.heard.get(id(link)) != heard:
                    news.append((event, link, heard))
    for event, link, heard in news:
        event.hear(link, heard)
    return bool(news)


def _dated(event: Event, level: float) -> Dated:
    """What is known of an event that something dates."""
    stages = _stages(event)
    posterior = stages[-1][1]
    first, last = interval(posterior, level)
    likeliest, sure = _likeliest([claim for _, claim in event.claims], posterior)
    said = {spans: tuple((name, mass_in(so_far, spans)) for name, so_far in stages) for spans in _said(event)}
    return Dated(posterior, first, last, sure, likeliest, said)


def _said(event: Event) -> dict[Spans, None]:
    """The days that each text about an event may mean, also of those that do not count."""
    if isinstance(event.owner, Stay):
        claims = [entry.date(event.name) for entry in event.owner.entries]
    else:
        claims = [claim for _, claim in event.claims]
    return {claim.spans: None for claim in claims if claim is not None}


def _stages(event: Event) -> list[tuple[str, Posterior]]:
    """The posterior as one kind of evidence after another is let in: claims, lives, order, miles."""
    regions = event.regions
    if regions is None:
        return []
    found = [("agreement", regions.posterior(regions.claims))]
    if any(event.outside):
        found.append(("life", regions.posterior(event.weights(groups=()))))
    for count, group in enumerate(_LET_IN, start=1):
        if any(link.group == group and id(link) in event.parts for link in event.links):
            found.append((group, regions.posterior(event.weights(groups=_LET_IN[:count]))))
    return found


def _likeliest(claims: list[DateClaim], posterior: Posterior) -> tuple[tuple[Day, Day], float]:
    """The days of the best claim, cut down to what is likely in it, and the probability of the claim."""
    mass = [mass_in(posterior, claim.spans) for claim in claims]
    best = max(range(len(claims)), key=lambda k: (mass[k] - claims[k].days / 4e4, -claims[k].first))
    spans, sure = claims[best].spans, mass[best]
    kept = [(a, b) for a, b, p in posterior if p > 0.04 * sure and any(x <= a and b <= y for x, y in spans)]
    return ((kept[0][0], kept[-1][1]) if kept else (claims[best].first, claims[best].last)), sure


def _unstated(event: Event, level: float) -> Dated | None:
    """An event that nobody dates lies between its neighbours, if these are known on both sides."""
    heard = [(link, link.other(event).believes(None)) for link in event.links if link.other(event).stated]
    after = [(link, _best(belief)) for link, belief in heard if link.after is event and belief]
    before = [(link, _best(belief)) for link, belief in heard if link.before is event and belief]
    low = max((best[0] for _, best in after), default=event.life.first)
    high = min((best[1] for _, best in before), default=event.life.last)
    if low == EVER_FIRST or high == EVER_LAST or low > high:
        return None
    cuts = [best[1] + step for _, best in after for step in _STEPS]
    cuts += [best[0] - step for _, best in before for step in _STEPS]
    event.weigh(sorted(cuts), low, high)
    for link, belief in heard:
        event.hear(link, belief)
    posterior = event.without(None)
    first, last = interval(posterior, level)
    return Dated(posterior, first, last, _UNSTATED_SURE, (first, last))


def _best(belief: Posterior) -> tuple[Day, Day]:
    """The likeliest of the regions."""
    a, b, _ = max(belief, key=lambda region: (region[2], -region[0]))
    return a, b


__all__ = ["claims_of", "class_of", "date_stays", "interval", "mass_in", "rate_of"]
