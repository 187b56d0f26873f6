"""Whole documents: the history of a component, of an engine, or of everything with an index."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from numbertaker.evidence.days import civil
from numbertaker.evidence.errors import NotFound
from numbertaker.publishing.citations import Notes
from numbertaker.publishing.dates import date_phrase, date_words, when_phrase, when_words
from numbertaker.publishing.degrees import degree_of
from numbertaker.publishing.document import (
    Block,
    Caution,
    Document,
    Heading,
    Inlines,
    Items,
    Jump,
    Key,
    NoteRef,
    Paragraph,
    Row,
    Run,
    Table,
    words,
)
from numbertaker.publishing.figures import counted, grouped, listed, mile_range, miles
from numbertaker.publishing.matter import Matter, Stay
from numbertaker.publishing.narrative import told
from numbertaker.publishing.questions import decisions_told, events_told, open_questions
from numbertaker.publishing.tables import engine_thread, fitments_table, life_span, supported, thread
from numbertaker.reconciling.history import ComponentHistory

CAUTION: Final = (
    "A mileage or a date in a history is no evidence that a pressure vessel or a vehicle is fit for use. "
    "For that, defer to the examination by a competent person that local law requires."
)


def component_document(matter: Matter, component_id: str, digest: str = "") -> Document:
    """The history of one component; NotFound where the history has none of that id."""
    component = matter.component(component_id)
    notes = Notes(matter.citations)
    title = matter.names.component(component_id)
    blocks: list[Block] = [Heading(1, words(title), "top"), Caution(CAUTION)]
    blocks += _component(matter, component, notes, "", 2)
    return Document(title, (*blocks, Key()), notes.written, after(matter, notes, digest))


def book(matter: Matter, digest: str = "") -> Document:
    """Every component of the archive in one document, with an index of components and one of engines."""
    notes = Notes(matter.citations)
    components = matter.history.components
    anchors = {component.component_id: f"component-{n}" for n, component in enumerate(components, 1)}
    title = "Histories of components"
    blocks: list[Block] = [Heading(1, words(title), "top"), Caution(CAUTION), *_index(matter, anchors)]
    for component in components:
        anchor = anchors[component.component_id]
        blocks.append(Heading(2, words(matter.names.component(component.component_id)), anchor))
        blocks += _component(matter, component, notes, f"{anchor}-", 3)
    return Document(
        title, (*blocks, *_engine_index(matter, anchors), Key()), notes.written, after(matter, notes, digest)
    )


def engine_document(matter: Matter, engine_id: str, digest: str = "") -> Document:
    """Every component that one engine carried, in order; NotFound where the archive has no such engine."""
    if engine_id not in {engine.engine_id for engine in matter.evidence.engines} and not matter.stays_on(
        engine_id
    ):
        raise NotFound("engine", engine_id)
    notes = Notes(matter.citations)
    stays = matter.stays_on(engine_id)
    title = f"Engine {matter.names.all_of(engine_id)}"
    blocks: list[Block] = [Heading(1, words(title), "top"), Caution(CAUTION)]
    figure = engine_thread(matter, engine_id, stays)
    blocks += [figure] if figure is not None else []
    blocks += _engine_row(matter, engine_id, notes)
    blocks.append(Heading(2, words("What it carried"), "carried"))
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
    blocks += _engine_events(matter, engine_id, notes)
    return Document(title, (*blocks, Key()), notes.written, after(matter, notes, digest))


def _component(
    matter: Matter, component: ComponentHistory, notes: Notes, prefix: str, level: int
) -> list[Block]:
    """The sections of one component; a section that would be empty is left out."""
    marks: dict[int, int] = {}
    story = list(told(matter, component, notes, marks))
    blocks: list[Block] = [_summary(matter, component)]
    figure = thread(matter, component) if component.fitments else None
    blocks += [figure] if figure is not None else []
    blocks += [Heading(level, words("The history"), f"{prefix}history"), *story]
    if component.fitments:
        blocks += [
            Heading(level, words("The fitments in order"), f"{prefix}fitments"),
            fitments_table(matter, component, marks),
        ]
        blocks += [_miles(matter, component, marks, notes)]
    sections = (
        ("Open questions", "questions", open_questions),
        ("What was decided, and why", "decisions", decisions_told),
        ("Events of its engines", "events", events_told),
    )
    for title, anchor, tell in sections:
        paragraphs = list(tell(matter, component, notes))
        if paragraphs:
            blocks += [Heading(level, words(title), f"{prefix}{anchor}"), *paragraphs]
    return blocks


def _summary(matter: Matter, component: ComponentHistory) -> Paragraph:
    """What the document holds, counted: the program's own remark."""
    row = next(
        (row for row in matter.evidence.components if row.component_id == component.component_id), None
    )
    engines = len({fitment.engine_id for fitment in component.fitments})
    type_ = f"Type {row.type}. " if row is not None and row.type else ""
    if not component.fitments:
        return Paragraph(words(f"{type_}Nothing that has been read puts it on any engine."), remark=True)
    stays = counted(len(component.fitments), "fitment")
    open_ = sum(finding.settled_by is None for finding in component.findings)
    asked = f" {_capital(counted(open_, 'question'))} {'is' if open_ == 1 else 'are'} open." if open_ else ""
    said = f"{type_}The evidence gives it {stays} on {counted(engines, 'engine')}{_years(component)}.{asked}"
    return Paragraph(words(said), remark=True)


def _years(component: ComponentHistory) -> str:
    span = life_span(component)
    if span.first is None or span.last is None:
        return ""
    first, last = civil(span.first)[0], civil(span.last)[0]
    return f", from {first} to {last}" if first != last else f", in {first}"


def _miles(matter: Matter, component: ComponentHistory, marks: dict[int, int], notes: Notes) -> Paragraph:
    """The supported miles and how they were added up, and the range of the true ones."""
    counted_in = [n for n, fitment in enumerate(component.fitments) if supported(fitment.miles) is not None]
    total = component.miles
    cited = [str(marks[n]) for n in counted_in if n in marks]
    made = f"The sum of the miles in notes {listed(cited)}." if cited else "No fitment has a figure of miles."
    stays = len(component.fitments)
    of = (
        f"{len(counted_in)} of {stays} fitments"
        if len(counted_in) < stays
        else f"all {counted(stays, 'fitment')}"
    )
    sentence = f"The evidence supports {miles(total.supported)}, stated or derived, in {of}."
    estimate = mile_range(total.low, total.high)
    sure = f" (with a probability of {round(100 * total.level)} per cent)"
    told_already = not estimate or estimate == miles(total.supported)
    range_ = (
        f" The true total, with fitments and gaps that have no figure, is estimated to be {estimate}{sure}."
    )
    return Paragraph(words(sentence, notes.remark(made), None if told_already else range_), remark=True)


def _stay_told(matter: Matter, stay: Stay, notes: Notes, *, again: bool) -> tuple[Paragraph, int | None]:
    fitment = stay.fitment
    hedge = {"near certain": "", "probable": "probably ", "doubtful": "it seems "}.get(
        degree_of(fitment.confidence), "improbably "
    )
    named = matter.names.component(stay.component_id)
    note = notes.cite(fitment.evidence, fitment.copies)
    fitted = (
        Run(when_phrase(fitment.fitted), degree=matter.degree_of(fitment, "fitted"))
        if fitment.fitted
        else "at a date that is not stated"
    )
    removed = (
        Run(when_phrase(fitment.removed), degree=matter.degree_of(fitment, "removed"))
        if fitment.removed
        else None
    )
    end = words(" and removed ", removed) if removed else words("; no removal is stated")
    figure = supported(fitment.miles)
    ran = (
        words(", having run ", Run(miles(figure), degree=matter.degree_of(fitment, "miles")))
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
    return Paragraph(inlines, remark=note is None), None if note is None else note.number


def _stay_table(matter: Matter, stays: Sequence[Stay], marks: Sequence[int | None]) -> Table:
    rows = []
    for n, (stay, mark) in enumerate(zip(stays, marks, strict=True), 1):
        figure = supported(stay.fitment.miles)
        cells: tuple[Inlines, ...] = (
            words(str(n)),
            words(matter.names.component(stay.component_id)),
            words(str(matter.called(stay.fitment))),
            words(when_words(stay.fitment.fitted)),
            words(when_words(stay.fitment.removed)),
            words("not known" if figure is None else grouped(figure)),
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
    facts += [f"built {date_phrase(row.built)}"] if row.built else []
    facts += [f"withdrawn {date_phrase(row.withdrawn)}"] if row.withdrawn else []
    said = words(f"It was {listed(facts)}.", notes.table("engines", engine_id)) if facts else ()
    return [Paragraph(said)] if facts else []


def _engine_events(matter: Matter, engine_id: str, notes: Notes) -> list[Block]:
    events = matter.events_of([engine_id])
    if not events:
        return []
    told_of = [
        Paragraph(words(f"{_capital(date_words(event.date))}: {event.statement}", notes.event(event)))
        for event in events
    ]
    return [Heading(2, words("Events"), "events"), *told_of]


def _index(matter: Matter, anchors: dict[str, str]) -> list[Block]:
    jumps = tuple(
        words(Jump(anchor, matter.names.component(component_id))) for component_id, anchor in anchors.items()
    )
    return [Heading(2, words("Components"), "components"), Items(jumps)] if jumps else []


def _engine_index(matter: Matter, anchors: dict[str, str]) -> list[Block]:
    """Every engine with the components it carried, by what it was called first."""
    entries: list[tuple[str, Inlines]] = []
    for engine in matter.evidence.engines:
        carried = dict.fromkeys(stay.component_id for stay in matter.stays_on(engine.engine_id))
        if carried:
            called = matter.names.all_of(engine.engine_id)
            entries.append((called, (*words(f"{called}: "), *_jumps(matter, carried, anchors))))
    items = tuple(entry for _, entry in sorted(entries, key=lambda pair: pair[0]))
    return [Heading(2, words("Engines"), "engines"), Items(items)] if items else []


def _jumps(matter: Matter, component_ids: Iterable[str], anchors: dict[str, str]) -> Inlines:
    parts: list[Jump | Run] = []
    for component_id in component_ids:
        parts += [Run(", ")] * bool(parts) + [
            Jump(anchors[component_id], matter.names.component(component_id))
        ]
    return tuple(parts)


def after(matter: Matter, notes: Notes, digest: str) -> tuple[Block, ...]:
    """Bibliography and colophon."""
    sources = matter.citations.bibliography(notes.used)
    state = f" State of the evidence and the decisions: {digest}." if digest else ""
    made = "Made by Numbertaker from the evidence and the decisions alone: the same state, the same document."
    blocks: list[Block] = [Heading(2, words("Sources"), "sources"), *sources] if sources else []
    return (
        *blocks,
        Heading(2, words("What this rests on"), "state"),
        Paragraph(words(f"{made}{state}"), remark=True),
    )


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
