"""Lists, books and letters by whom they name, stays by what they are found by, and which may be of which."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TypeAlias

from numbertaker.reconciling.entries import Draft, Entry, Stay
from numbertaker.reconciling.pairing import references

Found: TypeAlias = tuple[str, str | int]
"""What a stay and a statement are found by: a component, or a number of miles."""
CARDS = -1
"""The level of what stands on the cards; statements have as many copyings as lie before them."""


class Statements:
    """Everything that is said of fitments off the cards that tell of them, kept from run to run."""

    def __init__(self) -> None:
        """Start with none."""
        self.of: dict[Entry, tuple[Found, ...]] = {}
        self.bids: dict[Entry, dict[Stay, None]] = {}
        self.bidders: dict[Stay, dict[Entry, None]] = {}
        self.lone: dict[Entry, Stay] = {}
        self.doubles: dict[Entry, dict[Entry, None]] = {}
        self.beside: dict[Entry, dict[Entry, None]] = {}
        self._behind: dict[Entry, Entry] = {}
        self._depths: dict[str, int] = {}
        self._naming: dict[Found, dict[Entry, None]] = {}
        self._stays: dict[Found, dict[Stay, int]] = {}
        self._found_by: dict[Stay, dict[Found, int]] = {}

    # ------------------------------------------------------------------ statements

    def level(self, draft: Draft, entry: Entry) -> int:
        """How many copyings lie between a statement's source and the originals."""
        source = entry.line.source_id
        if source not in self._depths:
            self._depths[source] = _depth(draft, source, frozenset())
        return self._depths[source]

    def add(self, draft: Draft, entry: Entry) -> None:
        """Take in a line: a statement by whom it names and by its miles; a double or a second card's line
        by the line that says the same.
        """
        for shelf, head in ((self.doubles, entry.twin), (self.beside, entry.beside)):
            if head is not None:
                shelf.setdefault(head, {})[entry] = None
                self._behind[entry] = head
        if entry.twin is None and speaks(entry):
            named: list[Found] = [
                ("component", bearer.subject_id) for bearer in references(draft, entry, "component").bearers
            ]
            if entry.component_id is not None:
                named.append(("component", entry.component_id))
            if entry.miles is not None:
                named.append(("miles", entry.miles.value))
            self.of[entry] = tuple(dict.fromkeys(named))
            for one in self.of[entry]:
                self._naming.setdefault(one, {})[entry] = None

    def remove(self, entry: Entry) -> None:
        """Let a line be no more, or be taken in anew."""
        for one in self.of.pop(entry, ()):
            del self._naming[one][entry]
        for stay in self.bids.pop(entry, ()):
            self.bidders.get(stay, {}).pop(entry, None)
        head = self._behind.pop(entry, None)
        if head is not None:
            self.doubles.get(head, {}).pop(entry, None)
            self.beside.get(head, {}).pop(entry, None)
        self.lone.pop(entry, None)

    def naming(self, stay: Stay) -> Iterator[Entry]:
        """The statements that a stay may be found by."""
        for one in self._found_by.get(stay, ()):
            yield from self._naming.get(one, ())

    def bid(self, entry: Entry, stay: Stay) -> None:
        """Note that a statement may be of a stay."""
        self.bids.setdefault(entry, {})[stay] = None
        self.bidders.setdefault(stay, {})[entry] = None

    # ------------------------------------------------------------------ stays

    def shelve(self, stay: Stay, entries: Iterable[Entry], level: int) -> None:
        """Let a stay be found by its components, and by the miles of some of its entries, above a level."""
        keys: list[Found] = [("component", name) for name in sorted(components_of(stay))]
        keys += [("miles", entry.miles.value) for entry in entries if entry.miles]
        mine = self._found_by.setdefault(stay, {})
        for key in keys:
            if key not in mine:
                mine[key] = level
                self._stays.setdefault(key, {})[stay] = level

    def unshelve(self, stay: Stay) -> None:
        """Let a stay not be found, and nothing be noted of who may be of it."""
        for key in self._found_by.pop(stay, ()):
            del self._stays[key][stay]
        for entry in self.bidders.pop(stay, ()):
            self.bids[entry].pop(stay, None)

    def near(self, keys: Iterable[Found], below: int) -> list[Stay]:
        """The stays that are found by one of these, going by what stands below a level."""
        found = {s: None for key in keys for s, level in self._stays.get(key, {}).items() if level < below}
        return list(found)


def speaks(entry: Entry) -> bool:
    """Whether it tells of a fitment off the cards that should: on a list, or as a sighting."""
    return (entry.says == "fitment" and entry.side == "statement") or entry.says == "carried"


def components_of(stay: Stay) -> set[str]:
    """The components that a stay may be of, going by its entries."""
    if stay.own is not None and stay.own.component_id:
        return {stay.own.component_id}
    if stay.mirror is not None:
        refs = stay.mirror.component_refs
        return {b.subject_id for b in refs.bearers if b.exact} if refs is not None else set()
    return {e.component_id for e in stay.others if e.component_id}


def _depth(draft: Draft, source_id: str, seen: frozenset[str]) -> int:
    """How many copyings lie between a source and the originals; a ring of copies counts once round."""
    source = draft.sources.get(source_id)
    if source is None or source_id in seen:
        return 0
    return max((1 + _depth(draft, parent, seen | {source_id}) for parent in source.parents), default=0)
