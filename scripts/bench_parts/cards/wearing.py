"""How the bench's cards look and how they came into the computer: three levels of wear, and a telephone's
camera.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Any, Final

import cv2
import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from corpus.look import STAMPS, TINTS, Look
from corpus.render import Colour, Grey, pen_ink, printed_ink, soft, typed_ink
from corpus.scanning import placing, scanned
from corpus.sheet import PPI, Sheet
from corpus.wear import cloud, shape_of_card, worn_sheet

LEVELS: Final = ("clean", "worn", "poor")
Picture = NDArray[np.uint8]
Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture of one or more cards, red-green-blue, and for each card where its pixels went."""

    picture: Picture
    places: tuple[Matrix, ...]


def look_of(level: str, rng: Random) -> Look:
    """The wear of a level, drawn at random."""
    tint = rng.choice(tuple(TINTS))
    if level == "clean":
        return Look(
            tint=tint,
            fade=rng.uniform(0.9, 1.0),
            stains=0,
            foxing=4,
            skew=rng.gauss(0, 0.4),
            dpi=300,
            noise=0.004,
            light=0.02,
            quality=88,
            bed=rng.choice((0.95, 0.2)),
        )
    if level == "worn":
        return Look(
            tint=tint,
            ribbon=rng.choice(("black", "blue-black", "purple")),
            fade=rng.uniform(0.65, 0.95),
            clog=rng.choice((0.0, 0.4, 0.9)),
            dry=rng.uniform(0.05, 0.28),
            stains=rng.choice((0, 1, 2, 3)),
            ring=rng.random() < 0.15,
            damp=rng.random() < 0.2,
            foxing=rng.choice((0, 15, 50)),
            fold=rng.random() < 0.15,
            tape=rng.random() < 0.1,
            clip=rng.random() < 0.15,
            ticks=rng.random() < 0.2,
            smudge=rng.random() < 0.2,
            show_through=rng.choice((0.0, 0.0, 0.06)),
            holes=rng.choice(("left", "treasury", "")),
            stamp=rng.choice(STAMPS) if rng.random() < 0.3 else "",
            stamp_ink=rng.choice(("red", "violet", "blue")),
            torn=rng.random() < 0.15,
            skew=max(-4.0, min(4.0, rng.gauss(0, 1.6))),
            perspective=rng.choice((0.0, 0.006)),
            dpi=rng.choice((200, 250, 300)),
            blur=rng.uniform(0.6, 1.1),
            noise=rng.uniform(0.006, 0.014),
            quality=76,
            bed=rng.choice((0.1, 0.22, 0.95)),
            grey=rng.random() < 0.2,
        )
    return Look(
        tint=tint,
        ribbon=rng.choice(("black", "blue-black", "purple")),
        fade=rng.uniform(0.45, 0.7),
        dry=rng.uniform(0.1, 0.3),
        clog=rng.choice((0.0, 0.5)),
        stains=rng.choice((1, 2, 3)),
        damp=rng.random() < 0.4,
        foxing=rng.choice((10, 40)),
        fold=rng.random() < 0.2,
        show_through=rng.choice((0.06, 0.12)),
        skew=max(-5.0, min(5.0, rng.gauss(0, 2.2))),
        perspective=rng.uniform(0.008, 0.025),
        dpi=rng.choice((150, 150, 175, 200)),
        blur=rng.uniform(0.9, 1.35),
        noise=rng.uniform(0.015, 0.03),
        light=rng.uniform(0.06, 0.14),
        quality=50,
        bed=rng.choice((0.1, 0.22, 0.95)),
        stamp=rng.choice(STAMPS) if rng.random() < 0.2 else "",
        grey=rng.random() < 0.3,
        tones=64,
    )


def worn(sheet: Sheet, look: Look, rng: Generator) -> tuple[Colour, Grey]:
    """A sheet with its years, and where there is card."""
    colour = worn_sheet(rng, look, printed_ink(sheet), typed_ink(sheet), pen_ink(sheet))
    return colour, shape_of_card(rng, (sheet.height, sheet.width), look)


def scan(sheet: Sheet, look: Look, rng: Generator) -> Shot:
    """A card on the scanner."""
    place = placing(rng, sheet.width, sheet.height, look)
    colour, card = worn(sheet, look, rng)
    return Shot(scanned(rng, colour, card, place, look), (place[0],))


def turned(shot: Shot, quarters: int) -> Shot:
    """The same picture turned clockwise by so many quarters."""
    picture, places = shot.picture, shot.places
    for _ in range(quarters % 4):
        high = picture.shape[0]
        turn = np.array(((0, -1, high - 1), (1, 0, 0), (0, 0, 1)), dtype=np.float64)
        picture = np.ascontiguousarray(np.rot90(picture, -1))
        places = tuple(turn @ place for place in places)
    return Shot(picture, places)


def photograph(sheets: list[Sheet], looks: list[Look], rng: Generator, long_side: int = 3000) -> Shot:
    """Cards on a dark desk, one under the other, taken by hand in the light of a window."""
    width = max(s.width for s in sheets)
    gap = 0.12 * width
    flat_high = sum(s.height for s in sheets) + gap * (len(sheets) + 1)
    flat = np.array(((0, 0), (width * 1.2, 0), (width * 1.2, flat_high), (0, flat_high)), dtype=np.float32)
    scale = long_side / max(width * 1.2, flat_high)
    lean = rng.uniform(-0.045, 0.045, (4, 2)) * width
    seen = ((flat + lean) * scale).astype(np.float32)
    seen -= seen.min(axis=0)
    size = tuple(int(v) for v in np.ceil(seen.max(axis=0)))
    camera = np.asarray(cv2.getPerspectiveTransform(flat, seen), dtype=np.float64)
    grain = cloud(rng, (size[1], size[0]), 60) * 0.02
    picture = np.asarray(
        (0.16 + grain)[..., None] * np.array((1.0, 0.78, 0.6), dtype=np.float32), dtype=np.float32
    )
    places, top = [], gap
    for sheet, look in zip(sheets, looks, strict=True):
        angle = np.deg2rad(float(rng.uniform(-3, 3)))
        left = 0.1 * width + float(rng.uniform(0, 0.08)) * width
        put = np.array(
            ((np.cos(angle), -np.sin(angle), left), (np.sin(angle), np.cos(angle), top), (0, 0, 1)),
            dtype=np.float64,
        )
        place = camera @ put
        picture = _laid_on(picture, worn(sheet, look, rng), place, size)
        places.append(place)
        top += sheet.height + gap
    return Shot(_seen_by_camera(picture, rng, scale), tuple(places))


def _laid_on(picture: Colour, card: tuple[Colour, Grey], place: Matrix, size: tuple[int, ...]) -> Colour:
    colour, there = card
    small = soft(colour, max(0.4, 0.35 * PPI / 200))
    laid = np.asarray(cv2.warpPerspective(small, place, size[:2], flags=cv2.INTER_LINEAR), dtype=np.float32)
    on = np.asarray(cv2.warpPerspective(there, place, size[:2], flags=cv2.INTER_LINEAR), dtype=np.float32)
    shadow = 1 - 0.5 * soft(on, 14.0)
    return np.asarray(
        picture * shadow[..., None] * (1 - on[..., None]) + laid * on[..., None], dtype=np.float32
    )


def _seen_by_camera(picture: Colour, rng: Generator, scale: float) -> Picture:
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
