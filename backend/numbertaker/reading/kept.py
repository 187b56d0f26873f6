"""A card as read, back from its JSON: what a worker hands over and an archive keeps."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from numbertaker.reading.values import CardReading, CellReading, LineReading


def card_of(body: Mapping[str, Any]) -> CardReading:
    """The card that `CardReading.to_json` wrote; rounded as it was written."""
    return CardReading(
        form=body["form"],
        side=body["side"],
        turned=body["turned"],
        outline=tuple((x, y) for x, y in body["outline"]),
        heading={name: _cell(cell, "") for name, cell in body["heading"].items()},
        lines=lines_of(body),
        problems=tuple(body.get("problems", ())),
        quality=body.get("quality", {}),
    )


def lines_of(body: Mapping[str, Any]) -> tuple[LineReading, ...]:
    """The lines of a card as read, whatever else its JSON tells; what a line leaves out is as usual."""
    return tuple(_line(line) for line in body.get("lines", ()))


def _line(line: Mapping[str, Any]) -> LineReading:
    marks = line.get("marks", {})
    cells = {name: _cell(cell, marks.get(name, "")) for name, cell in line["cells"].items()}
    return LineReading(line.get("row", 0), line.get("says", "fitment"), cells)


def _cell(cell: Mapping[str, Any], mark: Any) -> CellReading:
    left, top, width, height = cell["box"]
    alternatives = tuple((text, p) for text, p in cell.get("alternatives", ()))
    return CellReading(
        cell["text"],
        cell["confidence"],
        (left, top, width, height),
        alternatives,
        mark,
        cell.get("struck", ""),
    )
