"""Markdown with real footnotes: CommonMark, pipe tables and `[^n]` notes as most readers of it have them.

Whatever a source or a person wrote comes out as itself. In the program's voice every sign that Markdown gives
a meaning is escaped; in the source's voice the text stands in a code span, whose content is literal by
definition, or in a `code` element where a code span would alter it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

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
    Note,
    NoteRef,
    Paragraph,
    Plate,
    Row,
    Run,
    Table,
)
from numbertaker.publishing.plain import DIRECTING, plain

_ACTIVE: Final = re.compile(r"[\\`*_{}\[\]<>|$^~#=@&]")
_LINK: Final = re.compile(r"(?<=\w)(?=://)|(?<=www)(?=\.)|(?<=mailto)(?=:)", re.IGNORECASE)
_SHORTCODE: Final = re.compile(r":(?=[\w+-]+:)")
_LEADING: Final = re.compile(r"^(?:([-+])|(\d{1,9})([.)]))(?=\s|$)")
_SPACES: Final = {"\t": "&#9;", "\n": "&#10;"}
_WORDS_FOR_KEY: Final = (
    "A word in brackets after a statement says how sure it is, where it is less than near certain: near "
    "certain is a probability of .98 and over, probable of .85, doubtful of .5, improbable below; "
    "contradicted means that an open question names the claim. What stands as code is as written."
)


def to_markdown(document: Document) -> str:
    """The document as Markdown text, ending in one line feed."""
    targets = _targets(document)
    blocks = [_block(block, targets) for block in document.blocks]
    notes = ["\n".join(_note(note) for note in document.notes)] if document.notes else []
    after = [_block(block, targets) for block in document.after]
    return "\n\n".join(filter(None, (*blocks, *after, *notes))) + "\n"


def escaped(text: str) -> str:
    """Text of any content as Markdown that reads as that text, wherever in a paragraph it stands.

    >>> escaped("[^1] & <b>")
    '\\\\[\\\\^1\\\\] &amp; &lt;b&gt;'
    """
    clean = plain(text)
    safe = _ACTIVE.sub(_escape, clean)
    safe = _SHORTCODE.sub(r"\\:", _LINK.sub("\\\\", safe))
    safe = re.sub(r"[\t\n]", lambda match: _SPACES[match[0]], safe)
    return f"<bdi>{safe}</bdi>" if DIRECTING.search(clean) else safe


def _escape(match: re.Match[str]) -> str:
    return {"&": "&amp;", "<": "&lt;", ">": "&gt;"}.get(match[0], f"\\{match[0]}")


def as_code(text: str, *, in_table: bool = False) -> str:
    """Text of any content in the source's voice.

    A code span keeps everything but line ends and the spaces at its ends, and a pipe ends a cell within a
    table; where the text has these a `code` element holds it.
    """
    clean = plain(text)
    awkward = re.search(r"[\n\t]|^\s|\s$", clean) or not clean or DIRECTING.search(clean)
    if awkward or (in_table and "|" in clean):
        return f"<code>{escaped(text)}</code>"
    fence = "`" * (max((len(run) for run in re.findall("`+", clean)), default=0) + 1)
    pad = " " if clean.startswith("`") or clean.endswith("`") else ""
    return f"{fence}{pad}{clean}{pad}{fence}"


def _targets(document: Document) -> frozenset[str]:
    """The anchors that a link of the document leads to; other headings need none."""
    lists = [block.items for block in document.blocks if isinstance(block, Items)]
    return frozenset(
        part.anchor for items in lists for item in items for part in item if isinstance(part, Jump)
    )


def _block(block: Block, targets: frozenset[str]) -> str:
    if isinstance(block, Heading):
        return _heading(block, targets)
    for kind, write in _WRITERS:
        if isinstance(block, kind):
            return write(block)
    raise TypeError(f"Markdown has no form for {type(block).__name__}.")


def _heading(block: Heading, targets: frozenset[str]) -> str:
    anchor = f'<a id="{block.anchor}"></a>' if block.anchor in targets else ""
    return f"{'#' * block.level} {anchor}{_inlines(block.text)}"


def _paragraph(block: Paragraph) -> str:
    return _start(_inlines(block.inlines))


def _start(text: str) -> str:
    """A paragraph's first sign must not make it a list, nor its first spaces make it code."""
    text = "&#32;" * (len(text) - len(text.lstrip(" "))) + text.lstrip(" ")
    return _LEADING.sub(lambda m: f"\\{m[1]}" if m[1] else f"{m[2]}\\{m[3]}", text)


def _caution(block: Caution) -> str:
    return f"> **Caution.** {escaped(block.text)}"


def _items(block: Items) -> str:
    return "\n".join(f"- {_start(_inlines(item))}" for item in block.items)


def _table(block: Table) -> str:
    rule = ["---:" if n in block.figures else "---" for n in range(len(block.head))]
    lines = [f"| {' | '.join(escaped(title) for title in block.head)} |", f"| {' | '.join(rule)} |"]
    lines += [_row(row) for row in block.rows]
    return "\n".join((_italic(block.caption), "", *lines))


def _row(row: Row) -> str:
    return f"| {' | '.join(_inlines(cell, in_table=True) for cell in row.cells)} |"


def _figure(block: Figure | Plate) -> str:
    """Nothing: the table has the same data."""
    return ""


def _key(block: Key) -> str:
    return f"*{escaped(_WORDS_FOR_KEY)}*"


def _note(note: Note) -> str:
    return f"[^{note.number}]: {_inlines(note.inlines)}"


def _inlines(inlines: Inlines, *, in_table: bool = False) -> str:
    return "".join(_inline(inline, in_table=in_table) for inline in inlines)


def _inline(inline: Inline, *, in_table: bool) -> str:
    if isinstance(inline, NoteRef):
        return f"[^{inline.number}]"
    if isinstance(inline, Goal):
        return ""
    if isinstance(inline, Cross):
        return str(inline.number)
    if isinstance(inline, Jump):
        return f"[{escaped(inline.text)}](#{inline.anchor})"
    return _run(inline, in_table=in_table)


def _run(run: Run, *, in_table: bool) -> str:
    degree = f" ({run.degree})" if run.degree not in (None, "near certain") and not run.hedged else ""
    if run.voice == "written":
        return as_code(run.text, in_table=in_table) + degree
    text = escaped(run.text) if not run.italic else _italic(run.text)
    return text + degree


def _italic(text: str) -> str:
    """Emphasis by elements: asterisks next to other signs do not always open or close it."""
    if re.fullmatch(r"\w(?:.*\w)?", text) and not _ACTIVE.search(text):
        return f"*{escaped(text)}*"
    return f"<em>{escaped(text)}</em>"


_WRITERS: Final[tuple[tuple[type[Block], Callable[..., str]], ...]] = (
    (Paragraph, _paragraph),
    (Caution, _caution),
    (Items, _items),
    (Table, _table),
    (Figure, _figure),
    (Plate, _figure),
    (Key, _key),
)
