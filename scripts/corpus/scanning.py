"""How a sheet lay on the scanner, or before a camera, and what that saw."""

from __future__ import annotations

from typing import TypeAlias

import cv2
import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from .look import Look
from .render import Colour, Grey, soft
from .sheet import PPI
from .wear import cloud

Matrix: TypeAlias = NDArray[np.float64]


def placing(rng: Generator, width: int, height: int, look: Look) -> tuple[Matrix, tuple[int, int]]:
    """How the flat sheet lies in the scan: a homography to its pixels, and its width and height."""
    scale = look.dpi / PPI
    margin = look.dpi * rng.uniform(0.14, 0.26, 4) + look.perspective * width * scale
    margin[2:] += abs(np.deg2rad(look.skew)) * width * scale / 2
    size = (
        round(width * scale + margin[0] + margin[1]),
        round(height * scale + margin[2] + margin[3]),
    )
    turn, middle = np.deg2rad(look.skew), np.array((width / 2, height / 2))
    corners = np.array(((0, 0), (width, 0), (width, height), (0, height)), dtype=np.float64)
    rotation = np.array(((np.cos(turn), -np.sin(turn)), (np.sin(turn), np.cos(turn))))
    lean = rng.uniform(-1, 1, (4, 2)) * look.perspective * width
    placed = ((corners - middle) @ rotation.T + middle + lean) * scale + (margin[0], margin[2])
    matrix = cv2.getPerspectiveTransform(corners.astype(np.float32), placed.astype(np.float32))
    return np.asarray(matrix, dtype=np.float64), size


def _warped(picture: NDArray[np.float32], matrix: Matrix, size: tuple[int, int]) -> NDArray[np.float32]:
    return np.asarray(cv2.warpPerspective(picture, matrix, size, flags=cv2.INTER_LINEAR), dtype=np.float32)


def _on_the_bed(rng: Generator, sheet: Colour, card: Grey, look: Look, shape: tuple[int, int]) -> Colour:
    """The placed sheet over the bed, with the thin shadow along its edges."""
    shade = soft(card, look.dpi * 0.02)
    bed = look.bed * (1 - 0.35 * shade) * (1 + 0.03 * cloud(rng, shape, 200))
    return np.asarray(sheet * card[..., None] + (bed * (1 - card))[..., None], dtype=np.float32)


def _spine(sheet: Colour, look: Look) -> Colour:
    """A page darkens towards the spine of its book."""
    far = np.linspace(0, 1, sheet.shape[1], dtype=np.float32)
    return np.asarray(sheet * (1 - look.gutter * np.exp(-far / 0.07))[None, :, None], dtype=np.float32)


def scanned(
    rng: Generator, sheet: Colour, card: Grey, place: tuple[Matrix, tuple[int, int]], look: Look
) -> NDArray[np.uint8]:
    """What the scanner saw: the sheet on its bed, softened, unevenly lit, with the sensor's noise."""
    matrix, size = place
    scale, shape = look.dpi / PPI, (size[1], size[0])
    blur = max(0.35, look.blur / scale * 0.8) if scale < 1 else look.blur
    sheet = soft(_spine(sheet, look), blur)
    picture = _warped(sheet, matrix, size)
    there = _warped(card, matrix, size)
    picture = _on_the_bed(rng, picture, there, look, shape)
    picture *= (1 + look.light * np.clip(cloud(rng, shape, max(shape) / 1.5), -1.2, 1.2))[..., None]
    picture += look.noise * rng.standard_normal((*shape, 1)).astype(np.float32)
    if look.grey:
        grey = np.einsum("yxc,c->yx", picture, np.array((0.3, 0.59, 0.11), dtype=np.float32))
        grey = np.rint(grey * (look.tones - 1)) / (look.tones - 1)
        picture = np.repeat(grey[..., None], 3, axis=2)
    return np.asarray(np.clip(np.rint(picture * 255), 0, 255), dtype=np.uint8)
