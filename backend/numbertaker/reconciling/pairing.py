"""Both sides of one fitment found: component cards joined with engine cards, one to one and jointly best.

A pair weighs what its two lines have in common: the reference each way, both dates, and the miles
(`numbertaker.reconciling.odds`), less what it would take for the two to meet by chance among all lines.
Against it stand the whole alternatives that the partner of each is lost: its line, where the card that should
have it is there, or the card itself. Of all ways to pair the lines that hang together, the one with most
weight is taken (`numbertaker.reconciling.matching`); a pair that crosses sure ones on the same two cards
loses weight, since cards were written downwards.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import log2
from typing import TypeAlias

from numbertaker.linking import Ranked, Sort, link_candidates
from numbertaker.linking.candidates import NO_ONE, ruled
from numbertaker.reconciling.doubles import fold_doubles
from numbertaker.reconciling.entries import CardKey, Draft, Entry, Rank, Stay
from numbertaker.reconciling.matching import Choice, Edge
from numbertaker.reconciling.odds import dates_weight, miles_weight, reference_weight
from numbertaker.reconciling.second_cards import lay_beside
from numbertaker.reconciling.shelves import Side

_LINES_A_CARD = 10
_NO_CARD = 0.9
_MISREAD = (0.01, 0.02, 0.04, 0.08, 0.15, 0.25, 0.4)
_HOPELESS = -12.0
_SURE = 14.0
_CROSSES = 4.0

_Cards: TypeAlias = tuple[CardKey, CardKey]


def pair_sides(draft: Draft) -> None:
    """Fold double entries, then make a stay of every pair and of every entry that has no partner."""
    fold_doubles(draft)
    lay_beside(draft)
    pairs = draft.pairs = draft.pairs or Pairs(draft)
    due = pairs.renew(draft)
    for entry in (*draft.news.gone, *draft.news.entries):
        _leave(draft, entry)
    for entry in due:
        own, mirror, score = pairs.together(entry)
        known = entry.stay
        if known is None or (known.own, known.mirror, known.score) != (own, mirror, score):
            for one in (own, mirror):
                if one is not None:
                    _leave(draft, one)
            make_stay(draft, Stay(own=own, mirror=mirror, score=score))


def make_stay(draft: Draft, stay: Stay) -> None:
    """Take in a stay that its entries tell of."""
    for entry in stay.entries:
        entry.stay = stay
    draft.news.stays[stay] = draft.stays[stay] = None


def end_stay(draft: Draft, stay: Stay) -> None:
    """Let a stay be no more."""
    if stay in draft.stays:
        del draft.stays[stay]
        draft.news.stays.pop(stay, None)
        draft.news.left[stay] = None


def _leave(draft: Draft, entry: Entry) -> None:
    """Let a line of a card tell of nothing; what it and its partner told of together is no more."""
    stay = entry.stay
    if stay is not None and entry in (stay.own, stay.mirror):
        end_stay(draft, stay)
        for one in (stay.own, stay.mirror):
            if one is not None:
                one.stay = None


def _pairs_up(entry: Entry) -> bool:
    """Whether it is a line of a card that tells of a fitment, alone of its card or of the fullest card of its
    subject, and names somebody if it names anything.
    """
    if entry.says != "fitment" or entry.side == "statement" or entry.twin or entry.beside:
        return False
    written = entry.engine if entry.side == "component" else entry.component
    return written is None or not written.state


def references(draft: Draft, entry: Entry, sort: Sort) -> Ranked:
    """Whom an entry may mean on the other side; a ruling leaves only the one it names."""
    known = entry.engine_refs if sort == "engine" else entry.component_refs
    if known is None:
        known = _ranked(draft, entry, sort)
        if sort == "engine":
            entry.engine_refs = known
        else:
            entry.component_refs = known
    return known


def _ranked(draft: Draft, entry: Entry, sort: Sort) -> Ranked:
    key = entry.key(sort)
    if key in draft.ruled.links:
        subject = draft.ruled.links[key]
        return ruled(subject) if subject else NO_ONE
    written = entry.engine if sort == "engine" else entry.component
    if written is None or not written.bare or draft.refused(key):
        return NO_ONE
    read = entry.line.sureness(sort)
    # In steps, so that cells that were read about as surely have their candidates in common.
    misread = 0.02 if read is None else next(step for step in _MISREAD if 0.4 * (1 - read) <= step)
    found = link_candidates(draft.index, written, sort, *entry.between, misread=misread)
    if key not in draft.ruled.believed:
        return found
    return Ranked(tuple(bearer for bearer in found.bearers if bearer.exact), found.whole)


def named_by(draft: Draft, entry: Entry, sort: Sort) -> list[str]:
    """Whom an entry names letter for letter; where that is nobody, everybody who is named alike."""
    refs = references(draft, entry, sort).bearers
    return [b.subject_id for b in refs if b.exact] or [b.subject_id for b in refs]


class Pairs:
    """The lines of both sides, doubles left out, and the pairs that are jointly best."""

    def __init__(self, draft: Draft) -> None:
        """Start with no line."""
        self.draft = draft
        self.own, self.mirror = Side(), Side()
        self.engines, self.components = draft.index.size("engine"), draft.index.size("component")
        self.by_chance = log2(_LINES_A_CARD) + (log2(self.engines) + log2(self.components)) / 2
        self._alone: dict[Rank, float] = {}
        self._plain, self._choice = Choice(), Choice()
        self._sure: dict[_Cards, dict[Rank, Edge]] = {}

    def together(self, entry: Entry) -> tuple[Entry | None, Entry | None, float]:
        """A line and its partner, the component's first, and the weight of the pair; 0 where it has none."""
        is_own = entry.side == "component"
        edge = self._choice.pair_of(entry.rank, first=is_own)
        if edge is None:
            return (entry, None, 0.0) if is_own else (None, entry, 0.0)
        return self.own.lines[edge.one], self.mirror.lines[edge.other], edge.weight

    def edges(self) -> list[Edge]:
        """Every pair that is likelier than that the partners of both are lost, by the ranks of its lines."""
        return [edge for rank in sorted(self.own.lines) for edge in self._plain.pairs_of(rank)]

    def renew(self, draft: Draft) -> list[Entry]:
        """Take in what is new; the lines that are new, or whose partner may be another than before."""
        self.draft = draft
        again = self._shelve()
        for entry in again:
            self._alone[entry.rank] = self._lonely(entry)
        crossing = {self._cards(edge): None for entry in again for edge in self._weigh(entry, again)}
        for before, after in self._plain.settle():
            crossing |= dict.fromkeys(self._note_sure(before, after))
        for cards in crossing:
            self._less_for_crossing(cards)
        told = {entry.rank: None for entry in again}
        for pair in self._choice.settle():
            told |= {rank: None for edge in pair if edge for rank in (edge.one, edge.other)}
        return [e for rank in told if (e := self.own.lines.get(rank) or self.mirror.lines.get(rank))]

    def _shelve(self) -> dict[Entry, None]:
        """Take off what is no more and lay in what is new: the lines that are to be weighed anew.

        Where a card is lost or found, everything that names whose card it is must be.
        """
        news = self.draft.news
        had_own, had_mirror = set(self.own.headed), set(self.mirror.headed)
        for entry in (*news.gone, *news.entries):
            if self._side(entry).remove(entry):
                for choice in (self._plain, self._choice):
                    choice.drop(entry.rank, first=entry.side == "component")
        again: dict[Entry, None] = {}
        for entry in news.entries:
            if _pairs_up(entry):
                self._side(entry).add(entry, *self._told(entry))
                again[entry] = None
        for side, facing, before in ((self.own, self.mirror, had_mirror), (self.mirror, self.own, had_own)):
            for subject in sorted(before ^ set(facing.headed)):
                again |= {side.lines[rank]: None for rank in side.naming.get(subject, ())}
        return again

    def _side(self, entry: Entry) -> Side:
        return self.own if entry.side == "component" else self.mirror

    def _told(self, entry: Entry) -> tuple[str | None, list[str], int | None]:
        """Whose card a line stands on, whom it names on the other side, and its miles."""
        sort: Sort = "engine" if entry.side == "component" else "component"
        head = entry.component_id if entry.side == "component" else entry.engine_id
        return head, named_by(self.draft, entry, sort), entry.miles.value if entry.miles else None

    def _lonely(self, entry: Entry) -> float:
        """log2 of how often a line has no partner on the other side: that line is lost, or the card is."""
        sort, facing = ("engine", self.mirror) if entry.side == "component" else ("component", self.own)
        if any(name in facing.headed for name in self._side(entry).names(entry)):
            return log2(self.draft.learnt.lost[f"line/{sort}"].share)
        return log2(_NO_CARD)

    def _weigh(self, entry: Entry, again: dict[Entry, None]) -> Iterable[Edge]:
        """Weigh every pair that a line may be in, but once where both lines are to be weighed."""
        if entry.side == "component":
            pairs = [(entry, self.mirror.lines[rank]) for rank in self.mirror.near(self.own, entry)]
        else:
            near = (self.own.lines[rank] for rank in self.own.near(self.mirror, entry))
            pairs = [(own, entry) for own in near if own not in again]
        for own, mirror in pairs:
            alone = self._alone[own.rank] + self._alone[mirror.rank]
            edge = Edge(self._common(own, mirror) - self.by_chance - alone, own.rank, mirror.rank)
            if self._plain.put(edge):
                self._choice.put(edge)
                yield edge

    def _common(self, own: Entry, mirror: Entry) -> float:
        """What two lines have in common, in log2 odds."""
        rest = dates_weight(own, mirror) + miles_weight(own.miles, mirror.miles)
        if rest < _HOPELESS:
            return rest
        one = reference_weight(own, references(self.draft, own, "engine"), mirror.engine_id, self.engines)
        refs = references(self.draft, mirror, "component")
        return rest + one + reference_weight(mirror, refs, own.component_id, self.components)

    @staticmethod
    def _cards(edge: Edge) -> _Cards:
        return edge.one[0], edge.other[0]

    def _note_sure(self, before: Edge | None, after: Edge | None) -> Iterable[_Cards]:
        """Keep the sure pairs of every two cards; gives the cards for which one came or went."""
        for edge in (before, after):
            if edge is not None and edge.weight >= _SURE:
                cards = self._cards(edge)
                sure = self._sure.setdefault(cards, {})
                if edge is before:
                    del sure[edge.one]
                else:
                    sure[edge.one] = edge
                if not sure:
                    del self._sure[cards]
                yield cards

    def _less_for_crossing(self, cards: _Cards) -> None:
        """Give less weight to the pairs of two cards that cross sure ones."""
        beside = list(self._sure.get(cards, {}).values())
        for entry in self.draft.cards.get(cards[0], ()):
            for edge in self._plain.pairs_of(entry.rank):
                if edge.other[0] == cards[1]:
                    crossed = sum((edge.one[1] - e.one[1]) * (edge.other[1] - e.other[1]) < 0 for e in beside)
                    less = _CROSSES * min(2, crossed) if len(beside) > 1 else 0.0
                    self._choice.put(edge._replace(weight=edge.weight - less))
