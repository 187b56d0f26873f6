"""Strike-outs, as clerks and typists made them: a pen's stroke, level or slanting, once or twice or to and
fro, or a sign typed over each letter; and a struck word with its replacement beside it or squeezed in over
it.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

import content
import cv2
import numpy as np
import numpy.typing as npt
from ink import CAP, Mask, Written, glyph
from numpy.random import Generator

OVER: Final = ("x", "X", "/", "-", "=", "m")
"""Signs that typists struck words out with."""


def strike_out(rng: Generator, line: Written, which: Sequence[int], face: Path | None = None) -> Written:
    """Strike out some of a line's words; they are marked in what it says. `face` is that of a typewriter."""
    page = line.ink.copy()
    runs = [(min(which), max(which))] if len(which) > 1 and rng.random() < 0.6 else [(w, w) for w in which]
    for first, last in runs:
        _through(rng, page, (line.words[first][0], line.words[last][1]), line.foot, face)
    said = [content.STRUCK + w if k in which else w for k, w in enumerate(line.says.split(" "))]
    return Written(page, " ".join(said), line.words, line.foot)


def _through(rng: Generator, page: Mask, span: tuple[int, int], foot: int, face: Path | None) -> None:
    if face is not None and rng.random() < 0.3:
        _typed_over(rng, page, span, foot, face)
        return
    layer = np.zeros(page.shape, np.uint8)
    thick, ink = max(1, round(CAP * float(rng.uniform(0.05, 0.2)))), float(rng.uniform(0.55, 1))
    over = rng.uniform(-0.2, 0.5, 2) * CAP
    begin, end = span[0] - float(over[0]), span[1] + float(over[1])
    paths = _to_and_fro(rng, begin, end, foot) if rng.random() < 0.12 else _strokes(rng, begin, end, foot)
    for path in paths:
        cv2.polylines(layer, [np.round(path * 16).astype(np.int32)], False, 255, thick, cv2.LINE_AA, 4)
    np.maximum(page, layer.astype(np.float32) * (ink / 255), out=page)


def _strokes(rng: Generator, begin: float, end: float, foot: int) -> list[npt.NDArray[np.float64]]:
    """One stroke or two or three, level or slanting, straight or wavering."""
    level, far = foot - CAP * float(rng.uniform(0.3, 0.66)), end - begin
    p = rng.random()
    slant = float(rng.normal(0, 0.02)) if p < 0.7 else float(rng.uniform(-0.2, 0.2))
    rise = float(np.clip(slant * far, -0.85 * CAP, 0.85 * CAP))
    waver = 0.02 * CAP * float(rng.choice([0.05, 0.5, 1.5], p=[0.5, 0.35, 0.15]))
    swing = CAP * float(rng.uniform(0.08, 0.25)) if rng.random() < 0.12 else 0.0
    turns = float(rng.uniform(0.6, 1.4)) * np.pi / CAP
    out = []
    for k in range(int(rng.choice([1, 2, 3], p=[0.78, 0.18, 0.04]))):
        x = np.linspace(begin, end, 40) + (0 if k == 0 else float(rng.normal(0, 0.25)) * CAP)
        y = level + float(rng.uniform(0.14, 0.3)) * CAP * k + np.linspace(rise / 2, -rise / 2, 40)
        y = y + rng.normal(0, waver, 40).cumsum() + swing * np.sin((x - begin) * turns)
        out.append(np.column_stack([x, y]))
    return out


def _to_and_fro(rng: Generator, begin: float, end: float, foot: int) -> list[npt.NDArray[np.float64]]:
    """A scribble."""
    count = max(4, int((end - begin) / CAP * float(rng.uniform(1.2, 3.5))))
    x = np.linspace(begin, end, count) + rng.normal(0, 0.08 * CAP, count)
    high, low = foot - CAP * float(rng.uniform(0.7, 1.0)), foot - CAP * float(rng.uniform(0.0, 0.3))
    y = np.where(np.arange(count) % 2, high, low) + rng.normal(0, 0.08 * CAP, count)
    return [np.column_stack([x, y])]


def _typed_over(rng: Generator, page: Mask, span: tuple[int, int], foot: int, face: Path) -> None:
    """One sign, again and again, from the same machine."""
    drawn = glyph(face, OVER[int(rng.integers(len(OVER)))])
    ink, height = float(rng.uniform(0.5, 1)), page.shape[0]
    step = max(4.0, drawn.advance * float(rng.uniform(0.8, 1.1)))
    for x in np.arange(span[0], span[1] - 0.3 * step, step):
        left, top = round(x + drawn.left), round(foot + drawn.top + rng.normal(0, 0.02 * CAP))
        part = drawn.ink[: max(0, height - top)]
        place = page[max(0, top) : top + part.shape[0], max(0, left) : left + part.shape[1]]
        if place.shape == part.shape:
            np.maximum(place, part.astype(np.float32) * (ink / 255), out=place)


def beside(rng: Generator, old: Written, new: Written) -> Written:
    """A struck line with what was written instead after it, near or so near that they touch."""
    gap = CAP * float(rng.uniform(-0.1, 0.35) if rng.random() < 0.6 else rng.uniform(0.3, 1.2))
    right = int(np.flatnonzero((old.ink > 0.3).any(axis=0))[-1])
    left = int(np.flatnonzero((new.ink > 0.3).any(axis=0))[0])
    shift = max(0, round(right + gap - left))
    page = np.zeros((old.ink.shape[0], max(old.ink.shape[1], new.ink.shape[1] + shift)), np.float32)
    page[:, : old.ink.shape[1]] = old.ink
    rise = round(float(rng.normal(0, 0.05)) * CAP)
    moved = np.roll(new.ink, rise, axis=0)
    place = page[:, shift : shift + moved.shape[1]]
    np.maximum(place, moved, out=place)
    words = tuple((a + shift, b + shift) for a, b in new.words)
    return Written(page, f"{old.says} {new.says}", (*old.words, *words), old.foot)


def stacked(rng: Generator, old: Written, new: Written) -> Written:
    """A struck line with its replacement squeezed in over it. Framed on one of the two, it says that one
    alone; framed on both, first what was struck.
    """
    lift, slide = round(float(rng.uniform(0.6, 1.25)) * CAP), round(float(rng.normal(0.5, 1.2)) * CAP)
    wide = max(old.ink.shape[1], new.ink.shape[1]) + 2 * CAP
    page, upper = (
        np.zeros((old.ink.shape[0], wide), np.float32),
        np.zeros((old.ink.shape[0], wide), np.float32),
    )
    page[:, CAP : CAP + old.ink.shape[1]] = old.ink
    lower = page.copy()
    at = min(max(0, CAP + slide), wide - new.ink.shape[1])
    upper[: upper.shape[0] - lift, at : at + new.ink.shape[1]] = new.ink[lift:]
    np.maximum(page, upper, out=page)
    p = rng.random()
    if p < 0.25:
        return Written(page, f"{old.says} {new.says}", (*old.words, *new.words), old.foot)
    if p < 0.7:
        return Written(page, new.says, new.words, new.foot - lift, upper)
    return Written(page, old.says, old.words, old.foot, lower)
