"""The rows of a table's body: ruled or written, with those that only go on with the row above."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

import numpy as np

from numbertaker.reading import marks as mk
from numbertaker.reading.columns import Column
from numbertaker.reading.ground import Ground, in_row, words_in
from numbertaker.reading.marks import Box
from numbertaker.reading.rows import Row, beaten_rows, ruled_rows

MAY_GO_ON: Final = ("remarks", "place", "engine_name", "")
"""The fields of columns whose text may go on in the next row."""
TALLEST: Final = 1.85
ACROSS: Final = 2
"""Writing that runs over this many cuts belongs to no column."""


def body_rows(ground: Ground, columns: Sequence[Column], header: Box) -> list[Row]:
    """The rows under a header, top to bottom; what stands under the table is left out."""
    left, right = columns[0].left, min(columns[-1].right, float(ground.size[0]))
    end = _foot(ground, columns, right)
    written = _written(ground, (left, right), header.bottom + 0.1 * ground.cap, end + 0.3 * ground.cap)
    if not written:
        return []
    wide = tuple(
        r for r in ground.level
        if r.weight > 0.2 and min(r.end, right) - max(r.start, left) > 0.4 * (right - left)
        and r.at > header.level and r.at < end + ground.cap
    )  # fmt: skip
    ruled = ruled_rows(wide, written, ground.cap)
    rows = _with_the_last(ruled, written) if ruled else _up_to_a_gap(written, ground.cap)
    rows = [row for row in rows if row.bottom > header.level and row.top < ground.size[1]]
    return _belonging(
        ground, _told(ground, [row for row in rows if is_written(ground, row)], columns), columns
    )


def _foot(ground: Ground, columns: Sequence[Column], right: float) -> float:
    """Where the upright rulings end, if the table has most of them; else the picture's foot."""
    edges = {c.left for c in columns} | {right}
    sides = [r for r in ground.upright if any(abs(r.at - e) < 2 for e in edges) and r.weight >= 0.3]
    ruled = ground.ruled and len(sides) > 0.5 * len(columns)
    return max(r.end for r in sides) if ruled else float(ground.size[1])


def _written(ground: Ground, sides: tuple[float, float], top: float, foot: float) -> list[Row]:
    """Rows of writing between the sides of the table, below a height and above another."""
    marks = mk.letter_like(ground.marks, ground.cap)
    middle = marks[:, mk.LEFT] + marks[:, mk.WIDTH] / 2
    level = marks[:, mk.TOP] + marks[:, mk.HEIGHT] / 2
    inside = (middle > sides[0]) & (middle < sides[1]) & (level > top) & (level < foot)
    rows = beaten_rows(marks[inside], ground.cap, ground.size[1]) if inside.sum() > 1 else []
    return [replace(row, top=max(row.top, top)) if row.top < top < row.bottom else row for row in rows]


def _with_the_last(ruled: list[Row], written: Sequence[Row]) -> list[Row]:
    """Ruled rows, and those written at their pitch below the last ruling that was seen."""
    pitch = float(np.median([row.bottom - row.top for row in ruled]))
    out = list(ruled)
    for row in written:
        if 0.3 * pitch < row.level - out[-1].bottom < 0.8 * pitch:
            out.append(Row(out[-1].bottom, out[-1].bottom + pitch))
    return out


def _up_to_a_gap(rows: list[Row], cap: float) -> list[Row]:
    """Rows of writing up to the first gap of more than three pitches."""
    gaps = np.diff([row.level for row in rows])
    if not len(gaps):
        return rows
    far = np.flatnonzero(gaps > 3.6 * max(float(np.median(gaps)), 1.2 * cap))
    return rows[: int(far[0]) + 1] if len(far) else rows


def _told(ground: Ground, rows: Sequence[Row], columns: Sequence[Column]) -> list[Row]:
    """The rows, with what each is: one of its own, one that goes on with the last, a text over the columns."""
    out: list[Row] = []
    for row in rows:
        told = replace(row, runs=runs_over(ground, row, columns))
        if out and (goes_on(ground, out[-1], row, columns) or (told.runs and out[-1].runs)):
            told = replace(told, joins=True)
        out.append(told)
    return out


def runs_over(ground: Ground, row: Row, columns: Sequence[Column]) -> bool:
    """Whether the writing of a row takes no notice of the columns."""
    words = words_in(_unruled(ground), row)
    if len(words) < 3:
        return False
    inner = [c.left for c in columns[1:]]
    cut = [x for x in inner if any(b.left + 0.5 * ground.cap < x < b.right - 0.5 * ground.cap for b in words)]
    ends = (words[0].left, words[-1].right)
    passed = [x for x in inner if ends[0] < x < ends[1]]
    gaps = [b.left - a.right for a, b in pairwise(words)]
    return len(cut) > ACROSS - 1 and len(cut) >= 0.4 * len(passed) and max(gaps) < 2.2 * ground.cap


def _unruled(ground: Ground) -> Ground:
    """The same with no rulings that divide words."""
    return replace(ground, ruled=False)


def goes_on(ground: Ground, above: Row, row: Row, columns: Sequence[Column]) -> bool:
    """Whether a row holds only the rest of a text of the row above, which would not have fitted into its column."""
    held = [k for k, c in enumerate(columns) if _holds(ground, row, c)]
    if len(held) != 1 or columns[held[0]].field not in MAY_GO_ON:
        return False
    k = held[0]
    words = _by_column(words_in(ground, row), columns).get(k)
    if not words:
        return False
    before = _by_column(words_in(ground, above), columns).get(k)
    if not before:
        return False
    room = min(columns[k].right, ground.size[0]) - before[-1].right
    return room < words[0].width + 1.4 * ground.cap


def _holds(ground: Ground, row: Row, column: Column) -> bool:
    """Whether a cell has more than a speck in it; the ticks of a ditto are two."""
    own = in_row(ground.marks, row, ground.cap)
    middle = own[:, mk.LEFT] + own[:, mk.WIDTH] / 2
    cell = own[
        (middle > column.left + 3) & (middle < column.right - 3) & (own[:, mk.HEIGHT] > 0.2 * ground.cap)
    ]
    return len(cell) > 1 or bool((cell[:, mk.WIDTH] > 1.4 * ground.cap).any())


def _by_column(words: Sequence[Box], columns: Sequence[Column]) -> dict[int, list[Box]]:
    out: dict[int, list[Box]] = {}
    for word in words:
        k = next((k for k, c in enumerate(columns) if c.left <= word.middle < c.right), None)
        if k is not None:
            out.setdefault(k, []).append(word)
    return out


def _belonging(ground: Ground, rows: list[Row], columns: Sequence[Column]) -> list[Row]:
    """Drop from the end what is no line of the table: a stray mark, a printed foot, rows on which nothing stands."""
    kept = list(rows)
    while kept:
        used = sum(_holds(ground, kept[-1], c) for c in columns)
        if used >= 2 or (kept[-1].joins and used) or (kept[-1].runs and len(kept) > 1):
            break
        kept.pop()
    return kept


def is_written(ground: Ground, row: Row) -> bool:
    """Whether a row has at least one word of two letters or more; specks stand alone."""
    for run in mk.split_runs(in_row(ground.marks, row, ground.cap), 0.9 * ground.cap):
        letters = mk.letter_like(run, ground.cap)
        letters = letters[letters[:, mk.HEIGHT] < TALLEST * ground.cap]  # a stamp's letters are taller
        if len(letters) > 1 or (len(letters) == 1 and letters[0, mk.WIDTH] > 1.4 * ground.cap):
            return True
    return False
