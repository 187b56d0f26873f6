"""The rows of the tables for analysis: values in the order of the columns, None for what is empty."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, Final, TypeAlias

from numbertaker.evidence.days import Day
from numbertaker.evidence.records import CellKey, Line
from numbertaker.publishing.keeping.values import Holding
from numbertaker.reconciling.history import CellMeaning, ComponentHistory, Fitment, When

Row: TypeAlias = tuple[Any, ...]
_FIRST: Final = date.min.toordinal()
_LAST: Final = date.max.toordinal()


def rows_of(holding: Holding, table: str) -> Iterator[Row]:
    """The rows of one of the tables, in the order of the archive."""
    return _MAKERS[table](holding)


def _fitments(holding: Holding) -> Iterator[Row]:
    components = {c.component_id: c for c in holding.ruled.evidence.components}
    classes = {e.engine_id: e.class_ for e in holding.ruled.evidence.engines}
    for history in holding.history.components:
        row = components.get(history.component_id)
        what = (_text(row.kind), _text(row.type)) if row is not None else (None, None)
        for stay, fitment in enumerate(history.fitments, start=1):
            engine = (fitment.engine_id, _text(classes.get(fitment.engine_id, "")))
            yield (history.component_id, *what, stay, *engine, *_of_fitment(fitment))


def _of_fitment(fitment: Fitment) -> Row:
    miles = fitment.miles
    level = next((when.level for when in (fitment.fitted, fitment.removed) if when is not None), None)
    figures = (None, None, None, None) if miles is None else (miles.value, miles.low, miles.high, miles.basis)
    return (
        *_when(fitment.fitted),
        *_when(fitment.removed),
        level,
        *figures,
        round(fitment.confidence, 4),
        list(fitment.evidence),
        list(fitment.copies),
    )


def _when(when: When | None) -> Row:
    return (None, None, None) if when is None else (when.edtf, _day(when.earliest), _day(when.latest))


def _day(day: Day | None) -> date | None:
    """A day as a date; None where there is none, or none that the calendar of programs can hold."""
    return date.fromordinal(day) if day is not None and _FIRST <= day <= _LAST else None


def _text(text: str) -> str | None:
    return text or None


_AS_WRITTEN: Final = (
    "heading heading_name engine engine_name component fitted removed miles total_miles place remarks marks"
)


def _lines(holding: Holding) -> Iterator[Row]:
    raw = {line.line_id: line for line in holding.evidence.lines}
    for line in holding.ruled.evidence.lines:
        yield (
            line.line_id,
            line.source_id,
            *map(_text, (line.card_id, line.row_, line.locator, line.side, line.says)),
            *(_text(line.text(column)) for column in _AS_WRITTEN.split()),
            _sure(line),
            line != raw[line.line_id],
            *_place(holding, line.line_id),
        )


def _sure(line: Line) -> float | None:
    try:
        sure = float(line.reading)
    except ValueError:
        return None
    return sure if 0 <= sure <= 1 else None


def _place(holding: Holding, line_id: str) -> Row:
    place = holding.places.get(line_id)
    if place is None:
        return (None,) * 6
    return (place.sha256, place.page, *(place.box or (None,) * 4))


def _claims(holding: Holding) -> Iterator[Row]:
    for component in holding.history.components:
        yield from _cells(holding, component.cells, component.component_id)
    yield from _cells(holding, (*holding.history.unplaced, *holding.history.engine_cells), None)


def _cells(holding: Holding, cells: tuple[CellMeaning, ...], component_id: str | None) -> Iterator[Row]:
    lines: Mapping[str, Line] = holding.lines
    for cell in cells:
        line = lines.get(cell.line_id)
        instead = cell.instead
        yield (
            cell.line_id,
            cell.field,
            component_id,
            None if line is None else line.source_id,
            None if line is None else _text(line.text(cell.field)),
            None if cell.meaning is None else str(cell.meaning),
            cell.meaning if isinstance(cell.meaning, int) else None,
            round(cell.confidence, 4),
            cell.used,
            None if instead is None or instead.meaning is None else str(instead.meaning),
            None if instead is None else round(instead.confidence, 4),
            holding.ruled.by_cell.get(CellKey(cell.line_id, cell.field)),
        )


def _findings(holding: Holding) -> Iterator[Row]:
    named = _components_of(holding.history.components)
    for finding in holding.history.all_findings():
        yield (
            finding.id,
            finding.kind,
            round(finding.confidence, 4),
            named.get(finding.id, []),
            _day(finding.earliest),
            _day(finding.latest),
            list(finding.lines),
            list(finding.authority),
            finding.settled_by,
            finding.message,
        )


def _components_of(components: tuple[ComponentHistory, ...]) -> dict[str, list[str]]:
    named: dict[str, list[str]] = {}
    for component in components:
        for finding in component.findings:
            named.setdefault(finding.id, []).append(component.component_id)
    return named


_MAKERS: Final = {"fitments": _fitments, "lines": _lines, "claims": _claims, "findings": _findings}
