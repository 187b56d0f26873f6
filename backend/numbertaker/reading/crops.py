"""Cut boxes of the flat picture out of the scan itself, at the scan's own fineness."""

from __future__ import annotations

import math
from typing import Final

import cv2
import numpy as np

from numbertaker.reading.geometry import Array, Matrix, Picture, Plane, carry
from numbertaker.reading.marks import Box

TALLEST: Final = 96
"""Crops are not made taller than this many pixels: recognisers look at fewer."""


def grown(box: Box, across: float, down: float) -> Box:
    return Box(box.left - across, box.top - down, box.right + across, box.bottom + down)


def corners(box: Box) -> Array:
    return np.array(
        [[box.left, box.top], [box.right, box.top], [box.right, box.bottom], [box.left, box.bottom]],
        np.float64,
    )


def cut_out(scan: Picture, plane: Plane, box: Box) -> Picture:
    """The part of the scan under a box, laid level; outside the scan its edge is repeated."""
    quad = carry(plane.to_scan, corners(box))
    fine = math.dist(quad[0], quad[3]) / max(1.0, box.height)
    scale = min(max(fine, 0.5), TALLEST / max(1.0, box.height))
    wide, high = max(2, round(box.width * scale)), max(2, round(box.height * scale))
    place: Matrix = np.array([[scale, 0, -scale * box.left], [0, scale, -scale * box.top], [0, 0, 1]])
    left, top = np.floor(quad.min(axis=0)).astype(int) - 2
    right, bottom = np.ceil(quad.max(axis=0)).astype(int) + 3
    left, top = max(0, left), max(0, top)
    part = scan[top : max(top + 2, bottom), left : max(left + 2, right)]
    if part.size == 0:
        return np.zeros((2, 2, 3), np.uint8)
    shift: Matrix = np.array([[1.0, 0, left], [0, 1, top], [0, 0, 1]])
    way = place @ plane.to_flat @ shift
    how = cv2.INTER_AREA if scale < fine else cv2.INTER_LINEAR
    if scale < 0.7 * fine:
        part = np.asarray(cv2.GaussianBlur(part, (0, 0), 0.4 * fine / scale), np.uint8)
    return np.asarray(
        cv2.warpPerspective(part, way, (wide, high), flags=how, borderMode=cv2.BORDER_REPLICATE), np.uint8
    )


def on_scan(plane: Plane, boxes: Array) -> tuple[int, int, int, int]:
    """The upright hull on the scan (left, top, width, height) of n × 4 boxes (left, top, right, bottom)."""
    points = np.concatenate([boxes[:, [0, 1]], boxes[:, [2, 1]], boxes[:, [2, 3]], boxes[:, [0, 3]]])
    at = carry(plane.to_scan, points)
    left, top = np.floor(at.min(axis=0)).astype(int)
    right, bottom = np.ceil(at.max(axis=0)).astype(int)
    left, top = max(0, int(left)), max(0, int(top))
    return left, top, max(1, int(right) - left), max(1, int(bottom) - top)
