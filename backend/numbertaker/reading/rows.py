"""The rows of a flat card: from its level rulings where they are evenly spaced, else from the feet of the
letters.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from numbertaker.reading.geometry import Array
from numbertaker.reading.marks import HEIGHT, TOP, WIDTH
from numbertaker.reading.rulings import Ruling

FEWEST_IN_A_ROW: Final = 2


@dataclass(frozen=True, slots=True)
class Row:
    """A strip of the flat picture that holds one line of writing."""

    top: float
    bottom: float

    @property
    def level(self) -> float:
        return (self.top + self.bottom) / 2


def text_rows(letters: Array, cap: float, height: int) -> list[Row]:
    """Rows where the feet of at least two letters stand level; tails of other rows are passed over."""
    feet = letters[:, TOP] + letters[:, HEIGHT]
    weight = np.clip(letters[:, WIDTH] / cap, 0.3, 4)
    profile = np.bincount(np.clip(feet, 0, height - 1).astype(np.int64), weight, minlength=height)
    sigma = max(1.0, 0.16 * cap)
    kernel = np.exp(-0.5 * (np.arange(-int(3 * sigma), int(3 * sigma) + 1) / sigma) ** 2)
    smooth = np.convolve(profile, kernel, "same")
    feet_of_rows: list[int] = []
    for y in np.argsort(-smooth, kind="stable"):
        if smooth[y] < 0.9:
            break
        if all(abs(int(y) - other) > 1.15 * cap for other in feet_of_rows):
            near = np.abs(feet - y) < 0.45 * cap
            if near.sum() >= FEWEST_IN_A_ROW:
                feet_of_rows.append(int(y))
    return _strips(sorted(feet_of_rows), cap)


def _strips(feet: list[int], cap: float) -> list[Row]:
    """Rows share the space between them at the middle, and reach no farther than the usual half pitch."""
    if not feet:
        return []
    middles = np.array(feet, dtype=np.float64) - 0.5 * cap
    gaps = np.diff(middles)
    pitch = float(np.median(gaps)) if len(gaps) else 2 * cap
    reach = np.minimum(gaps / 2, max(cap, 0.62 * pitch)) if len(gaps) else np.zeros(0)
    edge = min(max(cap, 0.5 * pitch), 1.5 * cap)
    up, down = np.concatenate([[edge], reach]), np.concatenate([reach, [edge]])
    return [Row(float(m - u), float(m + d)) for m, u, d in zip(middles, up, down, strict=True)]


def even_pitch(lines: tuple[Ruling, ...], cap: float) -> float | None:
    """The spacing that most neighbouring rulings share; None where there is none."""
    at = np.array([line.at for line in lines])
    gaps = np.diff(at)
    gaps = gaps[(gaps > 1.1 * cap) & (gaps < 6 * cap)]
    if len(gaps) < 3:
        return None
    agree = [int((np.abs(gaps - g) < 0.08 * g).sum()) for g in gaps]
    best = float(gaps[int(np.argmax(agree))])
    if max(agree) < max(3, 0.4 * len(gaps)):
        return None
    return float(np.median(gaps[np.abs(gaps - best) < 0.08 * best]))


def ruled_rows(lines: tuple[Ruling, ...], written: list[Row], cap: float) -> list[Row] | None:
    """Rows between evenly spaced rulings (missing ones filled in), if most hold one row of writing at
    most.
    """
    pitch = even_pitch(lines, cap)
    if pitch is None:
        return None
    edges = _filled([line.at for line in lines], pitch)
    rows = [Row(a, b) for a, b in pairwise(edges) if b - a < 1.6 * pitch]
    holds = [sum(row.top < w.level < row.bottom for w in written) for row in rows]
    if len(rows) < 3 or sum(h > 1 for h in holds) > 0.5 * max(1, sum(h > 0 for h in holds)):
        return None
    return rows


def _filled(at: list[float], pitch: float) -> list[float]:
    """Put in the rulings that a whole number of pitches says are missing; drop those off the grid."""
    edges = [at[0]]
    for y in at[1:]:
        steps = (y - edges[-1]) / pitch
        whole = round(steps)
        if whole >= 1 and abs(steps - whole) < 0.12 * max(1, whole) and whole <= 8:
            first = edges[-1]
            edges += [first + (y - first) * i / whole for i in range(1, whole + 1)]
        elif steps > 0.8:
            edges.append(y)
    return edges
