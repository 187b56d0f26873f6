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
from numbertaker.reading.cell_traits import Around, Seen, traits_of
from numbertaker.reading.cells import Cell, two_alike
from numbertaker.reading.crops import on_scan
from numbertaker.reading.desk import Desk
from numbertaker.reading.fields import fits, kind_of, weigh
from numbertaker.reading.geometry import Array, Picture
from numbertaker.reading.recognisers import NOTHING, Kind, Reading
from numbertaker.reading.spacing import blanks_by_gaps
from numbertaker.reading.strikes import STRUCK, plainly, struck_pair, told, unmarked, unstruck
from numbertaker.reading.table import Table
from numbertaker.reading.values import CellReading

VALUES: Final = frozenset({"number", "date", "figure"})
"""Kinds of which a cell holds one only, so that two side by side mean that one was struck out."""
UNMISTAKEN: Final = 0.95
"""Ditto marks that are read surer than this are such, whatever geometry takes them for."""
TICKS: Final = frozenset({'"', "''"})
LONGER: Final = frozenset({"date", "figure", "name", "words"})
"""Kinds of which none is one sign long."""
DITTO: Final = '"'
LIKELY: Final = 0.5
TALL: Final = 1.5
"""Writing taller than this, in heights of a capital, may be a value squeezed in over a struck one."""
LINE: Final = 1.1
"""How much of such writing the upper or the lower line takes up, in heights of a capital."""


@dataclass(frozen=True, slots=True)
class Settled:
    """A cell once it is known what kind it is: what stands in it, what was struck out, and how likely the
    recogniser holds that something was."""

    cell: Cell
    text: Reading | None = None
    struck: Reading | None = None
    share: float = 0.0


def read_cells(desk: Desk, cells: Sequence[Cell], table: Table, grey: Picture) -> dict[int, CellReading]:
    """All cells of a card in one batch; by the cell's identity. `grey` is the flat picture's darkest
    channel."""
    cap = desk.plane.letters.cap
    parts: dict[tuple[int, str], tuple[Array, str]] = {}
    for cell in cells:
        for part, marks in _parts(cell, cap).items():
            parts[id(cell), part] = (marks, cell.column.field)
    read = desk.recogniser.read([desk.crop(marks, field) for marks, field in parts.values()])
    texts = dict(zip(parts, read, strict=True))
    settled = [
        settle(cell, {part: texts[id(cell), part] for part in PARTS if (id(cell), part) in texts}, cap)
        for cell in cells
    ]
    seen = [_seen(one, cap) for one in settled]
    traits = traits_of(seen, Around(table.sure, table.form is not None, grey, cap, desk.fine))
    return {
        id(cell): _reading_of(desk, one, found, sure.of_cell(told))
        for cell, one, found, told in zip(cells, settled, seen, traits, strict=True)
    }


PARTS: Final = ("text", "struck", "whole", "upper", "lower", "first", "second")


def _parts(cell: Cell, cap: float) -> dict[str, Array]:
    """What of a cell is read by itself: its text, what is struck out, both together, each of two lines in one
    cell, and two values side by side.
    """
    parts: dict[str, Array] = {}
    if len(cell.marks) and cell.sort != "blank":
        parts["text"] = cell.marks
    if len(cell.struck):
        parts["struck"] = cell.struck
    if "text" in parts and "struck" in parts:
        parts["whole"] = np.concatenate([cell.marks, cell.struck])
        parts["text"] = _with_what_reaches_in(cell.marks, cell.struck, cap)
    if kind_of(cell.column.field) not in VALUES or cell.sort not in ("plain", "struck"):
        return parts
    parts |= _two_lines(parts.get("whole", parts.get("text", cell.struck)), cap)
    pair = two_alike(cell.marks, cap) if cell.sort == "plain" else None
    if pair:
        parts["first"], parts["second"] = pair
    return parts


def _with_what_reaches_in(line: Array, other: Array, cap: float) -> Array:
    """A line of writing as wide as it is with the marks of another line that reach up or down into it, where
    letters of the two touch; as high as it was, as one mark.
    """
    box, foot = mk.hull(line), other[:, mk.TOP] + other[:, mk.HEIGHT]
    inside = np.minimum(foot, box.bottom) - np.maximum(other[:, mk.TOP], box.top)
    near = other[:, mk.LEFT] < box.right + cap
    near &= other[:, mk.LEFT] + other[:, mk.WIDTH] > box.left - cap
    reaching = other[near & (inside > 0.6 * min(cap, box.height)) & (other[:, mk.WIDTH] < 2.5 * cap)]
    if not len(reaching):
        return line
    wide = mk.hull(np.concatenate([line, reaching]))
    return np.array([[wide.left, box.top, wide.width, box.height, 0.0]])


def _two_lines(marks: Array, cap: float) -> dict[str, Array]:
    """The upper and the lower line of writing that is too tall for one, each as one mark: their letters
    touch."""
    box = mk.hull(marks)
    if not TALL * cap < box.height < 3.2 * cap:
        return {}
    over = mk.hull(marks[marks[:, mk.TOP] < box.top + 0.45 * cap])
    under = mk.hull(marks[marks[:, mk.TOP] + marks[:, mk.HEIGHT] > box.bottom - 0.5 * cap])
    high = LINE * cap
    return {
        "upper": np.array([[over.left, box.top, over.width, high, 0.0]]),
        "lower": np.array([[under.left, box.bottom - high, under.width, high, 0.0]]),
    }


def settle(cell: Cell, own: Mapping[str, Reading], cap: float) -> Settled:
    """What kind of cell it is, by its geometry and by what the recogniser says of it."""
    kind = kind_of(cell.column.field)
    if cell.sort == "ditto" and not cell.ditto and _reads_as_text(own.get("text"), kind):
        cell = replace(cell, sort="plain")
    if cell.sort == "plain" and _read_as_ticks(own.get("text")):
        return Settled(replace(cell, sort="ditto"), own["text"])
    if cell.sort in ("plain", "struck") and _knows_strikes(own):
        return _told(cell, own, kind, cap)
    if cell.sort == "struck":
        return _struck(cell, own, kind)
    return _plain(cell, own, kind, cap) if cell.sort == "plain" and own else Settled(cell, own.get("text"))


def _told(cell: Cell, own: Mapping[str, Reading], kind: Kind, cap: float) -> Settled:
    """A cell by the word of a recogniser that knows strike-outs: of two lines, one of which is struck; else
    of the whole of it.
    """
    whole = own.get("whole", own.get("text", own.get("struck", NOTHING)))
    pair = None if plainly(whole) else struck_pair(own, kind)
    if pair:
        return Settled(replace(cell, sort="struck"), pair.standing, pair.struck, pair.share)
    parts = told(whole)
    if parts.share > STRUCK:
        bare = unstruck(own, parts, kind)
        if bare is None:
            standing, struck = weigh(parts.standing, kind), weigh(parts.struck, kind)
            return Settled(replace(cell, sort="struck"), standing, struck, parts.share)
        parts = replace(parts, plain=bare)
    if len(cell.struck):
        every = np.concatenate([cell.marks, cell.struck])
        cell = replace(cell, sort="plain", marks=every, struck=cell.struck[:0])
    return _pair(cell, own, kind, cap) or Settled(cell, weigh(parts.plain, kind), share=parts.share)


def _reads_as_text(reading: Reading | None, kind: Kind) -> bool:
    """Whether what looks like ditto marks is surely read as something that fits its field."""
    if reading is None or not reading.strikes or reading.confidence < 0.9:
        return False
    return not is_written_ditto(reading.text) and len(reading.text) > 1 and fits(reading.text, kind) >= 1


def _read_as_ticks(reading: Reading | None) -> bool:
    """Whether what looks like writing is surely read as ditto marks; below that it may be dirt."""
    ticks = reading is not None and reading.text.replace(" ", "").strip("-—–") in TICKS
    return ticks and reading is not None and reading.strikes and reading.confidence >= UNMISTAKEN


def _of_ditto(reading: Reading | None) -> float:
    """How likely the recogniser holds what geometry takes for a ditto to be one."""
    if reading is None or not reading.strikes:
        return sure.TOLD
    every = [(reading.text, reading.confidence), *reading.alternatives]
    return min(1.0, sum(p for text, p in every if is_written_ditto(text)))


def _both(read: float, seen: float) -> float:
    """How likely a ditto is by the reader's word and by geometry's, if it has one: midway between their
    odds, and never less than what the reader says."""
    return max(read, sure.odds((sure.logit(read) + sure.logit(seen)) / 2)) if seen else read


def _struck(cell: Cell, own: Mapping[str, Reading], kind: Kind) -> Settled:
    """A cell in which geometry saw a stroke, or figures over figures."""
    standing, struck = own.get("text"), own.get("struck")
    return Settled(cell, weigh(standing, kind) if standing else None, weigh(struck, kind) if struck else None)


def _knows_strikes(own: Mapping[str, Reading]) -> bool:
    """Whether whoever read it can say that something is struck out."""
    return any(reading.strikes for reading in own.values())


def _plain(cell: Cell, own: Mapping[str, Reading], kind: Kind, cap: float) -> Settled:
    """A cell in which geometry saw writing only."""
    return _pair(cell, own, kind, cap) or Settled(cell, weigh(own["text"], kind))


def _pair(cell: Cell, own: Mapping[str, Reading], kind: Kind, cap: float) -> Settled | None:
    """Two values side by side, of which only the second reads as one value, are a struck one and its
    replacement.
    """
    pair = two_alike(cell.marks, cap) if "second" in own else None
    if pair is None:
        return None
    first, second = weigh(unmarked(own["first"]), kind), weigh(unmarked(own["second"]), kind)
    if fits(second.text, kind) < 1 or fits(weigh(told(own["text"]).plain, kind).text, kind):
        return None
    return Settled(replace(cell, sort="struck", marks=pair[1], struck=pair[0]), second, first)


def _seen(settled: Settled, cap: float) -> Seen:
    """What a cell is held to be, and its reading in the end."""
    cell, kind = settled.cell, kind_of(settled.cell.column.field)
    if cell.sort == "blank":
        return Seen(cell, "blank", Reading("", sure.TOLD))
    if cell.sort == "ditto":
        return Seen(cell, "ditto", Reading(DITTO, _both(_of_ditto(settled.text), cell.ditto)))
    reading = settled.text or Reading("", 0.5)
    if reading.text and len(cell.marks):
        reading = _spelt(reading, cell.marks, cap)
    if cell.sort == "struck":
        return Seen(cell, "struck", reading, settled.share)
    if not reading.text or (len(reading.text) == 1 and kind in LONGER and cell.column.field):
        # no date, mileage or remark is one sign long: a crease or a stain
        other = ((reading.text, reading.confidence),) if reading.text else ()
        return Seen(cell, "blank", Reading("", 1 - reading.confidence, other))
    return Seen(cell, "ditto" if is_written_ditto(reading.text) else "plain", reading, settled.share)


def _reading_of(desk: Desk, settled: Settled, seen: Seen, p: float) -> CellReading:
    """A cell as it is handed on, right with probability `p`."""
    cell, reading = settled.cell, seen.reading
    parts = [m for m in (cell.marks, cell.struck) if len(m)]
    if not parts:
        edges = np.array([[cell.place.left, cell.place.top, cell.place.right, cell.place.bottom]])
        return CellReading("", p, on_scan(desk.plane, edges))
    out = CellReading(reading.text, p, desk.box(np.concatenate(parts)), _kept(reading.alternatives))
    if seen.sort == "struck":
        return replace(out, mark="struck", struck=settled.struck.text if settled.struck else "")
    if seen.sort != "ditto":
        return out
    if reading.text == DITTO and p < LIKELY:
        # more likely a speck or a crease than marks that repeat something
        return replace(out, text="", confidence=1 - p, alternatives=((DITTO, p),))
    return replace(out, mark="ditto")


def _spelt(reading: Reading, marks: Array, cap: float) -> Reading:
    """Let geometry decide what the shapes of letters can't: blanks within a word, and small or capital
    'W'."""
    text = blanks_by_gaps(reading, marks, cap)
    if text[:1] in SAME_SHAPE and text[1:2].isalpha() and len(text) > 2 and _stands_tall(marks, cap):
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
