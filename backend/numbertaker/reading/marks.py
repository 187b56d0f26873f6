"""The marks of a flat card: every connected bit of ink, faint ones too, and how they join to words.

A mark is a row of an array, n × 5: left, top, width, height, area, in pixels of the flat picture. Cells are
found by sorting marks, not by cutting the picture, so a tail that hangs into the next row stays
with its letter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import cv2
import numpy as np

from numbertaker.reading.geometry import PAPER, Array, Picture, darkest, lightest, without_long_strokes
from numbertaker.reading.pixels import components, spread

LEFT, TOP, WIDTH, HEIGHT, AREA = range(5)
FAINTEST: Final = 9.0
"""How much darker than its surroundings a mark must be, of 245."""
THIN: Final = 0.1
"""A large mark that covers less than this share of its box is no writing."""
TWO_LINES: Final = 1.9
"""A mark as wide as a word and taller than this, in heights of a capital, may be two lines of it."""
TAIL: Final = 0.4
"""They are two where no more ink than this joins them, in heights of a capital."""
LONGEST: Final = 14.0
"""A level stroke longer than this is no writing, in heights of a capital."""
GRAINS: Final = 2.0
"""The same in units of the paper's grain: more, and a faded ribbon is lost on grainy paper; what specks of
that come through are too small for letters.
"""


@dataclass(frozen=True, slots=True)
class Box:
    """An upright box on the flat picture."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2

    @property
    def level(self) -> float:
        """The height of its middle."""
        return (self.top + self.bottom) / 2


def hull(marks: Array) -> Box:
    """The box round some marks (at least one)."""
    left, top = marks[:, LEFT].min(), marks[:, TOP].min()
    right = (marks[:, LEFT] + marks[:, WIDTH]).max()
    return Box(float(left), float(top), float(right), float((marks[:, TOP] + marks[:, HEIGHT]).max()))


def faint_ink(colour: Picture, cap: float) -> Picture:
    """A mask of marks against the paper's own grain, rulings still in it."""
    # in whole steps of grey the grain of quiet paper comes out as 3 or 4.4 and nothing between
    grey = lightest(colour).astype(np.float32)
    soft = cv2.GaussianBlur(grey, (0, 0), max(0.7, 0.06 * cap))
    around = cv2.blur(soft, (int(6 * cap) | 1, int(2.5 * cap) | 1))
    _, grain = spread(soft)
    deep = np.minimum(around, PAPER + grain) - max(FAINTEST, GRAINS * grain)
    return np.asarray(soft < deep, np.uint8)


Line: TypeAlias = tuple[float, float, float]
"""Where a ruling stands, and from where to where it is seen, in pixels."""
BESIDE: Final = 5
"""Ink so far from the middle of a ruling, in pixels, is none of it."""


def strokes_out(
    ink: Picture, cap: float, upright: Sequence[Line], level: Sequence[Line], longest: float = LONGEST
) -> Picture:
    """Take rulings out of the mask: along known ones whatever is thin, elsewhere only very long strokes:
    level ones longer than `longest`, in heights of a capital. A ruling that ends before a title leaves it.
    """
    out = np.asarray(without_long_strokes(ink, int(2.6 * cap), int(longest * cap)))
    for picture, lines in ((out, upright), (out.T, level)):
        for at, start, end in lines:
            strip = picture[:, max(0, round(at) - 2) : round(at) + 3]
            thick = _thick_part(np.ascontiguousarray(strip), cap)
            for beyond in (slice(0, max(0, int(start))), slice(int(end) + 1, None)):
                wide = picture[beyond, max(0, round(at) - BESIDE) : round(at) + BESIDE + 1]
                written = wide[:, [0, 1, -2, -1]].any(axis=1, keepdims=True)
                thick[beyond] = np.where(written, strip[beyond], thick[beyond])
            strip[...] = thick
    return out


def _thick_part(strip: Picture, cap: float) -> Picture:
    """Of a strip along a ruling keep what is short along it: where a letter crosses, not the line."""
    run = cv2.morphologyEx(strip, cv2.MORPH_OPEN, np.ones((max(3, int(0.9 * cap)), 1), np.uint8))
    return np.asarray(np.where(cv2.dilate(run, np.ones((3, 3), np.uint8)) > 0, 0, strip), np.uint8)


def find_marks(ink: Picture, cap: float) -> Array:
    """All marks from the size of a full stop to that of a tall letter."""
    names, stats = components(ink)
    stats = _lines_apart(np.asarray(names), np.asarray(stats), cap)
    w, h, area = stats[:, WIDTH], stats[:, HEIGHT], stats[:, AREA]
    # a word in one stroke, with a flourished capital and a tail, is taller than any letter
    tall = (h < 3.8 * cap) & (w > 3 * cap) & (area > 0.15 * w * h)
    fit = ((h < 2.9 * cap) | tall) & (w < 25 * cap) & (area >= max(4, 0.015 * cap * cap))
    fit &= np.arange(len(stats)) > 0
    # the rim of a stain: as wide as a word, taller than letters, and nearly nothing of it ink
    fit &= ~((h > 2 * cap) & (w > 6 * cap) & (area < THIN * w * h))
    height, width = ink.shape
    inside = (stats[:, LEFT] > 2) & (stats[:, TOP] > 2)
    inside &= (stats[:, LEFT] + w < width - 2) & (stats[:, TOP] + h < height - 2)
    return stats[fit & inside].astype(np.float64)


def _lines_apart(names: Array, stats: Array, cap: float) -> Array:
    """The marks with those divided that are two lines of small print, hung together by a tail of a letter."""
    w, h = stats[:, WIDTH], stats[:, HEIGHT]
    both = np.flatnonzero((h > TWO_LINES * cap) & (h < 2.9 * cap) & (w > 1.5 * cap) & (w < 12 * cap))
    parts = [part for n in both if n for part in _two_parts(names, stats[n], int(n), cap)]
    return np.concatenate([stats, np.array(parts, stats.dtype).reshape(-1, stats.shape[1])])


def _two_parts(names: Array, mark: Array, name: int, cap: float) -> list[Array]:
    """The upper and the lower part of a mark where hardly any ink joins them; none where they are one."""
    left, top, width, height = (int(v) for v in mark[:4])
    own = names[top : top + height, left : left + width] == name
    least, rows = round(0.6 * cap), own.sum(axis=1)
    between = rows[least : height - least]
    if not len(between) or between.min() > TAIL * cap:
        return []
    at = least + int(between.argmin())
    parts = []
    for first, ink in ((0, own[:at]), (at, own[at + 1 :])):
        y, x = np.nonzero(ink)
        if not len(x) or np.ptp(x) < 1.2 * cap or np.ptp(y) < 0.5 * cap:
            return []
        start = top + first + (1 if first else 0)
        parts.append(np.array((left + x.min(), start + y.min(), np.ptp(x) + 1, np.ptp(y) + 1, len(x))))
    mark[AREA] = 0  # it is told of by its parts
    return parts


def like_the_writing(marks: Array, colour: Picture, cap: float) -> Array:
    """Leave out stains, foxing and coloured stamps: marks much fainter or more coloured than the writing.

    Depth is how dark a mark is at its darkest. A stain or a red stamp is dark in one channel and light in
    another;
    the writing, black or blue, is dark in all. Faint marks stay where they stand in a word of three or more.
    """
    if len(letter_like(marks, cap)) < 5:
        return marks
    dark, light = darkest(colour), lightest(colour)
    depth = np.array([_depths(dark, light, m) for m in marks])
    usual = np.median(depth[is_letter_like(marks, cap)], axis=0)
    neutral = depth[:, 1] / np.maximum(depth[:, 0], 1) >= 0.5 * usual[1] / max(usual[0], 1)
    # a tick or a full stop is thinner than a letter, and blur takes more of its depth
    deep = depth[:, 1] >= np.where(marks[:, HEIGHT] < 0.65 * cap, 0.22, 0.38) * usual[1]
    faint = depth[:, 1] >= 0.2 * usual[1]
    kept = (deep & neutral) | (faint & neutral & _in_words(marks, cap))
    return np.asarray(marks[_grown(marks, kept, faint & neutral, depth[:, 1], cap)])


def _grown(marks: Array, kept: Array, may: Array, depth: Array, cap: float) -> Array:
    """Keep faint marks too where they stand beside kept ones not much deeper: a ribbon fades within a
    word.
    """
    left, right = marks[:, LEFT], marks[:, LEFT] + marks[:, WIDTH]
    middle = marks[:, TOP] + marks[:, HEIGHT] / 2
    gap = np.maximum(left[:, None] - right[None, :], left[None, :] - right[:, None])
    beside = (gap < 0.9 * cap) & (np.abs(middle[:, None] - middle[None, :]) < 0.7 * cap)
    beside &= depth[:, None] > 0.4 * depth[None, :]
    for _ in range(3):
        kept = kept | (may & (beside & kept[None, :]).any(axis=1))
    return np.asarray(kept)


def _depths(dark: Picture, light: Picture, mark: Array) -> tuple[float, float]:
    """How far below the paper a mark goes in the darkest and in the lightest channel."""
    left, top, width, height = (int(v) for v in mark[:4])
    place = (slice(top, top + height), slice(left, left + width))
    # the darkest of the mark's own pixels: of a long underline's box most is paper
    share = min(10.0, max(2.0, 40.0 * float(mark[AREA]) / max(1, width * height)))
    return PAPER - _at_share(dark[place], share), PAPER - _at_share(light[place], share)


def depths(light: Picture, marks: Array) -> Array:
    """How far below the paper each mark goes, on the lightest channel."""
    places = (
        (slice(int(m[TOP]), int(m[TOP] + m[HEIGHT])), slice(int(m[LEFT]), int(m[LEFT] + m[WIDTH])))
        for m in marks
    )
    return np.array([PAPER - _at_share(light[place], 10.0) for place in places])


def _at_share(values: Picture, share: float) -> float:
    """The value below which `share` per cent of the values lie, without interpolation, which costs most of
    the time.
    """
    flat = values.flatten()
    at = int(share / 100 * (len(flat) - 1))
    flat.partition(at)
    return float(flat[at])


def _in_words(marks: Array, cap: float) -> Array:
    """Which marks have two neighbours of a letter's size on one level within reach."""
    like = (marks[:, HEIGHT] > 0.5 * cap) & (marks[:, HEIGHT] < 2.2 * cap)
    x, y = marks[:, LEFT] + marks[:, WIDTH] / 2, marks[:, TOP] + marks[:, HEIGHT] / 2
    near = (np.abs(x[:, None] - x[None, :]) < 2.4 * cap) & (np.abs(y[:, None] - y[None, :]) < 0.6 * cap)
    return np.asarray((near & like[None, :]).sum(axis=1) >= 3)


def letter_like(marks: Array, cap: float) -> Array:
    """Those that are as tall as a letter and not a stroke."""
    return marks[is_letter_like(marks, cap)]


def is_letter_like(marks: Array, cap: float) -> Array:
    """Which are as tall as a letter and not a stroke."""
    h, w = marks[:, HEIGHT], marks[:, WIDTH]
    return (h > 0.5 * cap) & (h < 2.2 * cap) & (w < 9 * cap)


def split_runs(marks: Array, gap: float) -> list[Array]:
    """Split marks at gaps wider than `gap`, left to right."""
    if not len(marks):
        return []
    order, starts = _runs(marks, gap)
    return list(np.split(order, starts[1:]))


def _runs(marks: Array, gap: float) -> tuple[Array, Array]:
    """Marks (one at least) from left to right, and where among them each run begins."""
    order = marks[np.argsort(marks[:, LEFT], kind="stable")]
    reach = np.maximum.accumulate(order[:, LEFT] + order[:, WIDTH])
    cuts = np.flatnonzero(order[1:, LEFT] - reach[:-1] > gap) + 1
    return order, np.concatenate([[0], cuts])


def boxes_of_runs(marks: Array, gap: float, cap: float) -> list[Box]:
    """The boxes round the runs of marks that have a letter in them, all at once."""
    if not len(marks):
        return []
    order, starts = _runs(marks, gap)
    right = np.maximum.reduceat(order[:, LEFT] + order[:, WIDTH], starts)
    top = np.minimum.reduceat(order[:, TOP], starts)
    bottom = np.maximum.reduceat(order[:, TOP] + order[:, HEIGHT], starts)
    lettered = np.flatnonzero(np.logical_or.reduceat(is_letter_like(order, cap), starts))
    sides = zip(order[starts, LEFT].tolist(), top.tolist(), right.tolist(), bottom.tolist(), strict=True)
    boxes = [Box(*four) for four in sides]
    return [boxes[k] for k in lettered]
