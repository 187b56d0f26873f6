"""Samples: a crop as the network takes it, and what it says; drawn without end from a seed."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import content
import cv2
import faces
import ink
import numpy as np
import numpy.typing as npt
import paper
import strikes
from numpy.random import Generator

HEIGHT: Final = 40
NARROWEST, WIDEST, STEP = 48, 640, 16
"""Widths of a line as the network takes it, in pixels: at least, at most, and in steps of."""
SORTS: Final[tuple[tuple[faces.Sort, float], ...]] = (("typed", 0.38), ("print", 0.14), ("hand", 0.48))
LEVELS: Final = (0.27, 0.38, 0.35)


@dataclass(frozen=True, slots=True)
class Sample:
    """One crop with what it says, and how it came about: kind of field, sort of face, level of wear."""

    picture: npt.NDArray[np.uint8]
    says: str
    kind: str
    sort: faces.Sort
    level: int


class Source:
    """Draws samples; those of the held-out faces are for measuring only."""

    def __init__(self, seed: int, *, held_out: bool) -> None:
        self.rng: Generator = np.random.default_rng(seed)
        self.chosen = {sort: faces.faces(sort, held_out=held_out) for sort, _ in SORTS}
        self.others: list[ink.Mask] = []

    def draw(self, sort: faces.Sort | None = None, level: int | None = None, kind: str = "") -> Sample:
        """One sample, of a given sort of face, level or kind of cell if wished."""
        rng = self.rng
        sort = sort or SORTS[int(rng.choice(len(SORTS), p=[p for _, p in SORTS]))][0]
        level = int(rng.choice(3, p=LEVELS)) if level is None else level
        p = rng.random()
        kind = kind or ("struck" if p < 0.17 else "ditto" if p < 0.22 else "blank" if p < 0.26 else "")
        what, line = self._line(kind, sort)
        crop = paper.crop_of(rng, line, level, self.others, typed=sort != "hand")
        self.others = [*self.others[-30:], line.ink[: 3 * ink.CAP]] if line.says else self.others
        return Sample(crop, line.says, what, sort, level)

    def _line(self, kind: str, sort: faces.Sort) -> tuple[str, ink.Written]:
        rng, chosen = self.rng, self.chosen[sort]
        if kind == "ditto":
            return kind, ink.ditto(rng, sort, chosen)
        if kind == "blank":
            return kind, ink.nothing(rng)
        what, text = content.cell(rng)
        while kind not in ("", "struck", what):
            what, text = content.cell(rng)
        if kind != "struck":
            return what, ink.write(rng, text, sort, chosen)
        return kind, self._struck(what, text, sort)

    def _struck(self, what: str, text: str, sort: faces.Sort) -> ink.Written:
        """A cell of which some is struck out: all, or one value with another beside it or over it."""
        rng = self.rng
        path = self.chosen[sort][int(rng.integers(len(self.chosen[sort])))]
        pressed = path if sort != "hand" else None
        p = rng.random()
        if p < 0.3 or len(text) > 14:
            line = ink.write(rng, text, sort, (path,))
            count = len(line.words) if len(line.says.split(" ")) == len(line.words) else 0
            some = range(count) if p < 0.85 or count < 2 else range(int(rng.integers(1, count)))
            return strikes.strike_out(rng, line, tuple(some), pressed) if count else line
        made = next(make for _, name, make in content.MAKERS if name == what)
        old = ink.write(rng, " ".join(made(rng).split())[:14].strip() or "1", sort, (path,))
        new = ink.write(rng, text, sort, (path,))
        if any(len(x.says.split(" ")) != len(x.words) or not x.ink.any() for x in (old, new)):
            return new
        old = strikes.strike_out(rng, old, tuple(range(len(old.words))), pressed)
        return (strikes.beside if p < 0.78 else strikes.stacked)(rng, old, new)


def to_line(picture: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    """A crop at the network's height."""
    height, width = picture.shape[:2]
    wide = min(WIDEST, max(8, math.ceil(width * HEIGHT / height)))
    how = cv2.INTER_AREA if height > HEIGHT else cv2.INTER_CUBIC
    return np.asarray(cv2.resize(picture, (wide, HEIGHT), interpolation=how), np.uint8)


def padded(width: int) -> int:
    """The width of a batch whose widest line is this wide."""
    return max(NARROWEST, math.ceil(width / STEP) * STEP)


BUCKETS: Final = (48, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320, 384, 512, 640)
"""Widths of training batches: few, since a GPU's library plans anew for every shape."""


def batches(source: Source, pixels: int) -> Iterator[tuple[npt.NDArray[np.uint8], list[str]]]:
    """Batches of lines of like width, `pixels` columns in each (rows × 3 × height × width), without end.

    Paper ends where the line does: what is left of the width is middle grey, which the network takes as 0.
    """
    waiting: dict[int, list[tuple[npt.NDArray[np.uint8], str]]] = {width: [] for width in BUCKETS}
    while True:
        sample = source.draw()
        line = to_line(sample.picture)
        if line.shape[1] // 8 < len(sample.says) + _doubles(sample.says):
            continue  # too narrow for the network's steps
        width = next(w for w in BUCKETS if w >= line.shape[1])
        waiting[width].append((line, sample.says))
        if len(waiting[width]) == max(1, pixels // width):
            block = np.full((len(waiting[width]), HEIGHT, width, 3), 127, np.uint8)
            for row, (line, _) in zip(block, waiting[width], strict=True):
                row[:, : line.shape[1]] = line
            yield np.ascontiguousarray(block.transpose(0, 3, 1, 2)), [says for _, says in waiting[width]]
            waiting[width] = []


def _doubles(text: str) -> int:
    return sum(a == b for a, b in itertools.pairwise(text))
