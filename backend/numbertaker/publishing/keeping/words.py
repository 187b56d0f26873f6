"""What was read in a cell, cut into words with a box each, as page formats want it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from numbertaker.publishing.keeping.places import Box, Size, clipped, hull
from numbertaker.publishing.keeping.xml import shown

SHARES: Final = (
    "A cell of several words has one box and one confidence; the box of a word in it is its share of the "
    "cell's box, by characters, and its confidence that of the cell."
)


@dataclass(frozen=True, slots=True)
class Word:
    """A word with its box in pixels and the probability that its cell was read rightly."""

    text: str
    box: Box
    confidence: float


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell that has words on the page: its column, its mark, its box and its words."""

    field: str
    mark: str
    box: Box
    words: tuple[Word, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the card, or its heading where `line_id` is empty."""

    line_id: str
    box: Box
    cells: tuple[Cell, ...]


def rows_of(body: Mapping[str, Any], size: Size) -> Iterator[Row]:
    """The heading and the lines of a page as read; what has no words or lies off the page is left out."""
    heading = _row("", body.get("heading", {}), {}, size)
    if heading is not None:
        yield heading
    for line in body["lines"]:
        row = _row(line["line_id"], line["cells"], line.get("marks", {}), size)
        if row is not None:
            yield row


def _row(line_id: str, cells: Mapping[str, Any], marks: Mapping[str, str], size: Size) -> Row | None:
    kept = [_cell(name, cell, marks.get(name, ""), size) for name, cell in cells.items()]
    found = tuple(cell for cell in kept if cell is not None)
    box = hull(cell.box for cell in found)
    return None if box is None else Row(line_id, box, found)


def _cell(name: str, cell: Mapping[str, Any], mark: str, size: Size) -> Cell | None:
    box = clipped(cell["box"], size)
    words = shown(cell["text"]).split()
    if box is None or not words:
        return None
    sure = min(max(float(cell["confidence"]), 0.0), 1.0)
    return Cell(name, mark, box, tuple(_shares(words, box, sure)))


def _shares(words: list[str], box: Box, confidence: float) -> Iterator[Word]:
    """Cut a box among the words, as a typewriter would: every character, and a blank between, alike wide."""
    left, top, width, height = box
    whole = sum(map(len, words)) + len(words) - 1
    begun = 0
    for word in words:
        start = min(left + width * begun // whole, left + width - 1)
        end = max(left + width * (begun + len(word)) // whole, start + 1)
        yield Word(word, (start, top, end - start, height), confidence)
        begun += len(word) + 1
