"""Find where a stamp in the ink of the writing lies: by its frame, a crooked oblong of thin strokes.

A coloured stamp is taken off the picture (`numbertaker.reading.inks`); a grey one can't be. What it covers
then says nothing of columns and rows, and is left to the rest of the card.
"""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np

from numbertaker.reading.geometry import Array, Picture
from numbertaker.reading.marks import AREA, HEIGHT, LEFT, TOP, WIDTH
from numbertaker.reading.pixels import components

LONGEST_SIDE: Final = (5.0, 32.0)
"""How long a frame is, in heights of a capital."""
SHORTEST_SIDE: Final = (2.6, 11.0)
"""How high it is."""
STROKE: Final = 2.2
"""Pieces of a frame are longer than this, in heights of a capital."""
SPARSE: Final = 0.3
"""Of the box round a bent piece of a frame less than this share is ink."""
THIN: Final = 0.17
"""A straight piece strays no farther than this from its line, in heights of a capital."""
CROOKED: Final = (1.5, 30.0)
"""How far a stamp is turned, in degrees; what stands straighter is a ruling."""
ON_THE_FRAME: Final = 0.55
"""At least this share of the ink of the long pieces lies on the frame; letters may hang together with it."""
SIDES_SEEN: Final = 0.42
"""At least this share of the frame's length is seen."""
HALF_STROKE: Final = 0.4
"""Half the breadth of a frame's stroke, in heights of a capital, give or take its bend."""


def stamped_places(ink: Picture, cap: float) -> tuple[Array, ...]:
    """The corners of each framed stamp, four points in pixels. `ink` masks all marks, level and upright
    strokes taken out.
    """
    names, stats = components(ink)
    stats = np.asarray(stats)
    w, h, area = stats[:, WIDTH], stats[:, HEIGHT], stats[:, AREA]
    long = (np.maximum(w, h) > STROKE * cap) & (np.arange(len(stats)) > 0)
    kept = long & (area < SPARSE * w * h)
    for k in np.flatnonzero(long & ~kept):
        kept[k] = _straight(np.asarray(names), stats[k], int(k), cap)
    if not kept.any():
        return ()
    pieces = np.asarray(kept[np.asarray(names)], np.uint8)
    near = np.asarray(
        cv2.dilate(pieces, np.ones((int(2.4 * cap) | 1, int(2.4 * cap) | 1), np.uint8)), np.uint8
    )
    groups, extents = components(near)
    found = []
    for n in range(1, len(extents)):
        left, top, width, height = (int(v) for v in extents[n][[LEFT, TOP, WIDTH, HEIGHT]])
        if min(width, height) < SHORTEST_SIDE[0] * cap or max(width, height) < LONGEST_SIDE[0] * cap:
            continue
        place = np.s_[top : top + height, left : left + width]
        y, x = np.nonzero(pieces[place] & (np.asarray(groups)[place] == n))
        frame = _frame(np.column_stack([x + left, y + top]).astype(np.float32), cap)
        if frame is not None:
            found.append(frame)
    return tuple(found)


def _straight(names: Array, mark: Array, name: int, cap: float) -> bool:
    """Whether a mark is one straight stroke, and crooked."""
    left, top, width, height = (int(v) for v in mark[[LEFT, TOP, WIDTH, HEIGHT]])
    if min(width, height) > 0.5 * max(width, height):
        return False
    y, x = np.nonzero(names[top : top + height, left : left + width] == name)
    (across, _), axes = np.linalg.eigh(np.cov(np.stack([x, y])))
    turned = float(np.degrees(np.arcsin(np.abs(axes[:, 1]).min())))
    return bool(across**0.5 < THIN * cap and turned > CROOKED[0])


def _frame(points: Array, cap: float) -> Array | None:
    """The corners of the frame that most of some points of ink make; None where they make none."""
    (centre, size, angle) = cv2.minAreaRect(points)
    short, long = sorted(side / cap for side in size)
    turned = abs((angle + 45) % 90 - 45)
    fits = SHORTEST_SIDE[0] < short < SHORTEST_SIDE[1] and LONGEST_SIDE[0] < long < LONGEST_SIDE[1]
    if not (fits and CROOKED[0] < turned < CROOKED[1]):
        return None
    along = np.deg2rad(angle)
    turn = np.array([[np.cos(along), -np.sin(along)], [np.sin(along), np.cos(along)]])
    own = (points - np.array(centre)) @ turn
    inside = np.array(size) / 2 - np.abs(own)
    on = inside.min(axis=1) < HALF_STROKE * cap
    seen = 0
    for axis in (0, 1):
        for side in (-1, 1):
            of = on & (inside[:, axis] < HALF_STROKE * cap) & (np.sign(own[:, axis]) == side)
            seen += len(np.unique(own[of, 1 - axis].astype(int)))
    if on.mean() < ON_THE_FRAME or seen < SIDES_SEEN * 2 * sum(size):
        return None
    return np.asarray(cv2.boxPoints((centre, size, angle)))


def outside(marks: Array, places: tuple[Array, ...]) -> Array:
    """Which marks stand in no stamp, their middles told."""
    free = np.ones(len(marks), bool)
    for corners in places:
        for i, m in enumerate(marks):
            middle = (float(m[LEFT] + m[WIDTH] / 2), float(m[TOP] + m[HEIGHT] / 2))
            free[i] &= cv2.pointPolygonTest(corners.astype(np.float32), middle, measureDist=False) < 0
    return free
