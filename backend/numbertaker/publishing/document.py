"""A document before it has a format: headings, paragraphs, tables and notes, as plain values.

Two voices speak in it and are never mixed: what a source says *as written*, and what the program says.
A run of text may carry a degree of evidence, which a renderer shows by the rule under the words and has
to be able to say in a word.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from numbertaker.publishing.degrees import Degree
from numbertaker.publishing.timeline import Timeline

Voice: TypeAlias = Literal["program", "written"]


@dataclass(frozen=True, slots=True)
class Run:
    """Some words in one voice. `hedged` says that the sentence has the degree in its own words already."""

    text: str
    voice: Voice = "program"
    degree: Degree | None = None
    italic: bool = False
    hedged: bool = False


@dataclass(frozen=True, slots=True)
class NoteRef:
    """The mark of a note; `again` where the same note was marked before (in a table, say)."""

    number: int
    again: bool = False


@dataclass(frozen=True, slots=True)
class Jump:
    """A link to a heading of the same document, or of the page of a site that is named."""

    anchor: str
    text: str
    page: str = ""


@dataclass(frozen=True, slots=True)
class Goal:
    """A place within a paragraph that a link may lead to."""

    anchor: str


@dataclass(frozen=True, slots=True)
class Cross:
    """The number of another note, told in a sentence: 'the dates in notes 2 and 3'."""

    number: int


Inline: TypeAlias = Run | NoteRef | Jump | Goal | Cross
Inlines: TypeAlias = tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of level 1 to 4; the anchor is letters, digits and hyphens only."""

    level: int
    text: Inlines
    anchor: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A statement. `remark` marks the program's own words (a sum, say), which rest on no one source.

    `follows` where it goes on in the paragraph of the statement before it. `key` is its name from one edition
    to the next, empty where it has none; `anchor` what a link in the document leads to.
    """

    inlines: Inlines
    remark: bool = False
    follows: bool = False
    key: str = ""
    anchor: str = ""


@dataclass(frozen=True, slots=True)
class Caution:
    """What a reader must not take from the document."""

    text: str


@dataclass(frozen=True, slots=True)
class Items:
    """A list; every item is a paragraph's worth of words. `index` where its links want their pages named."""

    items: tuple[Inlines, ...]
    index: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table; `silent` rows tell of a gap and are hatched."""

    cells: tuple[Inlines, ...]
    silent: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table with its caption; `figures` are the columns set flush right."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[Row, ...]
    figures: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Figure:
    """A timeline with its title and a sentence for those who can't see it.

    `name` is its own in the document; `links` has the anchor of the statement of each stretch.
    """

    title: str
    description: str
    timeline: Timeline
    name: str = "thread"
    links: tuple[str, ...] = ()

    def drawn(self) -> tuple[tuple[str, str, str], ...]:
        """The figures that print makes of it: name, title and the words for those who can't see each."""
        lanes = (f"{self.name}-lanes", self.title, self.description)
        if not self.timeline.has_miles:
            return (lanes,)
        miles = (f"{self.name}-miles", self.miles_title, self.timeline.miles_told())
        return (lanes, miles)

    @property
    def miles_title(self) -> str:
        """What the chart of miles is called."""
        return "The miles it ran, as far as they are known"


@dataclass(frozen=True, slots=True)
class Plate:
    """The slip of a scan behind a statement, with its citation and the words for those who can't see it."""

    line_id: str
    caption: Inlines
    alt: str


@dataclass(frozen=True, slots=True)
class Key:
    """The explanation of the rules under the words."""


Block: TypeAlias = Heading | Paragraph | Caution | Items | Table | Figure | Plate | Key


@dataclass(frozen=True, slots=True)
class Note:
    """A numbered note; `lines` are the lines it cites, whose slips of the scan may be shown beside it."""

    number: int
    inlines: Inlines
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Document:
    """A whole document: its blocks, then its notes, then the bibliography and the state it rests on.

    `book` where it has a chapter for each of several; `state` names the state of evidence and decisions.
    """

    title: str
    blocks: tuple[Block, ...]
    notes: tuple[Note, ...]
    after: tuple[Block, ...] = ()
    lang: str = "en-GB"
    book: bool = False
    state: str = ""


def flowed(blocks: Iterable[Block]) -> tuple[Block, ...]:
    """The blocks with statements that follow one another set as one paragraph, their anchors within it."""
    done: list[Block] = []
    for block in blocks:
        before = done[-1] if done else None
        if not isinstance(block, Paragraph):
            done.append(block)
            continue
        goal = (Goal(block.anchor),) if block.anchor else ()
        if block.follows and isinstance(before, Paragraph) and not before.remark:
            done[-1] = replace(before, inlines=(*before.inlines, Run(" "), *goal, *block.inlines))
        else:
            done.append(replace(block, inlines=(*goal, *block.inlines), anchor=""))
    return tuple(done)


def words(*parts: str | Inline | None) -> Inlines:
    """Inlines from plain words (the program's voice) and runs; what is empty is left out."""
    return tuple(
        Run(part) if isinstance(part, str) else part
        for part in parts
        if part not in ("", None) and part is not None
    )
