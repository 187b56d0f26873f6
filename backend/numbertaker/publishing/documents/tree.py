"""A document as pandoc's own tree, so that no text in it is ever read as markup.

Every datum is a `Str`, every gap between words a `Space`, every citation a real `Note`. Styles go by name: a
degree and the source's voice are character styles of the reference document, blocks of their own are
paragraph styles.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any, Final, Literal, TypeAlias

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
from numbertaker.publishing.documents.leaves import DEGREES
from numbertaker.publishing.plain import plain

Node: TypeAlias = dict[str, Any]
Target: TypeAlias = Literal["docx", "odt", "latex", "plain"]
Files: TypeAlias = Mapping[str, str]

API: Final = [1, 23, 1]
_BLANK: Final = re.compile(r"[ \t]+|\n")
_STYLED: Final = frozenset(("docx", "odt"))
_NO_ATTR: Final[list[Any]] = ["", [], []]
_KEY: Final = "How to read the rules under the words: no rule, near certain, .98 and over; "
_KEY_IN_WORDS: Final = (
    "A word in brackets after a statement says how sure it is, where it is less than near certain: near "
    "certain is a probability of .98 and over, probable of .85, doubtful of .5, improbable below; "
    "contradicted means that an open question names the claim."
)
_WIDTHS: Final[Mapping[int, tuple[float, ...]]] = {
    8: (0.05, 0.21, 0.165, 0.18, 0.095, 0.115, 0.115, 0.07),
    5: (0.08, 0.30, 0.30, 0.16, 0.16),
}


class Tree:
    """Makes the tree of one document for one kind of file."""

    def __init__(self, document: Document, target: Target, files: Files | None = None) -> None:
        """Take a document, the kind of file, and the files of its pictures by what they show."""
        self._document = document
        self._styled = target in _STYLED
        self._target = target
        self._files = files or {}
        self._notes = {note.number: note.inlines for note in document.notes}
        self.pictured: list[str] = []
        """The words for the pictures, in their order, once the tree is made."""

    def whole(self) -> Iterator[str]:
        """The tree as JSON, piece by piece: the whole of a book's would take more room than the book."""
        head = {"pandoc-api-version": API, "meta": self._meta(), "blocks": []}
        yield json.dumps(head, ensure_ascii=False)[: -len("]}")]
        for n, node in enumerate(self._nodes()):
            yield f"{',' if n else ''}{json.dumps(node, ensure_ascii=False)}"
        yield "]}"

    def _meta(self) -> dict[str, Node]:
        """Title, language and state."""
        meta = {
            "pagetitle": _string(plain(self._document.title)),
            "lang": _string(self._document.lang),
            "description": _string(plain(self._document.state)),
        }
        if self._styled:
            meta["title"] = {"t": "MetaInlines", "c": self._strings(self._document.title)}
        return meta

    def _nodes(self) -> Iterator[Node]:
        """The blocks; a first heading stands as the title where there is a style for that."""
        for n, block in enumerate((*flowed(self._document.blocks), *self._document.after)):
            if not (n == 0 and self._styled and isinstance(block, Heading)):
                yield from self._block(block)

    def _block(self, block: Block) -> list[Node]:
        return self._pictured(block) if isinstance(block, Figure | Plate) else [self._words(block)]

    def _words(self, block: Block) -> Node:
        match block:
            case Heading():
                made = _node("Header", [block.level, [block.anchor, [], []], self._inlines(block.text)])
            case Paragraph():
                made = _node("Para", self._inlines(block.inlines))
                made = self._styled_block("Remark", made) if block.remark else made
            case Caution():
                said = [_node("Strong", self._strings("Caution.")), _SPACE, *self._strings(block.text)]
                made = self._styled_block("Caution", _node("Para", said))
            case Items():
                made = _node("BulletList", [[_node("Plain", self._inlines(item))] for item in block.items])
            case Table():
                made = self._table(block)
            case Key():
                made = self._styled_block("Key", _node("Para", self._key()))
            case _:
                raise TypeError(f"Pandoc's tree has no form for {type(block).__name__}.")
        return made

    def _strings(self, text: str) -> list[Node]:
        """Text as words; in LaTeX, the signs that it would take for typographic quotes stand as commands."""
        nodes = _strings(text)
        if self._target != "latex":
            return nodes
        # A new line within a cell would end the row of a table.
        level = (_SPACE if node["t"] == "LineBreak" else node for node in nodes)
        return [part for node in level for part in _quotes(node)]

    def _styled_block(self, style: str, block: Node) -> Node:
        if not self._styled:
            return block
        return _node("Div", [["", [], [["custom-style", style]]], [block]])

    def _pictured(self, block: Figure | Plate) -> list[Node]:
        if isinstance(block, Plate):
            named = [(block.line_id, block.caption, block.alt)]
        else:
            named = [(name, (Run(title),), says) for name, title, says in block.drawn()]
        return [
            self._figure(self._files[name], caption, alt)
            for name, caption, alt in named
            if name in self._files
        ]

    def _figure(self, file: str, caption: Inlines, alt: str) -> Node:
        # A word processor takes the words of the picture as what to say of it; the caption stands apart.
        self.pictured.append(alt)
        image = _node("Image", [["", [], [["width", "100%"]]], self._strings(alt), [file, ""]])
        captioned = [None, [_node("Plain", self._inlines(caption))]]
        return _node("Figure", [_NO_ATTR, captioned, [_node("Plain", [image])]])

    def _key(self) -> list[Node]:
        if not self._styled:
            return self._strings(_KEY_IN_WORDS)
        shown = (
            Run("probable", degree="probable", hedged=True),
            Run(", from .85; "),
            Run("doubtful", degree="doubtful", hedged=True),
            Run(", from .5, or improbable; "),
            Run("contradicted", degree="contradicted", hedged=True),
            Run(" by another claim. "),
            Run("Typewriter", "written"),
            Run(": as written in the source."),
        )
        return self._inlines((Run(_KEY), *shown))

    def _table(self, table: Table) -> Node:
        count = len(table.head)
        widths = _WIDTHS.get(count, tuple(1 / count for _ in range(count)))
        specs = [
            [_node("AlignRight" if n in table.figures else "AlignLeft"), _node("ColWidth", width)]
            for n, width in enumerate(widths)
        ]
        head = [_NO_ATTR, [[_NO_ATTR, [_cell(self._strings(title)) for title in table.head]]]]
        rows = [[_NO_ATTR, self._row(row)] for row in table.rows]
        caption = [None, [_node("Plain", self._strings(table.caption))]]
        return _node("Table", [_NO_ATTR, caption, specs, head, [[_NO_ATTR, 0, [], rows]], [_NO_ATTR, []]])

    def _row(self, row: Row) -> list[Any]:
        """The cells of a row; those of a gap run on over the empty cells to their right."""
        cells: list[tuple[int, Inlines]] = []
        for inlines in row.cells:
            if row.silent and not inlines and cells and cells[-1][1]:
                cells[-1] = (cells[-1][0] + 1, cells[-1][1])
            else:
                cells.append((1, inlines))
        made = ((span, self._inlines(inlines)) for span, inlines in cells)
        return [
            _cell([_node("Emph", nodes)] if row.silent and nodes else nodes, span) for span, nodes in made
        ]

    def _inlines(self, inlines: Inlines) -> list[Node]:
        nodes: list[Node] = []
        before: Inline | None = None
        for inline in inlines:
            if isinstance(inline, NoteRef) and isinstance(before, NoteRef) and self._target != "plain":
                nodes.append(_node("Superscript", [_node("Str", ",")]))  # 21 and 22 are not 2122
            nodes += self._inline(inline)
            before = inline
        return nodes

    def _inline(self, inline: Inline) -> list[Node]:
        if isinstance(inline, NoteRef):
            return self._mark(inline)
        if isinstance(inline, Goal):
            return []
        if isinstance(inline, Cross):
            return self._strings(str(inline.number))
        if isinstance(inline, Jump):
            return [_node("Link", [_NO_ATTR, self._strings(inline.text), [f"#{inline.anchor}", ""]])]
        return self._run(inline)

    def _mark(self, mark: NoteRef) -> list[Node]:
        """The note itself at its first mark; a later mark of it is its number, raised."""
        if mark.again:
            number = _node("Str", str(mark.number))
            return [number] if self._target == "plain" else [_node("Superscript", [number])]
        return [_node("Note", [_node("Para", self._inlines(self._notes[mark.number]))])]

    def _run(self, run: Run) -> list[Node]:
        nodes = self._strings(run.text)
        if run.voice == "written":
            nodes = [self._written(nodes)]
        elif run.italic:
            nodes = [_node("Emph", nodes)]
        if run.degree is None:
            return nodes
        style = DEGREES[run.degree].capitalize()
        if self._styled:
            return [_node("Span", [["", [], [["custom-style", style]]], nodes])] if style else nodes
        told = "" if run.hedged or not style else f" ({run.degree})"
        return [*nodes, *self._strings(told)]

    def _written(self, nodes: list[Node]) -> Node:
        if self._styled:
            return _node("Span", [["", [], [["custom-style", "Written"]]], nodes])
        if self._target == "latex":
            return _node("Span", [_NO_ATTR, [_TYPED, *nodes, _END]])
        return _node("Span", [_NO_ATTR, nodes])


def _node(kind: str, content: Any = None) -> Node:
    return {"t": kind} if content is None else {"t": kind, "c": content}


_SPACE: Final = _node("Space")
_TYPED: Final = _node("RawInline", ["latex", "\\texttt{"])
_END: Final = _node("RawInline", ["latex", "}"])


_QUOTES: Final = {"`": "\\textasciigrave{}", '"': "\\textquotedbl{}"}


def _string(text: str) -> Node:
    return {"t": "MetaString", "c": text}


def _cell(nodes: list[Node], span: int = 1) -> list[Any]:
    return [_NO_ATTR, _node("AlignDefault"), 1, span, [_node("Plain", nodes)]]


def _strings(text: str) -> list[Node]:
    """Text as words and the spaces between them; every space beyond the first stays, as one that is kept."""
    nodes: list[Node] = []
    clean = plain(text)
    last = 0
    for blank in _BLANK.finditer(clean):
        if blank.start() > last:
            nodes.append(_node("Str", clean[last : blank.start()]))
        nodes += _blank(blank[0])
        last = blank.end()
    return [*nodes, _node("Str", clean[last:])] if last < len(clean) else nodes


def _quotes(node: Node) -> list[Node]:
    if node["t"] != "Str":
        return [node]
    parts = re.split(r"([`\"])", node["c"])
    made = (
        _node("RawInline", ["latex", _QUOTES[part]]) if part in _QUOTES else _node("Str", part)
        for part in parts
    )
    return [part for part in made if part["c"]]


def _blank(text: str) -> list[Node]:
    if text == "\n":
        return [_node("LineBreak")]
    kept = "\N{NO-BREAK SPACE}" * (len(text) - 1)
    return [_SPACE, _node("Str", kept)] if kept else [_SPACE]
