"""How the bench's cards look and how they came into the computer: three levels of wear, and a telephone's
camera.
"""

from __future__ import annotations

from random import Random
from typing import Final

import numpy as np
from numpy.random import Generator

from corpus.look import STAMPS, TINTS, Look
from corpus.photographs import Shot, worn
from corpus.scanning import placing, scanned
from corpus.sheet import Sheet

LEVELS: Final = ("clean", "worn", "poor")


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
