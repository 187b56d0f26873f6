"""What sixty years, a leaking roof and many hands do to a sheet."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.random import Generator
from PIL import Image, ImageDraw

from .look import INKS, STAMP_INKS, TINTS, Look
from .render import Colour, Grey, as_grey, ink_on, soft
from .sheet import font, inches

RUST = np.array((0.2, 0.42, 0.6), dtype=np.float32)
TEA = np.array((0.16, 0.25, 0.42), dtype=np.float32)


def cloud(rng: Generator, shape: tuple[int, int], cell: float) -> Grey:
    """Smooth noise of mean 0 and deviation about 1 whose patches are about `cell` pixels wide."""
    small = (max(2, round(shape[0] / cell) + 2), max(2, round(shape[1] / cell) + 2))
    coarse = rng.standard_normal(small).astype(np.float32)
    return np.asarray(
        cv2.resize(coarse, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC), dtype=np.float32
    )


def _grain(rng: Generator, shape: tuple[int, int]) -> Grey:
    fine = soft(rng.standard_normal(shape).astype(np.float32), 0.9)
    fibres = soft(rng.standard_normal(shape).astype(np.float32), 4.0, 0.8)
    return np.asarray(1.8 * fine + 1.6 * fibres, dtype=np.float32)


def blank(rng: Generator, shape: tuple[int, int], look: Look) -> Colour:
    """Card stock: its tint, its fibres, its clouds, and edges browned by air and thumbs."""
    tone = (
        1 + 0.012 * cloud(rng, shape, 190) + 0.006 * cloud(rng, shape, 24) + look.grain * _grain(rng, shape)
    )
    rows, columns = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)
    edge = np.minimum(np.minimum(rows, shape[0] - rows), np.minimum(columns, shape[1] - columns))
    brown = np.exp(-edge / inches(0.3)) * (0.6 + 0.4 * np.clip(cloud(rng, shape, 220), -1, 1))
    sheet = np.array(TINTS[look.tint], dtype=np.float32) * tone[..., None]
    return np.asarray(
        sheet * (1 - brown[..., None] * np.array((0.06, 0.10, 0.17), dtype=np.float32)), dtype=np.float32
    )


def _spot(shape: tuple[int, int], x: float, y: float, radius: float) -> tuple[slice, slice, Grey]:
    """A window of the sheet and the distance of its pixels from a point, in radii."""
    reach = round(radius * 1.6)
    top, left = max(0, round(y) - reach), max(0, round(x) - reach)
    bottom, right = min(shape[0], round(y) + reach), min(shape[1], round(x) + reach)
    rows, columns = np.mgrid[top:bottom, left:right].astype(np.float32)
    far = np.hypot(rows - y, columns - x) / radius
    return slice(top, bottom), slice(left, right), np.asarray(far, dtype=np.float32)


def stain(rng: Generator, sheet: Colour, *, ring: bool = False) -> None:
    """The ring of a mug, or a patch: of water with the dark edge that drying leaves, or of grease without."""
    shape = (sheet.shape[0], sheet.shape[1])
    radius = inches(0.75) if ring else inches(float(rng.uniform(0.25, 1.2)))
    x, y = rng.uniform(0, shape[1]), rng.uniform(0, shape[0])
    rows, columns, far = _spot(shape, x, y, radius)
    grease = not ring and rng.random() < 0.5
    if far.size == 0:
        return
    far = far + (0.04 if ring else 0.1) * cloud(rng, (far.shape[0], far.shape[1]), radius / 2.5)
    far += 0.02 * cloud(rng, (far.shape[0], far.shape[1]), radius / 9)
    tide = np.exp(-(((far - 1) / 0.035) ** 2)) * (
        0.7 + 0.3 * cloud(rng, (far.shape[0], far.shape[1]), radius / 2)
    )
    inside = np.clip((1.08 - far) * (2.5 if grease else 6), 0, 1) if not ring else np.zeros_like(far)
    depth = (0.0 if grease else 0.45 if ring else 0.3) * np.clip(tide, 0, 1)
    depth = depth + float(rng.uniform(0.12, 0.3)) * inside
    sheet[rows, columns] *= 1 - depth[..., None] * TEA


def damp_edge(rng: Generator, sheet: Colour) -> None:
    """Water that crept in from one edge and left a tide line."""
    height, width = sheet.shape[:2]
    rows, columns = np.mgrid[0:height, 0:width].astype(np.float32)
    far = (rows, height - rows, columns, width - columns)[int(rng.integers(4))]
    reach = inches(float(rng.uniform(0.35, 0.9)))
    far = far / reach + 0.16 * cloud(rng, (height, width), 260) + 0.03 * cloud(rng, (height, width), 50)
    depth = 0.5 * np.exp(-(((far - 1) / 0.03) ** 2)) + 0.22 * np.clip((1 - far) * 4, 0, 1)
    sheet *= 1 - depth[..., None] * TEA


def foxing(rng: Generator, sheet: Colour, count: int) -> None:
    """Small rust-coloured spots."""
    shape = (sheet.shape[0], sheet.shape[1])
    for _ in range(count):
        x, y = rng.uniform(0, shape[1]), rng.uniform(0, shape[0])
        rows, columns, far = _spot(shape, x, y, rng.uniform(2, 10))
        depth = np.clip(1.2 - far, 0, 1) * rng.uniform(0.1, 0.45)
        sheet[rows, columns] *= 1 - depth[..., None] * RUST


def clip_rust(rng: Generator, sheet: Colour) -> None:
    """The outline that a paper clip rusted into the top edge."""
    page = Image.new("L", (sheet.shape[1], sheet.shape[0]), 0)
    draw = ImageDraw.Draw(page)
    x, wide, long = round(rng.uniform(0.1, 0.85) * sheet.shape[1]), 38, round(inches(0.85))
    draw.rounded_rectangle((x, -60, x + wide, long), radius=19, outline=210, width=6)
    draw.rounded_rectangle((x + 8, -60, x + wide - 9, round(long * 0.72)), radius=11, outline=190, width=6)
    mark = soft(as_grey(page), 3.0)
    mark = mark * np.clip(0.75 + 0.5 * cloud(rng, (sheet.shape[0], sheet.shape[1]), 30), 0.1, 1.2)
    sheet *= 1 - 0.8 * mark[..., None] * RUST


def tape(rng: Generator, sheet: Colour) -> None:
    """A strip of gummed tape gone yellow, across a tear at the edge."""
    height, width = sheet.shape[:2]
    high, y = round(inches(0.5)), round(rng.uniform(0.1, 0.85) * height)
    long = round(inches(float(rng.uniform(0.6, 1.1))))
    left = 0 if rng.random() < 0.5 else width - long
    window = sheet[y : y + high, left : left + long]
    veil = 0.55 + 0.1 * cloud(rng, (window.shape[0], window.shape[1]), 40)
    window *= 1 - veil[..., None] * np.array((0.05, 0.12, 0.3), dtype=np.float32)
    window += 0.02


def fold(rng: Generator, sheet: Colour) -> None:
    """A crease from edge to edge: light on one side, dark on the other."""
    height, width = sheet.shape[:2]
    rows, columns = np.mgrid[0:height, 0:width].astype(np.float32)
    where, lean = rng.uniform(0.3, 0.7) * width, rng.uniform(-0.06, 0.06)
    off = columns - where - lean * rows + 2 * cloud(rng, (height, width), 60)
    relief = -0.16 * np.exp(-(((off - 2) / 2.2) ** 2)) + 0.07 * np.exp(-(((off + 4) / 5.0) ** 2))
    sheet *= 1 + relief[..., None]


def ribbon(rng: Generator, ink: Grey, look: Look) -> Grey:
    """Typed ink as it came off the ribbon: patchy, dry in places, spreading a little into the card."""
    shape = (ink.shape[0], ink.shape[1])
    spread = np.minimum(1, soft(ink, 0.8 + look.clog) * (1 + 0.45 * look.clog))
    bands = cv2.resize(cloud(rng, (shape[0], 16), 13), (shape[1], shape[0]), interpolation=cv2.INTER_LINEAR)
    patchy = (
        0.86 + 0.12 * cloud(rng, shape, 90) + 0.10 * cloud(rng, shape, 7) + look.dry * np.minimum(0, bands)
    )
    weave = 1 - 0.3 * np.clip(rng.standard_normal(shape).astype(np.float32) - 0.6, 0, 1.5)
    return np.asarray(np.clip(spread * 1.12 * patchy * weave * look.fade, 0, 1), dtype=np.float32)


def smudged(rng: Generator, ink: Grey) -> Grey:
    """Ink with one patch that a sleeve dragged sideways while it was wet."""
    shape = (ink.shape[0], ink.shape[1])
    dragged = soft(ink, 14.0, 1.2)
    rows, columns, far = _spot(
        shape, rng.uniform(0.2, 0.8) * shape[1], rng.uniform(0.3, 0.6) * shape[0], inches(0.8)
    )
    there = np.zeros(shape, dtype=np.float32)
    there[rows, columns] = np.clip(1.2 - far, 0, 1)
    return np.asarray(np.clip(ink + 0.4 * dragged * there, 0, 1), dtype=np.float32)


def pencil(rng: Generator, shape: tuple[int, int]) -> Grey:
    """Ticks down the margin, from somebody who checked the card against another."""
    page = Image.new("L", (shape[1], shape[0]), 0)
    draw = ImageDraw.Draw(page)
    y = inches(1.5)
    while y < inches(1.5) + rng.uniform(0.4, 0.7) * (shape[0] - inches(1.8)):
        x = inches(0.1) + rng.uniform(-4, 4)
        draw.line(((x, y), (x + 7, y + 11), (x + 22, y - 17)), fill=150, width=3, joint="curve")
        y += inches(0.25) + rng.uniform(-3, 3)
    return soft(as_grey(page), 0.9)


def stamp(rng: Generator, shape: tuple[int, int], words: str) -> Grey:
    """The ink of a rubber stamp: a frame and its words, turned, badly inked."""
    lines, size = words.split("|"), 58.0
    face = font("ArchivoNarrow-Bold", size)
    width = round(max(face.getlength(line) for line in lines) + 70)
    tile = Image.new("L", (width, round(len(lines) * size * 1.15 + 48)), 0)
    draw = ImageDraw.Draw(tile)
    draw.rectangle((5, 5, tile.width - 6, tile.height - 6), outline=255, width=6)
    for n, line in enumerate(lines):
        draw.text((tile.width / 2, 24 + (n + 0.84) * size * 1.12), line, font=face, fill=255, anchor="ms")
    turned = tile.rotate(float(rng.uniform(-14, 14)), resample=Image.Resampling.BICUBIC, expand=True)
    page = Image.new("L", (shape[1], shape[0]), 0)
    x = round(rng.uniform(0.35, 0.98) * (shape[1] - turned.width))
    y = round(rng.uniform(0.3, 0.98) * (shape[0] - turned.height))
    page.paste(turned, (x, y))
    ink = as_grey(page)
    worn = np.clip(0.62 + 0.4 * cloud(rng, shape, 45) + 0.16 * cloud(rng, shape, 5), 0, 0.9)
    return np.asarray(soft(ink, 1.0) * worn, dtype=np.float32)


def shape_of_card(rng: Generator, shape: tuple[int, int], look: Look) -> Grey:
    """1 where there is card, 0 where a hole was punched or a corner torn away."""
    page = Image.new("L", (shape[1], shape[0]), 255)
    draw = ImageDraw.Draw(page)
    for x, y, radius in _holes(shape, look.holes):
        draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=0)
    if look.torn:
        reach, steps = inches(float(rng.uniform(0.15, 0.28))), np.linspace(0, 1, 14)
        ragged = rng.normal(0, 3.2, (14, 2))
        slope = [(shape[1] - reach * t, shape[0] - reach * (1 - t)) for t in steps]
        draw.polygon(
            [(x + dx, y + dy) for (x, y), (dx, dy) in zip(slope, ragged, strict=True)]
            + [(shape[1] + 9, shape[0] + 9)],
            fill=0,
        )
    return as_grey(page)


def _holes(shape: tuple[int, int], where: str) -> list[tuple[float, float, float]]:
    radius = inches(0.115)
    if where == "left":
        return [(inches(0.17), shape[0] / 2 + d * inches(1.57), radius) for d in (-1, 1)]
    return [(inches(0.19), inches(0.16), radius * 0.8)] if where == "treasury" else []


def worn_sheet(rng: Generator, look: Look, printed: Grey, typed: Grey, pen: Grey) -> Colour:
    """The whole sheet with its inks and its years, flat and sharp."""
    shape = (printed.shape[0], printed.shape[1])
    sheet = blank(rng, shape, look)
    if look.show_through:
        back = soft(np.ascontiguousarray((printed + typed)[:, ::-1]), 2.4)
        sheet = ink_on(sheet, np.clip(back, 0, 1) * look.show_through, (0.3, 0.28, 0.25))
    press = soft(printed, 0.7) * (0.92 + 0.08 * cloud(rng, shape, 12))
    sheet = ink_on(sheet, press, (0.20, 0.17, 0.16))
    ink = ribbon(rng, typed, look)
    sheet = ink_on(sheet, smudged(rng, ink) if look.smudge else ink, INKS[look.ribbon])
    sheet = ink_on(sheet, soft(pen, 0.7), (0.12, 0.14, 0.34))
    if look.ticks:
        sheet = ink_on(sheet, pencil(rng, shape), (0.35, 0.35, 0.36))
    if look.stamp:
        sheet = ink_on(sheet, stamp(rng, shape, look.stamp), STAMP_INKS[look.stamp_ink])
    _years(rng, sheet, look)
    return sheet


def _years(rng: Generator, sheet: Colour, look: Look) -> None:
    """Everything that came to the sheet afterwards."""
    for _ in range(look.stains):
        stain(rng, sheet)
    if look.ring:
        stain(rng, sheet, ring=True)
    foxing(rng, sheet, look.foxing)
    for wanted, happen in (
        (look.damp, damp_edge),
        (look.clip, clip_rust),
        (look.fold, fold),
        (look.tape, tape),
    ):
        if wanted:
            happen(rng, sheet)
