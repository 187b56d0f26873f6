"""Both sides of one fitment found: component cards joined with engine cards, one to one and jointly best.

A pair weighs what its two lines have in common: the reference each way, both dates, and the miles
(`numbertaker.reconciling.odds`), less what it would take for the two to meet by chance among all lines.
Against it stand the whole alternatives that the partner of each is lost: its line, where the card that should
have it is there, or the card itself. Of all ways to pair the lines that hang together, the one with most
weight is taken (`numbertaker.reconciling.matching`); a pair that crosses sure ones on the same two cards
loses weight, since cards were written downwards.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from functools import cached_property
from math import log2
from typing import TypeVar

from numbertaker.linking import Candidate, Sort, link_candidates
from numbertaker.reconciling.doubles import fold_doubles
from numbertaker.reconciling.entries import CardKey, Draft, Entry, Stay
from numbertaker.reconciling.matching import Edge, jointly_best
from numbertaker.reconciling.odds import dates_weight, miles_weight, reference_weight
from numbertaker.reconciling.second_cards import lay_beside

Name = TypeVar("Name", str, int)
_LINES_A_CARD = 10
_NO_CARD = 0.9
_MISREAD = (0.01, 0.02, 0.04, 0.08, 0.15, 0.25, 0.4)
_HOPELESS = -12.0
_SURE = 14.0
_CROSSES = 4.0


def pair_sides(draft: Draft) -> None:
    """Fold double entries, then make a stay of every pair and of every entry that has no partner."""
    fold_doubles(draft)
    lay_beside(draft)
    pairs = Pairs(draft)
    for edge in pairs.chosen():
        _make(draft, Stay(own=pairs.own[edge.one], mirror=pairs.mirror[edge.other], score=edge.weight))
    for entry in pairs.own:
        if entry.stay is None:
            _make(draft, Stay(own=entry))
    for entry in pairs.mirror:
        if entry.stay is None:
            _make(draft, Stay(mirror=entry))
    _join_second_cards(draft)


def _join_second_cards(draft: Draft) -> None:
    """Lay what a second card says to the stay of the line beside which it stands."""
    for entry in draft.entries:
        if entry.beside is not None and entry.beside.stay is not None:
            entry.stay = entry.beside.stay
            entry.stay.others.append(entry)


def _alone(entry: Entry) -> bool:
    """Whether no other line of the same card, or of the fullest card of its subject, tells of the same."""
    return entry.twin is None and entry.beside is None


def _names_somebody(entry: Entry) -> bool:
    written = entry.engine if entry.side == "component" else entry.component
    return written is None or not written.state


def _make(draft: Draft, stay: Stay) -> None:
    for entry in stay.entries:
        entry.stay = stay
    draft.stays.append(stay)


def references(draft: Draft, entry: Entry, sort: Sort) -> dict[str, Candidate]:
    """Whom an entry may mean on the other side, by id; a ruling leaves only the one it names."""
    if sort not in entry.refs:
        entry.refs[sort] = {c.subject_id: c for c in _candidates(draft, entry, sort) if c.subject_id}
    return entry.refs[sort]


def _candidates(draft: Draft, entry: Entry, sort: Sort) -> Iterable[Candidate]:
    key = entry.key(sort)
    if key in draft.ruled.links:
        subject = draft.ruled.links[key]
        return [Candidate(subject, 0.9999, 13.0, True, True)] if subject else []
    written = entry.engine if sort == "engine" else entry.component
    if written is None or not written.bare or draft.refused(key):
        return []
    read = entry.line.sureness(sort)
    # In steps, so that cells that were read about as surely have their candidates in common.
    misread = 0.02 if read is None else next(step for step in _MISREAD if 0.4 * (1 - read) <= step)
    found = link_candidates(draft.index, written, sort, *entry.between, misread=misread)
    return [c for c in found if c.exact] if key in draft.ruled.believed else found


def _exact(draft: Draft, entry: Entry, sort: Sort) -> list[str]:
    """Whom an entry names letter for letter; where that is nobody, everybody who is named alike."""
    refs = references(draft, entry, sort)
    return [subject for subject, found in refs.items() if found.exact] or list(refs)


class Pairs:
    """The lines of both sides, doubles left out, and the pairs that they may make."""

    def __init__(self, draft: Draft) -> None:
        """Take the lines of cards that tell of a fitment."""
        entries = [e for e in draft.entries if e.says == "fitment" and _alone(e) and _names_somebody(e)]
        self.draft = draft
        self.own = [e for e in entries if e.side == "component"]
        self.mirror = [e for e in entries if e.side == "engine"]
        self.engines, self.components = draft.index.size("engine"), draft.index.size("component")
        self.by_chance = log2(_LINES_A_CARD) + (log2(self.engines) + log2(self.components)) / 2

    def chosen(self) -> list[Edge]:
        """The pairs that are jointly best, each weighed against both partners being lost, in log2 odds."""
        edges = self.edges()
        found = jointly_best(edges)
        crossing = self._less_for_crossing(edges, found)
        return found if crossing is None else jointly_best(crossing)

    def edges(self) -> list[Edge]:
        """Every pair that is likelier than that the partners of both are lost, by places on both sides."""
        edges = []
        for one, entry in enumerate(self.own):
            alone = self._alone(entry, "engine")
            for other in self._near(entry):
                common = self._weight(entry, self.mirror[other])
                weight = common - self.by_chance - alone - self._alone_facing[other]
                if weight > 0:
                    edges.append(Edge(weight, one, other))
        return edges

    def _near(self, entry: Entry) -> list[int]:
        """The lines of engine cards that may be the partner: by engine, by component, by miles."""
        found: set[int] = set(self._by_component.get(entry.component_id or "", ()))
        for engine in _exact(self.draft, entry, "engine"):
            found.update(self._by_engine.get(engine, ()))
        if entry.miles:
            found.update(self._by_miles.get(entry.miles.value, ()))
        return sorted(found)

    @cached_property
    def _by_engine(self) -> dict[str, list[int]]:
        return _shelved((e.engine_id, n) for n, e in enumerate(self.mirror) if e.engine_id)

    @cached_property
    def _by_component(self) -> dict[str, list[int]]:
        return _shelved(
            (name, n) for n, e in enumerate(self.mirror) for name in _exact(self.draft, e, "component")
        )

    @cached_property
    def _by_miles(self) -> dict[int, list[int]]:
        return _shelved((e.miles.value, n) for n, e in enumerate(self.mirror) if e.miles)

    @cached_property
    def _alone_facing(self) -> list[float]:
        return [self._alone(entry, "component") for entry in self.mirror]

    def _alone(self, entry: Entry, sort: Sort) -> float:
        """log2 of how often a line has no partner on the other side: that line is lost, or the card is."""
        if any(name in self._with_card[sort] for name in _exact(self.draft, entry, sort)):
            return log2(self.draft.learnt.lost[f"line/{sort}"].share)
        return log2(_NO_CARD)

    @cached_property
    def _with_card(self) -> dict[Sort, set[str]]:
        """Whose cards survive."""
        return {
            "engine": {e.engine_id for e in self.mirror if e.engine_id},
            "component": {e.component_id for e in self.own if e.component_id},
        }

    def _weight(self, own: Entry, mirror: Entry) -> float:
        rest = dates_weight(own, mirror) + miles_weight(own.miles, mirror.miles)
        if rest < _HOPELESS:
            return rest
        one = reference_weight(own, references(self.draft, own, "engine"), mirror.engine_id, self.engines)
        refs = references(self.draft, mirror, "component")
        return rest + one + reference_weight(mirror, refs, own.component_id, self.components)

    def _less_for_crossing(self, edges: list[Edge], found: list[Edge]) -> list[Edge] | None:
        """The edges with less weight for those that cross sure pairs; None where none does."""
        sure: dict[tuple[CardKey, CardKey], list[Edge]] = defaultdict(list)
        for edge in found:
            if edge.weight >= _SURE:
                sure[self.own[edge.one].card, self.mirror[edge.other].card].append(edge)
        lighter = [self._lighter(edge, sure) for edge in edges]
        return None if lighter == edges else lighter

    def _lighter(self, edge: Edge, sure: dict[tuple[CardKey, CardKey], list[Edge]]) -> Edge:
        own, mirror = self.own[edge.one], self.mirror[edge.other]
        beside = sure.get((own.card, mirror.card), ())
        if len(beside) < 2:
            return edge
        crossed = sum(
            (own.row - self.own[e.one].row) * (mirror.row - self.mirror[e.other].row) < 0 for e in beside
        )
        return edge if not crossed else replace(edge, weight=edge.weight - _CROSSES * min(2, crossed))


def _shelved(pairs: Iterable[tuple[Name, int]]) -> dict[Name, list[int]]:
    shelf: dict[Name, list[int]] = defaultdict(list)
    for name, number in pairs:
        shelf[name].append(number)
    return shelf
