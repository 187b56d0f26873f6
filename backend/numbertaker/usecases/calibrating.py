"""How far the confidence of a source's cells can be trusted, and keeping it so by what people check.

Only cards that were looked through whole count: who corrects a cell here and there corrects what is wrong and
passes over what is right. What is learnt of them is a part of the archive's learnt value, made by the
explicit step that makes it; a check changes no confidence by itself.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final, TypeAlias

from numbertaker.archive import Archive
from numbertaker.evidence.decisions import Ruled
from numbertaker.evidence.records import Line
from numbertaker.reading.confidence import Curve
from numbertaker.reading.fields import kind_of
from numbertaker.reading.reliability import Pair, Reliability, curve_of_checked, reliability
from numbertaker.usecases.proposing import CardLine, cards_read

READING: Final = "reading"
"""The part of the archive's learnt value that tells of readings."""
EVERY: Final = "every"
"""The curve of a source for kinds of fields that have none of their own."""
OWN_CURVE: Final = 150
"""From so many checked cells on a kind of field has a curve of its own."""
_CERTAIN: Final = 0.99995

Curves: TypeAlias = Mapping[str, Mapping[str, Curve]]
"""By source, then by kind of field or `EVERY`."""


@dataclass(frozen=True, slots=True)
class Checked:
    """A cell of a card that was looked through: how surely it was read, and whether rightly."""

    field: str
    confidence: float
    right: bool


def checked_cells(archive: Archive) -> dict[str, list[Checked]]:
    """The cells of the cards that were looked through, by source."""
    return archive.memo("checked cells", lambda: _checked(archive))


def _checked(archive: Archive) -> dict[str, list[Checked]]:
    found: dict[str, list[Checked]] = defaultdict(list)
    for card in cards_read(archive):
        for line in card.lines if card.checked else ():
            found[card.source_id] += _of_line(line)
    return dict(found)


def _of_line(line: CardLine) -> Iterator[Checked]:
    if line.row is None or line.typed:
        return
    for field, cell in line.read.cells.items():
        yield Checked(field, cell.confidence, cell.text == line.row.text(field))


def reliability_of(archive: Archive, source_id: str) -> tuple[Reliability, Reliability | None]:
    """How far the confidence of a source's cells can be trusted: as they were read, and as learnt since."""
    cells = checked_cells(archive).get(source_id, [])
    curves = curves_in_force(archive).get(source_id)
    as_read = reliability((cell.confidence, cell.right) for cell in cells)
    if curves is None:
        return as_read, None
    return as_read, reliability((_at(curves, cell.field, cell.confidence), cell.right) for cell in cells)


def learn_curves(archive: Archive) -> dict[str, Any]:
    """What the checked cells of each source say of its confidence, as JSON; sources with too few left out."""
    learnt: dict[str, Any] = {}
    for source_id, cells in sorted(checked_cells(archive).items()):
        kinds: dict[str, list[Pair]] = defaultdict(list)
        for cell in cells:
            kinds[kind_of(cell.field)].append((cell.confidence, cell.right))
            kinds[EVERY].append((cell.confidence, cell.right))
        made = {
            kind: curve_of_checked(pairs)
            for kind, pairs in sorted(kinds.items())
            if kind == EVERY or len(pairs) >= OWN_CURVE
        }
        told = {
            kind: {"points": [list(point) for point in curve.points], "cells": curve.cells}
            for kind, curve in made.items()
            if curve.points
        }
        if told:
            learnt[source_id] = told
    return learnt


def curves_in_force(archive: Archive) -> Curves:
    """What was learnt last of the confidence of each source's cells."""
    known = archive.lessons()
    told: dict[str, Any] = known[-1].body.get(READING, {}) if known else {}
    return {
        source_id: {
            kind: Curve(tuple((x, y) for x, y in curve["points"]), curve["cells"])
            for kind, curve in kinds.items()
        }
        for source_id, kinds in told.items()
    }


def recalibrated(ruled: Ruled, curves: Curves) -> Ruled:
    """The evidence with the sureness of each cell that was read as the curves have it; the very same where
    there are none."""
    if not curves:
        return ruled
    lines = tuple(_line(line, curves.get(line.source_id)) for line in ruled.evidence.lines)
    return replace(ruled, evidence=replace(ruled.evidence, lines=lines))


def sureness(line: Line, field: str, curves: Curves) -> float | None:
    """How surely a cell was read, by what was learnt of its source; None where a person typed it."""
    said, own = line.sureness(field), curves.get(line.source_id)
    return said if said is None or own is None else _at(own, field, said)


def _line(line: Line, curves: Mapping[str, Curve] | None) -> Line:
    if not line.reading or not curves:
        return line
    extra = tuple(
        (column, _told(curves, column.removeprefix("reading_"), text) if _is_sureness(column) else text)
        for column, text in line.extra
    )
    sure = [float(text) for column, text in extra if _is_sureness(column) and text]
    lowest = f"{min(sure):.4f}" if sure else _told(curves, "", line.reading)
    return replace(line, extra=extra, reading=lowest)


def _is_sureness(column: str) -> bool:
    return column.startswith("reading_")


def _told(curves: Mapping[str, Curve], field: str, text: str) -> str:
    return f"{_at(curves, field, float(text)):.4f}" if text else text


def _at(curves: Mapping[str, Curve], field: str, p: float) -> float:
    """What a confidence is worth; what a person said stays certain."""
    if p >= _CERTAIN:
        return p
    return (curves.get(kind_of(field)) or curves[EVERY]).at(p)
