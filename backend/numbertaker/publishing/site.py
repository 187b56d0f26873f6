"""The whole archive as a folder of pages that link to each other and ask for nothing from anywhere else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from numbertaker.publishing.books import Chapter
from numbertaker.publishing.compose import CAUTION, after
from numbertaker.publishing.document import (
    Block,
    Caution,
    Document,
    Heading,
    Items,
    Jump,
    Key,
    Paragraph,
    words,
)
from numbertaker.publishing.html import Crops, to_html
from numbertaker.publishing.matter import Matter

INDEX: Final = "index.html"


def pages(
    matter: Matter, chapters: Sequence[Chapter], digest: str = "", crops: Crops | None = None
) -> Iterator[tuple[str, str]]:
    """Each page by the name of its file, the index first."""
    names = page_names(chapters)
    yield INDEX, to_html(_index(matter, chapters, names, digest))
    for chapter in chapters:
        yield names[chapter.subject_id], to_html(_page(matter, chapter, names, digest), crops)


def page_names(chapters: Sequence[Chapter]) -> dict[str, str]:
    """The file of each history, by the order of the site: ids may hold what a file's name can't."""
    return {chapter.subject_id: f"{chapter.of}-{n}.html" for n, chapter in enumerate(chapters, 1)}


def _index(matter: Matter, chapters: Sequence[Chapter], names: Mapping[str, str], digest: str) -> Document:
    blocks: list[Block] = [Heading(1, words("Histories"), "top"), Caution(CAUTION)]
    for of, title in (("component", "Components"), ("engine", "Engines")):
        jumps = [_jump(chapter.title, names[chapter.subject_id]) for chapter in chapters if chapter.of == of]
        if jumps:
            items = tuple(words(jump) for jump in jumps)
            blocks += [Heading(2, words(title), of), Items(items, index=True)]
    used = dict.fromkeys(source for chapter in chapters for source in chapter.used)
    return Document("Histories", tuple(blocks), (), after(matter, used, digest), state=digest)


def _jump(title: str, page: str) -> Jump:
    return Jump("top", title, page)


def _page(matter: Matter, chapter: Chapter, names: Mapping[str, str], digest: str) -> Document:
    """A chapter as a page of its own, with the way back and the pages that it speaks of."""
    lifted = [_lifted(block) for block in chapter.blocks]
    back = Paragraph(words(_jump("All histories", INDEX)), remark=True)
    others = tuple(words(_jump(title, names[i])) for i, title in _neighbours(matter, chapter) if i in names)
    title = "Its engines" if chapter.of == "component" else "Its components"
    beside: list[Block] = [Heading(2, words(title), "beside"), Items(others)] if others else []
    blocks = (*lifted[:1], back, Caution(CAUTION), *lifted[1:], *beside, Key())
    return Document(chapter.title, blocks, chapter.notes, after(matter, chapter.used, digest), state=digest)


def _lifted(block: Block) -> Block:
    """A heading one level up: the chapter is the page."""
    if isinstance(block, Heading):
        return Heading(block.level - 1, block.text, "top" if block.level == 2 else block.anchor)
    return block


def _neighbours(matter: Matter, chapter: Chapter) -> list[tuple[str, str]]:
    if chapter.of == "engine":
        ids = dict.fromkeys(stay.component_id for stay in matter.stays_on(chapter.subject_id))
        return [(i, matter.names.component(i)) for i in ids]
    engines = dict.fromkeys(f.engine_id for f in matter.component(chapter.subject_id).fitments)
    return [(i, f"Engine {matter.names.all_of(i)}") for i in engines]
