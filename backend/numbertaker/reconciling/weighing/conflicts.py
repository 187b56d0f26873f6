"""Which cells and lines take part in a contradiction, by the kind of finding."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, TypeVar

from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.entries import Entry
from numbertaker.reconciling.history import Finding
from numbertaker.reconciling.weighing.terms import Term

Key = TypeVar("Key", str, CellKey)
_WORDS: Final = {
    "gap": "a gap begins or ends at it",
    "overlap": "the component would have been on two engines at once",
    "double-occupancy": "the engine would have carried two at once",
    "date-conflict": "it and another date of the same event can't both be true",
    "mileage-conflict": "it and another figure of the same fitment can't both be true",
    "total-mismatch": "a total differs from what it totals",
    "rate-outlier": "the miles don't fit the time",
    "outside-lifetime": "it lies outside a life",
    "misnamed": "the one meant did not bear this then",
    "does-not-fit": "the type does not fit the class",
    "one-sided": "the card that should have it too has not",
    "unlinked": "nobody likely bore it",
    "ambiguous-link": "it may mean several",
    "repeated-line": "it is entered twice",
    "doubtful-reading": "it was read with little confidence",
}

_NONE: Final[frozenset[str]] = frozenset()


class Conflicts:
    """The findings by the cells that are at odds in them, and by the lines that they name."""

    def __init__(self, findings: Iterable[Finding] = ()) -> None:
        """Read off some findings; those that a person settled speak no more."""
        self._cells: dict[CellKey, dict[str, str]] = {}
        self._lines: dict[str, dict[str, str]] = {}
        for finding in findings:
            self.replace(None, finding)

    def replace(self, before: Finding | None, now: Finding | None) -> None:
        """Let a finding say what it says now."""
        for finding in (before, now):
            if finding is None or finding.settled_by is not None:
                continue
            for cell in finding.claims:
                _lay(self._cells, cell, finding, there=finding is now)
            for line in finding.lines:
                _lay(self._lines, line, finding, there=finding is now)

    def beside(self, entry: Entry) -> frozenset[str]:
        """The kinds of finding that name a line of an entry, whichever of its cells they are about."""
        named = [self._lines[line.line_id].values() for line in entry.lines if line.line_id in self._lines]
        return frozenset().union(*named) if named else _NONE

    def terms(self, beside: frozenset[str], key: CellKey) -> list[Term]:
        """One term for each kind that has the cell itself, one for each that stands `beside` it."""
        if not beside:
            return []
        here = frozenset(self._cells.get(key, {}).values())
        found = [Term(f"in {kind}", 1.0, "conflict", _WORDS.get(kind, kind)) for kind in sorted(here)]
        return found + [Term(f"beside {kind}", 1.0, "conflict") for kind in sorted(beside - here)]


def _lay(shelf: dict[Key, dict[str, str]], key: Key, finding: Finding, *, there: bool) -> None:
    """Lay a finding to a cell or a line, or take it away."""
    if there:
        shelf.setdefault(key, {})[finding.id] = finding.kind
    elif finding.id in shelf.get(key, {}):
        del shelf[key][finding.id]
        if not shelf[key]:
            del shelf[key]
