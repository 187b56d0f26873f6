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

from numbertaker.reading.geometry import PAPER, Array, Letters, Picture

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


def densities(colour: Picture, paper: Array) -> Array:
    """Density of each pixel and channel above the paper."""
    light = np.clip(colour.astype(np.float32), 4, None)
    return np.asarray(np.log(np.maximum(paper, 8).astype(np.float32) / light).clip(0, None))


def find_stamp(colour: Picture, letters: Letters) -> Stamp | None:
    """The coloured ink on a flat picture whose light has been evened; None where there is no such."""
    # half the size is fine enough to tell inks by, and takes a quarter of the time
    small = cv2.resize(colour, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    mask = cv2.resize(letters.mask, (small.shape[1], small.shape[0]), interpolation=cv2.INTER_NEAREST) > 0
    d = densities(np.asarray(small, np.uint8), np.full(3, PAPER))
    channels = cv2.split(d)
    most = cv2.max(cv2.max(channels[0], channels[1]), channels[2])
    strong = most > DENSE
    ratio = cv2.min(cv2.min(channels[0], channels[1]), channels[2]) / np.maximum(most, 1e-3)
    written = ratio[mask & strong]
    if len(written) < 50:
        return None
    usual = float(np.median(written))
    coloured = strong & (ratio < COLOURED * usual)
    if coloured.mean() < FEWEST:
        return None
    middle = np.median(d[coloured], axis=0)
    dense, thin = int(middle.argmax()), int(middle.argmin())
    on_letters = d[mask & strong & ~coloured]
    own = float(np.median(on_letters[:, thin] / np.maximum(on_letters[:, dense], 1e-3)))
    other = float(np.median(d[coloured][:, thin] / np.maximum(d[coloured][:, dense], 1e-3)))
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
    left = np.clip(dense - more * amount, 0, None)
    bare = np.clip(paper[None, None, :] * np.exp(-left)[:, :, None], 0, 255).astype(np.uint8)
    on = cv2.dilate((amount > 0.12).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    return np.asarray(np.where(on[:, :, None], bare, colour), np.uint8)


def _stamp_density(colour: Picture, stamp: Stamp) -> tuple[Array, Array, Array]:
    """The stamp's density, the whole density in its dense channel, and the crop's paper."""
    paper = np.percentile(colour.reshape(-1, 3), 92, axis=0)
    d = densities(colour, paper)
    dense, thin = d[:, :, stamp.dense], d[:, :, stamp.thin]
    amount = (stamp.writing * dense - thin) / (stamp.writing - stamp.stamp)
    return np.clip(amount, 0, dense), dense, paper
