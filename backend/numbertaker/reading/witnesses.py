"""What speaks for a table's being right, each by itself: nothing here was asked when the table was found.

Each witness runs from 0 (doubt) to 1. Of the columns: by how much every other set of cuts is worse, whether
each column's writing begins or ends at one place, whether titles are read, mean something and are cut by
nothing. Of the rows: whether they keep their beat, whether a simpler way of finding them agrees, whether
letters stand well within them and none is left over. Of both: letters too large or rows too deep for the
writing, as under a stamp.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from numbertaker.reading import marks as mk
from numbertaker.reading.columns import Column
from numbertaker.reading.cuts import Cutting
from numbertaker.reading.geometry import Array
from numbertaker.reading.ground import Ground, runs_in
from numbertaker.reading.header import Header
from numbertaker.reading.marks import Box
from numbertaker.reading.rows import Row, text_rows
from numbertaker.reading.titles import Word

NEAR: Final = 0.7
"""Writing that begins within this of the usual place, in heights of a capital, is aligned."""
AT_EDGE: Final = 0.35
"""A letter whose middle is nearer than this to a row's edge, in heights of a capital, may be of either."""
LARGE: Final = 1.5
"""Letters taller than this, in heights of a capital, are not of the writing."""
APART: Final = 1.8
"""A gap wider than this, in heights of a capital, is wider than any between words."""
LARGEST_LETTERS: Final = 24.0
"""Capitals of so many pixels of the flat picture are as good as any larger ones."""


@dataclass(frozen=True, slots=True)
class Found:
    """A table as it was found, and what it was found by."""

    ground: Ground
    header: Header
    cutting: Cutting
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]


def witnesses(found: Found) -> dict[str, float]:
    """All witnesses of a table that has rows."""
    own = [row for row in found.rows if not row.runs]
    written = [_by_column(found, row) for row in own]
    seen = {**_of_cuts(found), **_of_titles(found), **_of_writing(found, own, written), **_of_rows(found)}
    return {name: float(np.clip(value, 0, 1)) for name, value in seen.items()}


def _of_cuts(found: Found) -> dict[str, float]:
    """How much worse the table would be with a cut less, or one more, or with no help of its best support."""
    cutting, ruled = found.cutting, found.ground.ruled
    inner = [span.left for span in cutting.spans[1:]]
    held = [max(cut.ruling if ruled else 0.0, cut.gap) - 3 * cut.crossed for cut in inner]
    return {
        "needed": cutting.rivals.without / 2,
        "enough": cutting.rivals.with_another / 2,
        "supported": min(held, default=0.0),
        "margin": cutting.margin / 2,
        "scored": cutting.score / len(cutting.spans) / 2,
        "unmissed": 1 - cutting.other,
    }


def _of_titles(found: Found) -> dict[str, float]:
    cap, columns, words = found.ground.cap, found.columns, found.header.words
    inner = [c.left for c in columns[1:]]
    cut = sum(any(w.box.left + 0.2 * cap < x < w.box.right - 0.2 * cap for x in inner) for w in words)
    outside = sum(not columns[0].left <= w.box.middle <= columns[-1].right for w in words)
    return {
        "titled": found.header.sure,
        "named": sum(bool(c.field) for c in columns) / len(columns),
        "headed": sum(any(ch.isalpha() for ch in c.title) for c in columns) / len(columns),
        "whole_titles": 1 - cut / 2,
        "titles_inside": 1 - outside / 2,
        "titles_together": 1
        - max((_widest_gap(span.words, cap) for span in found.cutting.spans), default=0) / 3,
    }


def _widest_gap(words: Sequence[Word], cap: float) -> float:
    """The widest gap between two words of a line of a title, in heights of a capital: two titles have one."""
    order = sorted(words, key=lambda w: w.box.left)
    return max(
        (
            (b.box.left - a.box.right) / cap
            for a, b in pairwise(order)
            if abs(a.box.level - b.box.level) < 0.6 * cap
        ),
        default=0.0,
    )


def _by_column(found: Found, row: Row) -> dict[int, list[Box]]:
    """A row's runs of writing by column."""
    out: dict[int, list[Box]] = {}
    for box in runs_in(found.ground, row, 0.65):
        k = next((k for k, c in enumerate(found.columns) if c.left <= box.middle < c.right), -1)
        out.setdefault(k, []).append(box)
    return out


def _of_writing(
    found: Found, rows: Sequence[Row], written: Sequence[Mapping[int, Sequence[Box]]]
) -> dict[str, float]:
    """How the writing keeps to the columns."""
    cap, inner = found.ground.cap, [c.left for c in found.columns[1:]]
    aligned = [
        part
        for k in range(len(found.columns))
        if (part := _aligned([w[k] for w in written if k in w], cap)) is not None
    ]
    boxes = [b for w in written for runs in w.values() for b in runs]
    over = [sum(b.left + 0.2 * cap < x < b.right - 0.2 * cap for b in boxes) for x in inner]
    used = np.array([len(set(w) - {-1}) for w, row in zip(written, rows, strict=True) if not row.joins])
    usual = max(1.0, float(np.median(used))) if len(used) else 1.0
    apart = [_apart([w[k] for w in written if k in w], cap) for k in range(len(found.columns))]
    few = sum(n <= max(2, 0.4 * usual) for n in used)
    empty = sum(not any(k in w for w in written) for k in range(len(found.columns)))
    return {
        "aligned": min(aligned, default=0.5),
        "mostly_aligned": float(np.mean(aligned)) if aligned else 0.5,
        "uncrossed": 1 - 2 * max(over, default=0) / max(1, len(rows)),
        "inside": 1 - sum(-1 in w for w in written) / max(1, len(rows)),
        "full_rows": float(used.min()) / usual if len(used) else 0.0,
        "written": 1 - empty / 2,
        "cells_together": 1 - max(apart, default=0.0),
        "no_rest": 1 - few / 3,
    }


def _apart(cells: Sequence[Sequence[Box]], cap: float) -> float:
    """The share of a column's cells whose writing has a gap as between two columns in it."""
    gaps = [max((b.left - a.right for a, b in pairwise(cell)), default=0.0) for cell in cells]
    return sum(gap > APART * cap for gap in gaps) / len(cells) if len(cells) > 2 else 0.0


def _aligned(cells: Sequence[Sequence[Box]], cap: float) -> float | None:
    """The share of a column's cells that begin, end or stand in the middle where most do."""
    if len(cells) < 3:
        return None
    starts, ends = np.array([c[0].left for c in cells]), np.array([c[-1].right for c in cells])
    return max(
        float(np.mean(np.abs(at - np.median(at)) < NEAR * cap)) for at in (starts, ends, (starts + ends) / 2)
    )


def _of_rows(found: Found) -> dict[str, float]:
    """How the rows keep their beat, how letters lie in them, and what lies in none."""
    ground, rows, cap = found.ground, found.rows, found.ground.cap
    levels = np.array([row.level for row in rows])
    pitch = float(np.median(np.diff(levels))) if len(rows) > 1 else 3 * cap
    like = (ground.marks[:, mk.HEIGHT] > 0.5 * cap) & (ground.marks[:, mk.HEIGHT] < 2.2 * cap)
    like &= ground.marks[:, mk.WIDTH] < 9 * cap
    letters, depth = ground.marks[like], ground.depth[like]
    middle, level = (letters[:, a] + letters[:, b] / 2 for a, b in ((mk.LEFT, mk.WIDTH), (mk.TOP, mk.HEIGHT)))
    inside = (middle > found.columns[0].left) & (middle < found.columns[-1].right)
    inside &= level > found.header.box.bottom + 0.2 * cap
    row_of = _row_of(level, rows)
    held = inside & (row_of >= 0)
    count = max(1, int(inside.sum()))
    foot = rows[-1].bottom
    simpler = text_rows(letters[inside & (level < foot + 0.5 * pitch)], cap, ground.size[1])
    edges = np.array(sorted({row.top for row in rows} | {row.bottom for row in rows}))
    off = np.abs(level[held][:, None] - edges[None, :]).min(axis=1) if held.any() else np.zeros(1)
    return {
        "regular": 1 - 3 * _off_beat(levels, pitch),
        "agreed": 1 - 3 * abs(len(simpler) - len(rows)) / len(rows),
        "well_inside": 1 - 4 * float((off < AT_EDGE * cap).mean()),
        "none_lost": 1 - 3 * float((inside & (row_of < 0) & (level < foot)).sum()) / count,
        "none_below": 1 - 3 * float((inside & (row_of < 0) & (level >= foot)).sum()) / count,
        "of_one_size": 1 - 4 * float((letters[held, mk.HEIGHT] > LARGE * cap).mean()) if held.any() else 0.0,
        "rows_of_one_size": 1 - 2 * _largest_share(letters[held, mk.HEIGHT] > LARGE * cap, row_of[held]),
        "of_one_depth": _of_one_depth(depth[held], row_of[held]),
        "fine": cap / LARGEST_LETTERS,
    }


def _row_of(level: Array, rows: Sequence[Row]) -> Array:
    """The row in which each height lies; -1 for none."""
    tops, bottoms = np.array([r.top for r in rows]), np.array([r.bottom for r in rows])
    k = np.clip(np.searchsorted(tops, level, side="right") - 1, 0, len(rows) - 1)
    return np.where((level >= tops[k]) & (level < bottoms[k]), k, -1)


def _off_beat(levels: Array, pitch: float) -> float:
    """How far the worst row stands off a whole number of pitches from the last, in pitches."""
    steps = np.diff(levels) / pitch
    return float(np.abs(steps - np.maximum(1, np.round(steps))).max(initial=0.0))


def _largest_share(large: Array, row_of: Array) -> float:
    """The share of large letters in the row that has most of them."""
    return max((float(large[row_of == k].mean()) for k in np.unique(row_of)), default=0.0)


def _of_one_depth(depth: Array, row_of: Array) -> float:
    """How near to the usual the row is whose letters are deepest or faintest."""
    rows = [float(np.median(depth[row_of == k])) for k in np.unique(row_of)]
    if len(rows) < 2:
        return 0.5
    usual = max(1.0, float(np.median(rows)))
    return min(min(rows) / usual, usual / max(1.0, *rows))
