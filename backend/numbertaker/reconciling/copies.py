"""Lists, books and letters laid to the stays that they speak of.

What was compiled from another source attaches to what it repeats, and never counts as a witness beside it.
Statements of sources that were compiled from nothing attach in the same way, and do count. What attaches
nowhere makes stays of its own, a copy of a copy joining the copy.
"""

from __future__ import annotations

from numbertaker.linking import Ranked
from numbertaker.reconciling.entries import DateClaim, Draft, Entry, Stay
from numbertaker.reconciling.odds import dates_weight, miles_weight, reference_weight
from numbertaker.reconciling.pairing import references
from numbertaker.reconciling.region import Region
from numbertaker.reconciling.statements import Found, Statements, components_of

_ATTACH_AT_LEAST = 4.0
_ACROSS_AT_LEAST = 10.0
_SAME_ENGINE = 5.5
_HOPELESS = -12.0
_CARRIED_LOOSE = 400
_CARRIED_NEAR = 60


def attach_statements(draft: Draft) -> None:
    """Attach every statement that is new or that this may concern, those nearest to the originals first."""
    told = draft.statements = draft.statements or Statements()
    region = Region(draft, told)
    while True:
        region.clear()
        for level, entries in region.levels():
            _attach(region, [entry for entry in entries if entry.says == "fitment"], level)
            for entry in entries:
                if entry.says == "carried":
                    _attach_carried(region, entry, level)
        if not region.grew(_may_be_of):
            break
    region.close()


def _attach(region: Region, entries: list[Entry], level: int) -> None:
    """Attach to stays of the component that is named; what finds none, to stays of those named alike."""
    _attach_to(region, entries, level, exact=True)
    _attach_to(region, [entry for entry in entries if entry.stay is None], level, exact=False)
    for entry in entries:
        if entry.stay is None:
            region.alone(entry, level)
        else:
            region.told.shelve(entry.stay, (entry,), level)


def _attach_to(region: Region, entries: list[Entry], level: int, *, exact: bool) -> None:
    draft, edges = region.draft, []
    for entry in entries:
        refs = references(draft, entry, "component")
        keys: list[Found] = [("component", c.subject_id) for c in refs.bearers if c.exact or not exact]
        if entry.miles:
            keys.append(("miles", entry.miles.value))
        for stay in region.told.near(keys, level):
            plain, least = _plain_score(draft, entry, stay, refs), _least(entry, stay)
            if plain + _SAME_ENGINE >= least:
                region.may_be(entry, stay)
                score = plain + _engine_score(draft, entry, stay)
                if score >= least:
                    edges.append((score, entry, stay))
    for _, entry, stay in sorted(edges, key=lambda x: (-x[0], x[1].rank, x[2].lead.rank)):
        if entry.stay is None and not _taken(entry, stay):
            _join(entry, stay)


def _least(entry: Entry, stay: Stay) -> float:
    """What must speak for a statement's being of a stay: more, where that is of a component named alike."""
    return _ATTACH_AT_LEAST if entry.component_id in components_of(stay) else _ACROSS_AT_LEAST


def _may_be_of(draft: Draft, entry: Entry, stay: Stay) -> bool:
    """Whether a statement could be of a stay, whatever else is laid to that."""
    if entry.says == "carried":
        component, engine = _carried(draft, entry)
        return component in components_of(stay) and engine is not None and _may_be_on(draft, stay, engine)
    plain = _plain_score(draft, entry, stay, references(draft, entry, "component"))
    return plain + _SAME_ENGINE >= _least(entry, stay)


def _taken(entry: Entry, stay: Stay) -> bool:
    """Whether this source already spoke of the stay, in other words, as often as the card itself does."""
    spoken = [
        other
        for other in (*stay.others, *stay.twins)
        if other.line.source_id == entry.line.source_id
        and not (other.fitted and entry.fitted and other.fitted.edtf == entry.fitted.edtf)
    ]
    lead = stay.lead.line.source_id
    return len(spoken) > sum(twin.line.source_id == lead for twin in stay.twins)


def _join(entry: Entry, stay: Stay) -> None:
    entry.stay = stay
    if any(other.line.source_id == entry.line.source_id for other in stay.others):
        stay.twins.append(entry)
    else:
        stay.others.append(entry)


def _plain_score(draft: Draft, entry: Entry, stay: Stay, refs: Ranked) -> float:
    """How much a statement has in common with a stay, but for the engine."""
    lead = stay.lead
    rest = dates_weight(entry, lead) + miles_weight(entry.miles, lead.miles)
    if rest < _HOPELESS:
        return rest
    size = draft.index.size("component")
    return rest + max((reference_weight(entry, refs, c, size) for c in components_of(stay)), default=-7.0)


def _engine_score(draft: Draft, entry: Entry, stay: Stay) -> float:
    original = next((e for e in stay.entries if e.side != "engine"), None)
    if (
        original is not None
        and entry.engine
        and original.engine
        and entry.engine.bare == original.engine.bare
    ):
        return _SAME_ENGINE
    if stay.mirror is not None:
        refs = references(draft, entry, "engine")
        weight = reference_weight(entry, refs, stay.mirror.engine_id, draft.index.size("engine"))
        return min(_SAME_ENGINE, weight)
    if original is None:
        return -_SAME_ENGINE
    known = references(draft, original, "engine")
    shared = any(known.get(bearer.subject_id) for bearer in references(draft, entry, "engine").bearers)
    return 0.0 if shared else -_SAME_ENGINE


def _attach_carried(region: Region, entry: Entry, level: int) -> None:
    """Lay a photograph or letter to the stay that its date falls in, if there is just one like it."""
    draft, seen = region.draft, entry.seen
    component, engine = _carried(draft, entry)
    if component is None or engine is None or seen is None:
        return
    entry.component_id = component
    near = region.told.near([("component", component)], level + 1)
    may_be = [stay for stay in near if _may_be_on(draft, stay, engine)]
    for stay in may_be:
        region.may_be(entry, stay)
    nearest = min(may_be, key=lambda s: (_away(s, seen), _away_at_most(s, seen), s.lead.rank), default=None)
    if nearest is not None and _away(nearest, seen) < _CARRIED_NEAR:
        entry.stay = nearest
        nearest.others.append(entry)
        region.told.shelve(nearest, (entry,), level)
    else:
        region.alone(entry, level)


def _carried(draft: Draft, entry: Entry) -> tuple[str | None, str | None]:
    """The component and the engine that a sighting names, where both are plain."""
    component = entry.component_id or _one(references(draft, entry, "component"))
    return component, entry.engine_id or _one(references(draft, entry, "engine"))


def _one(refs: Ranked) -> str | None:
    return next((bearer.subject_id for bearer in refs.bearers if bearer.exact), None)


def _may_be_on(draft: Draft, stay: Stay, engine: str) -> bool:
    if stay.mirror is not None:
        return stay.mirror.engine_id == engine
    found = references(draft, stay.lead, "engine").get(engine)
    return found is not None


def _away(stay: Stay, seen: DateClaim) -> float:
    """How many days a sighting lies outside the dates of a stay; 0 within them."""
    starts = [e.fitted.first for e in stay.entries if e.fitted] + [
        e.seen.first for e in stay.entries if e.seen
    ]
    ends = [e.removed.last for e in stay.entries if e.removed] + [e.seen.last for e in stay.entries if e.seen]
    start = min(starts) if starts else min(ends) - 4 * _CARRIED_LOOSE
    end = max(ends) if any(e.removed for e in stay.entries) else max(starts) + 4 * _CARRIED_LOOSE
    return max(0, start - seen.last, seen.first - end)


def _away_at_most(stay: Stay, seen: DateClaim) -> float:
    """The same by the narrowest dates of a stay, which tells two apart that follow each other; where it may
    lie in both, a part of a day for the one whose middle is farther off.
    """
    starts = [e.fitted for e in stay.entries if e.fitted]
    ends = [e.removed for e in stay.entries if e.removed]
    start = min(starts, key=lambda c: (c.days, c.first)).first if starts else seen.first
    end = min(ends, key=lambda c: (c.days, c.last)).last if ends else seen.last
    off = abs(seen.middle - (start + end) / 2)
    return max(0, start - seen.last, seen.first - end) + off / (off + 1000)
