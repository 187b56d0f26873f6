"""Everything that the screens ask for, looked up once for each state of the archive."""

from __future__ import annotations

import threading
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from numbertaker.archive import Archive, CardScan, KeptReading, Scan
from numbertaker.evidence.decisions import Ruled, standing
from numbertaker.evidence.records import Card, CellKey, Designation, Evidence, Line
from numbertaker.publishing.matter import Matter
from numbertaker.reconciling.history import CellMeaning, Finding, History
from numbertaker.usecases.calibrating import curves_in_force
from numbertaker.usecases.look.views import LineView, ScanRef
from numbertaker.usecases.proposing import proposals
from numbertaker.usecases.reconcile import current

_MAKING: Final = threading.Lock()
_TRIES: Final = 3


@dataclass(frozen=True, slots=True)
class ReadLine:
    """A line as a recogniser gave it: its page, and each cell with its box and alternatives."""

    scan: ScanRef
    cells: dict[str, dict[str, Any]]


class Index:
    """One state of an archive beside its history. Views of lines are made when asked for, and kept."""

    def __init__(self, archive: Archive, history: History) -> None:
        """Look everything up once; none of it is ever changed."""
        self.history = history
        self.raw: Evidence = archive.evidence()
        self.ruled: Ruled = archive.ruled()
        self.evidence: Evidence = self.ruled.evidence
        self.matter = Matter(history, self.ruled)
        self.stands = frozenset(d.decision_id for d in standing(self.raw.decisions))
        self.lines: dict[str, Line] = {line.line_id: line for line in self.evidence.lines}
        self.raw_lines: dict[str, Line] = {line.line_id: line for line in self.raw.lines}
        self.cards: dict[str, Card] = {card.card_id: card for card in self.evidence.cards}
        self.scans: dict[str, Scan] = {scan.sha256: scan for scan in archive.scans()}
        self.pages: dict[str, list[CardScan]] = _grouped(archive.card_scans(), "card_id")
        self.lines_of_card: dict[str, list[Line]] = _grouped(self.evidence.lines, "card_id")
        self.lines_of_source: dict[str, list[Line]] = _grouped(self.evidence.lines, "source_id")
        self.cards_of_source: dict[str, list[Card]] = _grouped(self.evidence.cards, "source_id")
        self.designations_of: dict[str, list[Designation]] = _grouped(
            self.evidence.designations, "subject_id"
        )
        self.readings: dict[str, list[KeptReading]] = _grouped(archive.card_readings(), "card_id")
        self.read_lines = dict(_read_lines(archive.card_readings()))
        self.proposed = proposals(archive)
        self.curves = curves_in_force(archive)
        self.component_of = {cell.line_id: c.component_id for c in history.components for cell in c.cells}
        self.cells: dict[CellKey, CellMeaning] = {cell.key: cell for cell in _cells(history)}
        self.engines_of_line = _engines_of_line(history)
        self.findings: dict[str, Finding] = {finding.id: finding for finding in history.all_findings()}
        self.components_of: dict[str, list[str]] = _named_by(history)
        self.findings_of_cell = _by_cell(self.findings.values())
        self.open_of_card = _open_by_card(self)
        self.line_views: dict[str, LineView] = {}

    def label(self, subject_id: str) -> str:
        """What people call an engine or a component."""
        if subject_id in self.matter.component_ids:
            return self.matter.names.component(subject_id)
        return self.matter.names.all_of(subject_id)

    def is_read(self, card_id: str) -> bool:
        """Whether anything was read or typed from a card."""
        return card_id in self.readings or card_id in self.lines_of_card

    def unread(self, card_id: str) -> bool:
        """Whether a card has scans and nothing was read from them."""
        return card_id in self.pages and not self.is_read(card_id)


def index(archive: Archive) -> Index:
    """The index of the archive as it now is.

    One request makes it and the others wait: a screen asks for several things at once, and each would
    otherwise reconcile for itself.
    """
    with _MAKING:
        return archive.memo("look", lambda: _made(archive))


def _made(archive: Archive) -> Index:
    """An index of one state: made anew where something was written meanwhile, but not for ever."""
    for _ in range(_TRIES):
        revision = archive.revision()
        made = Index(archive, current(archive))
        if archive.revision() == revision:
            break
    return made


def _grouped(rows: Any, name: str) -> dict[str, list[Any]]:
    groups: dict[str, list[Any]] = defaultdict(list)
    for row in rows:
        groups[getattr(row, name)].append(row)
    return dict(groups)


def _read_lines(readings: tuple[KeptReading, ...]) -> Iterator[tuple[str, ReadLine]]:
    """Each line by its id; the cells of a card's heading go with its first line."""
    for reading in readings:
        scan = ScanRef(reading.sha256, reading.page)
        heading: dict[str, Any] = reading.body.get("heading", {})
        for n, line in enumerate(reading.body.get("lines", ())):
            yield line["line_id"], ReadLine(scan, (heading if n == 0 else {}) | line["cells"])


def _cells(history: History) -> Iterator[CellMeaning]:
    yield from history.engine_cells
    yield from history.unplaced
    for component in history.components:
        yield from component.cells


def _engines_of_line(history: History) -> dict[str, set[str]]:
    """The engines that each line of a fitment speaks of."""
    named: dict[str, set[str]] = defaultdict(set)
    for fitment in (f for component in history.components for f in component.fitments):
        for line_id in (*fitment.evidence, *fitment.copies):
            named[line_id].add(fitment.engine_id)
    return dict(named)


def _named_by(history: History) -> dict[str, list[str]]:
    """The components in whose histories a finding stands."""
    named: dict[str, list[str]] = defaultdict(list)
    for component in history.components:
        for finding in component.findings:
            named[finding.id].append(component.component_id)
    return dict(named)


def _by_cell(findings: Any) -> dict[CellKey, list[str]]:
    by_cell: dict[CellKey, list[str]] = defaultdict(list)
    for finding in findings:
        for key in finding.claims:
            by_cell[key].append(finding.id)
    return dict(by_cell)


def _open_by_card(made: Index) -> dict[str, int]:
    """How many open findings name a line of each card."""
    count: dict[str, int] = defaultdict(int)
    for finding in made.findings.values():
        if finding.settled_by is None:
            named = (made.lines[line_id].card_id for line_id in finding.lines if line_id in made.lines)
            for card_id in set(named):
                count[card_id] += 1
    return dict(count)
