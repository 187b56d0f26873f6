"""What is seen of a cell that says how far its reading can be trusted, each as one number.

The recogniser's own probability is one trait of many: boxes that are wrong make confident nonsense, a letter
too faint to be found is missed without a trace in the letters that were read, and a hand or a ribbon that is
hard in one cell is hard in the next. `numbertaker.reading.confidence` makes a probability of them.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from numbertaker.reading import marks as mk
from numbertaker.reading.cells import Cell
from numbertaker.reading.confidence import logit
from numbertaker.reading.fields import fits, kind_of
from numbertaker.reading.geometry import PAPER, Array, Picture
from numbertaker.reading.marks import Box, hull
from numbertaker.reading.recognisers import Reading

VALUES: Final = frozenset({"number", "date", "figure"})
INKED: Final = 0.3
"""From this share of the writing's own depth on a pixel counts as inked."""
MOST: Final = 9.0
"""Log-odds beyond this say no more."""
_DIGITS, _LETTERS = re.compile(r"\d+"), re.compile(r"[A-Za-z]+")


@dataclass(frozen=True, slots=True)
class Seen:
    """A cell with what it was held to be ('plain', 'blank', 'ditto' or 'struck'), its reading, and the share
    of readings of it with a stroke through something."""

    cell: Cell
    sort: str
    reading: Reading
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class Around:
    """What is known of the whole card: how far its table is trusted, whether its form was known, the
    picture's darkest channel, the height of a capital on it and in pixels of the scan."""

    table: float
    known: bool
    grey: Picture
    cap: float
    fine: float


def traits_of(cells: Sequence[Seen], around: Around) -> list[dict[str, float]]:
    """The traits of all cells of a card, in order."""
    own = [_own(seen, around) for seen in cells]
    plain = [k for k, seen in enumerate(cells) if seen.sort == "plain" and seen.reading.text]
    columns: dict[str, list[int]] = {}
    for k in plain:
        columns.setdefault(_column(cells[k]), []).append(k)
    usual = {
        "card": _middle([own[k]["seen"] for k in plain]),
        "depths": _middle([own[k]["depth"] for k in plain]),
        "pitch": _middle([own[k]["wide"] for k in plain]),
    }
    for k, seen in enumerate(cells):
        fellows = [i for i in columns.get(_column(seen), ()) if i != k]
        own[k] |= _among(own[k], seen, usual)
        own[k]["column"] = _middle([own[i]["seen"] for i in fellows]) if fellows else usual["card"]
        own[k]["shape"] = _like_shaped(seen, [cells[i] for i in fellows])
    return own


def _column(seen: Seen) -> str:
    return seen.cell.column.field or seen.cell.column.title


def _middle(values: Sequence[float]) -> float:
    return float(np.median(values)) if values else 0.0


def _own(seen: Seen, around: Around) -> dict[str, float]:
    """What a cell by itself shows."""
    cell, kind = seen.cell, kind_of(seen.cell.column.field)
    found = {
        "values": float(seen.sort == "plain" and kind in VALUES),
        "words": float(seen.sort == "plain" and kind not in VALUES),
        "blank": float(seen.sort == "blank"),
        "ditto": float(seen.sort == "ditto"),
        "struck": float(seen.sort == "struck"),
        "dates": float(kind == "date"),
        "table": around.table,
        "edge": cell.column.sure,
        "known": float(around.known),
        "fine": around.fine,
    }
    return {**found, **_of_reading(seen), **_of_place(seen, around)}


def _of_reading(seen: Seen) -> dict[str, float]:
    reading = seen.reading
    second = max((p for _, p in reading.alternatives), default=0.0)
    signs = len(reading.text.replace(" ", ""))
    return {
        "seen": max(-MOST, min(MOST, logit(reading.confidence))),
        "margin": min(MOST, math.log(max(reading.confidence, 1e-6) / max(second, 1e-6))),
        "fits": fits(reading.text, kind_of(seen.cell.column.field)) if reading.text else 0.0,
        "share": seen.share,
        "signs": float(min(20, signs)),
    }


def _of_place(seen: Seen, around: Around) -> dict[str, float]:
    """Where the writing stands in its cell, how dark it is, and what ink there is beside it."""
    cell, cap = seen.cell, around.cap
    parts = [m for m in (cell.marks, cell.struck) if len(m)]
    if not parts:
        nothing = dict.fromkeys(("left", "right", "wide", "high", "off", "letters"), 0.0)
        return {**nothing, "depth": 0.0, "beside": _inked(around, cell.place, 0.5 * PAPER)}
    marks = np.concatenate(parts)
    box, column = hull(marks), cell.column
    ink = _depth(around.grey, box)
    signs = max(1, len(seen.reading.text.replace(" ", "")))
    left = Box(column.left + 0.2 * cap, box.top, box.left - 0.12 * cap, box.bottom)
    right = Box(box.right + 0.12 * cap, box.top, column.right - 0.2 * cap, box.bottom)
    return {
        "left": _clipped((box.left - column.left) / cap, -1, 2),
        "right": _clipped((column.right - box.right) / cap, -1, 2),
        "wide": box.width / cap / signs,
        "high": _clipped(box.height / cap, 0, 4),
        "off": _clipped((box.level - cell.row.level) / cap, -2, 2),
        "letters": _clipped(len(mk.letter_like(marks, cap)) / signs, 0, 3),
        "depth": ink / PAPER,
        "beside": max(_inked(around, left, ink), _inked(around, right, ink)),
    }


def _clipped(value: float, low: float, high: float) -> float:
    return min(high, max(low, value))


def _part(grey: Picture, box: Box) -> Picture:
    return grey[
        max(0, int(box.top)) : max(0, int(box.bottom)), max(0, int(box.left)) : max(0, int(box.right))
    ]


def _depth(grey: Picture, box: Box) -> float:
    """How far below the paper the darkest twentieth of a box is."""
    part = _part(grey, box)
    return PAPER - float(np.percentile(part[::2, ::2], 5)) if part.size > 8 else 0.0


def _inked(around: Around, box: Box, ink: float) -> float:
    """How far across a box there is ink of at least a share of the given depth, in heights of a capital."""
    part = _part(around.grey, box)
    if part.size < 8 or ink <= 0:
        return 0.0
    dark = (part < PAPER - INKED * ink).mean(axis=0) > 0.12
    return _clipped(float(dark.sum()) / around.cap, 0, 4)


def _among(own: Mapping[str, float], seen: Seen, usual: Mapping[str, float]) -> dict[str, float]:
    """How a cell stands among those of its card."""
    if seen.sort == "blank":
        return {"card": usual["card"], "depths": 0.0, "pitch": 0.0}
    pitch = math.log(own["wide"] / usual["pitch"]) if own["wide"] > 0 and usual["pitch"] > 0 else 0.0
    depth = own["depth"] / usual["depths"] if usual["depths"] > 0 else 1.0
    return {"card": usual["card"], "depths": _clipped(depth, 0, 3), "pitch": _clipped(pitch, -2, 2)}


def _like_shaped(seen: Seen, fellows: Sequence[Seen]) -> float:
    """The share of a column's other values that have the shape of this one, figures and letters each a run;
    a half where there are none to compare.
    """
    if len(fellows) < 2 or kind_of(seen.cell.column.field) not in VALUES:
        return 0.5
    shapes = Counter(_shape(other.reading.text) for other in fellows)
    return shapes[_shape(seen.reading.text)] / len(fellows)


def _shape(text: str) -> str:
    return _LETTERS.sub("a", _DIGITS.sub("0", text))


NAMES: Final = (
    "values", "words", "blank", "ditto", "struck", "dates", "table", "edge", "known", "fine", "seen",
    "margin", "fits", "share", "signs", "left", "right", "wide", "high", "off", "letters", "depth", "beside",
    "card", "depths", "pitch", "column", "shape",
)  # fmt: skip
"""All traits, in the order in which the weights have them."""


def row_of(traits: Mapping[str, float]) -> Array:
    """The traits as one row of numbers."""
    return np.array([traits[name] for name in NAMES], np.float64)
