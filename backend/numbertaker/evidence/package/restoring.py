"""Corrected cells on their way out and in.

An export gives the current reading in `lines` and every earlier one in `readings`. To get back, on import,
the line as it was before anyone corrected it, such an earlier reading names the decision that superseded it
and the marks that the line had, in two columns of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from numbertaker.evidence.decisions import follow, standing, told_with
from numbertaker.evidence.records import CellKey, Decision, Evidence, Line, Reading

SUPERSEDED_BY: Final = "superseded_by"
MARKS: Final = "marks"


@dataclass(frozen=True, slots=True)
class Corrected:
    """Lines with their current cells, and the earlier readings of every cell, oldest first."""

    lines: tuple[Line, ...]
    readings: tuple[Reading, ...]


def corrected(evidence: Evidence, readings: Iterable[Reading]) -> Corrected:
    """Lay the standing corrections over the lines and put what they superseded behind the earlier readings.

    A line whose corrections say what it says already goes out as it came.
    """
    by_line = _corrections(evidence)
    lines: list[Line] = []
    earlier: list[Reading] = []
    for line, now in zip(evidence.lines, _followed(evidence), strict=True):
        cells = by_line.get(line.line_id, {})
        if all(line.text(cell.field) == rulings[-1].ruling for cell, rulings in cells.items()):
            lines.append(line)
            continue
        lines.append(now)
        for cell, rulings in cells.items():
            earlier += _superseded(line, cell, rulings)
    return Corrected(tuple(lines), (*readings, *earlier))


def _followed(evidence: Evidence) -> tuple[Line, ...]:
    """The lines with the corrections alone: that a card was checked says nothing of what was read."""
    log = tuple(decision for decision in evidence.decisions if decision.kind != "checked")
    return follow(replace(evidence, decisions=log)).evidence.lines


def _corrections(evidence: Evidence) -> dict[str, dict[CellKey, list[Decision]]]:
    """The standing corrections by line and cell, in the order of the log."""
    found: dict[str, dict[CellKey, list[Decision]]] = {}
    for decision in standing(evidence.decisions):
        if decision.kind == "cell":
            for cell in told_with(evidence.lines, CellKey.parse(decision.target)):
                found.setdefault(cell.line_id, {}).setdefault(cell, []).append(decision)
    return found


def _superseded(line: Line, cell: CellKey, rulings: Sequence[Decision]) -> list[Reading]:
    """What the line said first, then what each ruling but the last made of it."""
    sure = dict(line.extra).get(f"reading_{cell.field}", "")
    extra = ((SUPERSEDED_BY, rulings[0].decision_id), (MARKS, line.marks))
    first = Reading(
        line_id=cell.line_id, field=cell.field, text=line.text(cell.field), reading=sure, extra=extra
    )
    later = [
        Reading(
            line_id=cell.line_id,
            field=cell.field,
            text=one.ruling,
            reading="1",
            by=one.by,
            at=one.at,
            extra=((SUPERSEDED_BY, following.decision_id),),
        )
        for one, following in pairwise(rulings)
    ]
    return [first, *later]


def restored(lines: Iterable[Line], readings: Iterable[Reading], decision_ids: Iterable[str]) -> Corrected:
    """Undo `corrected`: lines as before the decisions, and readings without what those superseded."""
    logged = set(decision_ids)
    kept: list[Reading] = []
    firsts: dict[str, dict[str, Reading]] = {}
    for reading in readings:
        if dict(reading.extra).get(SUPERSEDED_BY, "") in logged:
            firsts.setdefault(reading.line_id, {}).setdefault(reading.field, reading)
        else:
            kept.append(reading)
    return Corrected(tuple(_before(line, firsts.get(line.line_id, {})) for line in lines), tuple(kept))


def _before(line: Line, firsts: Mapping[str, Reading]) -> Line:
    if not firsts:
        return line
    row = line.row()
    for field, reading in firsts.items():
        row[field] = reading.text
        row[f"reading_{field}"] = reading.reading
        row[MARKS] = dict(reading.extra).get(MARKS, "")
    known = Line.columns()
    return Line.from_row({column: text for column, text in row.items() if text or column in known})
