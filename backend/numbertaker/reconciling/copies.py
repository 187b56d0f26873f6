"""Lists, books and letters laid to the stays that they speak of.

What was compiled from another source attaches to what it repeats, and never counts as a witness beside it.
Statements of sources that were compiled from nothing attach in the same way, and do count. What attaches
nowhere makes stays of its own, a copy of a copy joining the copy.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from numbertaker.linking import Candidate
from numbertaker.reconciling.entries import DateClaim, Draft, Entry, Stay
from numbertaker.reconciling.odds import dates_weight, miles_weight, reference_weight
from numbertaker.reconciling.pairing import references

_ATTACH_AT_LEAST = 4.0
_ACROSS_AT_LEAST = 10.0
_CARRIED_LOOSE = 400
_CARRIED_NEAR = 60


def attach_statements(draft: Draft) -> None:
    """Attach every statement, those nearest to the original sources first."""
    _join_doubles(draft)
    statements = [e for e in draft.entries if e.stay is None and e.twin is None and _speaks(e)]
    depth = {source: _depth(draft, source, frozenset()) for source in {e.line.source_id for e in statements}}
    for level in sorted(set(depth.values())):
        batch = [e for e in statements if depth[e.line.source_id] == level]
        _attach(draft, [e for e in batch if e.says == "fitment"])
        _attach_sightings(draft, [e for e in batch if e.says == "carried"])
    _join_doubles(draft)


def _join_doubles(draft: Draft) -> None:
    """Lay an entry that says again what the one above it says to the same stay."""
    for entry in draft.entries:
        if entry.stay is None and entry.twin is not None and entry.twin.stay is not None:
            entry.stay = entry.twin.stay
            entry.stay.twins.append(entry)


def _speaks(entry: Entry) -> bool:
    return (entry.says == "fitment" and entry.side == "statement") or entry.says == "carried"


def _depth(draft: Draft, source_id: str, seen: frozenset[str]) -> int:
    """How many copyings lie between a source and the originals; a ring of copies counts once round."""
    source = draft.sources.get(source_id)
    if source is None or source_id in seen:
        return 0
    return max((1 + _depth(draft, parent, seen | {source_id}) for parent in source.parents), default=0)


class _Shelf:
    """The stays by what they can be found by."""

    def __init__(self, stays: Iterable[Stay]) -> None:
        self.by_component: dict[str, dict[int, Stay]] = defaultdict(dict)
        self.by_miles: dict[int, dict[int, Stay]] = defaultdict(dict)
        self.count = 0
        for stay in stays:
            self.add(stay)

    def add(self, stay: Stay) -> None:
        """Shelve one stay; its number on the shelf keeps the order fixed."""
        number, self.count = self.count, self.count + 1
        for component in components_of(stay):
            self.by_component[component][number] = stay
        for entry in stay.entries:
            if entry.miles:
                self.by_miles[entry.miles.value][number] = stay

    def near(self, entry: Entry, components: Iterable[str]) -> list[Stay]:
        """The stays that an entry may speak of, in the order of the shelf."""
        found: dict[int, Stay] = {}
        for component in components:
            found |= self.by_component.get(component, {})
        if entry.miles:
            found |= self.by_miles.get(entry.miles.value, {})
        return [found[number] for number in sorted(found)]


def components_of(stay: Stay) -> set[str]:
    """The components that a stay may be of, going by its entries."""
    if stay.own is not None and stay.own.component_id:
        return {stay.own.component_id}
    if stay.mirror is not None:
        return {c for c, found in stay.mirror.refs.get("component", {}).items() if found.exact}
    return {e.component_id for e in stay.others if e.component_id}


def _attach(draft: Draft, entries: list[Entry]) -> None:
    """Attach to stays of the component that is named; what finds none, to stays of those named alike."""
    shelf = _Shelf(draft.stays)
    _attach_to(draft, shelf, entries, exact=True)
    _attach_to(draft, shelf, [entry for entry in entries if entry.stay is None], exact=False)
    for entry in entries:
        if entry.stay is None:
            entry.stay = Stay(others=[entry])
            draft.stays.append(entry.stay)


def _attach_to(draft: Draft, shelf: _Shelf, entries: list[Entry], *, exact: bool) -> None:
    edges: list[tuple[float, Entry, Stay]] = []
    for entry in entries:
        refs = references(draft, entry, "component")
        named = [subject for subject, candidate in refs.items() if candidate.exact or not exact]
        for stay in shelf.near(entry, named):
            score = _score(draft, entry, stay, refs)
            least = _ATTACH_AT_LEAST if entry.component_id in components_of(stay) else _ACROSS_AT_LEAST
            if score >= least:
                edges.append((score, entry, stay))
    for _, entry, stay in sorted(edges, key=lambda x: (-x[0], x[1].rank, x[2].lead.rank)):
        if entry.stay is None and not _taken(entry, stay):
            _join(entry, stay)


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


def _score(draft: Draft, entry: Entry, stay: Stay, refs: dict[str, Candidate]) -> float:
    lead = stay.lead
    rest = dates_weight(entry, lead) + miles_weight(entry.miles, lead.miles)
    if rest < -12:
        return rest
    component = max(
        (reference_weight(entry, refs, c, draft.index.size("component")) for c in components_of(stay)),
        default=-7.0,
    )
    return rest + component + _engine_score(draft, entry, stay)


def _engine_score(draft: Draft, entry: Entry, stay: Stay) -> float:
    original = next((e for e in stay.entries if e.side != "engine"), None)
    if (
        original is not None
        and entry.engine
        and original.engine
        and entry.engine.bare == original.engine.bare
    ):
        return 5.5
    if stay.mirror is not None:
        refs = references(draft, entry, "engine")
        weight = reference_weight(entry, refs, stay.mirror.engine_id, draft.index.size("engine"))
        return min(5.5, weight)
    shared = set(references(draft, entry, "engine"))
    return 0.0 if original is not None and shared & set(references(draft, original, "engine")) else -5.5


def _attach_sightings(draft: Draft, entries: list[Entry]) -> None:
    seen_on: dict[str, list[Stay]] = defaultdict(list)
    for stay in draft.stays if entries else ():
        for component in components_of(stay):
            seen_on[component].append(stay)
    for entry in entries:
        _attach_carried(draft, entry, seen_on)


def _attach_carried(draft: Draft, entry: Entry, seen_on: dict[str, list[Stay]]) -> None:
    """Lay a photograph or letter to the stay that its date falls in, if there is just one like it."""
    component = entry.component_id or _one(references(draft, entry, "component"))
    engine = entry.engine_id or _one(references(draft, entry, "engine"))
    seen = entry.seen
    if component is None or engine is None or seen is None:
        return
    entry.component_id = component
    may_be = [s for s in seen_on.get(component, ()) if _may_be_on(draft, s, engine)]
    nearest = min(may_be, key=lambda s: (_away(s, seen), s.lead.rank), default=None)
    if nearest is not None and _away(nearest, seen) < _CARRIED_NEAR:
        entry.stay = nearest
        nearest.others.append(entry)
        return
    entry.stay = Stay(others=[entry])
    draft.stays.append(entry.stay)
    seen_on[component].append(entry.stay)


def _one(refs: dict[str, Candidate]) -> str | None:
    return next((subject for subject, candidate in refs.items() if candidate.exact), None)


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
