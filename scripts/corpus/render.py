"""From a flat sheet to its ink: how much of the paper's light each pixel keeps."""

from __future__ import annotations

from typing import Any, TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from .sheet import Sheet, font

Grey: TypeAlias = NDArray[np.float32]  # 0..1
Colour: TypeAlias = NDArray[np.float32]  # rows, columns, 3; 0..1


def as_grey(page: Image.Image) -> Grey:
    """A picture of one channel as numbers from 0 to 1."""
    return np.asarray(np.asarray(page, dtype=np.float32) / np.float32(255), dtype=np.float32)


def soft(grey: NDArray[Any], sigma: float, sigma_down: float = 0.0) -> NDArray[np.float32]:
    """A picture blurred by a Gaussian; `sigma_down` where it differs from the one across."""
    return np.asarray(cv2.GaussianBlur(grey, (0, 0), sigmaX=sigma, sigmaY=sigma_down), dtype=np.float32)


def printed_ink(sheet: Sheet) -> Grey:
    """How much printer's ink lies on each pixel: rules and printed letters (0..1)."""
    page = Image.new("L", (sheet.width, sheet.height), 0)
    draw = ImageDraw.Draw(page)
    for rule in sheet.rules:
        half = rule.width / 2
        box = (
            min(rule.x0, rule.x1) - half,
            min(rule.y0, rule.y1) - half,
            max(rule.x0, rule.x1) + half,
            max(rule.y0, rule.y1) + half,
        )
        draw.rectangle(tuple(round(v) for v in box), fill=round(255 * rule.ink))
    _letters(draw, sheet, typed=False)
    return as_grey(page)


def typed_ink(sheet: Sheet) -> Grey:
    """How much ribbon ink lies on each pixel (0..1)."""
    page = Image.new("L", (sheet.width, sheet.height), 0)
    _letters(ImageDraw.Draw(page), sheet, typed=True)
    return as_grey(page)


def pen_ink(sheet: Sheet) -> Grey:
    """How much pen ink lies on each pixel (0..1)."""
    page = Image.new("L", (sheet.width, sheet.height), 0)
    draw = ImageDraw.Draw(page)
    for stroke in sheet.strokes:
        draw.line(stroke.points, fill=round(255 * stroke.ink), width=round(stroke.width), joint="curve")
    return as_grey(page)


def _letters(draw: ImageDraw.ImageDraw, sheet: Sheet, *, typed: bool) -> None:
    for glyph in (g for g in sheet.glyphs if g.typed == typed and g.char != " "):
        face = font(glyph.face, glyph.size)
        draw.text((glyph.x, glyph.y), glyph.char, font=face, fill=round(255 * glyph.ink), anchor="ls")


def ink_on(paper: Colour, ink: Grey, colour: tuple[float, float, float]) -> Colour:
    """Paper with ink of a colour on it."""
    keep = 1 - ink[..., None] * (1 - np.array(colour, dtype=np.float32))
    return (paper * keep).astype(np.float32)
