"""When each stay began and ended: an exact posterior over runs of days.

The ends of every claim and bound cut time into regions within which nothing changes. A region's weight is its
number of days times one factor for each thing known: a claim puts `1 - slip` evenly on its own days, and
`slip` on the days around with an exponential tail; a life, a neighbour on the component's chain or on the
engine's, and the miles run are soft bounds. The neighbours' own posteriors feed back, for a few sweeps.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import exp, log

from numbertaker.evidence.days import Day
from numbertaker.linking.index import EVER_FIRST, EVER_LAST
from numbertaker.reconciling.entries import (
    EVENTS,
    Bound,
    DateClaim,
    Dated,
    Draft,
    Entry,
    Posterior,
    Stay,
)

_WINDOW = 1500
_RATE_STEPS = ((1.5, 1.1), (2.5, 2.0), (3.5, 3.0))


@dataclass(slots=True)
class Weighed:
    """One run of days with its log weights: of its claims and its length, and of each group of bounds."""

    first: Day
    last: Day
    claims: float
    groups: dict[str, float]


def date_stays(draft: Draft) -> None:
    """Work out every event of every stay."""
    before, after = _neighbours(draft)
    for sweep in range(draft.settings.sweeps):
        for stay in sorted(draft.stays, key=lambda s: s.rank):
            for event in EVENTS:
                bounds = bounds_of(draft, stay, event, before, after, settled=sweep > 0)
                if draft.bounds.get((id(stay), event)) == bounds:
                    continue
                draft.bounds[id(stay), event] = bounds
                dated = _dated(draft, stay, event, bounds)
                if dated is not None:
                    stay.dates[event] = dated
    for stay in draft.stays:
        _open_reversed(stay)


def _open_reversed(stay: Stay) -> None:
    """Where the ends stand the wrong way round, either may be wrong: both may lie anywhere between."""
    start, end = stay.dates.get("fitted"), stay.dates.get("removed")
    if start is None or end is None:
        return
    told = [(e.fitted, e.removed) for e in stay.witnesses if e.fitted and e.removed]
    wrong = bool(told) and all(a and b and a.first > b.last for a, b in told)
    if not wrong and start.first <= end.last:
        return
    days = [d for a, b in told if a and b for d in (a.first, a.last, b.first, b.last)] if wrong else []
    first, last = min([start.first, end.first, *days]), max([start.last, end.last, *days])
    start.first = end.first = first
    start.last = end.last = last


def class_of(draft: Draft, stay: Stay) -> str:
    """The class of a stay's engine at the time; empty where none is known."""
    first = int(stay.rough[0]) if stay.rough else EVER_FIRST
    classes = draft.index.classes_at(
        stay.engine_id or "", first, int(stay.rough[1]) if stay.rough else EVER_LAST
    )
    return classes[0] if classes else ""


def rate_of(draft: Draft, stay: Stay) -> float:
    """The usual log of miles a day of a stay's engine."""
    return draft.learnt.ran(class_of(draft, stay)).log_rate


Links = dict[int, list[Stay]]


def _neighbours(draft: Draft) -> tuple[Links, Links]:
    before: Links = {}
    after: Links = {}
    chains = [
        *draft.on_component.values(),
        *(run for chain in draft.on_engine.values() for run in _by_kind(draft, chain)),
    ]
    for chain in chains:
        for one, other in pairwise(chain):
            # The same two may follow each other on both chains, and bound each other only once.
            if other not in after.setdefault(id(one), []):
                after[id(one)].append(other)
                before.setdefault(id(other), []).append(one)
    return before, after


def _by_kind(draft: Draft, chain: list[Stay]) -> list[list[Stay]]:
    """An engine carries a boiler and a tender at once: one chain for each kind."""
    kinds: dict[str, list[Stay]] = {}
    for stay in chain:
        component = draft.index.components.get(stay.component_id or "")
        kinds.setdefault(component.kind if component else "", []).append(stay)
    return list(kinds.values())


def bounds_of(
    draft: Draft, stay: Stay, event: str, before: Links, after: Links, *, settled: bool
) -> list[Bound]:
    """Everything that bounds an event besides the claims of it."""
    bounds = _life(draft, stay)
    if not settled:
        return bounds
    odds = draft.settings.order_odds
    if event == "fitted":
        bounds += _order(stay, "removed", odds, least=False, says="it was removed after it was fitted")
        for other in before.get(id(stay), ()):
            bounds += _order(other, "removed", odds - 1, least=True, says="the fitment before had ended")
    else:
        bounds += _order(stay, "fitted", odds, least=True, says="it was removed after it was fitted")
        for other in after.get(id(stay), ()):
            bounds += _order(other, "fitted", odds - 1, least=False, says="the next fitment had not begun")
    return bounds + _sightings(draft, stay, event) + _run(draft, stay, event)


def _sightings(draft: Draft, stay: Stay, event: str) -> list[Bound]:
    """Whoever saw it on the engine bounds both events: it was fitted by then, and not yet removed."""
    seen = [e.seen for e in stay.entries if e.seen and not draft.refused(e.seen.key)]
    odds = -draft.settings.order_odds + 1
    if event == "fitted":
        return [
            Bound(claim.last, False, odds, "order", "it was seen on the engine by then") for claim in seen
        ]
    return [Bound(claim.first, True, odds, "order", "it was still seen on the engine") for claim in seen]


def _life(draft: Draft, stay: Stay) -> list[Bound]:
    lives = [draft.index.life(subject) for subject in (stay.engine_id, stay.component_id) if subject]
    first = max((life.first for life in lives), default=EVER_FIRST)
    last = min((life.last for life in lives), default=EVER_LAST)
    found = []
    if first > EVER_FIRST:
        found.append(Bound(first, True, -draft.settings.order_odds, "life", "both were built by then"))
    if last < EVER_LAST:
        found.append(Bound(last, False, -draft.settings.order_odds, "life", "neither was withdrawn yet"))
    return found


def _order(stay: Stay, event: str, odds: float, *, least: bool, says: str) -> list[Bound]:
    known = stay.dates.get(event)
    if known is None or known.sure < 0.5:
        return []
    weight = log(1 - known.sure * stay.sure * (1 - exp(-odds)))
    # The bound is the far end of what is known, since the event may have happened on any of those days.
    return [Bound(known.likeliest[0] if least else known.likeliest[1], least, weight, "order", says)]


def _run(draft: Draft, stay: Stay, event: str) -> list[Bound]:
    """What the miles say of the time, where the other end is known well."""
    other = stay.dates.get("removed" if event == "fitted" else "fitted")
    figures = [e.miles.value for e in stay.witnesses if e.miles and not draft.refused(e.miles.key)]
    if other is None or other.sure < 0.6 or not figures or figures[0] <= 0:
        return []
    first, last = other.likeliest
    if last - first > 400:
        return []
    days, middle, half = figures[0] / exp(rate_of(draft, stay)), (first + last) // 2, (last - first) // 2
    found = []
    for steps, weight in _RATE_STEPS:
        short, long = days * exp(-steps * draft.rate_spread), days * exp(steps * draft.rate_spread)
        near, far = (short, long) if event == "removed" else (-long, -short)
        found.append(
            Bound(int(middle + near) - half, True, -weight, "rate", "the miles want about that time")
        )
        found.append(
            Bound(int(middle + far) + half, False, -weight, "rate", "the miles want about that time")
        )
    return found


def claims_of(draft: Draft, stay: Stay, event: str) -> list[tuple[Entry, DateClaim]]:
    """The claims of an event that count: of the witnesses, but for those a person set aside.

    A copy knows nothing of its own, but it was made from the paper itself: where it differs from its
    original, one of the two was misread, and so it is weighed, with the share of errors that copies have. One
    that agrees adds nothing.
    """
    found = [(entry, claim) for entry in stay.witnesses if (claim := draft.trusted(entry, event)) is not None]
    copied = next(
        ((e, c) for e in stay.others if e.copy and (c := draft.trusted(e, event)) is not None), None
    )
    if copied is None:
        return found
    if not found:
        return [copied]
    if any(claim.meets(copied[1]) for _, claim in found):
        return found
    entry, claim = copied
    return [*found, (entry, replace(claim, slip=max(claim.slip, draft.settings.copied_date_slip)))]


def weigh(draft: Draft, claims: list[DateClaim], bounds: list[Bound]) -> list[Weighed]:
    """Cut time into regions and weigh each; none where there are neither claims nor bounds."""
    points = [day for claim in claims for day in (claim.first, claim.last)] + [b.day for b in bounds]
    if not points:
        return []
    low = max(EVER_FIRST, min(points) - _WINDOW)
    high = min(EVER_LAST, max(points) + _WINDOW)
    cuts = {low, high + 1}
    cuts.update(cut for claim in claims for a, b in claim.spans for cut in (a, b + 1))
    cuts.update(bound.day if bound.least else bound.day + 1 for bound in bounds)
    edges = sorted(cut for cut in cuts if low <= cut <= high + 1)
    regions = [
        Weighed(a, b - 1, log(b - a), {"life": 0.0, "order": 0.0, "rate": 0.0}) for a, b in pairwise(edges)
    ]
    for claim in claims:
        _weigh_claim(regions, claim, draft.settings.slip_reach)
    for bound in bounds:
        _weigh_bound(regions, bound)
    return regions


def _weigh_claim(regions: list[Weighed], claim: DateClaim, reach: float) -> None:
    inside, outside = log((1 - claim.slip) / claim.days), log(claim.slip) - log(2 * reach)
    for region in regions:
        first, last = region.first, region.last
        away = 0.0
        for a, b in claim.spans:
            if a <= first and last <= b:
                region.claims += inside
                break
            middle = (first + last) / 2
            off = a - middle if middle < a else middle - b
            away = off if not away or off < away else away
        else:
            region.claims += outside - away / reach


def _weigh_bound(regions: list[Weighed], bound: Bound) -> None:
    for region in regions:
        if region.last < bound.day if bound.least else region.first > bound.day:
            region.groups[bound.group] += bound.weight


def shares(weights: list[float]) -> list[float]:
    """Log weights as shares of one."""
    top = max(weights)
    powers = [exp(weight - top) for weight in weights]
    whole = sum(powers)
    return [power / whole for power in powers]


def _dated(draft: Draft, stay: Stay, event: str, bounds: list[Bound]) -> Dated | None:
    claims = [claim for _, claim in claims_of(draft, stay, event)]
    if not claims:
        return _unstated(stay, event, bounds)
    stages = _stages(weigh(draft, claims, bounds), bounds)
    posterior = stages[-1][1]
    first, last = interval(posterior, draft.settings.level)
    likeliest, sure = _likeliest(claims, posterior)
    return Dated(posterior, first, last, sure, likeliest, tuple(stages))


def _stages(regions: list[Weighed], bounds: list[Bound]) -> list[tuple[str, Posterior]]:
    """The posterior as one kind of evidence after another is let in: claims, lives, order, miles."""
    weights = [region.claims for region in regions]
    found = [("agreement", _posterior(regions, weights))]
    groups = {bound.group for bound in bounds}
    for group in ("life", "order", "rate"):
        if group in groups:
            weights = [w + region.groups[group] for w, region in zip(weights, regions, strict=True)]
            found.append((group, _posterior(regions, weights)))
    return found


def _posterior(regions: list[Weighed], weights: list[float]) -> Posterior:
    return tuple((r.first, r.last, p) for r, p in zip(regions, shares(weights), strict=True))


def _likeliest(claims: list[DateClaim], posterior: Posterior) -> tuple[tuple[Day, Day], float]:
    """The days of the best claim, cut down to what is likely in it, and the probability of the claim."""
    best = max(claims, key=lambda c: (mass_in(posterior, c.spans) - c.days / 4e4, -c.first))
    sure = mass_in(posterior, best.spans)
    kept = [
        (a, b) for a, b, p in posterior if p > 0.04 * sure and any(x <= a and b <= y for x, y in best.spans)
    ]
    return ((kept[0][0], kept[-1][1]) if kept else (best.first, best.last)), sure


def mass_in(posterior: Posterior, spans: tuple[tuple[Day, Day], ...]) -> float:
    """The probability that a day lies in one of these spans; every span is a union of regions or of parts of
    them.
    """
    total = 0.0
    for a, b in spans:
        for first, last, p in posterior:
            shared = min(b, last) - max(a, first) + 1
            if shared > 0:
                total += p * shared / (last - first + 1)
    return min(1.0, total)


def interval(posterior: Posterior, level: float) -> tuple[Day, Day]:
    """The hull of the densest regions that together hold the level."""
    ranked = sorted(posterior, key=lambda r: (-r[2] / (r[1] - r[0] + 1), r[0]))
    held, first, last = 0.0, ranked[0][0], ranked[0][1]
    for a, b, p in ranked:
        if held >= level:
            break
        held, first, last = held + p, min(first, a), max(last, b)
    return first, last


def _unstated(stay: Stay, event: str, bounds: list[Bound]) -> Dated | None:
    """An event that nobody dates lies between its neighbours, if these are known on both sides."""
    lows = [b.day for b in bounds if b.least and b.group in {"order", "life"}]
    highs = [b.day for b in bounds if not b.least and b.group in {"order", "life"}]
    if not lows or not highs or max(lows) > min(highs):
        return None
    first, last = max(lows), min(highs)
    return Dated(((first, last, 1.0),), first, last, 0.8, (first, last))
