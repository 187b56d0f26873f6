"""Take a coloured stamp out of a picture, and leave the writing under it.

Inks multiply: what two inks keep back of the light adds up as *density* (minus the logarithm of what is
left). The
writing is nearly as dense in one channel as in another; a red or violet stamp is dense in one and thin
in another. With both ratios known, each pixel's two densities say how much of either ink lies on it
(the usual unmixing of stains by their densities: Ruifrok and Johnston, 2001).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from numbertaker.reading.geometry import PAPER, Array, Letters, Picture, darkest, lightest

FEWEST: Final = 0.0006
"""A stamp covers at least this share of a card."""
DENSE: Final = 0.4
"""The least density of a stamp's ink where it is dense; stains and rust are thinner."""
COLOURED: Final = 0.62
"""A stamp's thin channel is at most this much, relative to the writing's, of its dense one."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """A coloured ink: the channel in which it is dense, the one in which it is thin, and the ratios thin /
    dense
    of the stamp and of the writing."""

    dense: int
    thin: int
    stamp: float
    writing: float


def find_stamp(colour: Picture, letters: Letters) -> Stamp | None:
    """The coloured ink on a flat picture whose light has been evened; None where there is no such."""
    # half the size is fine enough to tell inks by, and takes a quarter of the time
    small = np.asarray(cv2.resize(colour, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA), np.uint8)
    mask = cv2.resize(letters.mask, (small.shape[1], small.shape[0]), interpolation=cv2.INTER_NEAREST) > 0
    table = _table_of_densities(PAPER)
    most = table[darkest(small)]
    strong = most > DENSE
    ratio = table[lightest(small)] / np.maximum(most, 1e-3)
    written = ratio[mask & strong]
    if len(written) < 50:
        return None
    usual = float(np.median(written))
    coloured = strong & (ratio < COLOURED * usual)
    if coloured.mean() < FEWEST:
        return None
    stamped = table[small[coloured]]
    middle = np.median(stamped, axis=0)
    dense, thin = int(middle.argmax()), int(middle.argmin())
    on_letters = table[small[mask & strong & ~coloured]]
    own = float(np.median(on_letters[:, thin] / np.maximum(on_letters[:, dense], 1e-3)))
    other = float(np.median(stamped[:, thin] / np.maximum(stamped[:, dense], 1e-3)))
    return Stamp(dense, thin, other, own) if other < COLOURED * own else None


def share_of_stamp(colour: Picture, stamp: Stamp) -> float:
    """How much of a crop the stamp covers, 0 to 1."""
    return float((_stamp_density(colour, stamp)[0] > 0.15).mean())


def without_stamp(colour: Picture, stamp: Stamp, more: float = 1.0) -> Picture:
    """The picture with the stamp taken off where it lies, and as it was elsewhere.

    `more` than 1 takes off more than was estimated: no trace of the stamp is left, and less of what is
    under it.
    """
    amount, dense, paper = _stamp_density(colour, stamp)
    on = cv2.dilate((amount > 0.12).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    left = np.clip(dense[on] - more * amount[on], 0, None)
    out = colour.copy()
    out[on] = np.clip(paper[None, :] * np.exp(-left)[:, None], 0, 255).astype(np.uint8)
    return out


def _stamp_density(colour: Picture, stamp: Stamp) -> tuple[Array, Array, Array]:
    """The stamp's density, the whole density in its dense channel, and the crop's paper."""
    paper = np.array([np.percentile(channel, 92) for channel in cv2.split(colour)])
    dense, thin = (_density(colour, channel, paper) for channel in (stamp.dense, stamp.thin))
    amount = (stamp.writing * dense - thin) / (stamp.writing - stamp.stamp)
    return np.clip(amount, 0, dense), dense, paper


def _density(colour: Picture, channel: int, paper: Array) -> Array:
    """Density of each pixel in one channel."""
    table = _table_of_densities(float(paper[channel]))
    return np.asarray(cv2.LUT(np.ascontiguousarray(colour[:, :, channel]), table))


def _table_of_densities(paper: float) -> Array:
    """The density above the paper of each of the 256 values that a pixel may have."""
    light = np.clip(np.arange(256, dtype=np.float32), 4, None)
    return np.asarray(np.log(np.float32(max(paper, 8)) / light).clip(0, None), np.float32)
