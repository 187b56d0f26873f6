"""A document as plain data for the typesetter's template: no text in it is ever read as markup."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any, Final, TypeAlias

from numbertaker.publishing.document import (
    Block,
    Caution,
    Cross,
    Document,
    Figure,
    Goal,
    Heading,
    Inline,
    Inlines,
    Items,
    Jump,
    Key,
    NoteRef,
    Paragraph,
    Plate,
    Row,
    Run,
    Table,
    flowed,
)
from numbertaker.publishing.documents.glyphs import showable
from numbertaker.publishing.plain import plain

Leaf: TypeAlias = dict[str, Any]
Files: TypeAlias = Mapping[str, str]
"""From the key of a picture (a drawing's or a line's) to the name of its file."""

WHOLE_ROWS: Final = 16
WHOLE_CELL: Final = 60
"""A table of at most so many rows, with at most so many characters in a cell, fits on a page."""

CHAPTER: Final = 2
"""The level of the headings that open a chapter of a book."""

DEGREES: Final = {
    "near certain": "",
    "probable": "probable",
    "doubtful": "doubtful",
    "improbable": "doubtful",
    "contradicted": "contradicted",
    "unknown": "doubtful",
}
"""Which of the four rules stands under words of a degree."""


def leaves(document: Document, files: Files, attached: list[dict[str, str]]) -> Iterator[str]:
    """The whole document as JSON, piece by piece, for a book's would take more room than the book.

    Pictures go by the names of their files, those without a file left out.
    """
    head = _head(document) | {"attached": attached}
    yield f'{json.dumps(head, ensure_ascii=False)[:-1]}, "notes": {{'
    for n, note in enumerate(document.notes):
        yield f'{"," if n else ""}"{note.number}": {json.dumps(_inlines(note.inlines), ensure_ascii=False)}'
    yield '}, "parts": ['
    for n, blocks in enumerate(_parts(document)):
        yield f"{',' if n else ''}{json.dumps(_part(blocks, document, files), ensure_ascii=False)}"
    yield "]}"


def _head(document: Document) -> Leaf:
    return {
        "title": _text(document.title) if document.title.strip() else "Untitled",
        "lang": document.lang.partition("-")[0],
        "region": document.lang.partition("-")[2],
        "book": document.book,
        "state": _text(document.state),
    }


def _parts(document: Document) -> list[list[Block]]:
    """What begins on a page of its own: in a book each chapter, contents, index; else all of it is one."""
    parts: list[list[Block]] = [[]]
    for block in (*flowed(document.blocks), *flowed(document.after)):
        if document.book and isinstance(block, Heading) and block.level == CHAPTER and parts[-1]:
            parts.append([])
        parts[-1].append(block)
    return parts


def _part(blocks: list[Block], document: Document, files: Files) -> Leaf:
    """A part with its running head: what its first heading says, else the document's title."""
    first = blocks[0] if blocks else None
    named = first.text if isinstance(first, Heading) else (Run(document.title),)
    return {
        "head": _text(_shown(named)),
        "blocks": [leaf for block in blocks for leaf in _block(block, files)],
    }


def _block(block: Block, files: Files) -> list[Leaf]:
    if isinstance(block, Figure):
        return [_drawing(key, title, says, files) for key, title, says in block.drawn() if key in files]
    if isinstance(block, Plate):
        return [_plate(block, files)] if block.line_id in files else []
    return [_words(block)]


def _words(block: Block) -> Leaf:
    match block:
        case Heading():
            return {"is": "heading", "level": block.level, "id": block.anchor, "text": _inlines(block.text)}
        case Paragraph():
            return {"is": "paragraph", "remark": block.remark, "text": _inlines(block.inlines)}
        case Caution():
            return {"is": "caution", "text": _text(block.text)}
        case Items():
            return {"is": "items", "index": block.index, "items": [_inlines(item) for item in block.items]}
        case Table():
            return _table(block)
        case Key():
            return {"is": "key"}
    raise TypeError(f"The typesetter has no form for {type(block).__name__}.")


def _table(block: Table) -> Leaf:
    return {
        "is": "table",
        "caption": _text(block.caption),
        "head": [_text(title) for title in block.head],
        "figures": sorted(block.figures),
        "breaks": _breaks(block),
        "rows": [{"silent": row.silent, "cells": _cells(row)} for row in block.rows],
    }


def _breaks(table: Table) -> bool:
    """Whether a table may go on overleaf: one that is sure to fit stays whole, and costs half the memory."""
    longest = max((len(_shown(cell)) for row in table.rows for cell in row.cells), default=0)
    return len(table.rows) > WHOLE_ROWS or longest > WHOLE_CELL or len(table.caption) > WHOLE_CELL


def _shown(cell: Inlines) -> str:
    return "".join(inline.text for inline in cell if isinstance(inline, Run | Jump))


def _cells(row: Row) -> list[Leaf]:
    """The cells of a row; those of a gap run on over the empty cells to their right."""
    cells: list[Leaf] = []
    for cell in row.cells:
        if row.silent and not cell and cells and cells[-1]["text"]:
            cells[-1]["span"] += 1
        else:
            cells.append({"span": 1, "text": _inlines(cell)})
    return cells


def _drawing(key: str, title: str, says: str, files: Files) -> Leaf:
    return {"is": "drawing", "file": files[key], "title": _text(title), "alt": _text(says)}


def _plate(block: Plate, files: Files) -> Leaf:
    return {
        "is": "plate",
        "file": files[block.line_id],
        "caption": _inlines(block.caption),
        "alt": _text(block.alt),
    }


def _inlines(inlines: Inlines) -> list[Leaf | str]:
    """Inlines as leaves; plain words, the most of a document, are bare texts, joined where they adjoin."""
    made: list[Leaf | str] = []
    for leaf in map(_inline, inlines):
        if isinstance(leaf, str) and made and isinstance(made[-1], str):
            made[-1] += leaf
        elif leaf != "":
            made.append(leaf)
    return made


def _inline(inline: Inline) -> Leaf | str:
    if isinstance(inline, NoteRef):
        return {"note": inline.number, "again": inline.again}
    if isinstance(inline, Goal):
        return {"goal": inline.anchor}
    if isinstance(inline, Cross):
        return str(inline.number)
    if isinstance(inline, Jump):
        return {"to": inline.anchor, "t": _text(inline.text)}
    return _run(inline)


def _run(run: Run) -> Leaf | str:
    leaf: Leaf = {"t": _text(run.text)}
    if run.voice == "written":
        leaf["written"] = True
    if run.italic:
        leaf["italic"] = True
    if run.degree is not None and DEGREES[run.degree]:
        leaf["degree"] = DEGREES[run.degree]
    return leaf if len(leaf) > 1 else str(leaf["t"])


def _text(text: str) -> str:
    return showable(plain(text))
