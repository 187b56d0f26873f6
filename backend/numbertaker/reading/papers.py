"""Where on a picture the cards lie: one on a scanner's bed, one or two on a desk, at any quarter turn."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import cv2
import numpy as np

from numbertaker.reading.geometry import Array, Letters, Matrix, Picture, lightest

LOOKED_AT: Final = 500
"""The longer side of the small picture on which papers are looked for."""
DARKER: Final = 45
"""How much darker than paper a desk is at least, of 255."""
EDGE, ACROSS = 14.0, 7.0
"""By how much light falls, of 255, from so many pixels of the small picture within a paper to so many
without.
"""
SMALLEST: Final = 0.04
"""A card covers at least this share of a picture, and at least a quarter of what the largest covers."""
FILLED: Final = 0.82
"""How much of its four-cornered outline a paper fills at least."""
INSET: Final = 0.004
"""How much is left off at a paper's edges, so that its shadow is no ruling."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper's corners on the scan, clockwise from the one that is its top left once it is turned upright.

    `whole` says that nothing but paper was told apart: the corners are the picture's.
    """

    corners: tuple[tuple[float, float], ...]
    whole: bool = False

    def turned(self, quarters: int) -> Paper:
        """The same paper, to be read after turning it clockwise by so many quarters."""
        k = -quarters % 4
        return replace(self, corners=self.corners[k:] + self.corners[:k])

    def size(self) -> tuple[float, float]:
        """Width and height in pixels of the scan."""
        a, b, c, d = (np.array(p) for p in self.corners)
        width = (np.linalg.norm(b - a) + np.linalg.norm(c - d)) / 2
        height = (np.linalg.norm(d - a) + np.linalg.norm(c - b)) / 2
        return float(width), float(height)

    def upright(self, working_width: int) -> tuple[Matrix, tuple[int, int]]:
        """The map from the scan to the paper laid upright, at most so wide; and its width and height."""
        wide, high = self.size()
        scale = min(1.0, working_width / wide)
        width, height = max(8, round(wide * scale)), max(8, round(high * scale))
        ends = np.array([(0, 0), (width, 0), (width, height), (0, height)], np.float32)
        corners = np.array(self.corners, np.float32)
        return np.asarray(cv2.getPerspectiveTransform(corners, ends), np.float64), (width, height)


def find_papers(scan: Picture) -> list[Paper]:
    """The papers on a picture, top to bottom; the whole picture where none can be told from what is round
    it.
    """
    height, width = scan.shape[:2]
    scale = min(1.0, LOOKED_AT / max(height, width))
    small = cv2.resize(scan, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else scan
    light = cv2.GaussianBlur(lightest(np.asarray(small, np.uint8)), (0, 0), 1.2)
    level, bright = cv2.threshold(light, 0, 1, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    whole = [_whole(width, height)]
    if bright.min() == bright.max() or bright.mean() > 0.985:
        return whole
    if float(light[bright > 0].mean()) - float(light[bright == 0].mean()) < DARKER or level > 205:
        return whole
    found = [p for p in (_four_cornered(c, scale) for c in _patches(bright)) if p is not None]
    found = [p for p in found if _stands_out(p, light, scale)]
    if not found or max(_share(p, width, height) for p in found) < 2 * SMALLEST:
        return whole
    return sorted(found, key=lambda p: (min(y for _, y in p.corners), p.corners[0][0]))


def _whole(width: int, height: int) -> Paper:
    return Paper(
        ((0.0, 0.0), (float(width), 0.0), (float(width), float(height)), (0.0, float(height))), whole=True
    )


def _share(paper: Paper, width: int, height: int) -> float:
    wide, high = paper.size()
    return wide * high / (width * height)


def _patches(bright: Array) -> list[Array]:
    """Outlines of the bright patches that are large enough, holes and dark writing filled."""
    kernel = np.ones((5, 5), np.uint8)
    closed = cv2.morphologyEx(
        cv2.morphologyEx(bright, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8)), cv2.MORPH_CLOSE, kernel
    )
    outlines, _ = cv2.findContours(closed, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    areas = [cv2.contourArea(o) for o in outlines]
    least = max(SMALLEST * bright.size, 0.25 * max(areas, default=0.0))
    return [np.asarray(o) for o, area in zip(outlines, areas, strict=True) if area >= least]


def _stands_out(paper: Paper, light: Array, scale: float) -> bool:
    """Whether a paper's sides are edges, where they are not the picture's: light that falls off over a card
    has none.
    """
    corners = np.array(paper.corners) * scale
    middle = corners.mean(axis=0)
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        along = a + (b - a) * np.linspace(0.1, 0.9, 33)[:, None]
        out = along - middle
        out /= np.linalg.norm(out, axis=1, keepdims=True)
        inner, outer = _light_at(light, along - ACROSS * out), _light_at(light, along + ACROSS * out)
        if np.isfinite(outer).mean() > 0.5 and float(np.nanmedian(inner - outer)) < EDGE:
            return False
    return True


def _light_at(light: Array, points: Array) -> Array:
    """The light at points; no number outside the picture."""
    x, y = np.round(points).astype(np.int64).T
    height, width = light.shape
    inside = (x >= 0) & (x < width) & (y >= 0) & (y < height)
    values = light[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)].astype(np.float64)
    return np.where(inside, values, np.nan)


def _four_cornered(outline: Array, scale: float) -> Paper | None:
    """The four sides of an outline, each laid along most of it; None where it has no such shape."""
    hull = cv2.convexHull(outline)
    around = cv2.arcLength(hull, True)
    corners = np.asarray(cv2.boxPoints(cv2.minAreaRect(hull)), np.float64)
    for eps in (0.01, 0.02, 0.03, 0.04, 0.06):
        rough = cv2.approxPolyDP(hull, eps * around, True)
        if len(rough) == 4:
            corners = rough[:, 0, :].astype(np.float64)
            break
    area = abs(cv2.contourArea(corners.astype(np.float32)))
    if (
        area <= 0
        or cv2.contourArea(hull) < FILLED * area
        or cv2.contourArea(outline) < 0.85 * cv2.contourArea(hull)
    ):
        return None
    corners = _clockwise(corners)
    middle = corners.mean(axis=0)
    inner = middle + (corners - middle) * (1 - 2 * INSET)
    return Paper(tuple((float(x) / scale, float(y) / scale) for x, y in inner + 0.5))


def _clockwise(corners: Array) -> Array:
    """Clockwise on the screen, from the corner nearest to the top left."""
    middle = corners.mean(axis=0)
    order = np.argsort(np.arctan2(corners[:, 1] - middle[1], corners[:, 0] - middle[0]))
    ring = corners[order]
    return np.roll(ring, -int(np.argmin(ring.sum(axis=1))), axis=0)


def lies_sideways(letters: Letters) -> bool:
    """Whether letters follow one another down the picture: there the gap to the next is smaller than
    across.
    """
    boxes = letters.boxes[letters.boxes[:, 3] > 0.45 * letters.cap]
    if len(boxes) > 400:
        boxes = boxes[:: len(boxes) // 400 + 1]
    across, down = _next_gap(boxes, 0, 1), _next_gap(boxes, 1, 0)
    return bool(down < 0.6 * across)


def _next_gap(boxes: Array, along: int, other: int) -> float:
    """The median distance from a box to the next along one axis, of boxes that overlap on the other."""
    start, end = boxes[:, along], boxes[:, along] + boxes[:, along + 2]
    low, high = boxes[:, other], boxes[:, other] + boxes[:, other + 2]
    shared = np.minimum(high[:, None], high[None, :]) - np.maximum(low[:, None], low[None, :])
    gap = start[None, :] - end[:, None]
    ahead = (start[None, :] > start[:, None]) & (shared > 0.3 * np.minimum(high - low, (high - low)[:, None]))
    gap = np.where(ahead, np.maximum(gap, 0.0), np.inf)
    nearest = gap.min(axis=1)
    nearest = nearest[np.isfinite(nearest)]
    return float(np.median(nearest)) if len(nearest) > 8 else float("inf")
