"""The lines of the cards of one side, found by whose card they stand on, by whom they name, and by miles."""

from __future__ import annotations

from typing import Any, NamedTuple

from numbertaker.reconciling.entries import Entry, Rank


class _Told(NamedTuple):
    head: str | None
    names: tuple[str, ...]
    miles: int | None


class Side:
    """The lines of one side by their ranks, and the shelves on which the other side looks for partners."""

    def __init__(self) -> None:
        """Start with no line."""
        self.lines: dict[Rank, Entry] = {}
        self.headed: dict[str, dict[Rank, None]] = {}
        self.naming: dict[str, dict[Rank, None]] = {}
        self._running: dict[int, dict[Rank, None]] = {}
        self._told: dict[Entry, _Told] = {}

    def add(self, entry: Entry, head: str | None, names: list[str], miles: int | None) -> None:
        """Shelve a line: whose card it stands on, whom it names on the other side, what it ran."""
        told = self._told[entry] = _Told(head, tuple(names), miles)
        self.lines[entry.rank] = entry
        for shelf, key in self._places(told):
            shelf.setdefault(key, {})[entry.rank] = None

    def remove(self, entry: Entry) -> bool:
        """Take a line off its shelves; whether it was on them."""
        told = self._told.pop(entry, None)
        if told is None:
            return False
        del self.lines[entry.rank]
        for shelf, key in self._places(told):
            del shelf[key][entry.rank]
            if not shelf[key]:
                del shelf[key]
        return True

    def names(self, entry: Entry) -> tuple[str, ...]:
        """Whom a line names on the other side."""
        return self._told[entry].names

    def near(self, other: Side, entry: Entry) -> list[Rank]:
        """The lines of this side that may be the partner of a line of the other, in their order."""
        told = other._told[entry]
        found: set[Rank] = set(self.naming.get(told.head or "", ()))
        for name in told.names:
            found.update(self.headed.get(name, ()))
        if told.miles is not None:
            found.update(self._running.get(told.miles, ()))
        return sorted(found)

    def _places(self, told: _Told) -> list[tuple[dict[Any, dict[Rank, None]], Any]]:
        places: list[tuple[dict[Any, dict[Rank, None]], Any]] = [(self.naming, name) for name in told.names]
        if told.head:
            places.append((self.headed, told.head))
        if told.miles is not None:
            places.append((self._running, told.miles))
        return places
