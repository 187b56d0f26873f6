"""Which cards tell of which component's miles, kept from run to run."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from numbertaker.reconciling.entries import CardKey, Entry, Stay


class Ladders:
    """The cards of every component; of one whose heading nobody bore, under a name of its own."""

    def __init__(self) -> None:
        """Start with none."""
        self._cards: dict[str, dict[CardKey, None]] = {}
        self._of: dict[CardKey, str] = {}

    def move(self, card: CardKey, entries: list[Entry] | None) -> Iterator[str]:
        """Lay a card to whose it is now; gives whose it was and is."""
        known = self._of.pop(card, None)
        if known is not None:
            del self._cards[known][card]
            yield known
        if entries and entries[0].side == "component":
            self._of[card] = name = entries[0].component_id or "\n".join(card)
            self._cards.setdefault(name, {})[card] = None
            yield name

    def cards(self, name: str) -> Iterable[CardKey]:
        """The cards of a component."""
        return self._cards.get(name, ())

    def of(self, stay: Stay) -> Iterator[str]:
        """The components whose columns have to do with a stay: its own, and those on whose cards it is."""
        if stay.component_id is not None:
            yield stay.component_id
        for entry in stay.entries:
            if entry.card in self._of:
                yield self._of[entry.card]
