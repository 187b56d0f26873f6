"""Components: one row each, and the whole life of one."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from numbertaker.archive import Archive
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Component
from numbertaker.publishing.compose import CAUTION, component_document
from numbertaker.publishing.degrees import degree_of
from numbertaker.publishing.derived import supported
from numbertaker.publishing.document import Note
from numbertaker.reconciling.history import ComponentHistory, Fitment, TotalMiles
from numbertaker.usecases.look.decisions import decision_view
from numbertaker.usecases.look.engines import engine_view, event_views
from numbertaker.usecases.look.findings import finding_views
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.lines import line_views, reasons
from numbertaker.usecases.look.spans import iso_or_none, miles_view, when_view
from numbertaker.usecases.look.views import (
    ComponentPage,
    ComponentSummary,
    FitmentView,
    NoteView,
    TotalView,
)


def components(archive: Archive) -> list[ComponentSummary]:
    """Every component of the tables, in their order."""
    made = index(archive)
    histories = {history.component_id: history for history in made.history.components}
    return [component_summary(made, row, histories.get(row.component_id)) for row in made.evidence.components]


def component_summary(made: Index, row: Component, history: ComponentHistory | None) -> ComponentSummary:
    """One row of the list."""
    fitments = history.fitments if history else ()
    starts = [f.fitted.earliest for f in fitments if f.fitted and f.fitted.earliest is not None]
    ends = [f.removed.latest for f in fitments if f.removed and f.removed.latest is not None]
    return ComponentSummary(
        component_id=row.component_id,
        label=made.label(row.component_id),
        number=number_of(made, row.component_id),
        kind=row.kind,
        type=row.type,
        fitments=len(fitments),
        supported_miles=history.miles.supported if history else 0,
        findings_open=sum(f.settled_by is None for f in history.findings) if history else 0,
        first=iso_or_none(min(starts, default=None)),
        last=iso_or_none(max(ends, default=None)),
    )


def number_of(made: Index, subject_id: str) -> str:
    """The number that something bore last; empty where it has none."""
    return next(reversed(made.matter.names.numbers(subject_id)), "")


def component_page(archive: Archive, component_id: str) -> ComponentPage:
    """The life of one component; `NotFound` where the tables have none of that id."""
    made = index(archive)
    row = next((row for row in made.evidence.components if row.component_id == component_id), None)
    if row is None:
        raise NotFound("component", component_id)
    known = {history.component_id: history for history in made.history.components}
    history = known.get(component_id) or ComponentHistory(component_id, (), TotalMiles(0, None, None), (), ())
    notes = component_document(made.matter, component_id).notes if component_id in known else ()
    engine_ids = tuple(dict.fromkeys(fitment.engine_id for fitment in history.fitments))
    return ComponentPage(
        component_id=component_id,
        label=made.label(component_id),
        number=number_of(made, component_id),
        kind=row.kind,
        type=row.type,
        built=row.built,
        condemned=row.condemned,
        note=row.note,
        fitments=_fitments(made, history, notes),
        miles=TotalView(history.miles.supported, history.miles.low, history.miles.high, history.miles.level),
        findings=finding_views(made, history.findings),
        decisions=[decision_view(made, d) for i in history.decisions if (d := made.matter.decision(i))],
        events=event_views(made, (component_id, *engine_ids)),
        engines=[
            engine_view(made, engine) for engine in made.evidence.engines if engine.engine_id in engine_ids
        ],
        lines=line_views(made, (*_line_ids(history), *(i for note in notes for i in note.lines))),
        notes=_note_views(made, notes),
        caution=CAUTION,
    )


def _line_ids(history: ComponentHistory) -> list[str]:
    """The lines that a history speaks of: its own, those under its fitments, those that its findings name."""
    own = [cell.line_id for cell in history.cells]
    under = [line_id for fitment in history.fitments for line_id in (*fitment.evidence, *fitment.copies)]
    named = [line_id for finding in history.findings for line_id in finding.lines]
    return list(dict.fromkeys((*own, *under, *named)))


def _fitments(made: Index, history: ComponentHistory, notes: Sequence[Note]) -> list[FitmentView]:
    running = accumulate(supported(fitment.miles) or 0 for fitment in history.fitments)
    return [_fitment(made, f, so_far, notes) for f, so_far in zip(history.fitments, running, strict=True)]


def _fitment(made: Index, fitment: Fitment, so_far: int, notes: Sequence[Note]) -> FitmentView:
    claims = made.matter.claims_of(fitment)
    contradicted = any(key in made.matter.contradicted for key in claims)
    under = {*fitment.evidence, *fitment.copies}
    return FitmentView(
        engine_id=fitment.engine_id,
        engine_then=str(made.matter.called(fitment)),
        fitted=when_view(fitment.fitted),
        removed=when_view(fitment.removed),
        miles=miles_view(fitment.miles),
        running_miles=None if supported(fitment.miles) is None else so_far,
        confidence=round(fitment.confidence, 4),
        degree=degree_of(fitment.confidence, contradicted=contradicted),
        evidence=list(fitment.evidence),
        copies=list(fitment.copies),
        claims=[str(key) for key in claims],
        reasons=reasons(fitment.reasons),
        notes=[note.number for note in notes if under.intersection(note.lines)],
    )


def _note_views(made: Index, notes: Sequence[Note]) -> list[NoteView]:
    """The notes of the exported document by the same numbers, an entry for each line that a note cites."""
    cited = [(note.number, line) for note in notes for i in note.lines if (line := made.lines.get(i))]
    citations = made.matter.citations
    return [NoteView(n, line.line_id, citations.first(line), citations.later(line)) for n, line in cited]
