"""What sixty years, a leaking roof and a scanner do to a sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, TypeAlias

import cv2
import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from .render import Colour, Grey, ink_on
from .sheet import PPI, font, inches

Matrix: TypeAlias = NDArray[np.float64]

TINTS: Final = {
    "buff": (0.93, 0.87, 0.74),
    "cream": (0.95, 0.92, 0.83),
    "green": (0.85, 0.89, 0.79),
    "blue": (0.83, 0.87, 0.89),
    "white": (0.94, 0.93, 0.89),
}
INKS: Final = {"black": (0.11, 0.10, 0.12), "blue-black": (0.10, 0.12, 0.24), "purple": (0.26, 0.13, 0.38)}
STAMP_INKS: Final = {"red": (0.72, 0.22, 0.20), "violet": (0.42, 0.24, 0.58), "blue": (0.22, 0.34, 0.62)}


@dataclass(frozen=True, slots=True)
class Look:
    """How one sheet looks and how it lay on the scanner. Angles in degrees; `dpi` of the scan."""

    tint: str = "buff"
    ribbon: str = "black"
    fade: float = 1.0  # what is left of the ribbon's ink
    grain: float = 0.012
    stains: int = 2
    ring: bool = False
    foxing: int = 20
    fold: bool = False
    holes: str = ""  # 'left', 'top', 'treasury' (one, in a corner) or none
    stamp: str = ""  # the words of a rubber stamp
    stamp_ink: str = "violet"
    torn: bool = False
    skew: float = 0.0
    perspective: float = 0.0  # how far a corner leans, as a share of the width
    dpi: int = 250
    blur: float = 0.6
    noise: float = 0.006
    bed: float = 0.22  # lightness of what shows round the sheet
    light: float = 0.05  # how far the lamp falls off
    quality: int = 72
    grey: bool = False


def cloud(rng: Generator, shape: tuple[int, int], cell: float) -> Grey:
    """Smooth noise of mean 0 and deviation about 1 whose patches are about `cell` pixels wide."""
    small = (max(2, round(shape[0] / cell) + 2), max(2, round(shape[1] / cell) + 2))
    coarse = rng.standard_normal(small).astype(np.float32)
    return np.asarray(cv2.resize(coarse, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC), dtype=np.float32)


def blank(rng: Generator, shape: tuple[int, int], look: Look) -> Colour:
    """Card stock: its tint, its fibres, its clouds, and edges browned by air and thumbs."""
    tone = 1 + 0.016 * cloud(rng, shape, 160) + 0.008 * cloud(rng, shape, 24)
    tone += look.grain * cv2.GaussianBlur(rng.standard_normal(shape).astype(np.float32), (0, 0), 0.9) * 1.8
    rows, columns = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)
    edge = np.minimum(np.minimum(rows, shape[0] - rows), np.minimum(columns, shape[1] - columns))
    brown = np.exp(-edge / inches(0.35)) * (0.6 + 0.4 * np.clip(cloud(rng, shape, 220), -1, 1))
    sheet = np.array(TINTS[look.tint], dtype=np.float32) * tone[..., None]
    return np.asarray(sheet * (1 - brown[..., None] * np.array((0.06, 0.10, 0.17), dtype=np.float32)), dtype=np.float32)


def _spot(shape: tuple[int, int], x: float, y: float, radius: float) -> tuple[slice, slice, Grey]:
    """A window of the sheet and the distance of its pixels from a point, in radii."""
    reach = round(radius * 1.6)
    top, left = max(0, round(y) - reach), max(0, round(x) - reach)
    bottom, right = min(shape[0], round(y) + reach), min(shape[1], round(x) + reach)
    rows, columns = np.mgrid[top:bottom, left:right].astype(np.float32)
    return slice(top, bottom), slice(left, right), np.asarray(np.hypot(rows - y, columns - x) / radius, dtype=np.float32)


def stain(rng: Generator, sheet: Colour, *, ring: bool = False) -> None:
    """A patch of damp, or the ring of a mug, with the darker edge that drying leaves."""
    shape = (sheet.shape[0], sheet.shape[1])
    radius = inches(0.75) if ring else inches(float(rng.uniform(0.3, 1.3)))
    x, y = rng.uniform(0, shape[1]), rng.uniform(0, shape[0])
    rows, columns, far = _spot(shape, x, y, radius)
    if far.size == 0:
        return
    far = far + 0.07 * cloud(rng, (far.shape[0], far.shape[1]), radius / 3)
    tide = np.exp(-(((far - 1) / (0.035 if ring else 0.05)) ** 2))
    inside = np.clip(1.05 - far, 0, 1) ** 0.3 if not ring else np.zeros_like(far)
    depth = (0.5 if ring else 0.35) * tide + float(rng.uniform(0.15, 0.4)) * inside
    sheet[rows, columns] *= 1 - depth[..., None] * np.array((0.16, 0.25, 0.42), dtype=np.float32)


def foxing(rng: Generator, sheet: Colour, count: int) -> None:
    """Small rust-coloured spots."""
    shape = (sheet.shape[0], sheet.shape[1])
    for _ in range(count):
        rows, columns, far = _spot(shape, rng.uniform(0, shape[1]), rng.uniform(0, shape[0]), rng.uniform(3, 11))
        depth = np.clip(1.2 - far, 0, 1) * rng.uniform(0.15, 0.5)
        sheet[rows, columns] *= 1 - depth[..., None] * np.array((0.2, 0.42, 0.6), dtype=np.float32)


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
    spread = cv2.GaussianBlur(ink, (0, 0), 0.8)
    patchy = 0.86 + 0.12 * cloud(rng, shape, 90) + 0.10 * cloud(rng, shape, 7)
    weave = 1 - 0.3 * np.clip(rng.standard_normal(shape).astype(np.float32) - 0.6, 0, 1.5)
    return np.asarray(np.clip(spread * 1.12 * patchy * weave * look.fade, 0, 1), dtype=np.float32)


def stamp(rng: Generator, shape: tuple[int, int], words: str) -> Grey:
    """The ink of a rubber stamp: a frame and its words, turned, badly inked."""
    lines = words.split("|")
    size = 58.0
    face = font("ArchivoNarrow-Bold", size)
    width = round(max(face.getlength(line) for line in lines) + 70)
    tile = Image.new("L", (width, round(len(lines) * size * 1.15 + 48)), 0)
    draw = ImageDraw.Draw(tile)
    draw.rectangle((5, 5, tile.width - 6, tile.height - 6), outline=255, width=6)
    for n, line in enumerate(lines):
        draw.text((tile.width / 2, 24 + (n + 0.84) * size * 1.12), line, font=face, fill=255, anchor="ms")
    turned = tile.rotate(float(rng.uniform(-14, 14)), resample=Image.Resampling.BICUBIC, expand=True)
    page = Image.new("L", (shape[1], shape[0]), 0)
    x = round(rng.uniform(0.45, 0.95) * (shape[1] - turned.width))
    y = round(rng.uniform(0.45, 0.97) * (shape[0] - turned.height))
    page.paste(turned, (x, y))
    ink = np.asarray(page, dtype=np.float32) / 255
    worn = np.clip(0.62 + 0.4 * cloud(rng, shape, 45) + 0.16 * cloud(rng, shape, 5), 0, 0.9)
    return np.asarray(cv2.GaussianBlur(ink, (0, 0), 1.0) * worn, dtype=np.float32)


def shape_of_card(rng: Generator, shape: tuple[int, int], look: Look) -> Grey:
    """1 where there is card, 0 where a hole was punched, a corner rounded or a bit torn away."""
    page = Image.new("L", (shape[1], shape[0]), 255)
    draw = ImageDraw.Draw(page)
    for x, y, radius in _holes(shape, look.holes):
        draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=0)
    if look.torn:
        reach = inches(float(rng.uniform(0.15, 0.24)))
        draw.polygon(((shape[1], shape[0] - reach), (shape[1] - reach * 0.55, shape[0] - reach * 0.4), (shape[1] - reach * 1.3, shape[0]), (shape[1], shape[0])), fill=0)
    return np.asarray(page, dtype=np.float32) / 255


def _holes(shape: tuple[int, int], where: str) -> list[tuple[float, float, float]]:
    height, width = shape
    radius = inches(0.115)
    if where == "left":
        return [(inches(0.2), height / 2 + d * inches(1.57), radius) for d in (-1, 1)]
    if where == "top":
        return [(width / 2 + d * inches(1.57), inches(0.2), radius) for d in (-1, 1)]
    return [(inches(0.26), inches(0.6), radius * 0.8)] if where == "treasury" else []


def worn_sheet(rng: Generator, look: Look, printed: Grey, typed: Grey, pen: Grey) -> Colour:
    """The whole sheet with its inks and its years, flat and sharp."""
    shape = (printed.shape[0], printed.shape[1])
    sheet = blank(rng, shape, look)
    sheet = ink_on(sheet, cv2.GaussianBlur(printed, (0, 0), 0.7) * (0.92 + 0.08 * cloud(rng, shape, 12)), (0.20, 0.17, 0.16))
    sheet = ink_on(sheet, ribbon(rng, typed, look), INKS[look.ribbon])
    sheet = ink_on(sheet, cv2.GaussianBlur(pen, (0, 0), 0.7), (0.12, 0.14, 0.34))
    if look.stamp:
        sheet = ink_on(sheet, stamp(rng, shape, look.stamp), STAMP_INKS[look.stamp_ink])
    for _ in range(look.stains):
        stain(rng, sheet)
    if look.ring:
        stain(rng, sheet, ring=True)
    foxing(rng, sheet, look.foxing)
    if look.fold:
        fold(rng, sheet)
    return sheet


def placing(rng: Generator, width: int, height: int, look: Look) -> tuple[Matrix, tuple[int, int]]:
    """How the flat sheet lies in the scan: a homography from sheet to scan pixels, and the scan's width and height."""
    scale = look.dpi / PPI
    margin = look.dpi * rng.uniform(0.12, 0.24, 4)
    size = (round(width * scale + margin[0] + margin[1]), round(height * scale + margin[2] + margin[3]))
    turn, middle = np.deg2rad(look.skew), np.array((width / 2, height / 2))
    corners = np.array(((0, 0), (width, 0), (width, height), (0, height)), dtype=np.float64)
    rotation = np.array(((np.cos(turn), -np.sin(turn)), (np.sin(turn), np.cos(turn))))
    lean = rng.uniform(-1, 1, (4, 2)) * look.perspective * width
    placed = ((corners - middle) @ rotation.T + middle + lean) * scale + (margin[0], margin[2])
    matrix = cv2.getPerspectiveTransform(corners.astype(np.float32), placed.astype(np.float32))
    return np.asarray(matrix, dtype=np.float64), size


def scan(rng: Generator, sheet: Colour, card: Grey, matrix: Matrix, size: tuple[int, int], look: Look) -> NDArray[np.uint8]:
    """What the scanner saw: the sheet on its bed, softened, unevenly lit, with the sensor's noise."""
    scale = look.dpi / PPI
    soft = max(0.35, look.blur / scale * 0.8) if scale < 1 else look.blur
    sheet = cv2.GaussianBlur(sheet, (0, 0), soft)
    picture = cv2.warpPerspective(sheet, matrix, size, flags=cv2.INTER_LINEAR)
    there = cv2.warpPerspective(card, matrix, size, flags=cv2.INTER_LINEAR)
    shade = cv2.GaussianBlur(there, (0, 0), look.dpi * 0.02)
    shape = (size[1], size[0])
    bed = look.bed * (1 - 0.35 * shade) * (1 + 0.03 * cloud(rng, shape, 200))
    picture = picture * there[..., None] + (bed * (1 - there))[..., None]
    lamp = 1 + look.light * np.clip(cloud(rng, shape, max(shape) / 1.5), -1.2, 1.2)
    picture = picture * lamp[..., None] + look.noise * rng.standard_normal((*shape, 1)).astype(np.float32)
    if look.grey:
        picture = np.repeat(picture @ np.array((0.3, 0.59, 0.11), dtype=np.float32)[:, None], 3, axis=2)
    return np.asarray(np.clip(np.rint(picture * 255), 0, 255), dtype=np.uint8)
