"""A page as read, in hOCR 1.2: HTML whose `title` attributes hold boxes and confidences.

`bbox` is left, top, right, bottom in pixels (not width and height), `x_wconf` the confidence of a word's cell
in per cent. A line of the card is an `ocr_line`; `x_source`-like details of ours stand in `data-` attributes.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final
from urllib.parse import quote

from numbertaker.publishing.keeping.places import Box, Size
from numbertaker.publishing.keeping.values import PageReading, ScanFile
from numbertaker.publishing.keeping.words import SHARES, Row, rows_of
from numbertaker.publishing.keeping.xml import attribute, content

CAPABILITIES: Final = "ocr_page ocr_carea ocr_line ocrx_word"


def hocr(reading: PageReading, scan: ScanFile, size: Size) -> str:
    """The whole page; well-formed XML as well as HTML, so that either kind of parser reads it alike."""
    rows = list(rows_of(reading.body, size))
    # A file name in quotation marks may hold anything but those; percent-encoding leaves no doubt.
    image = quote(scan.name.encode("utf-8", "replace"), safe=" ()-_.,")
    title = f'image "{image}"; {_bbox((0, 0, *size))}; ppageno {reading.page - 1}'
    parts = [
        "<!DOCTYPE html>",
        '<html xmlns="http://www.w3.org/1999/xhtml" lang="en">',
        "<head>",
        '<meta charset="utf-8"/>',
        f"<title>{content(f'{scan.name}, page {reading.page}')}</title>",
        f'<meta name="ocr-system" content={attribute(reading.recogniser or "not stated")}/>',
        f'<meta name="ocr-capabilities" content="{CAPABILITIES}"/>',
        '<meta name="ocr-number-of-pages" content="1"/>',
        '<meta name="ocr-langs" content="unknown"/>',
        '<meta name="ocr-scripts" content="unknown"/>',
        f'<meta name="description" content={attribute(SHARES)}/>',
        "</head>",
        "<body>",
        f'<div class="ocr_page" id="page" title={attribute(title)} data-card={attribute(reading.card_id)} '
        f'data-sha256="{scan.sha256}">',
        *_areas(rows),
        "</div>",
        "</body>",
        "</html>",
    ]
    return "\n".join(parts) + "\n"


def _areas(rows: list[Row]) -> Iterator[str]:
    number = 0
    for name, area in (
        ("heading", [r for r in rows if not r.line_id]),
        ("lines", [r for r in rows if r.line_id]),
    ):
        if not area:
            continue
        left, top = min(r.box[0] for r in area), min(r.box[1] for r in area)
        right, bottom = max(r.box[0] + r.box[2] for r in area), max(r.box[1] + r.box[3] for r in area)
        yield f'<div class="ocr_carea" id="{name}" title="{_bbox((left, top, right - left, bottom - top))}">'
        for row in area:
            number += 1
            line = f" data-line={attribute(row.line_id)}" if row.line_id else ""
            words = " ".join(_words(row, number))
            yield f'<span class="ocr_line" id="line{number}" title="{_bbox(row.box)}"{line}>{words}</span>'
        yield "</div>"


def _words(row: Row, number: int) -> Iterator[str]:
    nth = 0
    for cell in row.cells:
        for word in cell.words:
            nth += 1
            mark = f" data-mark={attribute(cell.mark)}" if cell.mark else ""
            yield (
                f'<span class="ocrx_word" id="word{number}-{nth}" '
                f'title="{_bbox(word.box)}; x_wconf {round(100 * word.confidence)}" '
                f"data-column={attribute(cell.field)}{mark}>{content(word.text)}</span>"
            )


def _bbox(box: Box) -> str:
    return f"bbox {box[0]} {box[1]} {box[0] + box[2]} {box[1] + box[3]}"
