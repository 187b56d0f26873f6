"""The rows of a flat card: from its level rulings where they are evenly spaced, else from the feet of the
letters
and the distance at which they repeat.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from numbertaker.reading.geometry import Array
from numbertaker.reading.marks import HEIGHT, TOP, WIDTH
from numbertaker.reading.rulings import Ruling

FEWEST_IN_A_ROW: Final = 2
UNEVEN: Final = 0.17
"""How far from a whole number of pitches the next row stands without surprise, in pitches."""
NEAREST: Final = 0.66
"""No row of the body stands nearer to the last than this, in pitches."""
MOST_FILLED: Final = 40
"""So many rulings in a row are put in, at most, where a whole number of pitches says that they are missing.
"""
LEAST_OF_A_ROW: Final = 0.2
"""A peak lower than this, of the highest, tells nothing of how high a row's is."""
LARGE, STAMPED = 1.65, 0.3
"""Letters larger than this, in heights of a capital, count so much: most of them are a stamp's."""
OFF_BEAT: Final = 1.1
"""What a row off the beat costs at most; a good row earns about 1."""


@dataclass(frozen=True, slots=True)
class Row:
    """A strip of the flat picture that holds one line of writing.

    `joins` says that it goes on with the row above: a remark that was too long for its column, or a text that
    runs on; `runs` that its writing runs over the columns.
    """

    top: float
    bottom: float
    joins: bool = False
    runs: bool = False

    @property
    def level(self) -> float:
        return (self.top + self.bottom) / 2


def feet_profile(letters: Array, cap: float, height: int) -> Array:
    """How many letters' feet stand at each height, smoothed by a sixth of a capital."""
    feet = letters[:, TOP] + letters[:, HEIGHT]
    weight = np.clip(letters[:, WIDTH] / cap, 0.3, 4)
    weight = np.where(letters[:, HEIGHT] > LARGE * cap, STAMPED * weight, weight)
    profile = np.bincount(np.clip(feet, 0, height - 1).astype(np.int64), weight, minlength=height)
    sigma = max(1.0, 0.16 * cap)
    kernel = np.exp(-0.5 * (np.arange(-int(3 * sigma), int(3 * sigma) + 1) / sigma) ** 2)
    return np.convolve(profile, kernel, "same")


def text_rows(letters: Array, cap: float, height: int) -> list[Row]:
    """Rows where the feet of at least two letters stand level; tails of other rows are passed over."""
    feet = letters[:, TOP] + letters[:, HEIGHT]
    smooth = feet_profile(letters, cap, height)
    feet_of_rows: list[int] = []
    for y in np.argsort(-smooth, kind="stable"):
        if smooth[y] < 0.9:
            break
        if all(abs(int(y) - other) > 1.15 * cap for other in feet_of_rows):
            near = np.abs(feet - y) < 0.45 * cap
            if near.sum() >= FEWEST_IN_A_ROW:
                feet_of_rows.append(int(y))
    return _strips(sorted(feet_of_rows), cap)


def _strips(feet: Sequence[float], cap: float, pitch: float | None = None) -> list[Row]:
    """Rows share the space between them at the middle, and reach no farther than the usual half pitch."""
    if not len(feet):
        return []
    middles = np.array(feet, dtype=np.float64) - 0.5 * cap
    gaps = np.diff(middles)
    usual = pitch or (float(np.median(gaps)) if len(gaps) else 2 * cap)
    reach = np.minimum(gaps / 2, max(cap, 0.62 * usual)) if len(gaps) else np.zeros(0)
    edge = min(max(cap, 0.5 * usual), 1.5 * cap)
    up, down = np.concatenate([[edge], reach]), np.concatenate([reach, [edge]])
    return [Row(float(m - u), float(m + d)) for m, u, d in zip(middles, up, down, strict=True)]


def beat_of(profile: Array, cap: float) -> float | None:
    """The distance at which the rows of a body repeat, in pixels; None where nothing repeats.

    The autocorrelation of the profile's slope, at one, two and three times a distance.
    """
    slope = np.gradient(profile)
    whole = np.correlate(slope, slope, "full")[len(slope) - 1 :]
    if len(whole) < 4 * cap or whole[0] <= 0:
        return None
    low, high = int(1.15 * cap), min(int(5.5 * cap), (len(whole) - 2) // 2)
    if high <= low:
        return None

    def near(distance: float) -> float:
        slack = max(1, int(0.04 * distance))
        part = whole[int(distance) - slack : int(distance) + slack + 1]
        return float(part.max(initial=0.0))

    comb = {
        d: near(d) + near(2 * d) + (near(3 * d) if 3 * d < len(whole) - 1 else 0.0) for d in range(low, high)
    }
    best = max(comb, key=lambda d: comb[d])
    half = [d for d in comb if abs(d - best / 2) < 0.07 * best and comb[d] > 0.7 * comb[best]]
    best = max(half, key=lambda d: comb[d]) if half else best
    three = range(int(2.8 * best), min(int(3.2 * best) + 1, len(whole)))
    finer = max(three, key=lambda d: whole[d], default=0)
    return finer / 3 if finer and whole[finer] > 0.1 * whole[0] else float(best)


def beaten_rows(letters: Array, cap: float, height: int) -> list[Row]:
    """The rows of a body without level rulings: a chain of levels that keeps its beat.

    A figure squeezed in over a struck one, a stain or a tail is off the beat and makes no row. Found by
    dynamic programming over the peaks of the feet's profile.
    """
    profile = feet_profile(letters, cap, height)
    beat = beat_of(profile, cap)
    peaks = _peaks(profile, 0.35 * cap)
    if beat is None or len(peaks) < 3:
        return text_rows(letters, cap, height)
    heights = profile[peaks]
    # a row's peak has lesser ones at its sides, and stains make some: they don't say what a row's is like
    apart = profile[_peaks(profile, cap)]
    usual = float(np.median(apart[apart > LEAST_OF_A_ROW * apart.max()]))
    worth = np.minimum(heights / max(usual, 1e-6), 1.25) ** 0.5
    best, before = worth.copy(), np.full(len(peaks), -1)
    for j in range(len(peaks)):
        for i in range(j):
            steps = (peaks[j] - peaks[i]) / beat
            if steps < NEAREST:
                continue
            off = abs(steps - max(1, round(steps)))
            cost = min(OFF_BEAT, (off / UNEVEN) ** 2 * 0.3) + 0.05 * min(6, round(steps) - 1)
            if best[i] - cost + worth[j] > best[j]:
                best[j], before[j] = best[i] - cost + worth[j], i
    chain = [int(best.argmax())]
    while before[chain[-1]] >= 0:
        chain.append(int(before[chain[-1]]))
    return _strips([float(peaks[k]) for k in reversed(chain)], cap, beat)


def _peaks(profile: Array, apart: float) -> Array:
    """Where a profile is highest, at least `apart` from one another and of some height."""
    found: list[int] = []
    for y in np.argsort(-profile, kind="stable"):
        if profile[y] < 0.9:
            break
        if all(abs(int(y) - other) > apart for other in found):
            found.append(int(y))
    return np.array(sorted(found), np.int64)


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
    if sum(holds) < 0.7 * sum(w.level > edges[0] for w in written):
        return None
    return rows


def _filled(at: list[float], pitch: float) -> list[float]:
    """Put in the rulings that a whole number of pitches says are missing; drop those off the grid."""
    edges = [at[0]]
    for y in at[1:]:
        steps = (y - edges[-1]) / pitch
        whole = round(steps)
        if 1 <= whole <= MOST_FILLED and abs(steps - whole) < min(0.35, 0.12 * whole):
            first = edges[-1]
            edges += [first + (y - first) * i / whole for i in range(1, whole + 1)]
        elif steps > 0.8:
            edges.append(y)
    return edges
