"""A page as read, in ALTO 4.4 (Library of Congress, schema alto-4-4.xsd).

A line of the card is a `TextLine`, a word a `String` with its box and `WC`, the word confidence from 0 to 1.
`StructureTag` says which column a word stands in, `OtherTag` which line of the archive it is and which mark
it bears. What the recogniser thought of besides stays out: the schema keeps `ALTERNATIVE` for other
spellings of what is printed, and variants for single characters, which are not known here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Final

from numbertaker.publishing.keeping.places import Box, Size
from numbertaker.publishing.keeping.values import PageReading, ScanFile
from numbertaker.publishing.keeping.words import SHARES, Cell, Row, rows_of
from numbertaker.publishing.keeping.xml import attribute, content

NAMESPACE: Final = "http://www.loc.gov/standards/alto/ns-v4#"
SCHEMA: Final = "http://www.loc.gov/standards/alto/v4/alto-4-4.xsd"
_WHEN: Final = re.compile(r"\d{4}-\d\d-\d\d(?:T\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|[+-]\d\d:\d\d)?)?", re.ASCII)


def alto(reading: PageReading, scan: ScanFile, size: Size) -> str:
    """The whole file; the same reading gives the same text."""
    rows = list(rows_of(reading.body, size))
    tags = _Tags(rows)
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<alto xmlns="{NAMESPACE}" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" '
        f'xsi:schemaLocation="{NAMESPACE} {SCHEMA}" SCHEMAVERSION="4.4">',
        *_description(reading, scan),
        *tags.written(),
        "<Layout>",
        f'<Page ID="page" PHYSICAL_IMG_NR="{reading.page}" WIDTH="{size[0]}" HEIGHT="{size[1]}" '
        f'PROCESSINGREFS="reading">',
        f"<PrintSpace {_place((0, 0, *size))}>",
        *_blocks(rows, tags),
        "</PrintSpace>",
        "</Page>",
        "</Layout>",
        "</alto>",
    ]
    return "\n".join(parts) + "\n"


def _description(reading: PageReading, scan: ScanFile) -> Iterator[str]:
    yield "<Description>"
    yield "<MeasurementUnit>pixel</MeasurementUnit>"
    yield "<sourceImageInformation>"
    yield f"<fileName>{content(scan.name)}</fileName>"
    yield f'<fileIdentifier fileIdentifierLocation="SHA-256">{scan.sha256}</fileIdentifier>'
    yield (
        f'<documentIdentifier documentIdentifierLocation="card">{content(reading.card_id)}'
        "</documentIdentifier>"
    )
    yield "</sourceImageInformation>"
    yield '<Processing ID="reading">'
    yield "<processingCategory>contentGeneration</processingCategory>"
    if _WHEN.fullmatch(reading.at):
        yield f"<processingDateTime>{reading.at}</processingDateTime>"
    yield f"<processingStepDescription>{content(SHARES)}</processingStepDescription>"
    yield (
        f"<processingSoftware><softwareName>{content(reading.recogniser)}</softwareName></processingSoftware>"
    )
    yield "</Processing>"
    yield "</Description>"


class _Tags:
    """The tags of a page: its columns, its lines and its marks, each with an XML id."""

    def __init__(self, rows: Iterable[Row]) -> None:
        """Number what occurs, in the order in which it does."""
        kept = list(rows)
        self._fields = {f: f"F{n}" for n, f in enumerate(_once(c.field for r in kept for c in r.cells), 1)}
        self._lines = {i: f"L{n}" for n, i in enumerate(_once(r.line_id for r in kept if r.line_id), 1)}
        self._marks = {m: f"M{n}" for n, m in enumerate(_once(c.mark for r in kept for c in r.cells), 1) if m}

    def written(self) -> Iterator[str]:
        """The element `Tags`; nothing where there is no tag."""
        if not self._fields:
            return
        yield "<Tags>"
        for field, name in self._fields.items():
            yield f'<StructureTag ID="{name}" TYPE="column" LABEL={attribute(field)}/>'
        for kind, tags in (("line", self._lines), ("mark", self._marks)):
            for label, name in tags.items():
                yield f'<OtherTag ID="{name}" TYPE="{kind}" LABEL={attribute(label)}/>'
        yield "</Tags>"

    def of_row(self, row: Row) -> str:
        """The attribute of a line."""
        return f' TAGREFS="{self._lines[row.line_id]}"' if row.line_id else ""

    def of_cell(self, cell: Cell) -> str:
        """The attribute of a word of a cell."""
        return f' TAGREFS="{" ".join(filter(None, (self._fields[cell.field], self._marks.get(cell.mark))))}"'


def _once(texts: Iterable[str]) -> Iterable[str]:
    return dict.fromkeys(texts)


def _blocks(rows: list[Row], tags: _Tags) -> Iterator[str]:
    """The heading as a block of its own, then the lines."""
    number = 0
    for name, block in (
        ("heading", [r for r in rows if not r.line_id]),
        ("lines", [r for r in rows if r.line_id]),
    ):
        if not block:
            continue
        yield f'<TextBlock ID="{name}">'
        for row in block:
            number += 1
            yield f'<TextLine ID="line{number}" {_place(row.box)}{tags.of_row(row)}>'
            yield "<SP/>".join(_strings(row, tags))
            yield "</TextLine>"
        yield "</TextBlock>"


def _strings(row: Row, tags: _Tags) -> Iterator[str]:
    for cell in row.cells:
        for word in cell.words:
            yield (
                f"<String CONTENT={attribute(word.text)} {_place(word.box)} "
                f'WC="{word.confidence:.4f}"{tags.of_cell(cell)}/>'
            )


def _place(box: Box) -> str:
    return f'HPOS="{box[0]}" VPOS="{box[1]}" WIDTH="{box[2]}" HEIGHT="{box[3]}"'
