"""Ditto marks by how dark they are, where their shape alone doesn't tell.

The marks of a card are found with a low threshold, so that no faded letter is lost. In a cell whose only
writing is two ticks that threshold also lets in grain and what shows through from the back: they hang
together with the ticks or stand beside them, and the cell looks like writing that says nothing. Ticks
are as dark as the letters around them and dirt is not, so each cell is looked at once more for what is about
as dark as writing. Fainter ticks are looked for only where the column's surer ones stand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import cv2
import numpy as np

from numbertaker.reading import marks as mk
from numbertaker.reading.cells import NO_MARKS, Cell, middle_of_row
from numbertaker.reading.company import Light
from numbertaker.reading.geometry import PAPER, Array
from numbertaker.reading.marks import Box, hull
from numbertaker.reading.pixels import components

DARK: Final = 0.45
"""The share of the usual depth of letters from which on a pixel is looked at."""
FAINT: Final = 0.28
"""The same where the column's other dittos stand."""
DEEP: Final = 0.55
"""The share that ticks reach at their darkest."""
ALIGNED: Final = 0.6
"""The middles of a column's dittos stand within this of one another, in heights of a capital."""
CREASE: Final = 0.25
"""A line that runs down through a cell is at least so dark, of the usual depth of letters."""
ALONE: Final = 0.6
"""The same of the only ticks of a column, under a blank cell."""
LOW: Final = -0.08
"""The middle of ticks is at least so far above that of letters, in heights of a capital."""
LOWEST: Final = 0.5
"""In line with others they may stand lower: where a row's letters are few or stacked its middle is known
roughly."""
FEWEST: Final = 3
"""From so many cells with writing in them on is it known where a column is written in."""
EDGE: Final = 0.3
"""So much of a cell at its sides may hold what is left of a ruling, in heights of a capital."""
GAP: Final = 0.55
"""Ticks of one ditto stand closer together than this, in heights of a capital."""
CERTAIN: Final = 0.97
"""How likely ticks as dark as writing are held to be a ditto."""
LIKELY: Final = 0.8
"""The same of fainter ones in line with the column's."""


def with_dittos(rows: Sequence[list[Cell]], marks: Array, light: Light) -> list[list[Cell]]:
    """The cells of all rows, those that hold nothing but ticks told as dittos."""
    middles = [middle_of_row(row[0].row, marks, light.cap) if row else 0.0 for row in rows]
    out = [list(row) for row in rows]
    table = [(row, middle) for row, middle in zip(out, middles, strict=True) if len(row) > 1]
    for k in range(max((len(row) for row, _ in table), default=0)):
        span = _span([row[k] for row, _ in table], light.cap)
        for row, middle in table:
            row[k] = _told(_without_a_spot(row[k], light), ticks_in(row[k], middle, light), span, CERTAIN)
        others = [hull(row[k].marks).middle for row, _ in table if row[k].ditto]
        for row, middle in table if others else ():
            row[k] = row[k] if row[k].ditto else _in_line(row[k], middle, light, others)
        _doubt_the_only_one([row for row, _ in table], k)
    return out


def _doubt_the_only_one(rows: Sequence[list[Cell]], k: int) -> None:
    """Hold the only ditto of a column for less sure where it stands under nothing that it could repeat."""
    found = [n for n, row in enumerate(rows) if row[k].ditto]
    if len(found) == 1 and (found[0] == 0 or rows[found[0] - 1][k].sort == "blank"):
        row = rows[found[0]]
        row[k] = replace(row[k], ditto=ALONE)


def _without_a_spot(cell: Cell, light: Light) -> Cell:
    """What has the shape of a ditto, and the colour of foxing, is none."""
    spot = cell.sort == "ditto" and light.coloured(cell.marks)
    return replace(cell, sort="blank", marks=NO_MARKS) if spot else cell


def _told(cell: Cell, ticks: Array, span: tuple[float, float], sure: float) -> Cell:
    """A cell as a ditto, if there are ticks and they stand where the column is written in.

    What was a ditto by its shape keeps its marks, which are whole where the ticks are their darkest parts.
    """
    if not len(ticks) or not span[0] <= hull(ticks).middle <= span[1]:
        return cell
    if cell.sort == "ditto" and _within(hull(ticks), hull(cell.marks)):
        return replace(cell, ditto=sure)
    return replace(cell, sort="ditto", marks=ticks, ditto=sure)


def _within(inner: Box, outer: Box) -> bool:
    return outer.left <= inner.middle <= outer.right and outer.top <= inner.level <= outer.bottom


def _span(cells: Sequence[Cell], cap: float) -> tuple[float, float]:
    """From where to where a column is written in: of its cells with writing in them, specks left out."""
    boxes = [hull(cell.marks) for cell in cells if cell.sort in ("plain", "struck") and len(cell.marks)]
    wide = [box for box in boxes if box.width > 0.8 * cap]
    if len(wide) < FEWEST:
        return -np.inf, np.inf
    return float(np.percentile([b.left for b in wide], 10)), float(np.percentile([b.right for b in wide], 90))


def _in_line(cell: Cell, middle: float, light: Light, others: Sequence[float]) -> Cell:
    """A cell as a ditto if its ticks, fainter or lower ones too, stand in line with others of its column."""
    ticks = cell.marks if cell.sort == "ditto" else ticks_in(cell, middle, light, FAINT, LOWEST)
    if not len(ticks) and cell.sort != "struck":
        ticks = _under_a_crease(cell, middle, light, min(others, key=lambda at: abs(at - np.median(others))))
    if not len(ticks) or min(abs(hull(ticks).middle - at) for at in others) > ALIGNED * light.cap:
        return cell
    return replace(cell, sort="ditto", marks=ticks, ditto=LIKELY)


def _under_a_crease(cell: Cell, middle: float, light: Light, at: float) -> Array:
    """Ticks at `at` across, on a dark line that runs down through the cell: what is left of the picture when
    the line, as it is in most of its rows, is taken off. None where there is no such line, or nothing on it.
    """
    cap, place = light.cap, cell.place
    left, top = max(0, int(at - 1.5 * cap)), max(0, int(place.top + 0.2 * cap))
    part = light.picture[top : int(place.bottom - 0.2 * cap), left : int(at + 1.5 * cap)].astype(np.float32)
    if min(part.shape) < 1.5 * cap:
        return NO_MARKS
    rows, darkest = np.arange(len(part)), cv2.blur(part, (3, 3)).argmin(axis=1)
    # by pairs of rows half the height apart (Theil and Sen): the ticks' own have their darkest elsewhere
    half = len(rows) // 2
    slope = float(np.median((darkest[half:] - darkest[: len(rows) - half]) / half))
    start = float(np.median(darkest - slope * rows))
    shift = np.round(slope * rows + start - part.shape[1] / 2).astype(int)
    level = np.array([np.roll(row, -by) for row, by in zip(part, shift, strict=True)])
    line = np.median(level, axis=0)
    if PAPER - line.min() < CREASE * light.depth:
        return NO_MARKS
    left_over = np.asarray(line - level > FAINT * light.depth, np.uint8)
    stats = components(left_over)[1][1:].astype(np.float64)
    stats = stats[stats[:, mk.AREA] >= max(4.0, 0.03 * cap * cap)]
    stats[:, mk.LEFT] += left + shift[stats[:, mk.TOP].astype(int)]
    stats[:, mk.TOP] += top
    runs = [run for run in mk.split_runs(stats, GAP * cap) if len(run) <= 4]
    fit = [run for run in runs if _like_ticks(hull(run), middle, cap, LOW)]
    return fit[0] if len(fit) == len(runs) == 1 else NO_MARKS


def ticks_in(cell: Cell, middle: float, light: Light, dark: float = DARK, lowest: float = LOW) -> Array:
    """The ticks of a cell that holds nothing else as dark as `dark` of the usual depth; none where it has
    writing, or nothing. `middle` is the height of the middle of its row's letters, and the ticks' own is at
    most `lowest` heights of a capital below it.
    """
    if cell.sort == "struck":
        return NO_MARKS
    spots = _spots(cell.place, middle, light, dark)
    dashes = _dashes(spots, middle, light.cap)
    runs = mk.split_runs(spots[~dashes], GAP * light.cap)
    fit = [run for run in runs if _like_ticks(hull(run), middle, light.cap, lowest) and len(run) <= 4]
    if not fit:
        return NO_MARKS
    depths = [float(mk.depths(light.picture, run).max()) for run in fit]
    best = int(np.argmax(depths))
    if depths[best] < (DEEP if dark == DARK else dark) * light.depth:
        return NO_MARKS
    others = (run for run in runs if run is not fit[best])
    if light.coloured(fit[best]) or any(_writing(hull(run), middle, light.cap) for run in others):
        return NO_MARKS
    return _between(fit[best], spots[dashes], light.cap)


def _dashes(spots: Array, middle: float, cap: float) -> Array:
    """Which spots are dashes, as clerks put them before and after the ticks."""
    level = spots[:, mk.TOP] + spots[:, mk.HEIGHT] / 2 - middle
    high, wide = spots[:, mk.HEIGHT] / cap, spots[:, mk.WIDTH] / cap
    return np.asarray((high < 0.3) & (wide > 0.25) & (wide > 1.2 * high) & (np.abs(level) < 0.5 * cap))


def _between(ticks: Array, dashes: Array, cap: float) -> Array:
    """Ticks with the dashes that stand right beside them."""
    box, right = hull(ticks), dashes[:, mk.LEFT] + dashes[:, mk.WIDTH]
    near = (dashes[:, mk.LEFT] < box.right + 1.5 * cap) & (right > box.left - 1.5 * cap)
    near &= dashes[:, mk.WIDTH] < 2.5 * cap
    return np.concatenate([ticks, dashes[near]])


def _spots(place: Box, middle: float, light: Light, dark: float) -> Array:
    """What is dark within a cell, about its row's writing, as marks."""
    cap = light.cap
    left, right = max(0, int(place.left + EDGE * cap)), int(place.right - EDGE * cap)
    top = max(0, int(max(place.top - 0.1 * cap, middle - 1.1 * cap)))
    bottom = int(min(place.bottom + 0.1 * cap, middle + 0.8 * cap))
    part = light.picture[top:bottom, left : max(left, right)]
    if part.size < 16:
        return NO_MARKS
    deep = np.asarray(part < PAPER - dark * light.depth, np.uint8)
    stats = components(deep)[1][1:].astype(np.float64)
    stats[:, mk.LEFT] += left
    stats[:, mk.TOP] += top
    return np.asarray(stats[stats[:, mk.AREA] >= max(3.0, 0.012 * cap * cap)])


def _like_ticks(box: Box, middle: float, cap: float, lowest: float) -> bool:
    """Whether a run of spots has the size of two ticks and hangs where they do, above the middle."""
    high, wide, level = box.height / cap, box.width / cap, (box.level - middle) / cap
    return 0.22 < high < 0.85 and 0.2 < wide < 1.3 and -0.75 < level < lowest


def _writing(box: Box, middle: float, cap: float) -> bool:
    """Whether a run of spots may be letters, or as much of them as is dark: as tall as such, on the line, and
    more than a speck."""
    high, wide, off = box.height / cap, box.width / cap, abs(box.level - middle) / cap
    return (0.5 < high < 1.6 and wide > 0.4 and off < 0.45) or (0.3 < high < 1.6 and wide > 0.8 and off < 0.8)
