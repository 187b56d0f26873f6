"""Find the printed rulings of a flat card, faint ones too.

A ruling is a thin dark line with both its sides lighter, seen between the letters along much of the table.
Strength is averaged in bands along the line, so that a line may break off where the table ends, and a
smudge, which is dark in few bands, is not taken for one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from numbertaker.reading.geometry import Array, Picture
from numbertaker.reading.pixels import median, ridges, spread, without

BAND: Final = 24
"""Height of a band in pixels of the flat picture."""
SEEN: Final = 0.45
"""A stretch of five bands shows the line if its mean strength is above this, in units of the paper's
grain.
"""
MOST: Final = 3.5
GHOST: Final = 0.4
"""A line less than this as deep as the table's others shows through from the back, or is a crease."""
SURE: Final = (5.0, 9.0)
"""How many times its own standard error a ruling's strength is where it is doubtful, and where it is
beyond doubt.
"""


@dataclass(frozen=True, slots=True)
class Ruling:
    """A line at `at` from `start` to `end` along its direction; `share` of the bands between show it.

    `strength` is the median over those bands, in units of the paper's grain and cut off at `MOST`, so that
    a dark smudge
    can't stand for a line; `clear` is the same in units of its standard error, `depth` the same without
    the cut.
    """

    at: float
    start: float
    end: float
    strength: float
    share: float
    clear: float
    depth: float

    @property
    def weight(self) -> float:
        """0 for a line hardly seen, 1 for one beyond doubt."""
        low, high = SURE
        clear = min(1.0, max(0.0, (self.clear - low) / (high - low)))
        return clear * min(1.0, max(0.0, (self.share - 0.5) / 0.3))


def upright_rulings(dark: Picture, letters: Picture, cap: float) -> tuple[Ruling, ...]:
    """The upright rulings, left to right. `letters` masks what is writing."""
    mask = cv2.dilate(letters, np.ones((11, 5), np.uint8))
    raw = without(ridges(dark, along=7), np.asarray(mask, np.uint8))
    bands = max(8, dark.shape[0] // BAND)
    open_ = np.maximum(_banded((mask == 0).astype(np.float32), bands), 0.15)
    deep = _banded(raw, bands) / open_
    seen: Array = _banded(np.minimum(raw, MOST), bands) / open_
    seen = np.asarray(cv2.dilate(seen.astype(np.float32), np.ones((1, 3), np.uint8)))
    # what the whole neighbourhood shows (a stain, a shaded column) is no line
    seen -= cv2.blur(seen, (41, 1))
    return _lines(np.asarray(seen), np.asarray(deep), dark.shape[0] / bands, cap)


def level_rulings(dark: Picture, letters: Picture, cap: float) -> tuple[Ruling, ...]:
    """The level rulings, top to bottom."""
    return upright_rulings(
        np.asarray(cv2.transpose(dark), np.uint8), np.asarray(cv2.transpose(letters), np.uint8), cap
    )


def _spans(ruling: Ruling, top: float, bottom: float) -> bool:
    """Whether a ruling runs along most of a table and ends with it, give or take."""
    near = 4 * BAND
    return overlap(ruling, top, bottom) > 0.7 and ruling.start > top - near and ruling.end < bottom + near


def overlap(ruling: Ruling, start: float, end: float) -> float:
    """The share of a stretch that a ruling runs along."""
    return (min(ruling.end, end) - max(ruling.start, start)) / max(1.0, end - start)


def _banded(values: Array, bands: int) -> Array:
    return np.asarray(cv2.resize(values, (values.shape[1], bands), interpolation=cv2.INTER_AREA))


def _lines(seen: Array, deep: Array, band: float, cap: float) -> tuple[Ruling, ...]:
    """Strongest first, each keeping others at bay by most of a letter's height."""
    smooth = cv2.blur(seen, (1, 5))
    total = np.clip(smooth - 0.5 * SEEN, 0, None).sum(axis=0)
    total[(smooth > SEEN).sum(axis=0) < 4] = 0
    noise = spread(seen)[1]
    apart, found = max(4, int(0.8 * cap)), []
    while True:
        at = int(total.argmax())
        if total[at] <= 0:
            break
        near = slice(max(0, at - 1), at + 2)
        profiles = [matrix[:, near].max(axis=1) for matrix in (smooth, seen, deep)]
        ruling = _span(*profiles, at=at, band=band, noise=noise)
        if ruling is not None:
            found.append(ruling)
        total[max(0, at - apart) : at + apart + 1] = 0
    return tuple(sorted(found, key=lambda r: r.at))


def _span(smooth: Array, profile: Array, deep: Array, *, at: int, band: float, noise: float) -> Ruling | None:
    """The longest stretch of bands that show the line, breaks of two bands allowed."""
    on = np.flatnonzero(smooth > SEEN)
    breaks = np.flatnonzero(np.diff(on) > 3)
    starts, ends = np.concatenate([[0], breaks + 1]), np.concatenate([breaks, [len(on) - 1]])
    k = int(np.argmax(on[ends] - on[starts]))
    first, last = int(on[starts[k]]), int(on[ends[k]])
    if last - first < 3:
        return None
    # smoothing has drawn the ends out by up to two bands: take them back to where the line itself is seen
    strong = 0.4 * median(profile[first : last + 1])
    while last - first > 3 and profile[first] < strong:
        first += 1
    while last - first > 3 and profile[last] < strong:
        last -= 1
    inside = profile[first : last + 1]
    share = float((inside > 0.5 * SEEN).mean())
    strength = median(inside.clip(0, None))
    clear = strength * len(inside) ** 0.5 / noise
    depth = median(deep[first : last + 1])
    return Ruling(float(at), first * band, (last + 1) * band, strength, share, clear, depth)
