"""Dotted and dashed rulings: many small strokes of one size that follow one another in a line.

They are neither letters nor rulings to whoever looks for either; told apart first, they are taken off the
writing and count as the ruling that they are.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[Any]

FEWEST: Final = 4
"""A dotted line has at least so many dots one after the other between the rulings that cross it."""
FEWEST_DOTS: Final = 24
"""Fewer dots on a whole card are specks that happen to stand in line."""
NEXT: Final = 2.6
"""The next dot's middle is at most so many lengths of a dot farther on."""
ASIDE: Final = 0.45
"""The next dot stands at most so far aside, in lengths of a dot."""
BROADEST: Final = 4.0
"""A dot is no broader than this, in pixels, if that is more than six tenths of its length: letters are."""
OF_A_LETTER: Final = 0.62
"""A dot is shorter than this, in heights of a letter: the ones of close rows stand in line too."""
LONGEST: Final = 0.02
"""A dot is no longer than this share of the picture's longer side."""


def in_dotted_lines(boxes: Array, long_side: int) -> Array:
    """Which of some marks (n × 5: left, top, width, height, area) are dots of an upright or level line."""
    high = boxes[(boxes[:, 3] > 4) & (boxes[:, 3] < 0.05 * long_side) & (boxes[:, 4] > 6), 3]
    if not len(high):
        return np.zeros(len(boxes), np.bool_)
    most = min(max(10.0, LONGEST * long_side), OF_A_LETTER * float(np.percentile(high, 80)))
    dots = _along(boxes, 0, 1, most) | _along(boxes, 1, 0, most)
    return np.asarray(dots if dots.sum() >= FEWEST_DOTS else np.zeros(len(boxes), np.bool_))


def _along(boxes: Array, across: int, along: int, most: float) -> Array:
    """Which marks, none longer than `most`, are dots of lines along one axis (1: down the picture)."""
    length, breadth = boxes[:, along + 2].astype(np.float64), boxes[:, across + 2].astype(np.float64)
    may = np.flatnonzero((length < most) & (breadth <= np.maximum(BROADEST, 0.6 * length)))
    out = np.zeros(len(boxes), np.bool_)
    if len(may) < FEWEST:
        return out
    may = may[np.argsort(boxes[may, along] + length[may] / 2, kind="stable")]
    after = _followers(
        boxes[may, along] + length[may] / 2, boxes[may, across] + breadth[may] / 2, length[may]
    )
    count = np.ones(len(may), np.int64)
    for i in range(len(may) - 1, -1, -1):
        if after[i] >= 0:
            count[i] += count[after[i]]
    for i in range(len(may)):
        if count[i] >= FEWEST or out[may[i]]:
            out[may[i]] = True
            if after[i] >= 0:
                out[may[after[i]]] = True
    return out


def _followers(at: Array, aside: Array, length: Array) -> Array:
    """The next dot in line of each, by its place in the order (they are sorted by `at`); -1 for none."""
    reach = np.searchsorted(at, at + NEXT * length) - np.arange(len(at)) - 1
    after, nearest = np.full(len(at), -1), np.full(len(at), np.inf)
    for k in range(1, int(reach.max(initial=0)) + 1):
        i = np.flatnonzero(reach[:-k] >= k)
        j = i + k
        step = at[j] - at[i]
        alike = np.abs(length[j] - length[i]) < 0.45 * np.maximum(length[j], length[i])
        good = alike & (step > 0.8 * length[i]) & (np.abs(aside[j] - aside[i]) < ASIDE * length[i])
        good &= step < nearest[i]
        after[i[good]], nearest[i[good]] = j[good], step[good]
    return after
