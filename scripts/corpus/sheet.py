"""A sheet of paper before it is worn: glyphs, rules, and the box of every cell, in its own pixels."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from random import Random
from typing import Final

from PIL import ImageFont

FONTS: Final = Path(__file__).parent / "fonts"
PPI: Final = 250  # of the flat sheet; a scan may be coarser
Box = tuple[float, float, float, float]  # x, y, width, height


@dataclass(frozen=True, slots=True)
class Glyph:
    """One printed or typed letter: where its pen starts, on the baseline, and how much ink it took (0..1)."""

    x: float
    y: float
    char: str
    face: str
    size: float
    ink: float
    typed: bool


@dataclass(frozen=True, slots=True)
class Rule:
    """A ruled line from one point to another."""

    x0: float
    y0: float
    x1: float
    y1: float
    width: float
    ink: float


@dataclass(frozen=True, slots=True)
class Stroke:
    """A pen stroke through something, as the points it passes."""

    points: tuple[tuple[float, float], ...]
    width: float
    ink: float


@dataclass(slots=True)
class Cell:
    """What one cell says and where its ink is; `row` 0 is the heading."""

    row: int
    name: str
    text: str
    box: Box
    marks: str = ""
    struck_box: Box | None = None


@dataclass(slots=True)
class Sheet:
    """The flat sheet."""

    width: int
    height: int
    glyphs: list[Glyph] = field(default_factory=list)
    rules: list[Rule] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    cells: list[Cell] = field(default_factory=list)


@lru_cache(maxsize=64)
def font(face: str, size: float) -> ImageFont.FreeTypeFont:
    """A shipped face at a size in pixels, laid out without any library of the system."""
    return ImageFont.truetype(str(FONTS / f"{face}.ttf"), size, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=4096)
def _ink_box(face: str, size: float, char: str) -> tuple[float, float, float, float]:
    left, top, right, bottom = font(face, size).getbbox(char, anchor="ls")
    return left, top, right, bottom


def hull(glyphs: list[Glyph]) -> Box:
    """The upright box around the ink of some glyphs."""
    boxes = [(g, _ink_box(g.face, g.size, g.char)) for g in glyphs if g.char != " "]
    left = min(g.x + b[0] for g, b in boxes)
    top = min(g.y + b[1] for g, b in boxes)
    right = max(g.x + b[2] for g, b in boxes)
    bottom = max(g.y + b[3] for g, b in boxes)
    return left, top, right - left, bottom - top


def inches(value: float) -> float:
    """Inches as pixels of the flat sheet."""
    return value * PPI


@dataclass(slots=True)
class Press:
    """The printer of the form: even, dark, proportional letters."""

    sheet: Sheet

    def width(self, text: str, face: str, size: float, spacing: float = 0.0) -> float:
        """How far a line of print runs, in pixels."""
        return sum(font(face, size).getlength(c) + spacing for c in text) - (spacing if text else 0)

    def print(
        self,
        x: float,
        y: float,
        text: str,
        face: str,
        size: float,
        *,
        ink: float = 0.86,
        align: float = 0.0,
        spacing: float = 0.0,
    ) -> list[Glyph]:
        """Set a line of print at x (its left end, its middle with align .5, its right end with 1)."""
        pen = x - align * self.width(text, face, size, spacing)
        glyphs = []
        for char in text:
            glyphs.append(Glyph(pen, y, char, face, size, ink, typed=False))
            pen += font(face, size).getlength(char) + spacing
        self.sheet.glyphs += glyphs
        return glyphs

    def rule(
        self, x0: float, y0: float, x1: float, y1: float, *, width: float = 2.0, ink: float = 0.6
    ) -> None:
        """Rule a line."""
        self.sheet.rules.append(Rule(x0, y0, x1, y1, width, ink))


class Typewriter:
    """One machine: fixed pitch, types a little out of line, a ribbon that fades and is changed."""

    def __init__(
        self, sheet: Sheet, face: str, rng: Random, *, per_inch: float = 12.0, worn: float = 1.0
    ) -> None:
        self.sheet, self.face, self.rng, self.worn = sheet, face, rng, worn
        self.pitch = PPI / per_inch
        nominal = font(face, 100).getlength("0") / 100
        self.size = round(self.pitch / nominal, 2)
        # Bent typebars: each letter has its own standing error.
        signs = '0123456789.,/"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz[]-x='
        self.bent = {c: (rng.gauss(0, 0.5) * worn, rng.gauss(0, 0.9) * worn) for c in signs}
        self.faint = {c: rng.uniform(0.82, 1.0) for c in signs}

    def type(self, x: float, y: float, text: str, *, ink: float) -> list[Glyph]:
        """Type a text with its first letter's cell beginning at x and its baseline at y."""
        glyphs = []
        for n, char in enumerate(text):
            dx, dy = self.bent.get(char, (0.0, 0.0))
            strike = min(1.0, ink * self.faint.get(char, 1.0) * self.rng.uniform(0.8, 1.06))
            at = x + n * self.pitch + dx + self.rng.gauss(0, 0.35) * self.worn
            glyphs.append(
                Glyph(
                    at,
                    y + dy + self.rng.gauss(0, 0.4) * self.worn,
                    char,
                    self.face,
                    self.size,
                    strike,
                    typed=True,
                )
            )
        self.sheet.glyphs += [g for g in glyphs if g.char != " "]
        return glyphs
