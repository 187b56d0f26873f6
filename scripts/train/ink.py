"""Texts as ink: masks of what a typewriter, a printing press or a hand puts on paper, before paper and years.

A mask is height × width, 0 (none) to 1 (full ink), capitals `CAP` pixels high. Ditto marks are drawn here
too, since what is drawn decides what the recogniser shall say; strike-outs are drawn in `strikes.py`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final, TypeAlias

import content
import cv2
import faces
import numpy as np
import numpy.typing as npt
from numpy.random import Generator
from PIL import Image, ImageDraw, ImageFont
from strokes import Pen

Mask: TypeAlias = npt.NDArray[np.float32]
CAP: Final = 36
ROOM: Final = 2 * CAP
"""Empty canvas over, under and beside a line."""


@dataclass(frozen=True, slots=True)
class Written:
    """A line of ink, what it says, where its words run (left, right), and the height of its foot.

    `frame` is the ink that its crop is cut round, where that isn't all of it.
    """

    ink: Mask
    says: str
    words: tuple[tuple[int, int], ...]
    foot: int
    frame: Mask | None = None


@dataclass(frozen=True, slots=True)
class Glyph:
    ink: npt.NDArray[np.uint8]
    left: int
    top: int
    advance: float


@lru_cache(maxsize=512)
def face(path: Path) -> ImageFont.FreeTypeFont:
    """A face at the size at which its capitals (or, for a flourished hand, its small letters) fit `CAP`."""
    trial = ImageFont.truetype(str(path), 100, layout_engine=ImageFont.Layout.BASIC)
    tall = [b[3] - b[1] for b in (trial.getbbox(s) for s in "HE3")]
    small = [b[3] - b[1] for b in (trial.getbbox(s) for s in "xn")]
    height = min(float(np.median(tall)), 1.75 * float(np.mean(small)))
    return ImageFont.truetype(str(path), 100 * CAP / max(20.0, height), layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=20_000)
def glyph(path: Path, sign: str) -> Glyph:
    """One sign of a face, its ink and where that stands from the pen."""
    drawn = face(path)
    left, top, right, bottom = (int(v) for v in drawn.getbbox(sign, anchor="ls"))
    page = Image.new("L", (max(1, right - left + 2), max(1, bottom - top + 2)), 0)
    ImageDraw.Draw(page).text((1 - left, 1 - top), sign, fill=255, font=drawn, anchor="ls")
    return Glyph(np.asarray(page), left - 1, top - 1, drawn.getlength(sign))


@lru_cache(maxsize=2048)
def knows(path: Path, sign: str) -> bool:
    """Whether a face has a sign: its picture differs from that of a sign no face has."""
    other = glyph(path, "\uffff").ink
    own = glyph(path, sign).ink
    return sign == " " or (own.max() > 0 and not (own.shape == other.shape and bool((own == other).all())))


def _paste(page: Mask, picture: npt.NDArray[np.uint8], x: int, y: int, strength: float) -> None:
    height, width = picture.shape
    if x < 0 or y < 0 or x + width > page.shape[1] or y + height > page.shape[0]:
        return
    place = page[y : y + height, x : x + width]
    np.maximum(place, picture.astype(np.float32) * (strength / 255), out=place)


class Machine:
    """A typewriter or press: its face, pitch, how far its letters stand out of line and how unevenly they
    strike."""

    def __init__(self, rng: Generator, path: Path, *, typed: bool) -> None:
        self.rng, self.path, self.typed = rng, path, typed
        fixed = abs(glyph(path, "i").advance - glyph(path, "W").advance) < 0.1
        pitch = glyph(path, "0").advance * float(rng.uniform(0.92, 1.18))
        self.pitch = pitch if typed and (fixed or rng.random() < 0.4) else 0.0
        self.tracking = (
            0.0 if self.pitch else float(rng.uniform(-0.03, 0.16) if rng.random() < 0.8 else 0.3) * CAP
        )
        self.bent = (
            (float(rng.uniform(0, 0.05)) * CAP, float(rng.uniform(0, 0.075)) * CAP) if typed else (0.2, 0.2)
        )
        self.strike = float(rng.uniform(0.0, 0.35)) if typed else 0.05
        self.habit = {s: rng.normal(0, 1, 3) for s in set(content.SIGNS)}

    def write(self, text: str) -> Written:
        """Type or set a text."""
        wide = (
            int(sum((self.pitch or glyph(self.path, s).advance + self.tracking) for s in text))
            + 2 * ROOM
            + 2 * CAP
        )
        page, foot = np.zeros((2 * ROOM + CAP, wide), np.float32), ROOM + CAP
        x, words, start = float(ROOM), list[tuple[int, int]](), 0
        for i, sign in enumerate(text):
            if sign == " ":
                words.append((start, int(x)))
            else:
                start = int(x) if i == 0 or text[i - 1] == " " else start
                self._strike(page, sign, x, foot)
            x += self.pitch or glyph(self.path, sign).advance + self.tracking
        return Written(page, text, (*words, (start, int(x))), foot)

    def _strike(self, page: Mask, sign: str, x: float, foot: int) -> None:
        drawn, habit = glyph(self.path, sign), self.habit[sign]
        middle = (self.pitch - drawn.advance) / 2 if self.pitch else 0.0
        dx, dy = (
            float(b * (0.7 * h + 0.5 * self.rng.normal())) for b, h in zip(self.bent, habit[:2], strict=True)
        )
        strength = 1 - self.strike * min(1.5, abs(0.5 * float(habit[2]) + float(self.rng.normal()) * 0.6))
        ink = drawn.ink
        if self.typed and self.rng.random() < 0.5 * self.strike:  # a type that struck with one edge only
            fade = np.linspace(1, float(self.rng.uniform(0.2, 0.8)), ink.shape[0])[:, None]
            ink = (ink * (fade if self.rng.random() < 0.5 else fade[::-1])).astype(np.uint8)
        _paste(
            page, ink, round(x + middle + drawn.left + dx), round(foot + drawn.top + dy), max(0.15, strength)
        )


class Hand:
    """A hand after a face: its slant, its weight, how its line and its letters wander."""

    def __init__(self, rng: Generator, path: Path) -> None:
        self.rng, self.path = rng, path
        self.joined = rng.random() < 0.6
        self.slant, self.drift = float(rng.normal(0, 0.14)), float(rng.normal(0, 0.015))
        self.loose = float(rng.uniform(0.0, 0.05)) * CAP
        self.weight = int(rng.choice([-1, 0, 0, 0, 1, 2]))
        self.gap = float(rng.uniform(0.2, 0.7)) * CAP
        self.tracking = float(rng.normal(0.01, 0.05)) * CAP

    def write(self, text: str) -> Written:
        """Write a text, word by word."""
        drawn = face(self.path)
        wide = int(drawn.getlength(text) * 1.25 + 2 * ROOM + (self.gap + CAP) * (text.count(" ") + 2))
        page, foot, words = np.zeros((2 * ROOM + CAP, wide), np.float32), ROOM + CAP, list[tuple[int, int]]()
        x = float(ROOM)
        for word in text.split(" "):
            start = x
            level = foot + self.drift * (x - ROOM) + float(self.rng.normal(0, 0.04)) * CAP
            if self.joined:
                x = self._word(page, word, x, level)
            else:
                for sign in word:
                    part = glyph(self.path, sign)
                    jitter = self.rng.normal(0, self.loose, 2)
                    _paste(
                        page,
                        part.ink,
                        round(x + part.left + jitter[0]),
                        round(level + part.top + jitter[1]),
                        1,
                    )
                    x += part.advance + self.tracking
            words.append((int(start), int(x)))
            x += self.gap
        return Written(wander(self.rng, self._leaning(page), 0.05), text, tuple(words), foot)

    def _word(self, page: Mask, word: str, x: float, level: float) -> float:
        drawn = face(self.path)
        left, top, right, bottom = (int(v) for v in drawn.getbbox(word, anchor="ls"))
        sheet = Image.new("L", (max(1, right - left + 2), max(1, bottom - top + 2)), 0)
        ImageDraw.Draw(sheet).text((1 - left, 1 - top), word, fill=255, font=drawn, anchor="ls")
        _paste(page, np.asarray(sheet), round(x + left), round(level + top), 1)
        return x + drawn.getlength(word)

    def _leaning(self, page: Mask) -> Mask:
        height, width = page.shape
        lean = np.array([[1, -self.slant, self.slant * (ROOM + CAP)], [0, 1, 0]], np.float32)
        page = np.asarray(cv2.warpAffine(page, lean, (width, height)), np.float32)
        kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (3, 3))
        if self.weight > 0:
            return np.asarray(cv2.dilate(page, kernel, iterations=self.weight), np.float32)
        return np.asarray(cv2.erode(page, kernel), np.float32) * 0.5 + page * 0.5 if self.weight else page


def wander(rng: Generator, page: Mask, far: float) -> Mask:
    """Move ink a little to and fro, as no two letters of a hand are alike; `far` in heights of a capital."""
    height, width = page.shape
    shape = (max(2, height // 24), max(2, width // 24))
    shift = [
        cv2.resize(
            rng.normal(0, far * CAP, shape).astype(np.float32), (width, height), interpolation=cv2.INTER_CUBIC
        )
        for _ in range(2)
    ]
    across, down = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    return np.asarray(cv2.remap(page, across + shift[0], down + shift[1], cv2.INTER_LINEAR), np.float32)


def pen_written(rng: Generator, text: str) -> Written:
    """Figures from a pen of ours, on the same canvas as the others."""
    ink = Pen(rng).write(text, CAP)
    page = np.zeros((2 * ROOM + CAP, ink.shape[1] + 2 * CAP), np.float32)
    top = ROOM - round(0.7 * CAP)
    page[top : top + ink.shape[0], : ink.shape[1]] = ink[: page.shape[0] - top]
    columns = np.flatnonzero(page.max(axis=0) > 0.3)
    return Written(wander(rng, page, 0.03), text, ((int(columns[0]), int(columns[-1])),), ROOM + CAP)


def write(rng: Generator, text: str, sort: faces.Sort, chosen: Sequence[Path]) -> Written:
    """A text in one of the faces; signs that the face lacks are left out of what it says."""
    if sort == "hand" and rng.random() < 0.5 and re.fullmatch(r"[\d.,/-]*\d[\d.,/-]*", text):
        return pen_written(rng, text)
    path = chosen[int(rng.integers(len(chosen)))]
    text = " ".join("".join(s for s in text if knows(path, s)).split()) or "1"
    if sort == "hand":
        return Hand(rng, path).write(text)
    return Machine(rng, path, typed=sort == "typed").write(text)


def ditto(rng: Generator, sort: faces.Sort, chosen: Sequence[Path]) -> Written:
    """The marks that say 'the same again': ticks of a machine or a pen, at times between dashes."""
    dashes = rng.random() < 0.15
    if rng.random() < (0.6 if sort != "hand" else 0.5):
        signs = ['"', "''", '"', "''"] if not dashes else ['-"-', '- " -', "-''-"]
        line = write(rng, signs[int(rng.integers(len(signs)))], sort, chosen)
        return Written(line.ink, content.DITTO, line.words, line.foot)
    page, foot = np.zeros((2 * ROOM + CAP, 2 * ROOM + 4 * CAP), np.float32), ROOM + CAP
    layer, thick = np.zeros(page.shape, np.uint8), max(2, round(CAP * float(rng.uniform(0.07, 0.16))))
    long, gap, lean = (float(rng.uniform(a, b)) * CAP for a, b in ((0.2, 0.5), (0.18, 0.4), (-0.1, 0.15)))
    top, x = foot - CAP * float(rng.uniform(0.5, 1.05)), ROOM + CAP
    for k in range(2):
        a = (round(16 * (x + k * gap + lean)), round(16 * top))
        b = (round(16 * (x + k * gap + rng.normal(0, 0.04 * CAP))), round(16 * (top + long)))
        cv2.line(layer, a, b, 255, thick, cv2.LINE_AA, 4)
    for side in (-1, 1) if dashes else ():
        y, begin = round(top + long / 2), round(x + gap / 2 + side * (gap + 0.3 * CAP))
        cv2.line(layer, (begin, y), (begin + side * round(CAP * 0.8), y), 255, thick, cv2.LINE_AA)
    ink = layer.astype(np.float32) / 255
    return Written(ink, content.DITTO, ((x - CAP, x + CAP),), foot)


def nothing(rng: Generator) -> Written:
    """A cell in which nothing is written; what dirt it has comes with the paper."""
    page = np.zeros((2 * ROOM + CAP, 2 * ROOM + round(CAP * float(rng.uniform(0.5, 6)))), np.float32)
    for _ in range(int(rng.integers(0, 4))):
        at = (int(rng.uniform(ROOM, page.shape[1] - ROOM)), int(rng.uniform(ROOM, ROOM + CAP)))
        cv2.circle(page, at, int(rng.integers(1, 5)), float(rng.uniform(0.2, 0.9)), -1, cv2.LINE_AA)
    return Written(page, "", ((ROOM, page.shape[1] - ROOM),), ROOM + CAP)
