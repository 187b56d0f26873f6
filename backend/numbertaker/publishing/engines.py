"""The history of an engine: every component that it carried, in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Event
from numbertaker.publishing.citations import Notes
from numbertaker.publishing.compose import CAUTION, after
from numbertaker.publishing.degrees import degree_of
from numbertaker.publishing.derived import supported
from numbertaker.publishing.document import (
    Block,
    Caution,
    Document,
    Heading,
    Inlines,
    Key,
    NoteRef,
    Paragraph,
    Row,
    Run,
    Table,
    words,
)
from numbertaker.publishing.figures import listed
from numbertaker.publishing.matter import Matter, Stay
from numbertaker.publishing.tables import engine_thread


def engine_document(matter: Matter, engine_id: str, digest: str = "") -> Document:
    """Every component that one engine carried, in order; NotFound where the archive has no such engine."""
    if engine_id not in {engine.engine_id for engine in matter.evidence.engines} and not matter.stays_on(
        engine_id
    ):
        raise NotFound("engine", engine_id)
    notes = Notes(matter.citations)
    title = f"Engine {matter.names.all_of(engine_id)}"
    blocks: list[Block] = [Heading(1, words(title), "top"), Caution(CAUTION)]
    blocks += engine_blocks(matter, engine_id, notes, "", 2)
    return Document(title, (*blocks, Key()), notes.written, after(matter, notes.used, digest), state=digest)


def engine_blocks(matter: Matter, engine_id: str, notes: Notes, prefix: str, level: int) -> list[Block]:
    """The sections of one engine; a section that would be empty is left out."""
    stays = matter.stays_on(engine_id)
    figure = engine_thread(matter, engine_id, stays)
    blocks: list[Block] = [replace(figure, name=f"{prefix}thread")] if figure is not None else []
    blocks += _engine_row(matter, engine_id, notes)
    blocks.append(Heading(level, words("What it carried"), f"{prefix}carried"))
    if not stays:
        blocks.append(
            Paragraph(words("Nothing that has been read puts any component on this engine."), remark=True)
        )
    before = [None, *(stay.component_id for stay in stays)]
    told_of = [
        _stay_told(matter, stay, notes, again=earlier == stay.component_id)
        for stay, earlier in zip(stays, before, strict=False)
    ]
    blocks += [paragraph for paragraph, _ in told_of]
    if stays:
        blocks.append(_stay_table(matter, stays, [number for _, number in told_of]))
    return [*blocks, *_engine_events(matter, engine_id, notes, prefix, level)]


def _stay_told(matter: Matter, stay: Stay, notes: Notes, *, again: bool) -> tuple[Paragraph, int | None]:
    fitment = stay.fitment
    hedge = {"near certain": "", "probable": "probably ", "doubtful": "it seems "}.get(
        degree_of(fitment.confidence), "improbably "
    )
    named = matter.names.component(stay.component_id)
    note = notes.cite(fitment.evidence, fitment.copies)
    fitted = (
        Run(
            matter.usage.when_phrase(matter.when(fitment, "fitted")),
            degree=matter.degree_of(fitment, "fitted"),
        )
        if fitment.fitted
        else "at a date that is not stated"
    )
    removed = (
        Run(
            matter.usage.when_phrase(matter.when(fitment, "removed")),
            degree=matter.degree_of(fitment, "removed"),
        )
        if fitment.removed
        else None
    )
    end = words(" and removed ", removed) if removed else words("; no removal is stated")
    figure = supported(fitment.miles)
    ran = (
        words(", having run ", Run(matter.usage.miles(figure), degree=matter.degree_of(fitment, "miles")))
        if figure is not None
        else ()
    )
    inlines = (
        *words(f"{named} was {hedge}fitted {'again ' if again else ''}", fitted),
        *end,
        *ran,
        *words("."),
        *words(note),
    )
    first = fitment.evidence[0] if fitment.evidence else ""
    key = f"fitment:{stay.component_id}:{first}"
    return Paragraph(inlines, remark=note is None, key=key), None if note is None else note.number


def _stay_table(matter: Matter, stays: Sequence[Stay], marks: Sequence[int | None]) -> Table:
    rows = []
    for n, (stay, mark) in enumerate(zip(stays, marks, strict=True), 1):
        figure = supported(stay.fitment.miles)
        cells: tuple[Inlines, ...] = (
            words(str(n)),
            words(matter.names.component(stay.component_id)),
            words(str(matter.called(stay.fitment))),
            words(matter.usage.when_words(matter.when(stay.fitment, "fitted"))),
            words(matter.usage.when_words(matter.when(stay.fitment, "removed"))),
            words("not known" if figure is None else matter.usage.figure(figure)),
            words(degree_of(stay.fitment.confidence)),
            words(NoteRef(mark, again=True) if mark is not None else None),
        )
        rows.append(Row(cells))
    head = ("No.", "Component", "The engine was then", "Fitted", "Removed", "Miles", "How sure", "Note")
    return Table("What the engine carried", head, tuple(rows), frozenset((0, 5)))


def _engine_row(matter: Matter, engine_id: str, notes: Notes) -> list[Block]:
    """What the archive's own table says of the engine; nothing where it says nothing."""
    row = next((row for row in matter.evidence.engines if row.engine_id == engine_id), None)
    if row is None:
        return []
    facts = [f"of class {row.class_}"] if row.class_ else []
    facts += [f"built {matter.usage.date_phrase(row.built)}"] if row.built else []
    facts += [f"withdrawn {matter.usage.date_phrase(row.withdrawn)}"] if row.withdrawn else []
    said = words(f"It was {listed(facts)}.", notes.table("engines", engine_id)) if facts else ()
    return [Paragraph(said, key="engine")] if facts else []


def _engine_events(matter: Matter, engine_id: str, notes: Notes, prefix: str, level: int) -> list[Block]:
    events = matter.events_of([engine_id])
    if not events:
        return []
    told_of = [_event(matter, event, notes) for event in events]
    return [Heading(level, words("Events"), f"{prefix}events"), *told_of]


def _event(matter: Matter, event: Event, notes: Notes) -> Paragraph:
    when = matter.usage.date_words(event.date)
    said = f"{when[:1].upper()}{when[1:]}: {event.statement}"
    return Paragraph(words(said, notes.event(event)), key=f"event:{event.event_id}")
