"""Likelier texts for cells that were read, from each card as a whole, with what people corrected taken in."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

from numbertaker.archive import Archive, KeptReading
from numbertaker.evidence.designations import bare_name, bare_number
from numbertaker.evidence.records import CellKey, Evidence, Line
from numbertaker.reading.kept import card_of
from numbertaker.reading.meaning import Known, Proposal, propose
from numbertaker.reading.values import CellReading, LineReading


def proposals(archive: Archive) -> dict[CellKey, Proposal]:
    """The proposals for all cards that were read, by cell; none for a cell that a person has corrected."""
    return archive.memo("proposals", lambda: _of_all(archive))


def _of_all(archive: Archive) -> dict[CellKey, Proposal]:
    evidence = archive.ruled().evidence
    known, lines = known_of(evidence), {line.line_id: line for line in evidence.lines}
    pages: dict[str, list[KeptReading]] = defaultdict(list)
    for reading in archive.card_readings():
        pages[reading.card_id].append(reading)
    found: dict[CellKey, Proposal] = {}
    for readings in pages.values():
        ids, read = _lines_of(readings, lines)
        for (place, field), proposal in propose(read, known).items():
            found[CellKey(ids[place], field)] = proposal
    return found


def known_of(evidence: Evidence) -> Known:
    """Everything that an engine or a component of the tables ever bore."""
    engines = {engine.engine_id for engine in evidence.engines}
    borne: dict[bool, set[str]] = {True: set(), False: set()}
    for row in evidence.designations:
        if row.scheme in {"number", "name"}:
            text = bare_number(row.value) if row.scheme == "number" else bare_name(row.value)
            borne[row.subject_id in engines].add(text.casefold())
    return Known(frozenset(borne[True]), frozenset(borne[False]))


def _lines_of(readings: list[KeptReading], lines: dict[str, Line]) -> tuple[list[str], list[LineReading]]:
    """The lines of a card over all its pages, each as it was read and since corrected."""
    ids, found = [], []
    for reading in readings:
        for written, line in zip(reading.body.get("lines", ()), card_of(reading.body).lines, strict=True):
            ids.append(str(written["line_id"]))
            found.append(_corrected(line, lines.get(str(written["line_id"]))))
    return ids, found


def _corrected(read: LineReading, line: Line | None) -> LineReading:
    if line is None:
        return read
    return replace(read, cells={f: _as_it_stands(cell, line.text(f)) for f, cell in read.cells.items()})


def _as_it_stands(cell: CellReading, text: str) -> CellReading:
    """A cell that a person changed is certain, and has no other reading."""
    return cell if text == cell.text else CellReading(text, 0.9999, cell.box)
