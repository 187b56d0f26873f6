"""Figures drawn with a pen, point by point: as many hands as are wanted, none of them a face's.

Each figure is a few strokes through points of a unit box (x to the right, y down, the line at 1). A hand
moves the points in its own way, each figure then once more a little; a smooth curve runs through them.
"""

# ruff: noqa: E501 (tables of points)
from __future__ import annotations

from typing import Final, TypeAlias

import cv2
import numpy as np
import numpy.typing as npt
from numpy.random import Generator

Mask: TypeAlias = npt.NDArray[np.float32]
Stroke: TypeAlias = tuple[tuple[float, float], ...]
SHAPES: Final[dict[str, tuple[tuple[Stroke, ...], ...]]] = {
    "0": ((((.5, 0), (.08, .3), (.1, .75), (.5, 1), (.9, .7), (.88, .25), (.5, 0), (.3, .1)),),
          (((.7, .05), (.3, 0), (.05, .5), (.3, 1), (.75, .9), (.85, .4), (.55, .02)),),
          (((.45, .02), (.1, .35), (.2, .95), (.6, .98), (.9, .5), (.7, .05), (.4, .05)),)),
    "1": ((((.5, 0), (.48, .5), (.46, 1)),), (((.2, .25), (.5, 0), (.5, .5), (.5, 1)),), (((.05, .4), (.55, 0), (.5, 1)),),
          (((.2, .25), (.5, 0), (.5, 1)), ((.1, 1), (.9, 1))), (((.65, 0), (.4, 1)),), (((.35, 0), (.6, 1)),)),
    "2": ((((.1, .25), (.4, 0), (.85, .2), (.6, .6), (.05, 1), (.5, .97), (.95, 1)),),
          (((.15, .2), (.5, 0), (.85, .3), (.45, .75), (.1, .95), (.25, .78), (.5, .95), (.95, .92)),),
          (((.1, .1), (.8, .05), (.6, .5), (.1, .95), (.9, .95)),),
          (((.1, .3), (.35, .02), (.8, .15), (.7, .55), (.3, .9), (.1, .95), (.2, .7), (.55, .9), (.95, 1)),)),
    "3": ((((.1, .12), (.5, 0), (.85, .22), (.4, .45), (.88, .7), (.5, 1), (.05, .88)),),
          (((.1, .02), (.85, .02), (.45, .4), (.85, .65), (.5, 1), (.05, .88)),),
          (((.15, .15), (.6, .02), (.75, .3), (.3, .5), (.8, .6), (.75, .95), (.2, .98)),)),
    "4": ((((.6, 0), (.05, .65), (.95, .65)), ((.65, .35), (.6, 1))), (((.2, .05), (.2, .55), (.9, .5)), ((.85, .1), (.7, 1))),
          (((.15, 0), (.1, .5), (.9, .5)), ((.75, 0), (.7, 1))), (((.7, 0), (.05, .68), (.95, .66)), ((.7, 0), (.68, 1))),
          (((.3, 0), (.1, .6), (.95, .55)), ((.55, .3), (.5, 1)))),
    "5": ((((.2, .05), (.15, .45), (.6, .4), (.88, .7), (.5, 1), (.05, .9)), ((.2, .05), (.9, 0))),
          (((.9, .02), (.25, .05), (.15, .45), (.6, .38), (.85, .7), (.45, 1), (.05, .88)),),
          (((.85, .02), (.4, .05), (.2, .35), (.6, .5), (.75, .75), (.5, .98), (.1, .98)),),
          (((.3, .1), (.2, .5), (.7, .5), (.7, .9), (.15, .98)), ((.3, .1), (.95, .02)))),
    "6": ((((.75, 0), (.25, .3), (.08, .75), (.5, 1), (.85, .75), (.5, .5), (.12, .7)),),
          (((.6, 0), (.1, .5), (.2, .95), (.7, .95), (.8, .6), (.4, .5), (.12, .75)),),
          (((.35, 0), (.12, .6), (.3, 1), (.7, .9), (.65, .65), (.3, .65), (.18, .85)),)),
    "7": ((((.05, .08), (.9, .03), (.55, .5), (.4, 1)),), (((.05, .05), (.9, .03), (.5, .5), (.35, 1)), ((.3, .5), (.8, .48))),
          (((.08, .2), (.1, .03), (.9, .05), (.45, 1)),), (((.05, .15), (.5, .05), (.85, .12), (.6, .5), (.55, 1)), ((.35, .55), (.85, .5)))),
    "8": ((((.8, .15), (.45, 0), (.15, .25), (.5, .48), (.85, .75), (.5, 1), (.12, .78), (.5, .48), (.85, .2), (.6, .02)),),
          (((.5, .45), (.15, .2), (.5, 0), (.85, .2), (.5, .45), (.1, .75), (.5, 1), (.9, .75), (.5, .45)),),
          (((.75, .1), (.35, .05), (.3, .35), (.65, .6), (.7, .9), (.4, 1), (.25, .75), (.75, .3), (.75, .1)),)),
    "9": ((((.85, .3), (.5, .5), (.12, .3), (.45, 0), (.85, .2), (.8, .6), (.6, 1)),),
          (((.85, .15), (.4, 0), (.15, .3), (.5, .5), (.85, .2), (.82, 1)),),
          (((.85, .15), (.4, 0), (.15, .3), (.5, .5), (.85, .2), (.75, .85), (.2, .98)),),
          (((.75, .2), (.4, .05), (.25, .35), (.6, .5), (.8, .25), (.7, .7), (.4, 1), (.15, .9)),)),
    ".": ((((.4, .97), (.55, 1)),),), ",": ((((.5, .95), (.5, 1.1), (.3, 1.25)),), (((.5, .9), (.35, 1.2)),)),
    "-": ((((.1, .55), (.9, .52)),),), "/": ((((.85, -.05), (.15, 1.1)),), (((.7, 0), (.3, 1)),)),
}  # fmt: skip
NARROW: Final = {".": 0.3, ",": 0.35, "1": 0.5, "-": 0.6, "/": 0.6}


class Pen:
    """One hand: which shape it gives each figure, how it moves their points, its slant, width and nib."""

    def __init__(self, rng: Generator) -> None:
        self.rng = rng
        self.shape = {s: int(rng.integers(len(v))) for s, v in SHAPES.items()}
        self.habit = {s: rng.normal(0, float(rng.uniform(0.03, 0.085)), (12, 2)) for s in SHAPES}
        self.slant, self.wide = float(rng.normal(0.1, 0.22)), float(rng.uniform(0.42, 1.0))
        self.gap, self.nib = float(rng.uniform(-0.02, 0.35)), float(rng.uniform(0.05, 0.2))
        self.loose, self.drift = float(rng.uniform(0.01, 0.06)), float(rng.normal(0, 0.02))

    def write(self, text: str, cap: int) -> Mask:
        """Figures and their stops as a mask of ink, 0 to 1; capitals would be `cap` pixels high."""
        wide = int(sum((self._width(s) + self.gap + 0.1) * cap for s in text) + 2 * cap)
        page = np.zeros((int(2.6 * cap), wide), np.uint8)
        x, base = 0.8 * cap, 0.7 * cap
        for sign in text:
            size = float(self.rng.uniform(0.82, 1.12))
            lift = float(self.rng.normal(0, 0.03)) * cap + self.drift * x
            for stroke in SHAPES.get(sign, [()])[self.shape.get(sign, 0)]:
                self._draw(page, sign, stroke, (x, base + lift), (self._width(sign) * cap * size, cap * size))
            x += (self._width(sign) + self.gap + float(self.rng.uniform(-0.06, 0.1))) * cap
        return page.astype(np.float32) / 255

    def _width(self, sign: str) -> float:
        return self.wide * NARROW.get(sign, 1.0)

    def _draw(
        self,
        page: npt.NDArray[np.uint8],
        sign: str,
        stroke: Stroke,
        at: tuple[float, float],
        size: tuple[float, float],
    ) -> None:
        points = np.array(stroke) + self.habit[sign][: len(stroke)] * (0.4 if sign in ".,-/" else 1)
        points = points + self.rng.normal(0, self.loose, points.shape)
        line = _smooth(points)
        x = at[0] + line[:, 0] * size[0] + self.slant * (1 - line[:, 1]) * size[1]
        y = at[1] + line[:, 1] * size[1]
        thick = max(1, round(self.nib * size[1] * float(self.rng.uniform(0.85, 1.15))))
        path = np.round(np.column_stack([x, y]) * 16).astype(np.int32)
        cv2.polylines(page, [path], False, 255, thick, cv2.LINE_AA, 4)


def _smooth(points: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """A Catmull-Rom curve through the points, eight steps from each to the next."""
    if len(points) < 3:
        return points
    p = np.vstack([2 * points[0] - points[1], points, 2 * points[-1] - points[-2]])
    t = np.linspace(0, 1, 8, endpoint=False)[:, None]
    parts = [
        0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)
        for a, b, c, d in zip(p, p[1:], p[2:], p[3:], strict=False)
    ]
    return np.vstack([*parts, points[-1:]])
