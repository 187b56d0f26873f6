"""Lines with their cells: as written, as read, what they mean and how sure that is."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from numbertaker.evidence.days import ALWAYS, Span
from numbertaker.evidence.errors import BadInput
from numbertaker.evidence.records import CELL_FIELDS, CellKey, Line
from numbertaker.evidence.signs import Mark, read_marks
from numbertaker.publishing.dates import text_span
from numbertaker.publishing.degrees import degree_of
from numbertaker.publishing.questions import meaning_words
from numbertaker.reconciling.history import CellMeaning, Reason
from numbertaker.usecases import calibrating
from numbertaker.usecases.look.index import Index
from numbertaker.usecases.look.views import (
    AlternativeText,
    Box,
    CandidateView,
    CellView,
    InsteadView,
    LineView,
    ProposedText,
    ReasonView,
    ScanRef,
)

HEADINGS: Final = ("heading", "heading_name")
SHOWN: Final = (*CELL_FIELDS, "place", "remarks")
"""The cells that a line shows, in this order; columns of the source's own come after them."""
_HIDDEN: Final = re.compile(r"reading(_.*)?|region")
_REGION: Final = re.compile(r"(?P<file>[^#]*)#(?:page=(?P<page>\d+)&)?xywh=(?:pixel:)?(?P<box>[\d.,]+)")


def line_view(made: Index, line_id: str) -> LineView | None:
    """A line by its id; None where the evidence has none."""
    known = made.line_views.get(line_id)
    if known is None and line_id in made.lines:
        known = made.line_views[line_id] = _view(made, made.lines[line_id])
    return known


def line_views(made: Index, line_ids: Iterable[str]) -> list[LineView]:
    """Lines by their ids, each once; those that the evidence has not got are left out."""
    views = (line_view(made, line_id) for line_id in dict.fromkeys(line_ids))
    return [view for view in views if view is not None]


def fields_of(line: Line) -> list[str]:
    """The cells of a line: the claims, the place, the remarks, and what columns the source has of its own."""
    own = [column for column, _ in line.extra if not _HIDDEN.fullmatch(column)]
    return [field for field in (*SHOWN, *own) if line.text(field)] + _marked_only(line)


def _shown(made: Index, line: Line) -> list[str]:
    """The cells to show on a line: the heading stands once a card, on its first line."""
    of_card = made.lines_of_card.get(line.card_id, []) if line.card_id else []
    first = next(iter(of_card), line)
    return [field for field in fields_of(line) if field not in HEADINGS or line is first]


def _marked_only(line: Line) -> list[str]:
    return [m.field for m in marks_of(line) if not line.text(m.field)]


def marks_of(line: Line) -> tuple[Mark, ...]:
    """The marks of a line; none where what stands there is no mark, which is a finding elsewhere."""
    try:
        return read_marks(line.marks)
    except BadInput:
        return ()


def _view(made: Index, line: Line) -> LineView:
    scan, box = place_of(made, line)
    return LineView(
        line_id=line.line_id,
        card_id=line.card_id,
        source_id=line.source_id,
        row=line.row_,
        locator=made.matter.citations.locator(line),
        citation=made.matter.citations.first(line),
        side=line.side,
        says=line.says,
        heading=line.heading or line.heading_name,
        marks=line.marks,
        cells={field: cell_view(made, line, field) for field in _shown(made, line)},
        scan=scan,
        box=box,
        component_id=made.component_of.get(line.line_id),
    )


def cell_view(made: Index, line: Line, field: str) -> CellView:
    """One cell of a line."""
    key = CellKey(line.line_id, field)
    meaning = made.cells.get(key)
    mark = next((m for m in marks_of(line) if m.field == field), None)
    read = made.read_lines.get(line.line_id)
    seen = read.cells.get(field, {}) if read is not None else {}
    before = made.raw_lines[line.line_id].text(field)
    sureness = calibrating.sureness(made.raw_lines[line.line_id], field, made.curves)
    corrected = before != line.text(field)
    sure = None if meaning is None else round(meaning.confidence, 4)
    return CellView(
        field=field,
        text=line.text(field),
        read_as=before if corrected else None,
        confidence=sureness,
        typed=corrected or sureness is None,
        box=_box(seen.get("box")),
        alternatives=[AlternativeText(str(text), float(p)) for text, p in seen.get("alternatives", ())],
        proposed=_proposed(made, key),
        mark=mark.kind if mark else "",
        struck=(mark.text if mark and mark.kind == "struck" else "") or str(seen.get("struck", "")),
        meaning=meaning.meaning if meaning else None,
        meaning_text=meaning_text(made, meaning),
        sure=sure,
        degree=degree_of(sure, contradicted=key in made.matter.contradicted),
        used=meaning is not None and meaning.used,
        instead=_instead(made, meaning),
        candidates=_candidates(made, meaning),
        reasons=reasons(meaning.reasons if meaning else ()),
        findings=made.findings_of_cell.get(key, []),
        decision=made.ruled.by_cell.get(key),
    )


def _proposed(made: Index, key: CellKey) -> ProposedText | None:
    found = made.proposed.get(key)
    return None if found is None else ProposedText(found.text, round(found.confidence, 4), found.why)


def meaning_text(made: Index, cell: CellMeaning | None) -> str:
    """A meaning in plain words; an engine as it was called at the time of the line."""
    if cell is None or not isinstance(cell.meaning, str) or cell.field not in ("engine", "heading"):
        return meaning_words(made.matter, cell)
    if cell.meaning.startswith("state:") or cell.meaning in made.matter.component_ids:
        return meaning_words(made.matter, cell)
    when = _time_of(made, cell.line_id) if cell.field == "engine" else ALWAYS
    return made.label(cell.meaning) if when == ALWAYS else str(made.matter.names.then(cell.meaning, when))


def _time_of(made: Index, line_id: str) -> Span:
    """The days in which a line's first date lies; always, where none is known."""
    for field in ("fitted", "removed"):
        cell = made.cells.get(CellKey(line_id, field))
        if cell is not None and isinstance(cell.meaning, str):
            return text_span(cell.meaning)
    return ALWAYS


def reasons(rows: Iterable[Reason]) -> list[ReasonView]:
    """The rows of an explanation."""
    return [ReasonView(row.what, round(row.weight, 4), row.says) for row in rows]


def _instead(made: Index, cell: CellMeaning | None) -> InsteadView | None:
    if cell is None or cell.instead is None:
        return None
    other = replace(cell, meaning=cell.instead.meaning)
    return InsteadView(meaning_text(made, other), round(cell.instead.confidence, 4), cell.instead.why)


def _candidates(made: Index, cell: CellMeaning | None) -> list[CandidateView]:
    return [
        CandidateView(a.subject_id, made.label(a.subject_id), round(a.probability, 4), a.why)
        for a in (cell.alternatives if cell else ())
    ]


def place_of(made: Index, line: Line) -> tuple[ScanRef | None, Box | None]:
    """Where a line stands: the page that it was read from, else the region that was typed for it."""
    read = made.read_lines.get(line.line_id)
    if read is not None:
        boxes = [cell["box"] for name, cell in read.cells.items() if name not in HEADINGS and "box" in cell]
        return read.scan, _hull(boxes)
    region = _REGION.fullmatch(line.region)
    pages = made.pages.get(line.card_id, [])
    if region is None or not pages:
        return (ScanRef(pages[0].sha256, pages[0].page) if len(pages) == 1 else None), None
    page = int(region["page"] or 1)
    of_file = [p for p in pages if made.scans[p.sha256].name == region["file"]]
    at = next((p for p in of_file if p.page == page), next(iter(of_file or pages)))
    return ScanRef(at.sha256, at.page), _box(
        [round(float(part)) for part in region["box"].split(",") if part]
    )


def _hull(boxes: list[list[int]]) -> Box | None:
    if not boxes:
        return None
    left, top = min(b[0] for b in boxes), min(b[1] for b in boxes)
    right, bottom = max(b[0] + b[2] for b in boxes), max(b[1] + b[3] for b in boxes)
    return left, top, right - left, bottom - top


def _box(numbers: list[int] | None) -> Box | None:
    if numbers is None or len(numbers) != 4:
        return None
    left, top, width, height = numbers
    return left, top, width, height
