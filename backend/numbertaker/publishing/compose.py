"""The document of one component: its sections in order, and what every document ends with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from numbertaker.evidence.days import civil
from numbertaker.publishing.citations import Notes, reckoned_from
from numbertaker.publishing.derived import supported
from numbertaker.publishing.document import (
    Block,
    Caution,
    Document,
    Heading,
    Key,
    Paragraph,
    words,
)
from numbertaker.publishing.figures import counted
from numbertaker.publishing.matter import Matter
from numbertaker.publishing.narrative import told
from numbertaker.publishing.plates import plates
from numbertaker.publishing.questions import decisions_told, events_told, open_questions
from numbertaker.publishing.reckoned import Reckoner
from numbertaker.publishing.tables import fitments_table, life_span, thread
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
    blocks += component_blocks(matter, component, notes, "", 2)
    return Document(title, (*blocks, Key()), notes.written, after(matter, notes.used, digest), state=digest)


def component_blocks(
    matter: Matter, component: ComponentHistory, notes: Notes, prefix: str, level: int
) -> list[Block]:
    """The sections of one component; a section that would be empty is left out."""
    marks: dict[int, int] = {}
    story = list(told(matter, component, notes, marks, prefix))
    blocks: list[Block] = [_summary(matter, component)]
    figure = thread(matter, component) if component.fitments else None
    if figure is not None:
        links = tuple(f"{prefix}fitment-{n + 1}" for n in range(len(component.fitments)))
        blocks.append(replace(figure, name=f"{prefix}thread", links=links))
    blocks += [Heading(level, words("The history"), f"{prefix}history"), *story]
    if component.fitments:
        blocks += [
            Heading(level, words("The fitments in order"), f"{prefix}fitments"),
            fitments_table(matter, component, marks),
        ]
        blocks += [_miles(matter, component, marks, notes)]
        reckoned = list(Reckoner(matter, component, notes, marks).told())
        if reckoned:
            title = "Reckoned from the evidence"
            blocks += [Heading(level, words(title), f"{prefix}reckoned"), *_joined(reckoned)]
    sections = (
        ("Open questions", "questions", open_questions),
        ("What was decided, and why", "decisions", decisions_told),
        ("Events of its engines", "events", events_told),
    )
    for title, anchor, tell in sections:
        paragraphs = list(tell(matter, component, notes))
        if paragraphs:
            blocks += [Heading(level, words(title), f"{prefix}{anchor}"), *paragraphs]
    shown = plates(matter, component, notes)
    return [*blocks, Heading(level, words("Plates"), f"{prefix}plates"), *shown] if shown else blocks


def _joined(paragraphs: Sequence[Paragraph]) -> list[Paragraph]:
    """Statements that are read as one paragraph."""
    return [replace(paragraph, follows=n > 0) for n, paragraph in enumerate(paragraphs)]


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
    cited = [marks[n] for n in counted_in if n in marks]
    made = (
        reckoned_from("The sum of the miles in", cited)
        if cited
        else words("No fitment has a figure of miles.")
    )
    stays = len(component.fitments)
    of = (
        f"{len(counted_in)} of {stays} fitments"
        if len(counted_in) < stays
        else f"all {counted(stays, 'fitment')}"
    )
    sentence = f"The evidence supports {matter.usage.miles(total.supported)}, stated or derived, in {of}."
    estimate = matter.usage.mile_range(total.low, total.high)
    sure = f" (with a probability of {round(100 * total.level)} per cent)"
    told_already = not estimate or estimate == matter.usage.miles(total.supported)
    range_ = (
        f" The true total, with fitments and gaps that have no figure, is estimated to be {estimate}{sure}."
    )
    return Paragraph(
        words(sentence, notes.remark(*made), None if told_already else range_), remark=True, key="miles"
    )


def after(matter: Matter, used: Iterable[str], digest: str) -> tuple[Block, ...]:
    """Bibliography and colophon."""
    sources = matter.citations.bibliography(used)
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
