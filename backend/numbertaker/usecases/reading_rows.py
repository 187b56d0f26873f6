"""What was read of a card as lines: each keeps its id when the card is read again.

Line ids are the card's id and a number, given once. A line of a new reading is the line of the last one that
stands at the same height on the same page. What the new reading says otherwise goes to `readings`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, TypeAlias

from numbertaker.archive import KeptReading, Writer
from numbertaker.evidence.records import CellKey, Decision, Line, Reading
from numbertaker.reading.kept import card_of
from numbertaker.reading.lines import FIELDS, line_rows

Body: TypeAlias = Mapping[str, Any]
_Extent: TypeAlias = tuple[int, int]
_REGION: Final = re.compile(
    r"(?P<file>[^#]*)#(?:page=(?P<page>\d+)&)?xywh=\d+,(?P<top>\d+),\d+,(?P<height>\d+)", re.ASCII
)
_CELLS = ("heading", "heading_name", *FIELDS)


def keep_card(
    writer: Writer, card_id: str, pages: Sequence[tuple[str, int]], bodies: Sequence[Body], at: str
) -> None:
    """Keep the readings of a card's pages, and its lines unless a person typed them."""
    before = writer.readings_of(card_id)
    there = {line.line_id: line for line in writer.lines_of(card_id)}
    typed = [line for line in there.values() if not line.reading]
    names = _Names(card_id, {*there, *(r.line_id for r in writer.readings())})
    read: dict[str, Line] = {}
    row = 0
    for page, body in zip(pages, bodies, strict=True):
        ids = (
            _typed_ids(card_id, typed, body, row)
            if typed
            else _ids(names, _on_page(there.values(), writer.scan(page[0]).name, page[1]), body, row)
        )
        lines = _numbered(body, ids, row)
        kept = KeptReading(card_id, *page, str(body["recogniser"]), at, {**body, "lines": lines})
        if not typed:
            read |= {line.line_id: line for line in _lines(writer, kept)}
        writer.keep_reading(kept)
        row += len(ids)
    if not typed:
        _write(writer, there, read, before)


@dataclass(slots=True)
class _Names:
    """The ids that lines of a card have or ever had."""

    card_id: str
    used: set[str]

    def new(self, row: int) -> str:
        """The id that the row asks for, or the next number that was never given."""
        wanted = f"{self.card_id}-{row}"
        while wanted in self.used:
            row += 1
            wanted = f"{self.card_id}-{row}"
        self.used.add(wanted)
        return wanted


def _on_page(lines: Iterable[Line], name: str, page: int) -> list[tuple[str, _Extent]]:
    """The lines that stand on a page of a scan, and how far down it each reaches."""
    found: list[tuple[str, _Extent]] = []
    for line in lines:
        match = _REGION.fullmatch(line.region)
        if match is not None and match["file"] == name and int(match["page"] or 1) == page:
            found.append((line.line_id, _middle(int(match["top"]), int(match["height"]))))
    return found


def _ids(names: _Names, before: Sequence[tuple[str, _Extent]], body: Body, offset: int) -> list[str]:
    """An id for each line of a page: that of the line read there before, else a new one."""
    old = list(before)
    found: list[str | None] = []
    for line in body["lines"]:
        match = max(old, key=lambda one: _overlap(one[1], _extent(line)), default=None)
        same = match is not None and _overlap(match[1], _extent(line)) > 0
        found.append(match[0] if match is not None and same else None)
        if match is not None and same:
            old.remove(match)
    return [known or names.new(offset + n) for n, known in enumerate(found, start=1)]


def _extent(line: Body) -> _Extent:
    """How far down the page a line reaches that was just read, in pixels."""
    boxes = [cell["box"] for cell in line["cells"].values()]
    top = min((box[1] for box in boxes), default=0)
    return _middle(top, max((box[1] + box[3] for box in boxes), default=0) - top)


def _middle(top: int, height: int) -> _Extent:
    """The middle half of a height: the whole of it may reach into the line below."""
    return top + height // 4, top + height - height // 4


def _overlap(one: _Extent, other: _Extent) -> int:
    return min(one[1], other[1]) - max(one[0], other[0])


def _typed_ids(card_id: str, typed: Sequence[Line], body: Body, offset: int) -> list[str]:
    """The ids of lines that a person typed, by their order on the card."""
    by_row = {line.row_: line.line_id for line in typed}
    rows = range(offset + 1, offset + 1 + len(body["lines"]))
    return [by_row.get(str(row), f"{card_id}-{row}") for row in rows]


def _numbered(body: Body, ids: Sequence[str], offset: int) -> list[dict[str, Any]]:
    """The lines of a page with their ids, and their order on the card."""
    lines = enumerate(zip(ids, body["lines"], strict=True), start=offset + 1)
    return [{"line_id": line_id, **line, "row": row} for row, (line_id, line) in lines]


def _lines(writer: Writer, kept: KeptReading) -> list[Line]:
    card = writer.card(kept.card_id)
    scan = writer.scan(kept.sha256)
    rows = line_rows(
        card_of(kept.body),
        card_id=card.card_id,
        source_id=card.source_id,
        locator=card.locator,
        scan=scan.name,
        page=kept.page,
    )
    ids = [line["line_id"] for line in kept.body["lines"]]
    return [replace(line, line_id=line_id) for line_id, line in zip(ids, rows, strict=True)]


def _write(
    writer: Writer, there: Mapping[str, Line], read: Mapping[str, Line], before: Sequence[KeptReading]
) -> None:
    """Change, add and drop lines, and keep what the last reading had otherwise.

    A line that is found no more stays where a decision speaks of it.
    """
    spoken_of = {line_id for decision in writer.log() for line_id in _lines_in(decision)}
    gone = [line for key, line in there.items() if key not in read and key not in spoken_of]
    changed = [(there[key], line) for key, line in read.items() if key in there and there[key] != line]
    by_line = {line["line_id"]: kept for kept in before for line in kept.body["lines"]}
    earlier = [
        reading
        for old, new in (*changed, *((line, None) for line in gone))
        for reading in _superseded(old, new, by_line.get(old.line_id))
    ]
    writer.add(Reading.TABLE, earlier)
    writer.change_lines([new for _, new in changed])
    writer.drop_lines([line.line_id for line in gone])
    writer.add(Line.TABLE, [line for key, line in read.items() if key not in there])


def _lines_in(decision: Decision) -> list[str]:
    """The lines whose cells a decision names."""
    if decision.kind in ("cell", "link"):
        return [CellKey.parse(decision.target).line_id]
    parts = (
        part.strip().removeprefix("believe ").removeprefix("set aside ")
        for part in decision.ruling.split(";")
    )
    return [CellKey.parse(part.strip()).line_id for part in parts if "/" in part]


def _superseded(old: Line, new: Line | None, kept: KeptReading | None) -> list[Reading]:
    by, at = (kept.recogniser, kept.at) if kept else ("", "")
    return [
        Reading(
            line_id=old.line_id, field=field, text=old.text(field), reading=_sure(old, field), by=by, at=at
        )
        for field in _CELLS
        if old.text(field) != (new.text(field) if new else "")
    ]


def _sure(line: Line, field: str) -> str:
    return dict(line.extra).get(f"reading_{field}", "") or line.reading
