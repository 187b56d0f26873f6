"""The two ways in which a card is filled in: by a typewriter of any face, and by hand."""

from __future__ import annotations

from random import Random
from typing import Protocol

from .sheet import Glyph, Sheet, Typewriter, font, hull


class Writer(Protocol):
    """Whoever fills a card in."""

    pitch: float
    high: float

    def wide(self, text: str) -> float:
        """How far a text runs, in pixels of the sheet."""
        ...

    def write(self, x: float, y: float, text: str, ink: float) -> list[Glyph]:
        """Write a text from x on the baseline y."""
        ...


class Machine:
    """A typewriter."""

    def __init__(self, sheet: Sheet, face: str, rng: Random, per_inch: float) -> None:
        self.machine = Typewriter(sheet, face, rng, per_inch=per_inch, worn=rng.uniform(0.5, 1.5))
        self.pitch, self.high = self.machine.pitch, self.machine.pitch * 1.15

    def wide(self, text: str) -> float:
        """Fixed pitch."""
        return len(text) * self.pitch

    def write(self, x: float, y: float, text: str, ink: float) -> list[Glyph]:
        """Type."""
        return self.machine.type(x, y, text, ink=ink)


class Pen:
    """A hand: letters of one face, no two of quite the same size, on a line that wanders."""

    def __init__(self, sheet: Sheet, face: str, rng: Random, high: float) -> None:
        self.sheet, self.face, self.rng = sheet, face, rng
        top = -font(face, 100.0).getbbox("8", anchor="ls")[1]
        self.size, self.high = round(high * 100 / max(20.0, top), 1), high
        self.pitch = self.wide("0123456789") / 10
        self.slope, self.loose = rng.gauss(0, 0.008), rng.uniform(0.6, 1.4)

    def wide(self, text: str) -> float:
        """By the letters' own widths."""
        return float(font(self.face, self.size).getlength(text)) * 1.04

    def write(self, x: float, y: float, text: str, ink: float) -> list[Glyph]:
        """Write by hand: joined faces stay joined, since letters keep their widths."""
        glyphs, at, drift = [], x, self.rng.gauss(0, 0.6)
        for char in text:
            drift += self.rng.gauss(0, 0.35) * self.loose
            size = round(self.size * (1 + self.rng.gauss(0, 0.02) * self.loose), 1)
            level = y + drift + self.slope * (at - x)
            glyphs.append(
                Glyph(
                    at, level, char, self.face, size, min(1.0, ink * self.rng.uniform(0.88, 1.05)), typed=True
                )
            )
            at += float(font(self.face, self.size).getlength(char)) * (
                1 + self.rng.gauss(0, 0.012) * self.loose
            )
        self.sheet.glyphs += [g for g in glyphs if g.char != " "]
        return glyphs


def box_of(glyphs: list[Glyph]) -> tuple[float, float, float, float]:
    """The hull of what was written."""
    return hull([g for g in glyphs if g.char != " "])
