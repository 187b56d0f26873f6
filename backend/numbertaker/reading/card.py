"""Read one card: page, table, cells, letters, lines. The whole walk of this room stands here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from numbertaker.reading import confidence as sure
from numbertaker.reading import marks as mk
from numbertaker.reading.cells import Cell, cells_of_row, two_alike
from numbertaker.reading.columns import Column
from numbertaker.reading.crops import cut_out, grown, on_scan
from numbertaker.reading.fields import fits, kind_of, weigh
from numbertaker.reading.forms import KNOWN, NONE_OF_THESE, Form, best_form
from numbertaker.reading.geometry import Array, Picture, Plane, darkest, lay_flat
from numbertaker.reading.headings import HeadingLine, read_heading
from numbertaker.reading.inks import Stamp, find_stamp, share_of_stamp, without_stamp
from numbertaker.reading.lines import says_of
from numbertaker.reading.marks import Box, hull
from numbertaker.reading.pages import open_page
from numbertaker.reading.papers import Paper, find_papers, lies_sideways
from numbertaker.reading.recognisers import Crop, Reading, Recogniser
from numbertaker.reading.spacing import PAD_ACROSS, blanks_by_gaps
from numbertaker.reading.table import NoTable, Table, find_table, survey
from numbertaker.reading.titles import Word
from numbertaker.reading.values import CardHint, CardReading, CellReading, LineReading

PAD = 0.28
"""Paper left round a cell's ink, in heights of a capital."""
CLEAN = 1.1
"""How much of a stamp is taken off before marks are looked for: a little more than is there, so that none
is left.
"""
STAMPED = 0.03
"""A crop of which a stamp covers less than this is read as it is."""
SMALLEST_CAPITAL = 11
"""Below this height of a capital, in pixels of the scan, readings become doubtful: about 120 dots per
inch.
"""


@dataclass(frozen=True, slots=True)
class Desk:
    """A scan, laid flat, and who reads it."""

    scan: Picture
    plane: Plane
    recogniser: Recogniser
    stamp: Stamp | None = None

    def crop(self, marks: Array, field: str) -> Crop:
        """The writing of some marks, as a crop for its field; a coloured stamp over it is taken out."""
        pad = PAD * self.plane.letters.cap
        box = grown(hull(marks), PAD_ACROSS * self.plane.letters.cap, pad)
        picture = cut_out(self.scan, self.plane, box)
        if self.stamp and share_of_stamp(picture, self.stamp) > STAMPED:
            picture = without_stamp(picture, self.stamp)
        return Crop(picture, kind_of(field))

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
    found = tables_of(scan, recogniser, further_headings)
    if not found:
        height, width = scan.shape[:2]
        whole = ((0.0, 0.0), (float(width), 0.0), (float(width), float(height)), (0.0, float(height)))
        why = "No writing was found on this scan: it looks blank, or far too faint or blurred to read."
        return CardReading(NONE_OF_THESE, "", 0.0, whole, {}, (), (why,))
    desk, table = found[0]
    if isinstance(table, NoTable):
        return CardReading(NONE_OF_THESE, "", desk.plane.turned, desk.plane.outline, {}, (), (table.reason,))
    return _read_table(desk, table, CardHint.of(hint), forms)


def tables_of(
    scan: Picture,
    recogniser: Recogniser,
    further_headings: Mapping[str, Sequence[str]] | None = None,
) -> list[tuple[Desk, Table | NoTable]]:
    """The cards on a picture, each laid flat with its table, or why it has none; top to bottom.

    Empty where nothing is written.
    """
    found = (_table_on(scan, paper, recogniser, further_headings) for paper in find_papers(scan))
    return [card for card in found if card is not None]


def _table_on(
    scan: Picture, paper: Paper, recogniser: Recogniser, further: Mapping[str, Sequence[str]] | None
) -> tuple[Desk, Table | NoTable] | None:
    """One paper's table: as it lies, else upside down; a paper that lies on its side is tried on both."""
    plane = lay_flat(scan, paper)
    if plane is None:
        return None
    sideways = lies_sideways(plane.letters)
    best: tuple[Desk, Table | NoTable] | None = None
    for quarters in (1, 3) if sideways else (0, 2):
        turned = lay_flat(scan, paper.turned(quarters)) if quarters else plane
        if turned is None:
            continue
        desk = _desk(scan, turned, recogniser)
        card = desk, find_table(survey(desk.plane), desk.words, further)
        if best is None or _upright(card[1]) > _upright(best[1]):
            best = card
        if _upright(best[1]) > UPRIGHT:
            break
    return best


UPRIGHT = 0.8
"""From here on a table is held to stand upright without looking at it from the other side."""


def _upright(table: Table | NoTable) -> float:
    """How surely a table stands upright: titles on their head are read badly, and have no rows below."""
    if isinstance(table, NoTable):
        return 0.0
    return table.titled if len(table.rows) > 1 else 0.1 * table.titled


def _desk(scan: Picture, plane: Plane, recogniser: Recogniser) -> Desk:
    """The flat card, a stamp taken off it."""
    stamp = find_stamp(plane.colour, plane.letters)
    if stamp:
        plane = replace(plane, colour=without_stamp(plane.colour, stamp, CLEAN))
    return Desk(scan, plane, recogniser, stamp)


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
    """How far the table's geometry is trusted."""
    return table.sure


def _capital(plane: Plane) -> float:
    """The height of a capital in pixels of the scan."""
    a, b = np.array([0.0, 0.0]), np.array([0.0, plane.letters.cap])
    way = plane.to_scan[:2, :2] / plane.to_scan[2, 2]
    return float(np.linalg.norm(way @ (b - a)))


def _problems(
    form: Form | None,
    heading: Mapping[str, CellReading],
    lines: Sequence[LineReading],
    side: str,
    quality: Mapping[str, float],
) -> tuple[str, ...]:
    found = []
    if form is None:
        found.append("The columns agree with none of the known forms: check what each column means.")
    if side != "statement" and "heading" not in heading:
        found.append(
            "Whose card it is was not read: a heading such as 'BOILER No. 52' was expected over the table."
        )
    if not lines:
        found.append("A table was found, but nothing is written in it.")
    if quality["capital"] < SMALLEST_CAPITAL:
        found.append(
            f"The letters are only {quality['capital']:.0f} pixels high; "
            f"{SMALLEST_CAPITAL} or more are wanted. "
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
    return (
        text.rsplit(maxsplit=1)[-1].removeprefix("No.").removeprefix("No").strip(" .:")
        if field == "heading" and text
        else text
    )


def _read_lines(desk: Desk, table: Table, side: str) -> tuple[LineReading, ...]:
    grey = darkest(desk.plane.colour)
    rows = [cells_of_row(row, table.columns, table.marks, grey, table.cap) for row in table.rows]
    readings = _read_cells(desk, [cell for row in rows for cell in row])
    lines: list[LineReading] = []
    above: Mapping[str, CellReading] = {}
    for row in rows:
        cells = {_name(cell.column, k): readings[id(cell)] for k, cell in enumerate(row)}
        cells = {name: _without_baseless_ditto(cell, above.get(name)) for name, cell in cells.items()}
        if any(cell.text or cell.mark for cell in cells.values()):
            lines.append(LineReading(len(lines) + 1, says_of(cells, side), cells))
            above = cells
    return tuple(lines)


def _without_baseless_ditto(cell: CellReading, above: CellReading | None) -> CellReading:
    """A ditto under nothing repeats nothing: it is a speck, and the cell is held to be blank, less surely."""
    if cell.text == '"' and cell.mark == "ditto" and (above is None or not (above.text or above.mark)):
        return replace(cell, text="", mark="", confidence=sure.SPECK, alternatives=(('"', 1 - sure.SPECK),))
    return cell


def _name(column: Column, k: int) -> str:
    return column.field or column.title or f"column {k + 1}"


def _read_cells(desk: Desk, cells: Sequence[Cell]) -> dict[int, CellReading]:
    """All cells of a card in one batch; by the cell's identity."""
    parts: dict[tuple[int, str], tuple[Array, str]] = {}
    for cell in cells:
        field = cell.column.field
        if cell.sort in ("plain", "struck") and len(cell.marks):
            parts[id(cell), "text"] = (cell.marks, field)
        if len(cell.struck):
            parts[id(cell), "struck"] = (cell.struck, field)
        pair = (
            two_alike(cell.marks, desk.plane.letters.cap)
            if cell.sort == "plain" and kind_of(field) in VALUES
            else None
        )
        if pair:
            parts[id(cell), "first"], parts[id(cell), "second"] = (pair[0], field), (pair[1], field)
    read = desk.recogniser.read([desk.crop(marks, field) for marks, field in parts.values()])
    texts = {key: weigh(r, kind_of(parts[key][1])) for key, r in zip(parts, read, strict=True)}
    out: dict[int, CellReading] = {}
    for cell in cells:
        own = {
            part: texts[id(cell), part]
            for part in ("text", "struck", "first", "second")
            if (id(cell), part) in texts
        }
        out[id(cell)] = _reading_of(desk, *_settled(cell, own, desk.plane.letters.cap))
    return out


VALUES = frozenset({"number", "date", "figure"})
"""Kinds of which a cell holds one only, so that two side by side mean that one was struck out."""


def _settled(
    cell: Cell, own: Mapping[str, Reading], cap: float
) -> tuple[Cell, Reading | None, Reading | None]:
    """A cell with two values side by side, of which only the second reads as one value, is a struck one."""
    kind = kind_of(cell.column.field)
    pair = two_alike(cell.marks, cap) if "second" in own else None
    if pair and fits(own["second"].text, kind) >= 1 and not fits(own["text"].text, kind):
        return replace(cell, sort="struck", marks=pair[1], struck=pair[0]), own["second"], own["first"]
    return cell, own.get("text"), own.get("struck")


def _reading_of(desk: Desk, cell: Cell, text: Reading | None, struck: Reading | None) -> CellReading:
    geometry = cell.column.sure
    if cell.sort == "blank":
        edges = np.array([[cell.place.left, cell.place.top, cell.place.right, cell.place.bottom]])
        return CellReading("", sure.CURVE.at(sure.TOLD, geometry), on_scan(desk.plane, edges))
    if cell.sort == "ditto":
        return CellReading('"', sure.CURVE.at(sure.TOLD, geometry), desk.box(cell.marks), (), "ditto")
    marks = np.concatenate([cell.marks, cell.struck]) if len(cell.struck) else cell.marks
    reading = _spelt(text, cell.marks, desk.plane.letters.cap) if text else Reading("", 0.5)
    out = CellReading(
        reading.text,
        sure.CURVE.at(reading.confidence, geometry),
        desk.box(marks),
        _kept(reading.alternatives),
    )
    if cell.sort == "struck":
        under = struck.text if struck else ""
        return replace(out, mark="struck", struck=under, confidence=out.confidence * sure.STRUCK)
    if len(reading.text) == 1 and kind_of(cell.column.field) in ("date", "figure", "words"):
        # no date, mileage or remark is one sign long: a crease or a stain
        return replace(out, text="", confidence=sure.SPECK, alternatives=((reading.text, 1 - sure.SPECK),))
    if is_written_ditto(reading.text):
        return replace(out, mark="ditto")
    return out


def _spelt(reading: Reading, marks: Array, cap: float) -> Reading:
    """Let geometry decide what the shapes of letters can't: blanks within a word, and small or capital
    'W'.
    """
    text = blanks_by_gaps(reading, marks, cap)
    if text[:1] in SAME_SHAPE and len(text) > 2 and _stands_tall(marks, cap):
        text = text[0].upper() + text[1:]
    return replace(reading, text=text)


SAME_SHAPE = frozenset("cosuvwxz")
"""Small letters that differ from their capitals in size alone."""


def _stands_tall(marks: Array, cap: float) -> bool:
    """Whether the first letter is as tall as the tallest of the word's letters, tails left out."""
    letters = mk.letter_like(marks, cap)
    if len(letters) < 3:
        return False
    first = letters[np.argmin(letters[:, mk.LEFT])]
    feet = np.median(letters[:, mk.TOP] + letters[:, mk.HEIGHT])
    return bool(feet - first[mk.TOP] > 0.84 * (feet - letters[:, mk.TOP].min()))


def is_written_ditto(text: str) -> bool:
    """'do.', 'ditto' and quotation marks with dashes, where they were read as letters."""
    bare = text.lower().strip(" .-—–_")
    return bare in {"do", "ditto", "d0", '"', "''", "ll"} if bare else False


def _kept(alternatives: Sequence[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    """Alternatives worth showing: at least one in a thousand, five at most."""
    return tuple((t, p) for t, p in alternatives if p >= 0.001)[:5]
