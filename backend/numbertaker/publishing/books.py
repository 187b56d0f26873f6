"""Many histories as one book: a chapter each, with indexes, sources and one run of notes.

Each chapter is composed by itself, with the full form of a source at its first note *in the chapter*, so that
a reader need not leaf back through the whole book. Chapters may therefore be made in any number of processes;
binding gives the notes their numbers in order, and the book is the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Evidence
from numbertaker.publishing.citations import Notes
from numbertaker.publishing.compose import CAUTION, after, component_blocks
from numbertaker.publishing.document import (
    Block,
    Caution,
    Cross,
    Document,
    Heading,
    Inline,
    Inlines,
    Items,
    Jump,
    Key,
    Note,
    NoteRef,
    Paragraph,
    Plate,
    Row,
    Run,
    Table,
    words,
)
from numbertaker.publishing.engines import engine_blocks
from numbertaker.publishing.matter import Matter

Of: TypeAlias = Literal["component", "engine"]


@dataclass(frozen=True, slots=True)
class Chapter:
    """One history as part of a book: its blocks, with notes from 1, and the sources it cites."""

    of: Of
    subject_id: str
    title: str
    blocks: tuple[Block, ...]
    notes: tuple[Note, ...]
    used: tuple[str, ...]


def chapter(matter: Matter, of: Of, subject_id: str, anchor: str) -> Chapter:
    """One chapter; `anchor` is its own in the book."""
    notes = Notes(matter.citations)
    if of == "component":
        title = matter.names.component(subject_id)
        blocks = component_blocks(matter, matter.component(subject_id), notes, f"{anchor}-", 3)
    else:
        title = f"Engine {matter.names.all_of(subject_id)}"
        blocks = engine_blocks(matter, subject_id, notes, f"{anchor}-", 3)
    whole = (Heading(2, words(title), anchor), *blocks)
    return Chapter(of, subject_id, title, whole, notes.written, notes.used)


def anchors_of(of: Of, subject_ids: Iterable[str]) -> dict[str, str]:
    """The anchor of each chapter, by the order of the book."""
    return {subject_id: f"{of}-{n}" for n, subject_id in enumerate(subject_ids, 1)}


def bound(matter: Matter, title: str, chapters: Sequence[Chapter], digest: str = "") -> Document:
    """The chapters as one book, with an index of each kind before and after."""
    anchors = anchors_of(chapters[0].of, (one.subject_id for one in chapters)) if chapters else {}
    blocks: list[Block] = [Heading(1, words(title), "top"), Caution(CAUTION), *_contents(chapters, anchors)]
    notes: list[Note] = []
    for one in chapters:
        blocks += [renumbered(block, len(notes)) for block in one.blocks]
        notes += [_note(note, len(notes)) for note in one.notes]
    used = dict.fromkeys(source for one in chapters for source in one.used)
    whole = (*blocks, *_indexes(matter, chapters, anchors), Key())
    return Document(title, whole, tuple(notes), after(matter, used, digest), book=True, state=digest)


def book(matter: Matter, digest: str = "") -> Document:
    """Every component of the archive in one document, with an index of components and one of engines."""
    component_ids = [component.component_id for component in matter.history.components]
    anchors = anchors_of("component", component_ids)
    chapters = [chapter(matter, "component", i, anchor) for i, anchor in anchors.items()]
    return bound(matter, "Histories of components", chapters, digest)


def engines_of_class(evidence: Evidence, class_: str) -> tuple[str, ...]:
    """The engines that ever were of a class, in the order of the table; NotFound where there is none."""
    rebuilt = {
        row.subject_id
        for row in evidence.designations
        if row.scheme == "class" and row.value.casefold() == class_.casefold()
    }
    found = tuple(
        engine.engine_id
        for engine in evidence.engines
        if engine.engine_id in rebuilt or engine.class_.casefold() == class_.casefold()
    )
    if not found:
        raise NotFound("class", class_)
    return found


def _note(note: Note, offset: int) -> Note:
    return Note(note.number + offset, _renumbered(note.inlines, offset), note.lines)


def renumbered(block: Block, offset: int) -> Block:
    """A block with the numbers of its notes moved on."""
    if offset == 0:
        return block
    if isinstance(block, Paragraph):
        return replace(block, inlines=_renumbered(block.inlines, offset))
    if isinstance(block, Plate):
        return replace(block, caption=_renumbered(block.caption, offset))
    if isinstance(block, Items):
        return replace(block, items=tuple(_renumbered(item, offset) for item in block.items))
    if isinstance(block, Table):
        return replace(block, rows=tuple(_row(row, offset) for row in block.rows))
    return block


def _row(row: Row, offset: int) -> Row:
    return replace(row, cells=tuple(_renumbered(cell, offset) for cell in row.cells))


def _renumbered(inlines: Inlines, offset: int) -> Inlines:
    return tuple(_moved(inline, offset) for inline in inlines)


def _moved(inline: Inline, offset: int) -> Inline:
    if isinstance(inline, NoteRef | Cross):
        return replace(inline, number=inline.number + offset)
    return inline


def _contents(chapters: Sequence[Chapter], anchors: Mapping[str, str]) -> list[Block]:
    jumps = tuple(words(Jump(anchors[one.subject_id], one.title)) for one in chapters)
    title = "Components" if all(one.of == "component" for one in chapters) else "Engines"
    return [Heading(2, words(title), "contents"), Items(jumps, index=True)] if jumps else []


def _indexes(matter: Matter, chapters: Sequence[Chapter], anchors: Mapping[str, str]) -> list[Block]:
    """What the chapters speak of: engines in a book of components, components in a book of engines."""
    if not chapters:
        return []
    if chapters[0].of == "component":
        entries = _engines(matter, anchors)
        title = "Engines"
    else:
        entries = _components(matter, anchors)
        title = "Components"
    items = tuple(entry for _, entry in sorted(entries, key=lambda pair: (pair[0], str(pair[1]))))
    return [Heading(2, words(title), "index"), Items(items, index=True)] if items else []


def _engines(matter: Matter, anchors: Mapping[str, str]) -> list[tuple[str, Inlines]]:
    """Every engine with the components it carried, by what it was called first."""
    entries = []
    for engine in matter.evidence.engines:
        carried = dict.fromkeys(stay.component_id for stay in matter.stays_on(engine.engine_id))
        goals = [(anchors[i], matter.names.component(i)) for i in carried if i in anchors]
        if goals:
            called = matter.names.all_of(engine.engine_id)
            entries.append((called, (*words(f"{called}: "), *_jumps(goals))))
    return entries


def _components(matter: Matter, anchors: Mapping[str, str]) -> list[tuple[str, Inlines]]:
    """Every component with the engines of the book that carried it."""
    entries = []
    for component in matter.history.components:
        engines = dict.fromkeys(fitment.engine_id for fitment in component.fitments)
        goals = [(anchors[i], matter.names.all_of(i)) for i in engines if i in anchors]
        if goals:
            called = matter.names.component(component.component_id)
            entries.append((called, (*words(f"{called}: "), *_jumps(goals))))
    return entries


def _jumps(goals: Sequence[tuple[str, str]]) -> Inlines:
    parts: list[Jump | Run] = []
    for anchor, text in goals:
        parts += [Run(", ")] * bool(parts) + [Jump(anchor, text)]
    return tuple(parts)
