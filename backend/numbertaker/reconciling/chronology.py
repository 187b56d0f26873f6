"""When each stay began and ended: an exact posterior over runs of days for every event.

An event is told of by claims, each of which has days on which it is right and days on which it would lie if
it were wrong in one of the usual ways (`dating.slips`); it is bounded by lives; and its neighbours say how
long before or after them it will have been (`dating.laws`). What is said passes along the chains in a few
sweeps, all events of one sweep hearing what was believed after the sweep before, and nobody hearing his own
words (belief propagation: J. Pearl, "Probabilistic Reasoning in Intelligent Systems", 1988, chapter 4).
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from numbertaker.evidence.days import Day
from numbertaker.linking.index import EVER_FIRST, EVER_LAST
from numbertaker.reconciling.dating.chains import SORTS, Chains, tie
from numbertaker.reconciling.dating.events import Event, Group, Link
from numbertaker.reconciling.dating.making import STATED, open_up, single_day
from numbertaker.reconciling.dating.regions import interval, mass_in
from numbertaker.reconciling.dating.told import claims_of
from numbertaker.reconciling.entries import DateClaim, Dated, Draft, Entry, Posterior, Spans, Stay, nothing
from numbertaker.reconciling.network.narrowing import narrow
from numbertaker.reconciling.rates import class_of, rate_of

_WINDOW: Final = 1500
_FARTHEST: Final = 4200
_FINE: Final = 31
_WIDE: Final = 62
_STEPS: Final = (0, 8, 15, 31, 46, 61, 81, 101, 131, 181, 271, 401, 731, 1461)
_SHAKEN: Final = 2.0
_UNSTATED_SURE: Final = 0.8
_LET_IN: Final[tuple[Group, ...]] = ("order", "rate")


def date_stays(draft: Draft) -> None:
    """Work out the events of every stay that is new or stands otherwise, and of all that hear of these."""
    chains = draft.chains = draft.chains or Chains()
    for stay in draft.news.stays:
        stay.told = {}
    days = _single_days(draft)
    region = _in_touch(draft, chains, chains.renew(draft))
    while True:
        tie(draft, chains, region)
        events = [event for stay in region for event in stay.made]
        beyond = _beyond(events, region)
        if not beyond:
            break
        region = _in_touch(draft, chains, {**region, **beyond})
    stated = [event for event in (*events, *days) if event.stated]
    _believe(draft, stated)
    _settle(draft, region)
    draft.news.redated.update(region)
    for event in (*events, *days):
        for entry, _ in event.claims if isinstance(event.owner, Entry) else ():
            if event.dated is not None:
                entry.dates = {**entry.dates, event.name: event.dated}
                draft.news.lines[entry] = None


def _settle(draft: Draft, region: dict[Stay, None]) -> None:
    """Give its dates to every stay of a region, and narrow those around; what came out otherwise is news."""
    level, around = draft.settings.level, _beside(region)
    before = {stay: _known(stay) for stay in around}
    for stay in region:
        stay.dates = {}
        for name, event in stay.events.items():
            dated = event.dated if event.stated else _unstated(event, level)
            if dated is not None:
                stay.dates[name] = dated
        _doubt_sightings(stay)
    narrow(draft, around)
    draft.news.dated.update((stay, None) for stay in around if _known(stay) != before[stay])


def _known(stay: Stay) -> tuple[object, ...]:
    """What is known of the time of a stay."""
    told = (
        (name, d.regions, d.first, d.last, d.sure, d.likeliest, d.stages) for name, d in stay.dates.items()
    )
    return stay.component_sure, *told


def _beside(region: dict[Stay, None]) -> dict[Stay, None]:
    """The stays of a region, and all that are tied to them."""
    found = dict(region)
    for stay in region:
        for event in stay.made:
            homes = (link.other(event).home for link in event.links)
            found.update((home, None) for home in homes if home is not None)
    return found


def _in_touch(draft: Draft, chains: Chains, due: dict[Stay, None]) -> dict[Stay, None]:
    """Stays, and all that hear of them over events which are in doubt: nothing is heard past settled ones."""
    region = dict(due)
    if len(region) == len(draft.stays):
        return region
    heard = dict.fromkeys(event for stay in (*due, *draft.news.left) for event in stay.made)
    for stay in due:
        for sort in SORTS:
            ends = (chains.after[sort].get(stay), "fitted"), (chains.before[sort].get(stay), "removed")
            for near, name in ends:
                if near is not None and near.events and not near.events[name].settled:
                    heard[near.events[name]] = None
    queue = list(heard)
    for event in queue:
        if event.home in draft.stays:
            region[event.home] = None
        for other in (link.other(event) for link in event.links):
            if not other.settled and other not in heard and other.home in draft.stays:
                heard[other] = None
                queue.append(other)
    return region


def _beyond(events: list[Event], region: dict[Stay, None]) -> dict[Stay, None]:
    """Whose events outside of a region hear of it after all, since they are in doubt."""
    found: dict[Stay, None] = {}
    for event in events:
        for other in (link.other(event) for link in event.links):
            doubtful = not other.settled or _impossible(other)
            if doubtful and other.home is not None and other.home not in region:
                found[other.home] = None
    return found


def _single_days(draft: Draft) -> list[Event]:
    """The days that lines state as those on which something was built, withdrawn or condemned, made anew
    where a line is new.
    """
    touched: dict[tuple[str, str], None] = {}
    for entry in (*draft.news.gone, *draft.news.entries):
        known = draft.stating.pop(entry, None)
        if known is not None:
            draft.single[known].remove(entry)
            touched[known] = None
        subject = entry.engine_id if entry.side == "engine" else entry.component_id
        if entry.says in STATED and subject is not None and entry not in draft.news.gone:
            entry.dates, entry.events = nothing(), nothing()
            if draft.trusted(entry, STATED[entry.says]) is not None:
                draft.stating[entry] = key = (subject, entry.says)
                insort(draft.single.setdefault(key, []), entry, key=lambda e: e.rank)
                touched[key] = None
    made = []
    draft.news.single.update(touched)
    for subject, says in touched:
        entries = draft.single[subject, says]
        told = [(e, claim) for e in entries if (claim := draft.trusted(e, STATED[says])) is not None]
        if told:
            made.append(single_day(draft, subject, says, told))
            for entry in entries:
                entry.events = {STATED[says]: made[-1]}
    return made


def _believe(draft: Draft, stated: list[Event]) -> None:
    """Weigh the claims of every event, then let events hear one another until there is nothing new.

    Nothing is heard past a settled event, so those in doubt are gone through group by group, and what a group
    was worked out with is let go of before the next.
    """
    for event in [event for event in stated if event.settled and _impossible(event)]:
        event.settled = False
        open_up(draft, event)
    for event in stated:
        if event.settled:
            _begin(event)
            _close(event, draft.settings.level)
    for group in _groups([event for event in stated if not event.settled]):
        for event in group:
            _begin(event)
        _sweep(group)
        for event in group:
            if not event.opened and _shaken(event):
                open_up(draft, event)
                _begin(event)
        for _ in range(draft.settings.sweeps):
            if not _sweep(group):
                break
        for event in group:
            _close(event, draft.settings.level)


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
    event.close(_dated(event, level))


def _impossible(event: Event) -> bool:
    """Whether an event on which its claims agree stands in the wrong order to another on which all agree."""
    for link in event.links:
        other = link.other(event)
        if other.claims and (other.settled or other.opened):
            first, last = (event, other) if link.before is event else (other, event)
            if min(c.last for _, c in last.claims) < max(c.first for _, c in first.claims):
                return True
    return False


def _doubt_sightings(stay: Stay) -> None:
    """A stay that rests on sightings alone is no surer than that one of them is rightly dated."""
    stay.component_sure = stay.placed[1]
    if all(entry.seen for entry in stay.entries):
        seen = [entry.events["seen"] for entry in stay.entries if "seen" in entry.events]
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
        claim.last + 1 if link.before is event else claim.first
        for link in event.links
        for _, claim in link.other(event).claims
        if claim.last - claim.first <= _WIDE
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
    said = [
        (spans, tuple((name, mass_in(so_far, spans)) for name, so_far in stages)) for spans in _said(event)
    ]
    days = tuple((_same(a), _same(b), p) for a, b, p in posterior)
    return Dated(days, _same(first), _same(last), sure, likeliest, tuple(said))


@lru_cache(maxsize=65_536)
def _same(day: Day) -> Day:
    """Equal days as one value: there are millions of events in some tens of thousands of days."""
    return day


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
