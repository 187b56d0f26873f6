"""What a telephone's camera saw: cards on a dark desk, taken by hand in the light of a window."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

import cv2
import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from .look import Look
from .render import Colour, Grey, pen_ink, printed_ink, soft, typed_ink
from .scanning import Matrix
from .sheet import PPI, Sheet
from .wear import cloud, shape_of_card, worn_sheet

Picture = NDArray[np.uint8]
GAP: Final = 0.12  # between the cards, as a share of their width


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture of one or more cards, red-green-blue, and for each card where its pixels went."""

    picture: Picture
    places: tuple[Matrix, ...]


def worn(sheet: Sheet, look: Look, rng: Generator) -> tuple[Colour, Grey]:
    """A sheet with its years, and where there is card."""
    colour = worn_sheet(rng, look, printed_ink(sheet), typed_ink(sheet), pen_ink(sheet))
    return colour, shape_of_card(rng, (sheet.height, sheet.width), look)


@dataclass(slots=True)
class View:
    """How the camera was held over cards that lie one under the other: a homography, the picture's size."""

    width: int
    camera: Matrix
    size: tuple[int, int]
    scale: float
    top: float = field(init=False)

    def __post_init__(self) -> None:
        """Begin at the far side of the desk."""
        self.top = GAP * self.width

    @classmethod
    def over(cls, sheets: list[Sheet], rng: Generator, long_side: int) -> View:
        """A view of the desk with room for some sheets, never quite straight from above."""
        width = max(s.width for s in sheets)
        high = sum(s.height for s in sheets) + GAP * width * (len(sheets) + 1)
        flat = np.array(((0, 0), (width * 1.2, 0), (width * 1.2, high), (0, high)), dtype=np.float32)
        scale = long_side / max(width * 1.2, high)
        lean = rng.uniform(-0.045, 0.045, (4, 2)) * width
        seen = ((flat + lean) * scale).astype(np.float32)
        seen -= seen.min(axis=0)
        across, down = (int(v) for v in np.ceil(seen.max(axis=0)))
        camera = np.asarray(cv2.getPerspectiveTransform(flat, seen), dtype=np.float64)
        return cls(width, camera, (across, down), scale)

    def put(self, sheet: Sheet, rng: Generator) -> Matrix:
        """Lay the next sheet down, a little askew: where its pixels fall in the picture."""
        angle = np.deg2rad(float(rng.uniform(-3, 3)))
        left = 0.1 * self.width + float(rng.uniform(0, 0.08)) * self.width
        put = np.array(
            ((np.cos(angle), -np.sin(angle), left), (np.sin(angle), np.cos(angle), self.top), (0, 0, 1)),
            dtype=np.float64,
        )
        self.top += sheet.height + GAP * self.width
        return np.asarray(self.camera @ put, dtype=np.float64)


def desk(rng: Generator, size: tuple[int, int]) -> Colour:
    """The bare wood."""
    grain = cloud(rng, (size[1], size[0]), 60) * 0.02
    return np.asarray(
        (0.16 + grain)[..., None] * np.array((1.0, 0.78, 0.6), dtype=np.float32), dtype=np.float32
    )


def photograph(sheets: list[Sheet], looks: list[Look], rng: Generator, long_side: int = 3000) -> Shot:
    """Cards on a dark desk, one under the other, taken by hand in the light of a window."""
    view = View.over(sheets, rng, long_side)
    picture, places = desk(rng, view.size), []
    for sheet, look in zip(sheets, looks, strict=True):
        places.append(view.put(sheet, rng))
        picture = laid_on(picture, worn(sheet, look, rng), places[-1], view.size)
    return Shot(seen_by_camera(picture, rng), tuple(places))


def laid_on(picture: Colour, card: tuple[Colour, Grey], place: Matrix, size: tuple[int, ...]) -> Colour:
    """The picture with one more card on it, and its shadow on the desk."""
    colour, there = card
    small = soft(colour, max(0.4, 0.35 * PPI / 200))
    laid = np.asarray(cv2.warpPerspective(small, place, size[:2], flags=cv2.INTER_LINEAR), dtype=np.float32)
    on = np.asarray(cv2.warpPerspective(there, place, size[:2], flags=cv2.INTER_LINEAR), dtype=np.float32)
    shadow = 1 - 0.5 * soft(on, 14.0)
    return np.asarray(
        picture * shadow[..., None] * (1 - on[..., None]) + laid * on[..., None], dtype=np.float32
    )


def seen_by_camera(picture: Colour, rng: Generator) -> Picture:
    """The window's light from one side, a lens that is a little soft, and a sensor's noise."""
    height, width = picture.shape[:2]
    rows, columns = np.mgrid[0:height, 0:width].astype(np.float32)
    way = float(rng.uniform(0, 2 * np.pi))
    across = (columns / width - 0.5) * np.cos(way) + (rows / height - 0.5) * np.sin(way)
    light = 0.82 + float(rng.uniform(0.2, 0.45)) * across
    lit = soft(picture * light[..., None], float(rng.uniform(0.6, 1.1)))
    lit *= np.array((1.0, float(rng.uniform(0.93, 1.0)), float(rng.uniform(0.84, 0.97))), dtype=np.float32)
    lit += rng.standard_normal((height, width, 1)).astype(np.float32) * 0.012
    return np.asarray(np.clip(np.rint(lit * 255), 0, 255), dtype=np.uint8)


def seen_box(place: Matrix, box: Any) -> list[int]:
    """A box of the flat sheet as the upright hull of its corners in the picture: x, y, width, height."""
    x, y, width, height = box
    corners = np.array(((x, y, 1), (x + width, y, 1), (x + width, y + height, 1), (x, y + height, 1))).T
    seen = place @ corners
    xs, ys = seen[0] / seen[2], seen[1] / seen[2]
    left, top = int(np.floor(xs.min())), int(np.floor(ys.min()))
    return [left, top, int(np.ceil(xs.max())) - left, int(np.ceil(ys.max())) - top]


def outline(place: Matrix, sheet: Sheet) -> list[list[int]]:
    """The four corners of a sheet in the picture, clockwise from the top left."""
    w, h = sheet.width, sheet.height
    seen = place @ np.array(((0, 0, 1), (w, 0, 1), (w, h, 1), (0, h, 1))).T
    return [[round(float(x)), round(float(y))] for x, y in (seen[:2] / seen[2]).T]
