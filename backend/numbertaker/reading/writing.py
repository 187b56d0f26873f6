"""What is written in the cells of a card: crops to the recogniser, and what geometry and recogniser say put
together.

Geometry tells blanks, dittos and strokes by their shape, the recogniser reads them; where the two differ,
each is believed where it is the better witness.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from numbertaker.reading import confidence as sure
from numbertaker.reading import marks as mk
from numbertaker.reading.cells import Cell, two_alike
from numbertaker.reading.crops import on_scan
from numbertaker.reading.desk import Desk
from numbertaker.reading.fields import fits, kind_of, weigh
from numbertaker.reading.geometry import Array
from numbertaker.reading.recognisers import Kind, Reading
from numbertaker.reading.spacing import blanks_by_gaps
from numbertaker.reading.strikes import Told, told, unmarked
from numbertaker.reading.values import CellReading

VALUES: Final = frozenset({"number", "date", "figure"})
"""Kinds of which a cell holds one only, so that two side by side mean that one was struck out."""
STRUCK: Final = 0.5
"""From this share on a cell is held to be struck out on the recogniser's word alone."""
UNSTRUCK: Final = 0.02
"""Under this share a stroke that geometry saw is held to be a ruling."""


@dataclass(frozen=True, slots=True)
class Settled:
    """A cell once it is known what kind it is: what stands in it, and what was struck out."""

    cell: Cell
    text: Reading | None = None
    struck: Reading | None = None


def read_cells(desk: Desk, cells: Sequence[Cell], trust: float) -> dict[int, CellReading]:
    """All cells of a card in one batch; by the cell's identity. `trust` is that in the whole table."""
    cap = desk.plane.letters.cap
    parts: dict[tuple[int, str], tuple[Array, str]] = {}
    for cell in cells:
        for part, marks in _parts(cell, cap).items():
            parts[id(cell), part] = (marks, cell.column.field)
    read = desk.recogniser.read([desk.crop(marks, field) for marks, field in parts.values()])
    texts = dict(zip(parts, read, strict=True))
    out: dict[int, CellReading] = {}
    for cell in cells:
        own = {part: texts[id(cell), part] for part in PARTS if (id(cell), part) in texts}
        out[id(cell)] = _reading_of(desk, _settled(cell, own, cap), trust)
    return out


PARTS: Final = ("text", "struck", "first", "second")


def _parts(cell: Cell, cap: float) -> dict[str, Array]:
    """What of a cell is read by itself: its text, what is struck out, and two values side by side."""
    parts: dict[str, Array] = {}
    if len(cell.marks) and cell.sort != "blank":
        parts["text"] = cell.marks
    if len(cell.struck):
        parts["struck"] = cell.struck
    pair = (
        two_alike(cell.marks, cap) if cell.sort == "plain" and kind_of(cell.column.field) in VALUES else None
    )
    if pair:
        parts["first"], parts["second"] = pair
    return parts


def _settled(cell: Cell, own: Mapping[str, Reading], cap: float) -> Settled:
    """What kind of cell it is, by its geometry and by what the recogniser says of it."""
    kind = kind_of(cell.column.field)
    if cell.sort == "struck":
        return _struck(cell, own, kind)
    if cell.sort == "ditto" and _reads_as_text(own.get("text"), kind):
        cell = replace(cell, sort="plain")
    if cell.sort == "plain" and "text" in own:
        return _plain(cell, own, kind, cap)
    return Settled(cell, own.get("text"))


def _reads_as_text(reading: Reading | None, kind: Kind) -> bool:
    """Whether what looks like ditto marks is surely read as something that fits its field."""
    if reading is None or not reading.strikes or reading.confidence < 0.9:
        return False
    return not is_written_ditto(reading.text) and len(reading.text) > 1 and fits(reading.text, kind) >= 1


def _of_ditto(reading: Reading | None) -> float:
    """How likely the recogniser holds what geometry takes for a ditto to be one."""
    if reading is None or not reading.strikes:
        return sure.TOLD
    every = [(reading.text, reading.confidence), *reading.alternatives]
    return sum(p for text, p in every if is_written_ditto(text))


def _struck(cell: Cell, own: Mapping[str, Reading], kind: Kind) -> Settled:
    """A cell in which geometry saw a stroke, or figures over figures."""
    standing, struck = own.get("text"), own.get("struck")
    if standing is None and struck is not None and _knows_strikes(own) and told(struck).share < UNSTRUCK:
        return Settled(replace(cell, sort="plain", marks=cell.struck, struck=cell.marks), weigh(struck, kind))
    if standing is not None and struck is not None and told(standing).share > STRUCK > told(struck).share:
        standing, struck = struck, standing  # the lower one stands
    text = weigh(_unstruck(told(standing)), kind) if standing else None
    return Settled(cell, text, weigh(unmarked(struck), kind) if struck else None)


def _knows_strikes(own: Mapping[str, Reading]) -> bool:
    """Whether whoever read it can say that something is struck out."""
    return any(reading.strikes for reading in own.values())


def _unstruck(parts: Told) -> Reading:
    return parts.standing if parts.share > STRUCK and parts.standing.text else parts.plain


def _plain(cell: Cell, own: Mapping[str, Reading], kind: Kind, cap: float) -> Settled:
    """A cell in which geometry saw writing only: the recogniser may see that some of it is struck out.

    Two values side by side, of which only the second reads as one value, are a struck one and its
    replacement.
    """
    parts = told(own["text"])
    pair = two_alike(cell.marks, cap) if "second" in own else None
    if parts.share > STRUCK:
        return Settled(replace(cell, sort="struck"), weigh(parts.standing, kind), weigh(parts.struck, kind))
    if pair:
        first, second = weigh(unmarked(own["first"]), kind), weigh(unmarked(own["second"]), kind)
        if fits(second.text, kind) >= 1 and not fits(weigh(parts.plain, kind).text, kind):
            return Settled(replace(cell, sort="struck", marks=pair[1], struck=pair[0]), second, first)
    return Settled(cell, weigh(parts.plain, kind))


def _reading_of(desk: Desk, settled: Settled, trust: float) -> CellReading:
    cell, cap = settled.cell, desk.plane.letters.cap
    # a doubtful table is seldom wrong everywhere: half of its doubt is each cell's
    geometry = min(cell.column.sure, 0.5 + 0.5 * trust)
    kind = kind_of(cell.column.field)
    if cell.sort == "blank":
        edges = np.array([[cell.place.left, cell.place.top, cell.place.right, cell.place.bottom]])
        return CellReading("", sure.of_cell("blank", sure.TOLD, geometry), on_scan(desk.plane, edges))
    marks = np.concatenate([m for m in (cell.marks, cell.struck) if len(m)])
    box = desk.box(marks)
    if cell.sort == "ditto":
        return CellReading('"', sure.of_cell("ditto", _of_ditto(settled.text), geometry), box, (), "ditto")
    reading = _spelt(settled.text, cell.marks, cap) if settled.text else Reading("", 0.5)
    p = sure.of_cell(_sort(cell, reading, kind), reading.confidence, geometry)
    out = CellReading(reading.text, p, box, _kept(reading.alternatives))
    if cell.sort == "struck":
        under = settled.struck.text if settled.struck else ""
        return replace(out, mark="struck", struck=under)
    too_short = len(reading.text) == 1 and kind in ("date", "figure", "words") and cell.column.field
    if not reading.text or too_short:
        # no date, mileage or remark is one sign long: a crease or a stain
        other = ((reading.text, 1 - sure.SPECK),) if reading.text else ()
        return replace(out, text="", confidence=sure.SPECK, alternatives=other)
    if is_written_ditto(reading.text):
        return replace(out, mark="ditto")
    return out


def _sort(cell: Cell, reading: Reading, kind: Kind) -> str:
    """What a cell counts as where confidence is concerned."""
    if cell.sort == "struck":
        return "struck"
    return "ditto" if is_written_ditto(reading.text) else kind


def _spelt(reading: Reading, marks: Array, cap: float) -> Reading:
    """Let geometry decide what the shapes of letters can't: blanks within a word, and small or capital
    'W'."""
    text = blanks_by_gaps(reading, marks, cap)
    if text[:1] in SAME_SHAPE and len(text) > 2 and _stands_tall(marks, cap):
        text = text[0].upper() + text[1:]
    return replace(reading, text=text)


SAME_SHAPE: Final = frozenset("cosuvwxz")
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
