"""Read one card: page, table, cells, letters, lines. The whole walk of this room stands here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from numbertaker.reading import confidence as sure
from numbertaker.reading.cells import Cell, cells_of_row
from numbertaker.reading.columns import Column, Word
from numbertaker.reading.crops import cut_out, grown, on_scan
from numbertaker.reading.fields import kind_of, weigh
from numbertaker.reading.forms import KNOWN, NONE_OF_THESE, Form, best_form
from numbertaker.reading.geometry import Array, Picture, Plane, darkest, lay_flat
from numbertaker.reading.headings import HeadingLine, read_heading
from numbertaker.reading.lines import says_of
from numbertaker.reading.marks import Box, hull
from numbertaker.reading.pages import open_page
from numbertaker.reading.recognisers import Crop, Reading, Recogniser
from numbertaker.reading.table import NoTable, Table, find_table, survey
from numbertaker.reading.values import CardHint, CardReading, CellReading, LineReading

PAD = 0.28
"""Paper left round a cell's ink, in heights of a capital."""
SMALLEST_CAPITAL = 11
"""Below this height of a capital, in pixels of the scan, readings become doubtful: about 120 dots per inch."""


@dataclass(frozen=True, slots=True)
class Desk:
    """A scan, laid flat, and who reads it."""

    scan: Picture
    plane: Plane
    recogniser: Recogniser

    def crop(self, marks: Array, field: str) -> Crop:
        """The writing of some marks, as a crop for its field."""
        pad = PAD * self.plane.letters.cap
        return Crop(cut_out(self.scan, self.plane, grown(hull(marks), 1.4 * pad, pad)), kind_of(field))

    def words(self, boxes: Sequence[Box]) -> list[tuple[str, float]]:
        """Read words on the flat picture."""
        pad = PAD * self.plane.letters.cap
        crops = [Crop(cut_out(self.scan, self.plane, grown(b, 1.4 * pad, pad))) for b in boxes]
        return [(r.text, r.confidence) for r in self.recogniser.read(crops)]

    def box(self, marks: Array) -> tuple[int, int, int, int]:
        """The upright hull of marks on the scan."""
        edges = np.column_stack([marks[:, :2], marks[:, :2] + marks[:, 2:4]])
        return on_scan(self.plane, edges)


def read_card(
    data: bytes,
    page: int,
    hint: CardHint | Mapping[str, str] | None,
    recogniser: Recogniser,
    *,
    forms: Sequence[Form] = KNOWN,
    further_headings: Mapping[str, Sequence[str]] | None = None,
    name: str = "the file",
) -> CardReading:
    """Read page `page` (from 1) of a scan's bytes.

    What is wrong with the card (blank, no table) is said in the answer's `problems`; a file that is no
    picture raises `Unreadable`.
    """
    scan = open_page(data, page, name=name)
    return read_picture(scan, hint, recogniser, forms=forms, further_headings=further_headings)


def read_picture(
    scan: Picture,
    hint: CardHint | Mapping[str, str] | None,
    recogniser: Recogniser,
    *,
    forms: Sequence[Form] = KNOWN,
    further_headings: Mapping[str, Sequence[str]] | None = None,
) -> CardReading:
    """Read an upright picture, height × width × 3, blue-green-red."""
    height, width = scan.shape[:2]
    plane = lay_flat(scan)
    if plane is None:
        whole = ((0.0, 0.0), (float(width), 0.0), (float(width), float(height)), (0.0, float(height)))
        why = "No writing was found on this scan: it looks blank, or far too faint or blurred to read."
        return CardReading(NONE_OF_THESE, "", 0.0, whole, {}, (), (why,))
    desk = Desk(scan, plane, recogniser)
    table = find_table(survey(plane), desk.words, further_headings)
    if isinstance(table, NoTable):
        return CardReading(NONE_OF_THESE, "", plane.turned, plane.outline, {}, (), (table.reason,))
    return _read_table(desk, table, CardHint.of(hint), forms)


def _read_table(desk: Desk, table: Table, hint: CardHint, forms: Sequence[Form]) -> CardReading:
    head = _heading_of(table)
    side = hint.side or (head[1].side if head else "")
    fields = [c.field for c in table.columns]
    form = next((f for f in forms if f.name == hint.form), None) or best_form(fields, side, forms)
    side = form.side if form else side or "statement"
    heading = _read_heading(desk, table, head) if side != "statement" else {}
    lines = _read_lines(desk, table, side)
    quality = {"capital": _capital(desk.plane), "table": table_trust(table)}
    problems = _problems(form, heading, lines, side, quality)
    name = form.name if form else NONE_OF_THESE
    return CardReading(name, side, desk.plane.turned, desk.plane.outline, heading, lines, problems, quality)


def table_trust(table: Table) -> float:
    """How far the table's geometry is trusted: its weakest column."""
    return min(c.sure for c in table.columns)


def _capital(plane: Plane) -> float:
    """The height of a capital in pixels of the scan."""
    a, b = np.array([0.0, 0.0]), np.array([0.0, plane.letters.cap])
    way = plane.to_scan[:2, :2] / plane.to_scan[2, 2]
    return float(np.linalg.norm(way @ (b - a)))


def _problems(
    form: Form | None, heading: Mapping[str, CellReading], lines: Sequence[LineReading], side: str, quality: Mapping[str, float]
) -> tuple[str, ...]:
    found = []
    if form is None:
        found.append("The columns agree with none of the known forms: check what each column means.")
    if side != "statement" and "heading" not in heading:
        found.append("Whose card it is was not read: a heading such as 'BOILER No. 52' was expected over the table.")
    if not lines:
        found.append("A table was found, but nothing is written in it.")
    if quality["capital"] < SMALLEST_CAPITAL:
        found.append(
            f"The letters are only {quality['capital']:.0f} pixels high; {SMALLEST_CAPITAL} or more are wanted. "
            "Scan the card again at 300 dots per inch."
        )
    return tuple(found)


def _heading_of(table: Table) -> tuple[tuple[Word, ...], HeadingLine] | None:
    """The line over the table that says whose card it is, nearest the top."""
    for words in table.above:
        # a number typed near the foot of the line may have become a row of its own
        found = read_heading([w.text for w in words])
        if found:
            return words, found
    every = tuple(sorted((w for line in table.above for w in line), key=lambda w: w.box.left))
    found = read_heading([w.text for w in every])
    return (every, found) if found else None


def _read_heading(
    desk: Desk, table: Table, head: tuple[tuple[Word, ...], HeadingLine] | None
) -> dict[str, CellReading]:
    """The number and the name at the head of the card."""
    if head is None:
        return {}
    words, found = head
    out: dict[str, CellReading] = {}
    for field, places in found.parts:
        boxes = [words[i].box for i in places]
        marks = np.array([[b.left, b.top, b.width, b.height, 0] for b in boxes])
        reading = weigh(desk.recogniser.read([desk.crop(marks, field)])[0], kind_of(field))
        p = sure.CURVE.at(reading.confidence, 0.98)
        out[field] = CellReading(_number_only(reading.text, field), p, desk.box(marks), reading.alternatives)
    return out


def _number_only(text: str, field: str) -> str:
    """Of 'No.52' the number: the printed words are no part of it."""
    return text.split()[-1].removeprefix("No.").removeprefix("No").strip(" .:") if field == "heading" and text else text


def _read_lines(desk: Desk, table: Table, side: str) -> tuple[LineReading, ...]:
    grey = darkest(desk.plane.colour)
    rows = [cells_of_row(row, table.columns, table.marks, grey, table.cap) for row in table.rows]
    readings = _read_cells(desk, [cell for row in rows for cell in row])
    lines: list[LineReading] = []
    for row in rows:
        cells = {_name(cell.column, k): readings[id(cell)] for k, cell in enumerate(row)}
        if any(cell.text or cell.mark for cell in cells.values()):
            lines.append(LineReading(len(lines) + 1, says_of(cells, side), cells))
    return tuple(lines)


def _name(column: Column, k: int) -> str:
    return column.field or column.title or f"column {k + 1}"


def _read_cells(desk: Desk, cells: Sequence[Cell]) -> dict[int, CellReading]:
    """All cells of a card in one batch; by the cell's identity."""
    plain = [c for c in cells if c.sort in ("plain", "struck") and len(c.marks)]
    struck = [c for c in cells if c.sort == "struck"]
    crops = [desk.crop(c.marks, c.column.field) for c in plain] + [desk.crop(c.struck, c.column.field) for c in struck]
    read = desk.recogniser.read(crops)
    texts = {id(c): weigh(r, kind_of(c.column.field)) for c, r in zip(plain, read, strict=False)}
    under = {id(c): weigh(r, kind_of(c.column.field)) for c, r in zip(struck, read[len(plain) :], strict=True)}
    return {id(c): _reading_of(desk, c, texts.get(id(c)), under.get(id(c))) for c in cells}


def _reading_of(desk: Desk, cell: Cell, text: Reading | None, struck: Reading | None) -> CellReading:
    geometry = cell.column.sure
    if cell.sort == "blank":
        edges = np.array([[cell.place.left, cell.place.top, cell.place.right, cell.place.bottom]])
        return CellReading("", sure.CURVE.at(sure.TOLD, geometry), on_scan(desk.plane, edges))
    if cell.sort == "ditto":
        return CellReading('"', sure.CURVE.at(sure.TOLD, geometry), desk.box(cell.marks), (), "ditto")
    marks = np.concatenate([cell.marks, cell.struck]) if len(cell.struck) else cell.marks
    reading = text or Reading("", 0.5)
    out = CellReading(
        reading.text, sure.CURVE.at(reading.confidence, geometry), desk.box(marks), _kept(reading.alternatives)
    )
    if cell.sort == "struck":
        under = struck.text if struck else ""
        return replace(out, mark="struck", struck=under, confidence=out.confidence * sure.STRUCK)
    if is_written_ditto(reading.text):
        return replace(out, mark="ditto")
    return out


def is_written_ditto(text: str) -> bool:
    """'do.', 'ditto' and quotation marks with dashes, where they were read as letters."""
    bare = text.lower().strip(" .-—–_")
    return bare in {"do", "ditto", "d0", '"', "''", "ll"} if bare else False


def _kept(alternatives: Sequence[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    """Alternatives worth showing: at least one in a thousand, five at most."""
    return tuple((t, p) for t, p in alternatives if p >= 0.001)[:5]



