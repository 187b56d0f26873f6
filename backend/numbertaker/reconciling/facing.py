"""Who names whom across the two ledgers, and what the headings of cards were taken for, stage by stage."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple, TypeAlias

from numbertaker.linking import Sort
from numbertaker.reconciling.entries import CardKey, Entry

Named: TypeAlias = tuple[Sort, str]
"""An engine or a component that a line or a heading may mean."""


class Heading(NamedTuple):
    """Whose card it is; `alike` where the heading is only like the number of that one."""

    subject: str | None
    alike: bool = False


class Facing:
    """The lines of each side by whom of the other they name, and the cards by whom their heading may mean.

    `headings` has what every card was taken for: as headed, then after each round of mending.
    """

    def __init__(self, rounds: int) -> None:
        """Start with none."""
        self.headings: list[dict[CardKey, Heading]] = [{} for _ in range(rounds + 1)]
        self._lines: dict[Named, dict[Entry, None]] = {}
        self._named: dict[Entry, tuple[Named, ...]] = {}
        self._cards: dict[Named, dict[CardKey, None]] = {}
        self._headed: dict[CardKey, tuple[Named, ...]] = {}

    def put(self, entry: Entry, named: Iterable[Named]) -> tuple[Named, ...]:
        """Shelve a line under those whom it names now; gives these and those whom it named before."""
        before, now = self._named.pop(entry, ()), tuple(named)
        for one in before:
            del self._lines[one][entry]
        for one in now:
            self._lines.setdefault(one, {})[entry] = None
        if now:
            self._named[entry] = now
        return before + now

    def head(self, card: CardKey, may_be: Iterable[Named]) -> None:
        """Shelve a card under those whom its heading may mean now."""
        for one in self._headed.pop(card, ()):
            del self._cards[one][card]
        self._headed[card] = tuple(may_be)
        for one in self._headed[card]:
            self._cards.setdefault(one, {})[card] = None

    def lines(self, sort: Sort, subject: str) -> Iterable[Entry]:
        """The lines of the other side, and of lists, that name somebody."""
        return self._lines.get((sort, subject), ())

    def cards(self, named: Iterable[Named]) -> set[CardKey]:
        """The cards whose heading may mean one of these."""
        return {card for one in named for card in self._cards.get(one, ())}

    def around(self, entries: Iterable[Entry]) -> set[CardKey]:
        """The cards whose heading may mean somebody whom one of these lines names."""
        return self.cards({one for entry in entries for one in self._named.get(entry, ())})

    def take(self, stage: int, card: CardKey, heading: Heading | None) -> bool:
        """Note what a card is taken for at a stage, None where it is no more; whether that is news."""
        known = self.headings[stage].get(card)
        if heading is None:
            self.headings[stage].pop(card, None)
        else:
            self.headings[stage][card] = heading
        return known != heading
