"""What is to be looked at again: what is news, and what has cells that others explain otherwise now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import cast

from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.entries import CardKey, Draft, Entry, Slot, Stay
from numbertaker.reconciling.findings.notes import Notes


class Due:
    """The stays, cards, chains, columns and days to be looked at again; it grows while the families look."""

    def __init__(self, draft: Draft, notes: Notes, families: int) -> None:
        """Begin with the news; `families` is how many look."""
        self._draft = draft
        self.stays: dict[Stay, None] = {}
        self.cards: dict[CardKey, None] = {}
        self.slots: dict[Slot, None] = dict.fromkeys(draft.news.chains)
        self.columns: dict[str, None] = dict.fromkeys(draft.news.ladders)
        self.days: dict[tuple[str, str], None] = dict.fromkeys(draft.news.single)
        news = draft.news
        for stay in (*news.stays, *news.dated, *news.reckoned):
            self._add(stay)
        for card in (*news.cards, *(entry.card for entry in news.entries)):
            self.cards[card] = None
        self._strike(notes, families)
        for finding in news.settled:
            for _, what in notes.units_of(finding):
                self._name(what)

    def _strike(self, notes: Notes, families: int) -> None:
        """Strike out what was found at stays and on cards that are no more."""
        left = [stay for stay in self._draft.news.left if stay not in self._draft.stays]
        cards = [card for card in self.cards if card not in self._draft.cards]
        for what in (*left, *cards):
            for family in range(families):
                notes.gone((family, what))

    def _name(self, what: object) -> None:
        """Add whatever a finding was found at."""
        if isinstance(what, Stay):
            self._add(what)
        elif isinstance(what, CellKey):
            self.take((what,))
        elif isinstance(what, str):
            self.columns[what] = None
        elif what in self._draft.cards:
            self.cards[what] = None
        else:
            self.slots[cast("Slot", what)] = None

    def _add(self, stay: Stay) -> None:
        """Add a stay, its cards, its chains, and the columns that count it."""
        if stay in self.stays or stay not in self._draft.stays:
            return
        self.stays[stay] = None
        if stay.engine_id:
            self.slots["engine", stay.engine_id] = None
        if stay.component_id:
            self.slots["component", stay.component_id] = None
        if self._draft.ladders is not None:
            self.columns |= dict.fromkeys(self._draft.ladders.of(stay))
        for entry in stay.entries:
            self.cards[entry.card] = None

    def take(self, cells: Iterable[CellKey]) -> None:
        """Add the stays, the cards and the single days of some cells."""
        for cell in cells:
            entry = self._draft.entry_of.get(cell.line_id)
            if entry is not None:
                self.cards[entry.card] = None
                if entry in self._draft.stating:
                    self.days[self._draft.stating[entry]] = None
                if entry.stay is not None:
                    self._add(entry.stay)

    def below(self) -> Iterator[Stay]:
        """The stays whose lines repeat one of a stay with news by a ditto mark."""
        for card in self.cards:
            for entry in self._draft.cards.get(card, ()):
                heads = (head.stay for head in entry.heads.values() if head is not None)
                if entry.stay is not None and any(head in self.stays for head in heads):
                    yield entry.stay

    def chains(self, sort: str) -> Iterator[tuple[Slot, list[Stay]]]:
        """The chains of a sort, in their order; those that are no more are empty."""
        table = self._draft.on_engine if sort == "engine" else self._draft.on_component
        for slot in sorted(slot for slot in self.slots if slot[0] == sort):
            yield slot, table.get(slot[1], [])

    def entries(self) -> Iterator[tuple[CardKey, list[Entry]]]:
        """The cards, in their order."""
        yield from ((card, self._draft.cards.get(card, [])) for card in sorted(self.cards))
