"""Notes and bibliography of archival sources: full at first, short from then on, never 'ibid.'.

The parts of a note and their order are the house style's (`house.py`); in the usual one they are repository,
collection, reference, title, item, the place in the source (card or page, line), and the date seen; common
practice for archives in Britain, no source. What is not stated is left out, never filled in.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final

from numbertaker.evidence.records import CELL_FIELDS, Card, Event, Evidence, Line, Source
from numbertaker.publishing.document import (
    Cross,
    Heading,
    Inline,
    Inlines,
    Items,
    Jump,
    Note,
    NoteRef,
    Paragraph,
    Run,
    words,
)
from numbertaker.publishing.house import set_parts
from numbertaker.publishing.manner import USUAL, Manner

_LAST: Final = "\U0010ffff"


class Citations:
    """The sources of an archive as notes and as a bibliography."""

    def __init__(self, evidence: Evidence, manner: Manner = USUAL) -> None:
        """Take the sources, the cards and the lines of the evidence, and the manner of citing them."""
        self.style, self._usage = manner.style, manner.usage
        self.sources: dict[str, Source] = {source.source_id: source for source in evidence.sources}
        self._cards: dict[str, Card] = {card.card_id: card for card in evidence.cards}
        self._lines: dict[str, Line] = {line.line_id: line for line in evidence.lines}
        self._references = Counter(source.reference for source in evidence.sources if source.reference)

    def line(self, line_id: str) -> Line | None:
        """A line by its id; None where the evidence has no such line."""
        return self._lines.get(line_id)

    def first(self, line: Line) -> str:
        """The full note of a line, as plain text."""
        return _text(self.full(line.source_id, self.locator(line)))

    def later(self, line: Line) -> str:
        """The short note of a line, as plain text."""
        return _text(self.short(line.source_id, self.locator(line)))

    def locator(self, line: Line) -> str:
        """Where in its source a line stands: as cited, else made of its card and its row."""
        if line.locator:
            return line.locator
        card = self._cards.get(line.card_id)
        place = (card.locator if card is not None else "") or (f"card {line.card_id}" if line.card_id else "")
        return ", ".join(part for part in (place, f"line {line.row_}" if line.row_ else "") if part)

    def full(self, source_id: str, locator: str = "") -> Inlines:
        """The note that names a source for the first time, without a full stop."""
        source = self.sources.get(source_id)
        if source is None:
            return words(
                f"source {source_id}, of which nothing is stated", f", {locator}" if locator else None
            )
        kind = "archival" if _held(source) else "published"
        return set_parts(self.style.notes[kind], self._fields(source, locator))

    def short(self, source_id: str, locator: str = "") -> Inlines:
        """The note that names it again: its reference if it alone has it, else the title too."""
        source = self.sources.get(source_id)
        if source is None:
            return words(f"source {source_id}", f", {locator}" if locator else None)
        if source.reference and self._references[source.reference] == 1:
            kind = "short_reference"
        else:
            kind = "short_archival" if source.reference else "short_published"
        return set_parts(self.style.notes[kind], self._fields(source, locator))

    def _fields(self, source: Source, locator: str = "") -> dict[str, Inlines]:
        """What is stated of a source, ready to be set; a published title in italics, never recased."""
        seen, created = (self._usage.date_words(d) if d else "" for d in (source.seen, source.created))
        plain = {
            "repository": source.repository,
            "collection": source.collection,
            "reference": source.reference,
            "item": source.item,
            "locator": locator,
            "seen": seen,
            "author": source.author,
            "surname": source.author.partition(",")[0],
            "made": ", ".join(part for part in (source.publisher, created) if part),
        }
        title = self.style.set_title(source.title, published=source.kind == "published")
        return {name: words(text) for name, text in plain.items()} | {"title": title}

    def bibliography(self, source_ids: Iterable[str]) -> tuple[Heading | Items, ...]:
        """The sources used, by repository; those of no repository last, as published or privately held."""
        held: dict[str, list[Source]] = {}
        for source in sorted(
            {self.sources[i].key: self.sources[i] for i in source_ids if i in self.sources}.values(),
            key=_filed,
        ):
            held.setdefault(source.repository, []).append(source)
        blocks: list[Heading | Items] = []
        for number, (repository, sources) in enumerate(held.items(), 1):
            title = repository or self.style.elsewhere
            blocks.append(Heading(3, words(title), f"repository-{number}"))
            blocks.append(Items(tuple(self._entry(source) for source in sources)))
        return tuple(blocks)

    def _entry(self, source: Source) -> Inlines:
        parents = [_text(self.short(parent)) for parent in source.parents]
        copied = (
            f" Compiled from {'; '.join(parents)}: no separate witness of what stands there."
            if parents
            else ""
        )
        kind = "archival" if _held(source) else "published"
        named = set_parts(self.style.bibliography[kind], self._fields(source))
        return (*named, *words(".", copied))


class Notes:
    """The notes of one document as they are written, numbered from 1; it knows which sources were named."""

    def __init__(self, citations: Citations) -> None:
        """Start with no note."""
        self._citations = citations
        self._named: dict[str, None] = {}
        self._written: list[Note] = []
        self._copy_told = False

    @property
    def written(self) -> tuple[Note, ...]:
        """The notes so far."""
        return tuple(self._written)

    @property
    def used(self) -> tuple[str, ...]:
        """The ids of the sources cited so far, in the order of their first note."""
        return tuple(self._named)

    def cite(self, line_ids: Sequence[str], copies: Sequence[str] = (), *, lead: str = "") -> NoteRef | None:
        """One note to some lines, as written, copies named as copies; None where there are no lines."""
        independent = [i for i in dict.fromkeys(line_ids) if i not in copies]
        repeated = [i for i in dict.fromkeys((*line_ids, *copies)) if i in copies]
        parts = [self._line(line_id) for line_id in independent]
        parts += [(*words(self._copied()), *self._line(i)) for i in repeated]
        if not parts:
            return None
        return self._add((*words(lead), *_joined(parts)), (*independent, *repeated))

    def _copied(self) -> str:
        """How a copy is told: at first what that means, and later in a word."""
        told, self._copy_told = self._copy_told, True
        return "copied in " if told else "repeated, as a copy and no separate witness, in "

    def event(self, event: Event) -> NoteRef:
        """A note to the source of an event."""
        return self._add(self._source(event.source_id, event.locator))

    def source(self, source_id: str, locator: str) -> NoteRef:
        """A note to a place in a source."""
        return self._add(self._source(source_id, locator))

    def table(self, table: str, key: str) -> NoteRef:
        """A note to a row of the archive's own tables, which state no source."""
        return self._add(words(f"This archive’s own table of {table}, {key}; it states no source."))

    def remark(self, *parts: str | Inline) -> NoteRef:
        """A note in the program's own words: how a figure was made."""
        return self._add(words(*parts), stop=False)

    def _line(self, line_id: str) -> Inlines:
        line = self._citations.line(line_id)
        if line is None:
            return words(f"line {line_id}, which the evidence no longer holds")
        cited = self._source(line.source_id, self._citations.locator(line))
        return (*cited, *_as_written(line)) if self._citations.style.as_written else cited

    def _source(self, source_id: str, locator: str) -> Inlines:
        if source_id in self._named:
            return self._citations.short(source_id, locator)
        self._named[source_id] = None
        return self._citations.full(source_id, locator)

    def _add(self, inlines: Inlines, lines: tuple[str, ...] = (), *, stop: bool = True) -> NoteRef:
        number = len(self._written) + 1
        ended = stop and not _text(inlines).endswith(".")
        self._written.append(Note(number, (*inlines, *words("." if ended else None)), lines))
        return NoteRef(number)


def reckoned_from(what: str, numbers: Sequence[int]) -> Inlines:
    """How a figure was made, its inputs by their notes: 'The sum of the miles in notes 2, 3 and 5.'"""
    said: list[str | Inline] = [f"{what} {'note' if len(numbers) == 1 else 'notes'} "]
    for n, number in enumerate(numbers):
        said += ["" if n == 0 else " and " if n == len(numbers) - 1 else ", ", Cross(number)]
    return words(*said, ".")


def note_text(note: Note) -> str:
    """A note as plain text."""
    return _text(note.inlines)


def ended(paragraph: Paragraph) -> bool:
    """Whether a paragraph has a note at all."""
    return any(isinstance(part, NoteRef) for part in paragraph.inlines)


def _as_written(line: Line) -> Inlines:
    """The claims of a line exactly as they stand, each in the source's voice."""
    told = [
        line.text(field)
        for field in CELL_FIELDS
        if field not in ("heading", "heading_name") and line.text(field)
    ]
    if not told:
        return ()
    parts: list[Run] = []
    for text in told:
        parts += [Run(" · " if parts else ": "), Run(text, "written")]
    return tuple(parts)


def _held(source: Source) -> bool:
    """Whether a source is kept somewhere, and not only published."""
    return bool(source.repository or source.collection or source.reference)


def _filed(source: Source) -> tuple[str, ...]:
    """The order of the bibliography: repository, then collection, reference, author, title."""
    rest = (source.collection, source.reference, source.author, source.title)
    return source.repository.casefold() or _LAST, *(part.casefold() for part in rest), source.source_id


def _joined(parts: Sequence[Inlines]) -> Inlines:
    whole: list[Inlines] = []
    for n, part in enumerate(parts):
        whole += [words("; ")] * (n > 0) + [part]
    return tuple(inline for part in whole for inline in part)


def _text(inlines: Inlines) -> str:
    return "".join(
        str(inline.number) if isinstance(inline, Cross) else inline.text
        for inline in inlines
        if isinstance(inline, Run | Jump | Cross)
    )
