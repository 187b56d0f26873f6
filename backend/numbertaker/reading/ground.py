"""What is seen on a flat card before anything is read: rulings, marks, rows of writing, and the words in a
row.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import cv2
import numpy as np

from numbertaker.reading import marks as mk
from numbertaker.reading.geometry import Array, Plane, darkest, lightest
from numbertaker.reading.marks import Box, hull
from numbertaker.reading.rows import Row, text_rows
from numbertaker.reading.rulings import Ruling, level_rulings, overlap, upright_rulings
from numbertaker.reading.stamped import outside, stamped_places
from numbertaker.reading.votes import voted_rulings

WIDER: Final = 1.1
"""A letter is not wider than this, in heights of a capital."""
THROUGH, FEWEST_THROUGH = 0.65, 6
"""Rulings that so many letters stand on, and this share of what stands on any place, are none."""
PIECE: Final = 5.0
"""A piece of a ruling is longer than this, in heights of a capital."""
KEPT: Final = 256
"""So many answers about rows are kept: about those of one card."""
SEEN: Final = 0.3
"""A ruling of at least this weight is taken off the writing and divides words."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """A flat card's marks, the height of a capital, its rows of writing and its rulings. One is equal to none
    but itself, so that what is asked of it over and over can be kept.

    `depth` is how far below the paper each mark goes, `ruled` says that the upright rulings are those of
    one table, `stamped` are the corners of what stamps in the ink of the writing cover.
    """

    marks: Array
    cap: float
    rows: tuple[Row, ...]
    upright: tuple[Ruling, ...]
    level: tuple[Ruling, ...]
    size: tuple[int, int]
    ruled: bool
    depth: Array
    stamped: tuple[Array, ...] = ()


def survey(plane: Plane) -> Ground:
    """Find rulings, marks and rows of writing."""
    cap = plane.letters.cap
    dark = darkest(plane.colour)
    first = mk.faint_ink(plane.colour, cap)
    if plane.letters.dotted is not None:  # dots are no writing, and must not hide the ruling that they make
        first[cv2.dilate(plane.letters.dotted, np.ones((5, 5), np.uint8)) > 0] = 0
    # a ruling that is bent comes in pieces: taken for writing they would hide it
    letters = plane.letters.mask | mk.strokes_out(first, cap, (), (), longest=PIECE)
    upright = voted_rulings(dark, letters, cap, *_reach(plane.letters.boxes))
    if _through_letters(upright, plane.letters.boxes, cap):
        upright = ()
    ruled = bool(upright)
    level = level_rulings(dark, letters, cap)
    if ruled:
        level = tuple(r for r in level if overlap(r, upright[0].at, upright[-1].at) > 0.55)
    else:
        upright = upright_rulings(dark, letters, cap)
    strong = [[r for r in lines if ruled and r.weight > SEEN] for lines in (upright, level)]
    across, along = ([(r.at, r.start, r.end) for r in lines] for lines in strong)
    ink = mk.strokes_out(first, cap, across, along)
    found = mk.find_marks(ink, cap)
    found = mk.like_the_writing(_off_the_rulings(found, [r.at for r in strong[0]], cap), plane.colour, cap)
    rows = text_rows(mk.letter_like(found, cap), cap, plane.colour.shape[0])
    height, width = dark.shape
    depth = mk.depths(lightest(plane.colour), found)
    stamped = stamped_places(ink, cap)
    return Ground(found, cap, tuple(rows), upright, level, (width, height), ruled, depth, stamped)


def beside_stamps(ground: Ground) -> Ground:
    """The same without the marks that a stamp covers: of columns and rows they tell nothing."""
    if not ground.stamped:
        return ground
    free = outside(ground.marks, ground.stamped)
    return replace(ground, marks=ground.marks[free], depth=ground.depth[free])


def _through_letters(rulings: Sequence[Ruling], letters: Array, cap: float) -> bool:
    """Whether lines go through letters as often as any place does: they are strokes of typed letters that
    stand one under the other, close together, and no rulings.
    """
    (_, _), (left, right) = _reach(letters)
    inner = [r.at for r in rulings if r.weight > 0.6 and left + 1.5 * cap < r.at < right - 1.5 * cap]
    starts, ends = letters[:, mk.LEFT] + 2, letters[:, mk.LEFT] + letters[:, mk.WIDTH] - 2
    through = sum(int(((starts < x) & (ends > x)).sum()) for x in inner)
    anywhere = float(letters[:, mk.WIDTH].sum()) / max(1.0, right - left)
    return through >= FEWEST_THROUGH and through > THROUGH * anywhere * len(inner)


def _off_the_rulings(marks: Array, upright: Sequence[float], cap: float) -> Array:
    """Leave out what is left of a ruling that was taken off: thin marks right on it."""
    if not len(upright) or not len(marks):
        return marks
    middle = marks[:, mk.LEFT] + marks[:, mk.WIDTH] / 2
    off = np.abs(middle[:, None] - np.array(upright)[None, :]).min(axis=1)
    return np.asarray(marks[~((off < 4) & (marks[:, mk.WIDTH] < max(5.0, 0.3 * cap)))])


def _reach(letters: Array) -> tuple[tuple[float, float], tuple[float, float]]:
    """From where to where writing stands, down and across, stray marks left out of account."""
    top, foot = np.percentile(letters[:, mk.TOP], (12, 97))
    left, right = np.percentile(letters[:, mk.LEFT], (3, 97))
    return (float(top), float(foot)), (float(left), float(right))


LIFT: Final = 0.15
"""Letters whose middle stands in the lowest part of a row, this share of it, are of the next: a figure
squeezed in
over a struck one reaches up to there.
"""


def levels(marks: Array, cap: float, row: Row) -> Array:
    """The heights by which marks fall to rows."""
    middle = marks[:, mk.TOP] + marks[:, mk.HEIGHT] / 2
    tall = marks[:, mk.HEIGHT] > 0.55 * cap
    return np.asarray(middle + np.where(tall, LIFT * (row.bottom - row.top), 0.0))


def in_row(marks: Array, row: Row, cap: float) -> Array:
    """The marks that fall to a row."""
    level = levels(marks, cap, row)
    return np.asarray(marks[(level >= row.top) & (level < row.bottom)])


@lru_cache(maxsize=KEPT)
def writing_in(ground: Ground, row: Row) -> Array:
    """The marks of a row without what is left of level rulings: flat ones longer than a dash."""
    own = in_row(ground.marks, row, ground.cap)
    high, wide = own[:, mk.HEIGHT] / ground.cap, own[:, mk.WIDTH] / ground.cap
    flat = ((high < 0.3) & (wide > 1.2)) | ((high < 0.65) & (wide > PIECE))
    return np.asarray(own[~flat])


@lru_cache(maxsize=KEPT)
def runs_in(ground: Ground, row: Row, gap: float) -> tuple[Box, ...]:
    """Boxes of the runs of writing in a row, divided at gaps alone."""
    return tuple(mk.boxes_of_runs(writing_in(ground, row), gap * ground.cap, ground.cap))


def words_in(
    ground: Ground,
    row: Row,
    gap: float = 0.75,
    places: Sequence[tuple[float, float]] = (),
    close: float = -1e9,
) -> list[Box]:
    """Boxes of the words in a row, divided at gaps, at rulings and at clear places; specks are no words.

    Letters as `close` (in pixels) on both sides of a ruling stay together: how far up the rulings of a
    table reach is known roughly, and a heading over it stands where it likes.
    """
    own = writing_in(ground, row)
    letters = mk.letter_like(own, ground.cap)
    cap = max(ground.cap, float(np.median(letters[:, mk.HEIGHT]))) if len(letters) else ground.cap
    rulings = ground.upright if ground.ruled else ()
    boxes: list[Box] = []
    for run in mk.split_runs(own, gap * cap):
        for ruled in split_at_rulings(run, rulings, row.level, close):
            for part in broken_at(ruled, places, cap):
                boxes += [hull(part)] if len(mk.letter_like(part, ground.cap)) else []
    return boxes


def split_at_rulings(run: Array, rulings: Sequence[Ruling], level: float, close: float = -1e9) -> list[Array]:
    """The parts of a run of marks left and right of the rulings that pass through its height.

    A word whose letters stand as close as `close` on both sides is written over the ruling, and stays whole.
    """
    parts = [run]
    for r in rulings:
        if r.weight < SEEN or not r.start - 8 < level < r.end + 8:
            continue
        last = parts[-1]
        right = last[:, mk.LEFT] + last[:, mk.WIDTH] / 2 >= r.at
        if right.all() or not right.any():
            continue
        gap = last[right, mk.LEFT].min() - (last[~right, mk.LEFT] + last[~right, mk.WIDTH]).max()
        if gap > close:
            parts[-1:] = [last[~right], last[right]]
    return parts


@lru_cache(maxsize=2)
def clear_places(ground: Ground) -> tuple[tuple[float, float], ...]:
    """Stretches, left to right, that the writing of hardly any row covers: between columns, most likely."""
    rows = ground.rows[2:]
    if len(rows) < 4:
        return ()
    cover = np.zeros(ground.size[0], np.int32)
    for row in rows:
        for b in runs_in(ground, row, 0.6):
            cover[max(0, int(b.left)) : int(b.right) + 1] += 1
    low = cover <= max(1, int(0.12 * len(rows)))
    edges = np.flatnonzero(np.diff(np.concatenate([[0], low.astype(np.int8), [0]])))
    pairs = zip(edges[::2], edges[1::2], strict=True)
    return tuple((float(a), float(b)) for a, b in pairs if b - a > 0.5 * ground.cap)


def broken_at(
    word: Array, places: Sequence[tuple[float, float]], cap: float, least: float = 0.12
) -> list[Array]:
    """A run of marks broken where a clear place passes through it and its own letters stand apart.

    `least` is how much wider than its usual gap the gap there must be, in heights of a capital. No part is
    left that is as narrow as a letter that stands a little off.
    """
    order = word[np.argsort(word[:, mk.LEFT], kind="stable")]
    reach = np.maximum.accumulate(order[:, mk.LEFT] + order[:, mk.WIDTH])
    gaps = order[1:, mk.LEFT] - reach[:-1]
    if not len(gaps):
        return [word]
    usual = max(0.0, float(np.median(gaps)))
    cuts = []
    for a, b in places:
        inside = [
            k for k in range(len(gaps))
            if reach[k] < b + 0.6 * cap and order[k + 1, mk.LEFT] > a - 0.6 * cap
            and gaps[k] > usual + least * cap and _word_like(order, k + 1, reach, cap)
        ]  # fmt: skip
        if inside:
            cuts.append(max(inside, key=lambda k: float(gaps[k])) + 1)
    return [part for part in np.split(order, sorted(set(cuts))) if len(part)]


def words_of_block(ground: Ground, top: float, bottom: float) -> list[Box]:
    """Boxes of the words between two heights that stand in no common rows: one title lower, one higher.

    Marks make a word where they are near one another and overlap in height.
    """
    cap = ground.cap
    level = ground.marks[:, mk.TOP] + ground.marks[:, mk.HEIGHT] / 2
    own = ground.marks[(level >= top) & (level < bottom)]
    if not len(own):
        return []
    names = _connected(own, 0.75 * cap)
    rulings = ground.upright if ground.ruled else ()
    places = () if ground.ruled else clear_places(ground)
    boxes = []
    for name in np.unique(names):
        word = own[names == name]
        for ruled in split_at_rulings(word, rulings, float(hull(word).level), 0.3 * cap):
            for part in broken_at(ruled, places, cap):
                boxes += [hull(part)] if len(mk.letter_like(part, cap)) or _in_one_stroke(part, cap) else []
    return sorted(boxes, key=lambda b: (b.left, b.top))


def _in_one_stroke(part: Array, cap: float) -> bool:
    """Whether a word is written in one stroke, with a tail: taller than letters are, and much wider."""
    return bool((part[:, mk.WIDTH] > 3 * cap).any())


def parts_of(ground: Ground, box: Box) -> list[Box]:
    """A word's parts left and right of the clear places that pass through it, at its widest gap there."""
    own = _marks_of(ground, box)
    parts = broken_at(own, clear_places(ground), ground.cap, least=-9.0) if len(own) else []
    return [hull(part) for part in parts]


def halves_of(ground: Ground, box: Box, most: int = 3) -> list[list[Box]]:
    """A word in two at each of its widest gaps, the widest first."""
    own = _marks_of(ground, box)
    order = own[np.argsort(own[:, mk.LEFT], kind="stable")]
    reach = np.maximum.accumulate(order[:, mk.LEFT] + order[:, mk.WIDTH])
    gaps = order[1:, mk.LEFT] - reach[:-1]
    at = [
        int(k) + 1
        for k in np.argsort(-gaps, kind="stable")
        if _word_like(order, int(k) + 1, reach, ground.cap)
    ]
    return [[hull(order[:k]), hull(order[k:])] for k in at[:most]]


def _word_like(order: Array, k: int, reach: Array, cap: float) -> bool:
    """Whether marks left to right, divided before the k-th, leave two parts that are wider than a letter."""
    left = reach[k - 1] - order[0, mk.LEFT]
    return bool(min(left, reach[-1] - order[k, mk.LEFT]) > WIDER * cap)


def _marks_of(ground: Ground, box: Box) -> Array:
    level, middle = (
        ground.marks[:, a] + ground.marks[:, b] / 2 for a, b in ((mk.TOP, mk.HEIGHT), (mk.LEFT, mk.WIDTH))
    )
    own = (level >= box.top) & (level <= box.bottom) & (middle >= box.left) & (middle <= box.right)
    return np.asarray(ground.marks[own])


def _connected(marks: Array, gap: float) -> Array:
    """A number for each mark, the same for marks that are linked by small gaps at one height."""
    left, right = marks[:, mk.LEFT], marks[:, mk.LEFT] + marks[:, mk.WIDTH]
    top, bottom = marks[:, mk.TOP], marks[:, mk.TOP] + marks[:, mk.HEIGHT]
    apart = np.maximum(left[:, None] - right[None, :], left[None, :] - right[:, None])
    shared = np.minimum(bottom[:, None], bottom[None, :]) - np.maximum(top[:, None], top[None, :])
    least = np.minimum(marks[:, mk.HEIGHT][:, None], marks[:, mk.HEIGHT][None, :])
    linked = (apart < gap) & (shared > 0.4 * least)
    names = np.arange(len(marks))
    while True:
        lower = np.where(linked, names[None, :], len(marks)).min(axis=1)
        lower = np.minimum(names, lower)
        if (lower == names).all():
            return names
        names = lower
