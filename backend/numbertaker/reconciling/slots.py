"""Who was on which engine or component when, going by headings, and what the cards of each cover; kept from
run to run, with who asked for it.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from numbertaker.linking import Sort
from numbertaker.reconciling.entries import CardKey, Draft, Entry, Slot, Stay

_IN_CHAIN = 0.4


class Covered(NamedTuple):
    """The days from the first line of a card to its last, and the source that the card is of."""

    first: float
    last: float
    source: str


class Slots:
    """The stays and cards of every engine and component; what was changed in it is `touched`."""

    def __init__(self) -> None:
        """Start with none."""
        self.touched: dict[Slot, None] = {}
        self._stays: dict[Slot, dict[Stay, None]] = {}
        self._of_stay: dict[Stay, tuple[Slot, ...]] = {}
        self._covered: dict[Slot, dict[CardKey, Covered]] = {}
        self._of_card: dict[CardKey, tuple[Slot, Covered]] = {}
        self._asking: dict[Slot, dict[Stay, None]] = {}
        self._asked: dict[Stay, dict[Slot, None]] = {}
        self._chains: dict[Slot, dict[Stay, None]] = {}
        self._in_chains: dict[Stay, tuple[Slot, ...]] = {}
        self._spare: dict[Entry, str] = {}

    # ------------------------------------------------------------------ what is in them

    def put(self, stay: Stay, *, there: bool = True) -> None:
        """Lay a stay to the engine and the component that its cards are headed with; or take it away."""
        for slot in self._of_stay.pop(stay, ()):
            del self._stays[slot][stay]
            self.touched[slot] = None
        if there:
            self._of_stay[stay] = mine = tuple(_slots_of(stay.headed.engine_id, stay.headed.component_id))
            for slot in mine:
                self._stays.setdefault(slot, {})[stay] = None
                self.touched[slot] = None

    def cover(self, card: CardKey, entries: Iterable[Entry]) -> None:
        """Note what time a card is known to cover."""
        told: tuple[Slot, Covered] | None = None
        days = [d.middle for e in entries if e.says == "fitment" for d in (e.fitted, e.removed) if d]
        first = next(iter(entries), None)
        if first is not None and first.side != "statement" and len(days) > 1:
            sort: Sort = "engine" if first.side == "engine" else "component"
            subject = first.engine_id if sort == "engine" else first.component_id
            if subject:
                told = (sort, subject), Covered(min(days), max(days), first.line.source_id)
        known = self._of_card.pop(card, None)
        if known is not None:
            del self._covered[known[0]][card]
        if told is not None:
            self._of_card[card] = told
            self._covered.setdefault(told[0], {})[card] = told[1]
        if known != told:
            self.touched.update((slot, None) for slot, _ in (one for one in (known, told) if one))

    # ------------------------------------------------------------------ what is asked of them

    def stays(self, sort: Sort, subject: str | None, asks: Stay) -> Iterable[Stay]:
        """The stays of an engine or a component."""
        return self._stays.get(self._ask(sort, subject, asks), ())

    def covered(self, sort: Sort, subject: str, asks: Stay) -> Iterable[Covered]:
        """What time its cards cover."""
        return self._covered.get(self._ask(sort, subject, asks), {}).values()

    def _ask(self, sort: Sort, subject: str | None, asks: Stay) -> Slot:
        slot: Slot = (sort, subject or "")
        self._asking.setdefault(slot, {})[asks] = None
        self._asked.setdefault(asks, {})[slot] = None
        return slot

    def forget(self, stay: Stay) -> None:
        """Forget what a stay asked for."""
        for slot in self._asked.pop(stay, ()):
            del self._asking[slot][stay]

    def asking(self) -> Iterator[Stay]:
        """The stays that asked for what was touched."""
        for slot in self.touched:
            yield from self._asking.get(slot, ())

    # ------------------------------------------------------------------ chains

    def chain(self, stay: Stay, *, there: bool = True) -> Iterator[Slot]:
        """Lay a stay to those whose it likely is; gives those on whose chain it was or is."""
        before = self._in_chains.pop(stay, ())
        for slot in before:
            del self._chains[slot][stay]
        now: tuple[Slot, ...] = ()
        if there and stay.rough is not None:
            engine = stay.engine_id if stay.engine_sure > _IN_CHAIN else None
            component = stay.component_id if stay.component_sure > _IN_CHAIN else None
            now = self._in_chains[stay] = tuple(_slots_of(engine, component))
            for slot in now:
                self._chains.setdefault(slot, {})[stay] = None
        yield from (*before, *now)

    def in_order(self, slot: Slot) -> list[Stay]:
        """The stays of a chain as they happened."""
        return sorted(self._chains.get(slot, ()), key=lambda s: s.rank)

    # ------------------------------------------------------------------ spare

    def lay_spare(self, draft: Draft, entry: Entry) -> None:
        """Lay what says that a component lay spare to that component, or take away what does not."""
        known = self._spare.pop(entry, None)
        if known is not None:
            draft.spare[known].remove(entry)
            draft.news.chains["component", known] = None
        stock = entry.says == "spare" or (entry.engine is not None and entry.engine.state == "stock")
        if entry.component_id and stock and entry not in draft.news.gone:
            self._spare[entry] = entry.component_id
            insort(draft.spare.setdefault(entry.component_id, []), entry, key=lambda e: e.rank)
            draft.news.chains["component", entry.component_id] = None


def _slots_of(engine: str | None, component: str | None) -> Iterator[Slot]:
    if engine:
        yield "engine", engine
    if component:
        yield "component", component


def slots_of(draft: Draft) -> Slots:
    """The slots of a draft, made when first asked for."""
    draft.slots = draft.slots or Slots()
    return draft.slots
