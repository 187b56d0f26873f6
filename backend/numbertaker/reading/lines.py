"""What a line of a card says, by the words on it; and card readings as rows of the evidence package."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from rapidfuzz import fuzz

from numbertaker.evidence.records import Line
from numbertaker.evidence.signs import Mark, write_marks
from numbertaker.reading.values import CardReading, CellReading, LineReading

WORDS_OF: Final[Mapping[str, tuple[str, ...]]] = {
    "total": ("total", "totals", "total miles", "total mileage", "carried forward", "brought forward"),
    "condemned": ("condemned", "scrapped", "cut up", "broken up", "condemned and cut up"),
    "spare": ("spare", "in stock", "stock", "in store", "stored", "works spare", "spare at works"),
    "withdrawn": ("withdrawn", "engine withdrawn"),
    "built": ("built", "new", "built new"),
}
"""Words that say what a line is, where it names no engine or component (common practice, no source)."""
FIELDS: Final = (
    "engine",
    "engine_name",
    "component",
    "fitted",
    "removed",
    "miles",
    "total_miles",
    "place",
    "remarks",
)


def says_of(cells: Mapping[str, CellReading], side: str) -> str:
    """Infer what a line says: `fitment` unless its words, in the place of a number, say otherwise."""
    subjects = ("component",) if side == "engine" else ("engine",)
    named = [cells[f] for f in subjects if f in cells]
    written = " ".join(cell.text for cell in named if cell.mark != "ditto")
    told = _kind_of_words(written)
    if told:
        return told
    if written:
        return "fitment"
    others = " ".join(cells[f].text for f in ("remarks", "fitted", "place") if f in cells)
    told = _kind_of_words(others)
    filled = {f for f, cell in cells.items() if cell.text or cell.mark}
    if told and (told != "built" or not any(cell.mark for cell in named)):
        return told
    if any(cell.mark for cell in named):
        return "fitment"
    if "total_miles" in filled and not filled & {"fitted", "miles"}:
        return "total"
    return "fitment"


def joined_line(line: LineReading, more: Mapping[str, CellReading]) -> LineReading:
    """A line with what goes on in the next row: its texts follow those above, each as doubtful as its
    parts.
    """
    cells = dict(line.cells)
    for name, cell in more.items():
        first = cells.get(name)
        if not cell.text or cell.mark:
            continue
        cells[name] = _followed(first, cell) if first and first.text and not first.mark else cell
    return replace(line, cells=cells)


def _followed(first: CellReading, then: CellReading) -> CellReading:
    left, top = min(first.box[0], then.box[0]), min(first.box[1], then.box[1])
    right = max(first.box[0] + first.box[2], then.box[0] + then.box[2])
    bottom = max(first.box[1] + first.box[3], then.box[1] + then.box[3])
    box = (left, top, right - left, bottom - top)
    return CellReading(f"{first.text} {then.text}", first.confidence * then.confidence, box)


def _kind_of_words(text: str) -> str:
    """The kind of line that words announce; '' for none."""
    words = " ".join(re.sub(r"[^a-z ]+", " ", text.lower()).split())
    if not words:
        return ""
    for says, wordings in WORDS_OF.items():
        for wording in wordings:
            start = words[: len(wording) + 1].strip()
            if len(words) >= len(wording) - 1 and fuzz.ratio(start, wording) >= 86:
                return says
    return ""


def line_rows(
    card: CardReading, *, card_id: str, source_id: str, locator: str = "", scan: str = "", page: int = 1
) -> tuple[Line, ...]:
    """The lines of a card as rows of `lines.csv`, each cell as written, with how surely it was read.

    `scan` is the name of the picture that regions refer to.
    """
    return tuple(
        _row(card, line, card_id=card_id, source_id=source_id, locator=locator, scan=scan, page=page)
        for line in card.lines
    )


def _row(
    card: CardReading, line: LineReading, *, card_id: str, source_id: str, locator: str, scan: str, page: int
) -> Line:
    texts = {f: line.cells[f].text for f in FIELDS if f in line.cells}
    heads = {f: card.heading[f].text for f in ("heading", "heading_name") if f in card.heading}
    sure = {f: cell.confidence for f, cell in (*card.heading.items(), *line.cells.items())}
    extra = tuple((f"reading_{f}", f"{p:.4f}") for f, p in sure.items() if f in FIELDS or f in heads)
    return Line(
        line_id=f"{card_id}-{line.row}", source_id=source_id, card_id=card_id,
        locator=f"{locator}, line {line.row}" if locator else f"line {line.row}",
        side=card.side, row_=str(line.row), says=line.says, marks=marks_text(line),
        reading=f"{min(sure.values(), default=0.0):.4f}", region=_region(line, scan, page),
        extra=extra, **heads, **texts,
    )  # fmt: skip


def marks_text(line: LineReading) -> str:
    """Marks as `lines.csv` writes them: `engine=ditto;miles=struck:68,210`."""
    return write_marks(Mark(name, cell.mark, cell.struck) for name, cell in line.cells.items() if cell.mark)


def _region(line: LineReading, scan: str, page: int) -> str:
    """The line's place on the scan, by W3C Media Fragments."""
    boxes = [cell.box for cell in line.cells.values()]
    if not scan or not boxes:
        return ""
    left, top = min(b[0] for b in boxes), min(b[1] for b in boxes)
    right, bottom = max(b[0] + b[2] for b in boxes), max(b[1] + b[3] for b in boxes)
    sheet = f"page={page}&" if page > 1 else ""
    return f"{scan}#{sheet}xywh={left},{top},{right - left},{bottom - top}"
