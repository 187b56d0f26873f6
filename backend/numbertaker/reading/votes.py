"""The upright rulings of one table, by the votes of its whole height.

A faint ruling is lost in the paper's grain at any one place, and stands out once all rows between the
letters have
been asked. Each place across the card is scored by the mean ridge along it, a slight lean allowed, in units
of what
places without rulings give; then the strong ones say together where the table begins and ends.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import cv2
import numpy as np

from numbertaker.reading.geometry import Array, Picture
from numbertaker.reading.pixels import ridges, spread, without
from numbertaker.reading.rulings import Ruling

BANDS: Final = 40
LEANS: Final = tuple(np.linspace(-0.006, 0.006, 7))
"""What is left of a ruling's lean on a flat card, as tangents."""
STRONG, SEEN = 8.0, 4.2
"""How far a ruling stands out beyond doubt, and at least, in robust deviations."""
FEWEST: Final = 4
"""A ruled table has at least so many upright rulings beyond doubt, two of them within its writing."""
DARK: Final = 0.4
"""A band belongs to the table where its lines are at least so dark, as a share of the usual."""
FEWEST_BEYOND: Final = 2
"""Bands above and below a table that are needed to tell whether a line goes on there."""
GHOST: Final = 0.3
"""A line less than this as clear as the table's usual ones shows through from the back, or is a crease."""
FAINTER: Final = 0.85
"""What shows through is fainter than this share of what is printed on the side that is read."""
FEWEST_THROUGH: Final = 4
MOSTLY: Final = 0.75
"""At least so many fainter lines, and this share of them, mirror the table where they are its back."""
OFF_MIDDLE: Final = 0.03
"""How far off the middle of the card its back may be turned over, as a share of its width."""


def voted_rulings(
    dark: Picture, letters: Picture, cap: float, span: tuple[float, float], sides: tuple[float, float]
) -> tuple[Ruling, ...]:
    """The upright rulings of the one table on a card, left to right; none where there is no ruled table.

    `span` are the heights between which writing stands, `sides` its left and right ends.
    """
    mask = np.asarray(cv2.dilate(letters, np.ones((9, 5), np.uint8)), np.uint8)
    raw = without(np.minimum(ridges(dark, along=7), 3.0), mask)
    ink, free = _banded(raw), np.maximum(_banded((mask == 0).astype(np.float32)), 0.12)
    strength = np.asarray(ink / free)
    strength -= cv2.blur(strength, (61, 1))
    strength = np.asarray(cv2.dilate(strength.astype(np.float32), np.ones((1, 3), np.uint8)))
    strength -= np.median(strength, axis=1, keepdims=True)
    band = dark.shape[0] / BANDS
    first, last = int(span[0] / band), max(int(span[0] / band) + 4, int(np.ceil(span[1] / band)))
    stands_out, share = _votes(strength[first:last], free[first:last])
    strong = _peaks(np.where(share > 0.5, stands_out, 0), STRONG, cap)
    inside = sum(sides[0] + 1.5 * cap < x < sides[1] - 1.5 * cap for x in strong)
    if len(strong) < FEWEST or inside < 2:
        return ()
    top, foot = _extent(strength, strong)
    if foot - top < 4:
        return ()
    stands_out, share = _votes(strength[top:foot], free[top:foot])
    stands_out = np.where(_goes_on(strength, free, top, foot), 0, stands_out)
    strong = [x for x in strong if stands_out[x] > 0] or strong
    usual = float(np.median([stands_out[x] for x in strong]))
    found = _peaks(stands_out * (share > 0.3), max(SEEN, GHOST * usual * 0.5), cap)
    through = shown_through({x: float(stands_out[x]) for x in found}, dark.shape[1], 0.3 * cap)
    usual = float(np.median([stands_out[x] for x in strong if x not in through]))
    return tuple(
        _ruling(x, (top * band, foot * band), float(stands_out[x]), float(share[x]), usual)
        for x in found
        if x not in through
    )


def shown_through(lines: Mapping[int, float], width: int, near: float) -> frozenset[int]:
    """Which lines are those of the same form printed on the back: fainter, and the table's own in a mirror.

    `lines` tells by each line's place how far it stands out; `near` is how closely a mirrored line must fit.
    """
    usual = float(np.percentile(list(lines.values()), 75))
    deep = np.array([x for x, out in lines.items() if out >= FAINTER * usual], np.float64)
    faint = np.array([x for x, out in lines.items() if out < FAINTER * usual], np.float64)
    if len(faint) < FEWEST_THROUGH:
        return frozenset()
    folds = (faint[:, None] + deep[None, :]).ravel()
    folds = folds[np.abs(folds - width) < 2 * OFF_MIDDLE * width]
    fits = np.abs(folds[:, None, None] - faint[None, :, None] - deep[None, None, :]).min(axis=2) < near
    if not len(folds) or fits.sum(axis=1).max() < max(FEWEST_THROUGH, MOSTLY * len(faint)):
        return frozenset()
    return frozenset(int(x) for x in faint[fits[int(fits.sum(axis=1).argmax())]])


def _banded(values: Array) -> Array:
    return np.asarray(cv2.resize(values, (values.shape[1], BANDS), interpolation=cv2.INTER_AREA), np.float32)


def _votes(strength: Array, free: Array) -> tuple[Array, Array]:
    """How far each place stands out at its best lean, and the share of bands that show it.

    A band counts by how much of it is free of letters (`free`, 0 to 1): writing close to a ruling hides it.
    """
    count, width = strength.shape
    middle = (np.arange(count) + 0.5 - count / 2) * 24
    clipped, seen = np.clip(strength, -1.0, 2.5) * free, (strength > 0.3) * free
    best, share = np.full(width, -1e9, np.float32), np.zeros(width, np.float32)
    for lean in LEANS:
        shift = [-round(lean * m) for m in middle]
        whole = np.maximum(_shifted_sum(free, shift), 0.25 * count)
        total = _shifted_sum(clipped, shift) / whole
        better = total > best
        best = np.where(better, total, best)
        share = np.where(better, _shifted_sum(seen, shift) / whole, share)
    centre, deviation = spread(best)
    return (best - centre) / deviation, share


def _shifted_sum(bands: Array, shift: list[int]) -> Array:
    """The sum of bands, each moved sideways by its own number of pixels."""
    total = np.zeros_like(bands[0])
    for band, moved in zip(bands, shift, strict=True):
        by = moved % len(band)
        total[by:] += band[: len(band) - by]
        total[:by] += band[len(band) - by :]
    return np.asarray(total)


def _peaks(score: Array, least: float, cap: float) -> list[int]:
    """Highest first, each keeping others at bay by most of a letter's height; left to right."""
    left, found, apart = score.copy(), list[int](), max(4, int(0.8 * cap))
    left[:3] = left[-3:] = 0
    while True:
        x = int(left.argmax())
        if left[x] < least:
            return sorted(found)
        found.append(x)
        left[max(0, x - apart) : x + apart + 1] = 0


def _extent(strength: Array, lines: list[int]) -> tuple[int, int]:
    """The longest run of bands in which most lines are seen: the first, and the one after the last.

    A band shows them where it is darker along the lines than at other places of it, by a share of what is
    usual in the table: on grainy paper the darkest of a few pixels is dark anywhere.
    """
    widest = cv2.dilate(np.asarray(strength, np.float32), np.ones((1, 7), np.uint8))
    more = np.minimum(widest[:, lines], 3.0).mean(axis=1) - np.median(widest, axis=1)
    seen = np.convolve(np.pad(more, 1, mode="edge"), (0.25, 0.5, 0.25), "valid")
    bands = np.pad((seen > DARK * np.percentile(seen, 75)).astype(np.uint8), 4)  # or gaps at the ends close
    bands = cv2.morphologyEx(bands[:, None], cv2.MORPH_CLOSE, np.ones((7, 1), np.uint8))[4:-4, 0]
    edges = np.flatnonzero(np.diff(np.concatenate([[0], bands.astype(np.int8), [0]])))
    if not len(edges):
        return 0, 0
    starts, ends = edges[::2], edges[1::2]
    k = int(np.argmax(ends - starts))
    return int(starts[k]), int(ends[k])


def _goes_on(strength: Array, free: Array, top: int, foot: int) -> Array:
    """Which places show a line above *and* below the table too: creases, and the edges of the card."""
    out = np.ones(strength.shape[1], np.bool_)
    for beyond in (slice(0, max(0, top - 1)), slice(foot + 1, len(strength))):
        if len(strength[beyond]) < FEWEST_BEYOND:
            return np.zeros_like(out)
        stands_out, share = _votes(strength[beyond], free[beyond])
        line = ((stands_out > STRONG) & (share > 0.6)).astype(np.uint8)
        out &= cv2.dilate(line[None, :], np.ones((1, 13), np.uint8))[0] > 0
    return out


def _ruling(x: int, span: tuple[float, float], out: float, share: float, usual: float) -> Ruling:
    """A ruling's `clear` is scaled so that its weight is 1 where it stands out as the table's others do."""
    sure = min((out - SEEN) / (STRONG - SEEN), (out / usual - GHOST) / 0.35)
    return Ruling(
        float(x), span[0], span[1], out, max(share, 0.5 + 0.3 * min(1.0, sure)), 5.0 + 4.0 * sure, out
    )
