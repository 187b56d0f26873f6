"""Which cells and lines take part in a contradiction, by the kind of finding."""

from __future__ import annotations

from collections import defaultdict
from typing import Final

from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.entries import Draft, Entry
from numbertaker.reconciling.weighing.terms import Term

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

    def __init__(self, draft: Draft) -> None:
        """Read off the findings of a draft; those that a person settled speak no more."""
        self._cells: dict[CellKey, set[str]] = defaultdict(set)
        self._lines: dict[str, set[str]] = defaultdict(set)
        for finding, _ in draft.findings.values():
            if finding.settled_by is None:
                for claim in finding.claims:
                    self._cells[claim].add(finding.kind)
                for line in finding.lines:
                    self._lines[line].add(finding.kind)

    def beside(self, entry: Entry) -> frozenset[str]:
        """The kinds of finding that name a line of an entry, whichever of its cells they are about."""
        named = [self._lines[line.line_id] for line in entry.lines if line.line_id in self._lines]
        return frozenset().union(*named) if named else _NONE

    def terms(self, beside: frozenset[str], key: CellKey) -> list[Term]:
        """One term for each kind that has the cell itself, one for each that stands `beside` it."""
        if not beside:
            return []
        here = self._cells.get(key, _NONE)
        found = [Term(f"in {kind}", 1.0, "conflict", _WORDS.get(kind, kind)) for kind in sorted(here)]
        return found + [Term(f"beside {kind}", 1.0, "conflict") for kind in sorted(beside - here)]
