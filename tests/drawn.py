"""Small register cards drawn with Pillow alone, for tests of reading."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from PIL import Image, ImageDraw, ImageFont

PAPER: Final = (238, 228, 205)
PRINT: Final = (70, 60, 55)
INK: Final = (35, 35, 60)
WIDTHS: Final = {"REMARKS": 420, "WORKS": 260, "MILES": 300}
STRUCK: Final = "~"
"""A cell written `~68,310|63,210` is struck out, with its replacement beside it."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A card to draw: its head, its columns' titles and its rows, as texts."""

    head: str
    titles: Sequence[str]
    rows: Sequence[Sequence[str]]
    ruled: bool = True


def font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size=size)


def draw(card: Drawing, turn: float = 0.0) -> Image.Image:
    """The card at about 200 dots per inch; `turn` degrees clockwise on a dark desk."""
    widths = [WIDTHS.get(title, 190) for title in card.titles]
    edges = [80 + sum(widths[:i]) for i in range(len(widths) + 1)]
    image = Image.new("RGB", (edges[-1] + 80, 300 + 58 * (len(card.rows) + 2)), PAPER)
    pen = ImageDraw.Draw(image)
    pen.text((90, 70), card.head, font=font(40), fill=PRINT)
    for title, left in zip(card.titles, edges, strict=False):
        pen.text((left + 12, 182), title, font=font(25), fill=PRINT)
    for i, row in enumerate(card.rows):
        for text, left in zip(row, edges, strict=False):
            _write(pen, left + 16, 246 + 58 * i, text)
    if card.ruled:
        bottom = 236 + 58 * (len(card.rows) + 1)
        for x in edges:
            pen.line((x, 165, x, bottom), fill=(120, 110, 105), width=2)
        for y in (165, *range(236, bottom + 1, 58)):
            pen.line((edges[0], y, edges[-1], y), fill=(120, 110, 105), width=2)
    if not turn:
        return image
    return image.rotate(-turn, resample=Image.Resampling.BICUBIC, expand=True, fillcolor=(35, 36, 38))


def _write(pen: ImageDraw.ImageDraw, x: float, y: float, text: str) -> None:
    """Write a cell; one that begins with the sign for struck has its first part struck through."""
    if not text.startswith(STRUCK):
        pen.text((x + (40 if text == '"' else 0), y), text, font=font(32), fill=INK)
        return
    old, _, new = text[1:].partition("|")
    wide = pen.textlength(old, font=font(32))
    pen.text((x, y), old, font=font(32), fill=INK)
    pen.line((x - 6, y + 21, x + wide + 6, y + 19), fill=INK, width=3)
    pen.text((x + wide + 26, y), new, font=font(32), fill=INK)


def as_bytes(image: Image.Image, kind: str = "PNG", **options: object) -> bytes:
    """The picture as a file's bytes."""
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


BOILER_CARD: Final = Drawing(
    "BOILER No. 52",
    ("ENGINE", "FITTED", "REMOVED", "MILES", "WORKS", "REMARKS"),
    (
        ("208", "4.11", "11.13", "68,310", "Brackwith", "New to 208"),
        ('"', "12.13", "2.17", "71,204", '"', ""),
        ("214", "5.17", "w/e 6.3.20", "", "Ostrey", "Half tubes"),
        ("61", "7.20", "9.23", "~65,001|64,001", '"', ""),
        ("", "", "10.23", "", "", "Condemned"),
    ),
)
PRINTED_LIST: Final = Drawing(
    "BOILERS IN USE",
    ("Boiler", "Engine", "Fitted", "Removed", "Miles"),
    (
        ("52", "208", "May 1911", "Nov 1913", "68,310"),
        ('"', "214", "Dec 1913", "Feb 1917", "71,204"),
        ("53", "61", "Jan 1912", "Aug 1914", "40,118"),
        ('"', "208", "Sep 1914", "Oct 1919", "102,441"),
    ),
    ruled=False,
)
