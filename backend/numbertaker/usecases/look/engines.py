"""Engines: one row each, and what one carried."""

from __future__ import annotations

from collections.abc import Collection

from numbertaker.archive import Archive
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Designation, Engine, Event
from numbertaker.publishing.dates import date_words
from numbertaker.publishing.degrees import degree_of
from numbertaker.publishing.matter import Stay
from numbertaker.publishing.questions import event_span
from numbertaker.reconciling.history import Finding
from numbertaker.usecases.look.findings import finding_views
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.spans import miles_view, when_view
from numbertaker.usecases.look.summaries import citation_of
from numbertaker.usecases.look.views import (
    CarriedView,
    ComponentRef,
    DesignationView,
    EnginePage,
    EngineSummary,
    EngineView,
    EventView,
)


def engines(archive: Archive) -> list[EngineSummary]:
    """Every engine of the tables, in their order."""
    made = index(archive)
    return [_summary(made, row) for row in made.evidence.engines]


def _summary(made: Index, row: Engine) -> EngineSummary:
    carried = {stay.component_id for stay in made.matter.stays_on(row.engine_id)}
    label = made.label(row.engine_id)
    return EngineSummary(row.engine_id, label, row.class_, row.built, row.withdrawn, len(carried))


def engine_page(archive: Archive, engine_id: str) -> EnginePage:
    """One engine; `NotFound` where the tables have none of that id."""
    made = index(archive)
    row = next((row for row in made.evidence.engines if row.engine_id == engine_id), None)
    if row is None:
        raise NotFound("engine", engine_id)
    return EnginePage(
        engine=engine_view(made, row),
        carried=[_carried(made, stay) for stay in made.matter.stays_on(engine_id)],
        events=event_views(made, (engine_id,)),
        findings=finding_views(made, [f for f in made.findings.values() if _about(made, f, engine_id)]),
    )


def _about(made: Index, finding: Finding, engine_id: str) -> bool:
    """Whether a finding is about an engine: by a row of the tables, or by a line that means it."""
    if any(row.partition(":")[2].partition("/")[0] == engine_id for row in finding.authority):
        return True
    return any(engine_id in made.engines_of_line.get(line_id, ()) for line_id in finding.lines)


def engine_view(made: Index, row: Engine) -> EngineView:
    """An engine with everything that it bore, in order."""
    return EngineView(
        engine_id=row.engine_id,
        label=made.label(row.engine_id),
        class_=row.class_,
        built=row.built,
        withdrawn=row.withdrawn,
        works=row.works,
        note=row.note,
        designations=[_designation(d) for d in made.designations_of.get(row.engine_id, ())],
    )


def _designation(row: Designation) -> DesignationView:
    known = (("from", row.from_), ("until", row.to))
    when = ", ".join(f"{word} {date_words(text)}" for word, text in known if text not in ("", ".."))
    return DesignationView(
        row.scheme, row.value, row.from_, row.to, f"{row.value}, {when}" if when else row.value
    )


def _carried(made: Index, stay: Stay) -> CarriedView:
    fitment = stay.fitment
    contradicted = any(key in made.matter.contradicted for key in made.matter.claims_of(fitment))
    return CarriedView(
        component=ComponentRef(stay.component_id, made.label(stay.component_id)),
        kind=made.matter.names.kind(stay.component_id),
        fitted=when_view(fitment.fitted),
        removed=when_view(fitment.removed),
        miles=miles_view(fitment.miles),
        confidence=round(fitment.confidence, 4),
        degree=degree_of(fitment.confidence, contradicted=contradicted),
        evidence=list(fitment.evidence),
    )


def event_views(made: Index, subject_ids: Collection[str]) -> list[EventView]:
    """The events of some engines and components, by date."""
    events = sorted(made.matter.events_of(subject_ids), key=lambda event: (event_span(event), event.event_id))
    return [_event(made, event) for event in events]


def _event(made: Index, event: Event) -> EventView:
    is_engine = event.subject_id not in made.matter.component_ids
    then = made.matter.names.then(event.subject_id, event_span(event)) if is_engine else ""
    return EventView(
        event_id=event.event_id,
        subject_id=event.subject_id,
        subject=f"Engine {then}" if is_engine else made.label(event.subject_id),
        date=event.date,
        date_text=date_words(event.date),
        statement=event.statement,
        citation=citation_of(made, event.source_id, event.locator),
    )
