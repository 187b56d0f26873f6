"""Where the families write down what they found, and what a finding is called.

Each writes under what it looked at: a card, a stay, a chain. When that is looked at again, what was written
of it before is struck out first; so findings can be kept up, and whoever reads of a cell whether something
explains it reads what the families before him wrote.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from hashlib import sha256
from typing import TypeAlias

from numbertaker.evidence.days import Day
from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.confidence import held
from numbertaker.reconciling.entries import Draft, Entry
from numbertaker.reconciling.history import Finding

Unit: TypeAlias = tuple[int, Hashable]
"""Which family looked (its place in the order), and at what."""
_Order: TypeAlias = tuple[object, ...]


def finding_id(kind: str, claims: Iterable[CellKey], lines: Iterable[str], authority: Iterable[str]) -> str:
    """'F' and ten hexadecimal digits of a SHA-256 over what the finding is about, in a fixed order."""
    parts = [kind, *sorted(map(str, claims)), *sorted(lines), *sorted(authority)]
    return "F" + sha256("\n".join(parts).encode()).hexdigest()[:10]


class Explained:
    """The cells that findings explain, as the one who looks now sees them."""

    def __init__(self) -> None:
        """Start with none."""
        self.marks: dict[CellKey, dict[Unit, bool]] = {}
        self.family = 0
        self.now: dict[CellKey, bool] = {}
        self.wrote: list[CellKey] = []

    def __contains__(self, cell: CellKey) -> bool:
        """Whether a finding explains a cell: one of this unit, else the last that an earlier family wrote."""
        if cell in self.now:
            return self.now[cell]
        before = [(unit[0], mark) for unit, mark in self.marks.get(cell, {}).items() if unit[0] < self.family]
        return max(before, default=(0, False))[1]

    def add(self, cell: CellKey) -> None:
        """Take a cell for explained."""
        self.update((cell,))

    def update(self, cells: Iterable[CellKey]) -> None:
        """Take several cells for explained."""
        for cell in cells:
            self.now[cell] = True
            self.wrote.append(cell)

    def discard(self, cell: CellKey) -> None:
        """Take a cell for not explained after all."""
        self.now[cell] = False
        self.wrote.append(cell)


class Notes:
    """The findings by what they were found at, and the cells that they explain, kept from run to run."""

    def __init__(self, draft: Draft) -> None:
        """Start with none."""
        self.draft = draft
        self.explained = Explained()
        self.remarked: dict[CellKey, None] = {}
        """The cells for which something else is written since this was last cleared."""
        self._written: dict[Unit, tuple[tuple[str, ...], tuple[CellKey, ...]]] = {}
        self._findings: dict[str, dict[Unit, tuple[_Order, Finding, tuple[str, ...]] | None]] = {}
        self._touched: dict[str, None] = {}
        self._order: _Order = ()
        self._unit: Unit = (0, None)
        self._names: dict[str, None] = {}

    @contextmanager
    def at(self, unit: Unit, order: _Order, together: dict[CellKey, bool] | None = None) -> Iterator[None]:
        """Write anew of one unit; `order` settles whose word a finding has that two of a family make.

        Units that are looked at `together`, one after another, see what the ones before explain; what comes
        of that for the cells is marked apart.
        """
        before = self.strike(unit)
        explained = self.explained
        explained.family, explained.now, explained.wrote = unit[0], {} if together is None else together, []
        self._unit, self._order, self._names = unit, order, {}
        yield
        marks = explained.now if together is None else {}
        for cell, mark in marks.items():
            explained.marks.setdefault(cell, {})[unit] = mark
        if self._names or marks:
            self._written[unit] = (tuple(self._names), tuple(marks))
        self.remarked |= {cell: None for cell in {**before, **marks} if before.get(cell) != marks.get(cell)}

    def mark(self, family: int, cell: CellKey, mark: bool | None) -> None:
        """Take a cell for explained, for not explained, or for what earlier families make of it."""
        unit = (family, ("cell", cell))
        before = self.strike(unit).get(cell)
        if mark is not None:
            self.explained.marks.setdefault(cell, {})[unit] = mark
            self._written[unit] = ((), (cell,))
        if mark != before:
            self.remarked[cell] = None

    def strike(self, unit: Unit) -> dict[CellKey, bool]:
        """Strike out what was written of a unit; gives what it took for explained, or not."""
        names, cells = self._written.pop(unit, ((), ()))
        for name in names:
            del self._findings[name][unit]
            self._touched[name] = None
        return {cell: self.explained.marks[cell].pop(unit) for cell in cells}

    def gone(self, unit: Unit) -> None:
        """Strike out a unit that is no more."""
        self.remarked |= dict.fromkeys(self.strike(unit))

    def units_of(self, finding: str) -> Iterable[Unit]:
        """What a finding was found at."""
        return tuple(self._findings.get(finding, ()))

    def add(
        self,
        kind: str,
        message: str,
        *,
        entries: Sequence[Entry] = (),
        claims: Sequence[CellKey] = (),
        components: Iterable[str | None] = (),
        confidence: float = 0.8,
        span: tuple[Day | None, Day | None] = (None, None),
        authority: Sequence[str] = (),
        more_lines: Sequence[str] = (),
    ) -> None:
        """Write one finding down, unless it only repeats what a person has ruled out."""
        lines = dict.fromkeys([claim.line_id for claim in claims])
        lines |= dict.fromkeys(entry.id for entry in entries)
        lines |= dict.fromkeys(more_lines)
        name = finding_id(kind, claims, lines, authority)
        settled = self.draft.ruled.settled.get(name)
        self._names[name] = None
        self._touched[name] = None
        if settled is None and any(self.draft.refused(claim) for claim in claims):
            self._findings.setdefault(name, {})[self._unit] = None
            return
        self.explained.update(claims)
        finding = Finding(
            id=name,
            kind=kind,
            confidence=held(confidence),
            lines=tuple(lines),
            message=message,
            earliest=span[0],
            latest=span[1],
            authority=tuple(authority),
            claims=tuple(claims),
            settled_by=settled,
        )
        about = tuple(sorted({c for c in components if c}))
        self._findings.setdefault(name, {})[self._unit] = (self._order, finding, about)

    def close(self) -> None:
        """Give the draft the findings as they are now; those that are otherwise than before are news."""
        findings, news = self.draft.findings, self.draft.news.findings
        for name in self._touched:
            told = [(unit[0], *one) for unit, one in self._findings.get(name, {}).items() if one is not None]
            now = max(told, key=lambda one: (one[0], one[1]))[2:] if told else None
            if findings.get(name) != now:
                news[name] = findings.pop(name, None)
                if now is not None:
                    findings[name] = now
            if not self._findings.get(name):
                self._findings.pop(name, None)
        self._touched.clear()
