"""A card as read: plain values, and their JSON in the format of 'cards as read'.

Boxes are left, top, width, height in pixels of the picture with its EXIF orientation applied.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

Box: TypeAlias = tuple[int, int, int, int]
Mark: TypeAlias = Literal["", "ditto", "struck", "illegible"]


@dataclass(frozen=True, slots=True)
class CardHint:
    """What is known beforehand of a card's *form*, never of its content. Empty where unknown."""

    form: str = ""
    side: str = ""

    @classmethod
    def of(cls, hint: CardHint | Mapping[str, str] | None) -> CardHint:
        """Take a hint as a worker gets it."""
        if isinstance(hint, CardHint):
            return hint
        known = hint or {}
        return cls(str(known.get("form", "")), str(known.get("side", "")))


@dataclass(frozen=True, slots=True)
class CellReading:
    """What was seen in one cell. `confidence` is the probability that text and mark are right."""

    text: str
    confidence: float
    box: Box
    alternatives: tuple[tuple[str, float], ...] = ()
    mark: Mark = ""
    struck: str = ""

    def to_json(self) -> dict[str, Any]:
        """The cell as 'cards as read' has it."""
        out: dict[str, Any] = {
            "text": self.text,
            "confidence": round(self.confidence, 4),
            "box": list(self.box),
            "alternatives": [[text, round(p, 4)] for text, p in self.alternatives],
        }
        if self.struck:
            out["struck"] = self.struck
        return out


@dataclass(frozen=True, slots=True)
class LineReading:
    """One line of a card. `row` counts from 1 among the written lines; cells go by field, in column order."""

    row: int
    says: str
    cells: Mapping[str, CellReading]

    @property
    def marks(self) -> dict[str, str]:
        """Field to mark, for the cells that bear one."""
        return {name: cell.mark for name, cell in self.cells.items() if cell.mark}

    def to_json(self) -> dict[str, Any]:
        """The line as 'cards as read' has it, without its id."""
        cells = {name: cell.to_json() for name, cell in self.cells.items()}
        return {"row": self.row, "says": self.says, "cells": cells, "marks": self.marks}


@dataclass(frozen=True, slots=True)
class CardReading:
    """A card as read. Where nothing could be read, `lines` is empty and `problems` says why.

    `turned` is in degrees clockwise; `outline` the card's corners, clockwise from top left.
    `quality` has what was measured of the scan: `capital`, the height of a capital in its pixels, and
    `table`,
    how far the table's geometry is trusted, 0 to 1.
    """

    form: str
    side: str
    turned: float
    outline: tuple[tuple[float, float], ...]
    heading: Mapping[str, CellReading]
    lines: tuple[LineReading, ...]
    problems: tuple[str, ...] = ()
    quality: Mapping[str, float] = field(default_factory=dict)

    def to_json(self) -> dict[str, Any]:
        """The card as 'cards as read' has it; ids, digest and page are for those who keep the scan."""
        return {
            "form": self.form,
            "side": self.side,
            "turned": round(self.turned, 2),
            "outline": [[round(x, 1), round(y, 1)] for x, y in self.outline],
            "heading": {name: cell.to_json() for name, cell in self.heading.items()},
            "lines": [line.to_json() for line in self.lines],
            "problems": list(self.problems),
            "quality": {name: round(value, 3) for name, value in self.quality.items()},
        }
