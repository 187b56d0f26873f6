"""One self-contained HTML page that can be explored offline: no script, and no request to anywhere.

A stay of the timeline leads to its sentence, a mark to its note, and a note that was called up stays at the
foot of the window with its slip until the reader goes back; a box at the head sets back what is near certain.

A content security policy in the page itself forbids everything but its own style and pictures held in it, so
that even text which slipped through unescaped could run nowhere. Notes and the marks that call for them are
linked both ways, with the roles of DPUB-ARIA 1.1.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from html import escape
from typing import Final, TypeAlias

from numbertaker.publishing.degrees import Degree
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
    flowed,
)
from numbertaker.publishing.plain import DIRECTING, plain
from numbertaker.publishing.style import SHEET
from numbertaker.publishing.svg import timeline_svg

Crops: TypeAlias = Callable[[str], str | None]
"""From the id of a line to a data URI of its slip of the scan; None where there is none."""

POLICY: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"
)
_PICTURE: Final = re.compile(r"data:image/(?:png|jpeg|webp);base64,[A-Za-z0-9+/]+=*")
_KEY: Final[tuple[tuple[Degree, str], ...]] = (
    ("near certain", "near certain, .98 and over"),
    ("probable", "probable, from .85"),
    ("doubtful", "doubtful, from .5, or improbable"),
    ("contradicted", "contradicted by another claim"),
)


def to_html(document: Document, crops: Crops | None = None) -> str:
    """The document as one page of HTML, ending in one line feed."""
    body = [_block(block, n, crops) for n, block in enumerate(flowed(document.blocks))]
    body.insert(2, _doubts(document))
    notes = list(_notes(document, crops))
    after = [_block(block, len(body) + n) for n, block in enumerate(document.after)]
    head = (
        f'<!DOCTYPE html>\n<html lang="{document.lang}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(plain(document.title))}</title>\n<style>{SHEET}</style>\n</head>\n"
    )
    main = "\n".join(part for part in (*body, *notes, *after) if part)
    return f"{head}<body>\n<main>\n{main}\n</main>\n</body>\n</html>\n"


def text_html(text: str) -> str:
    """Text of any content as HTML that shows that text; isolated where it steers the direction of writing."""
    clean = plain(text)
    safe = escape(clean)
    return f"<bdi>{safe}</bdi>" if DIRECTING.search(clean) else safe


def _block(block: Block, n: int, crops: Crops | None = None) -> str:
    if isinstance(block, Figure):
        return _figure(block, f"f{n}")
    if isinstance(block, Plate):
        return _plate(block, crops)
    for kind, write in _WRITERS:
        if isinstance(block, kind):
            return write(block)
    raise TypeError(f"HTML has no form for {type(block).__name__}.")


def _heading(block: Heading) -> str:
    return f'<h{block.level} id="{block.anchor}">{_inlines(block.text)}</h{block.level}>'


def _paragraph(block: Paragraph) -> str:
    kind = ' class="remark"' if block.remark else ""
    return f"<p{kind}>{_inlines(block.inlines)}</p>"


def _caution(block: Caution) -> str:
    return f'<p class="caution" role="note"><strong>Caution.</strong> {text_html(block.text)}</p>'


def _items(block: Items) -> str:
    items = "\n".join(f"<li>{_inlines(item)}</li>" for item in block.items)
    return f'<ul class="plainlist">\n{items}\n</ul>'


def _table(block: Table) -> str:
    head = "".join(
        f'<th scope="col"{_figures(n, block)}>{text_html(title)}</th>' for n, title in enumerate(block.head)
    )
    rows = "\n".join(_row(row, block) for row in block.rows)
    caption = text_html(block.caption)
    label = escape(plain(block.caption), quote=True)
    return (
        f'<div class="scroll wide" role="region" tabindex="0" aria-label="{label}">\n'
        f"<table>\n<caption>{caption}</caption>\n"
        f"<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>\n</div>"
    )


def _row(row: Row, table: Table) -> str:
    if row.silent:
        return f'<tr class="silent">{_silent_cells(row, table)}</tr>'
    cells = "".join(f"<td{_figures(n, table)}>{_inlines(cell)}</td>" for n, cell in enumerate(row.cells))
    return f"<tr>{cells}</tr>"


def _silent_cells(row: Row, table: Table) -> str:
    """The cells of a gap: what it says runs on over the empty cells to its right."""
    parts: list[str] = []
    n = 0
    while n < len(row.cells):
        wide = 1
        while row.cells[n] and n + wide < len(row.cells) and not row.cells[n + wide]:
            wide += 1
        span = f' colspan="{wide}"' if wide > 1 else ""
        parts.append(f"<td{_figures(n, table)}{span}>{_inlines(row.cells[n])}</td>")
        n += wide
    return "".join(parts)


def _figures(n: int, table: Table) -> str:
    return ' class="n"' if n in table.figures else ""


def _figure(block: Figure, key: str) -> str:
    drawing = timeline_svg(block.timeline, block.title, block.description, key, links=block.links)
    label = escape(plain(block.title), quote=True)
    return (
        '<figure class="wide">\n'
        f'<div class="scroll" role="region" tabindex="0" aria-label="{label}">\n{drawing}\n</div>\n'
        f"<figcaption>{text_html(block.title)}. {text_html(block.description)}</figcaption></figure>"
    )


def _doubts(document: Document) -> str:
    """A box that sets back what is near certain; none where no statement has a degree."""
    runs = (
        part
        for block in document.blocks
        if isinstance(block, Paragraph)
        for part in block.inlines
        if isinstance(part, Run)
    )
    if not any(run.degree not in (None, "near certain") for run in runs):
        return ""
    return (
        '<p class="doubts"><label><input type="checkbox" id="doubts"> '
        "Set back what is near certain, so that what is in doubt stands out</label></p>"
    )


def _plate(block: Plate, crops: Crops | None) -> str:
    """A plate; nothing where its slip is not held in the page."""
    uri = crops(block.line_id) if crops is not None else None
    if uri is None or not _PICTURE.fullmatch(uri):
        return ""
    alt = escape(plain(block.alt), quote=True)
    return (
        f'<figure class="plate"><img class="slip" src="{uri}" alt="{alt}">'
        f"<figcaption>{_inlines(block.caption)}</figcaption></figure>"
    )


def _key(block: Key) -> str:
    shown = "".join(
        f'<li><span class="d {_class(degree)}">{escape(says)}</span></li>' for degree, says in _KEY
    )
    unknown = '<li><span class="swatch" aria-hidden="true"></span> nothing known</li>'
    written = "<li><code>typewriter</code> as written in the source</li>"
    return (
        f'<ul class="key" aria-label="How to read the rules under the words">{shown}{unknown}{written}</ul>'
    )


def _notes(document: Document, crops: Crops | None) -> Iterator[str]:
    if not document.notes:
        return
    yield '<section class="notes" role="doc-endnotes" aria-labelledby="notes">'
    yield '<h2 id="notes">Notes</h2>\n<ol>'
    for note in document.notes:
        yield _note(note, crops)
    yield "</ol>\n</section>"


def _note(note: Note, crops: Crops | None) -> str:
    says = f'role="doc-backlink" aria-label="Back to the text at note {note.number}"'
    back = f'<a class="back" {says} href="#ref-{note.number}">↩</a>'
    return f'<li id="note-{note.number}">{_inlines(note.inlines)} {back}{_slips(note, crops)}</li>'


def _slips(note: Note, crops: Crops | None) -> str:
    """The slips of the scans behind a note; what is no picture held in the page itself is left out."""
    if crops is None:
        return ""
    found = [(line_id, crops(line_id)) for line_id in note.lines]
    shown = [
        f'<img class="slip" src="{uri}" alt="Slip of the scan: line {escape(plain(line_id))}">'
        for line_id, uri in found
        if uri is not None and _PICTURE.fullmatch(uri)
    ]
    if not shown:
        return ""
    what = "the slip" if len(shown) == 1 else "the slips"
    return f"<details><summary>Show {what}</summary>{''.join(shown)}</details>"


def _inlines(inlines: Inlines) -> str:
    made: list[str] = []
    before: Inline | None = None
    for inline in inlines:
        if isinstance(inline, NoteRef) and isinstance(before, NoteRef):
            made.append("<sup>,</sup>")  # 21 and 22 are not 2122
        made.append(_inline(inline))
        before = inline
    return "".join(made)


def _inline(inline: Inline) -> str:
    if isinstance(inline, NoteRef):
        return _mark(inline)
    if isinstance(inline, Goal):
        return f'<span class="goal" id="{inline.anchor}"></span>'
    if isinstance(inline, Cross):
        return f'<a href="#note-{inline.number}">{inline.number}</a>'
    if isinstance(inline, Jump):
        return f'<a href="{inline.page}#{inline.anchor}">{text_html(inline.text)}</a>'
    return _run(inline)


def _mark(mark: NoteRef) -> str:
    ident = "" if mark.again else f' id="ref-{mark.number}"'
    return f'<sup><a role="doc-noteref"{ident} href="#note-{mark.number}">{mark.number}</a></sup>'


def _class(degree: Degree) -> str:
    return f"d-{degree.replace(' ', '-')}"


def _run(run: Run) -> str:
    text = text_html(run.text)
    if run.voice == "written":
        text = f"<code>{text}</code>"
    elif run.italic:
        text = f"<i>{text}</i>"
    if run.degree is None:
        return text
    plain_said = run.hedged or run.degree == "near certain"
    word = "" if plain_said else f'<span class="vh"> ({run.degree})</span>'
    return f'<span class="d {_class(run.degree)}" title="{run.degree}">{text}{word}</span>'


_WRITERS: Final[tuple[tuple[type[Block], Callable[..., str]], ...]] = (
    (Heading, _heading),
    (Paragraph, _paragraph),
    (Caution, _caution),
    (Items, _items),
    (Table, _table),
    (Key, _key),
)
