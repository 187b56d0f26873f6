"""How good a scan is, and what to do better: fineness, sharpness, glare, and edges that cut the writing
off.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from numbertaker.reading import marks as mk
from numbertaker.reading.geometry import PAPER, Array, Picture, Plane, darkest, lightest
from numbertaker.reading.rulings import Ruling

SMALLEST_CAPITAL: Final = 11
"""Below this height of a capital, in pixels of the scan, readings become doubtful: about 120 dots per inch.
"""
CAPITAL_INCHES: Final = 0.1
"""A typewriter's capital is about a tenth of an inch high (common practice, no source)."""
SOFTEST: Final = 0.35
"""A stroke whose edge takes up more than this share of a capital's height is out of focus."""
GLARING: Final = 0.01
"""More of a card than this, burnt out to white, is glare."""
CUT_LINES: Final = 4
"""So many strokes that run into an edge of the picture are writing or rulings that go on beyond it."""
FEW_LINES: Final = 2
"""So many level rulings will do where the paper ends with the picture."""
AT_BORDER: Final = 0.007
"""A corner so near to the picture's border, as a share of its size, is on it."""
CUT_LETTERS: Final = 10
"""So many letters cut through at the top or foot are a line of writing."""
SHADE: Final = 0.25
"""What is less than this share as deep as the letters is shade."""
NEAR: Final = 60
"""A level ruling that is seen to within so many pixels of the flat picture's edge may run into it."""
SIDES: Final = ("left", "top", "right", "bottom")


@dataclass(frozen=True, slots=True)
class Quality:
    """What was measured of a scan of one card.

    `capital` is the height of a capital in pixels of the scan, `dpi` what that comes to for typewriting,
    `blur` the
    width of a stroke's edge in heights of a capital, `glare` the share of the card burnt out, `cut` the
    sides at
    which writing or rulings run off the picture, `broken` those at which the rulings do.
    """

    capital: float
    dpi: int
    blur: float
    glare: float
    cut: tuple[str, ...]
    broken: tuple[str, ...] = ()

    def numbers(self) -> dict[str, float]:
        """The measures as plain numbers."""
        return {"capital": self.capital, "dpi": float(self.dpi), "blur": self.blur, "glare": self.glare,
                "cut_edges": float(len(self.cut))}  # fmt: skip

    def advice(self) -> tuple[str, ...]:
        """What is wrong with the scan and how to make a better one; nothing where it is good enough."""
        out = []
        if self.capital < SMALLEST_CAPITAL:
            out.append(
                f"The letters are only {self.capital:.0f} pixels high; "
                f"{SMALLEST_CAPITAL} or more are wanted. "
                "Scan the card again at 300 dots per inch."
            )
        if self.blur > SOFTEST:
            out.append(
                "The scan is out of focus: the edges of the strokes take up "
                f"{100 * self.blur:.0f} % of a capital's height, "
                f"and at most {100 * SOFTEST:.0f} % are wanted. "
                "Hold the camera still, or lay the card flat on the glass, and scan it again."
            )
        if self.glare > GLARING:
            out.append(
                f"{100 * self.glare:.0f} % of the card is burnt out to white by glare. "
                "Turn the light away, or tilt the card, and take the picture again."
            )
        if self.cut:
            out.append(
                f"The card runs off the picture at the {' and the '.join(self.cut)}: "
                "writing or rulings reach its edge. "
                "Scan the whole card again."
            )
        return tuple(out)


def look_over(scan: Picture, plane: Plane, level: Sequence[Ruling] = ()) -> Quality:
    """Measure the scan of a card that has been laid flat; `level` are the level rulings found on it."""
    capital = _capital(plane)
    return Quality(
        capital,
        round(capital / CAPITAL_INCHES / 10) * 10,
        _blur(scan, plane),
        _glare(scan, plane),
        *_cut(plane, level, ends_with_picture(plane.outline, scan.shape[:2])),
    )


def _capital(plane: Plane) -> float:
    """The height of a capital in pixels of the scan."""
    way = plane.to_scan[:2, :2] / plane.to_scan[2, 2]
    return float(np.linalg.norm(way @ np.array([0.0, plane.letters.cap])))


def _blur(scan: Picture, plane: Plane) -> float:
    """How far the ink's edges spread: a stroke's depth over its steepest slope, in heights of a capital."""
    from numbertaker.reading.crops import cut_out

    boxes = plane.letters.boxes[plane.letters.boxes[:, 3] > 0.7 * plane.letters.cap]
    widths = []
    for left, top, width, height, _ in boxes[:: max(1, len(boxes) // 40)]:
        box = mk.Box(left - 4, top - 4, left + width + 4, top + height + 4)
        grey = lightest(cut_out(scan, plane, box)).astype(np.float32)
        depth = float(np.percentile(grey, 90) - grey.min())
        slope = float(np.abs(np.diff(grey, axis=1)).max(initial=0.0))
        if depth > 25 and slope > 0:
            widths.append(depth / slope * (box.height / grey.shape[0]) / plane.letters.cap)
    return float(np.median(widths)) if widths else 0.0


def _glare(scan: Picture, plane: Plane) -> float:
    """The share of the card that is burnt out in every channel while the usual paper is not.

    What is white out to the edge of the picture is a white desk or bed, and no glare.
    """
    step = max(1, max(scan.shape[:2]) // 600)
    small = darkest(np.ascontiguousarray(scan[::step, ::step]))
    inside = np.zeros(small.shape, np.uint8)
    cv2.fillPoly(inside, [np.round(np.array(plane.outline) / step).astype(np.int32)], 1)
    if not inside.any() or np.percentile(small[inside > 0], 60) > 243:
        return 0.0
    _, patches, _, _ = cv2.connectedComponentsWithStats((small >= 252).astype(np.uint8))
    rim = np.concatenate([patches[0], patches[-1], patches[:, 0], patches[:, -1]])
    burnt = (patches > 0) & ~np.isin(patches, np.unique(rim)) & (inside > 0)
    return float(burnt.sum() / inside.sum())


def ends_with_picture(outline: Sequence[tuple[float, float]], size: tuple[int, int]) -> str:
    """The side, 'left' or 'right' as the card stands, at which it ends where the picture does, though it lies
    clear of the border at the other; '' for none.

    `outline` are its corners from the top left round, in pixels of the picture; `size` its height and width.
    """
    (a, b, c, d), (height, width) = outline, size
    left, right = (_on_a_border(*side, (width, height)) for side in ((d, a), (b, c)))
    if left == right:
        return ""
    return "left" if left else "right"


def _on_a_border(p: tuple[float, float], q: tuple[float, float], size: tuple[int, int]) -> bool:
    """Whether two points lie on one border of a picture."""
    return any(
        max(p[axis], q[axis]) < AT_BORDER * size[axis]
        or min(p[axis], q[axis]) > (1 - AT_BORDER) * size[axis] - 1
        for axis in (0, 1)
    )


def _cut(plane: Plane, level: Sequence[Ruling], ends: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The sides at which strokes run off the picture, as rulings and words do where a scan is cut through;
    and
    those at which rulings do.

    Rulings that reach one edge and not the one opposite are cut; a ledger's reach both. Two will do at the
    side at which the paper `ends` with the picture.
    """
    cap = plane.letters.cap
    ink = _as_deep_as_writing(plane) & mk.faint_ink(plane.colour, cap)
    height, width = ink.shape
    rim = max(6, int(0.4 * cap))
    strips = (ink[:, 2:rim], ink[2:rim].T, ink[:, width - rim : width - 2], ink[height - rim : height - 2].T)
    least = (CUT_LINES, CUT_LETTERS, CUT_LINES, CUT_LETTERS)
    cut = {
        side
        for side, strip, fewest in zip(SIDES, strips, least, strict=True)
        if _strokes_through(strip, cap) >= fewest
    }
    dark = darkest(plane.colour)
    lines = [r for r in level if r.weight > 0.3]
    left = sum(r.start < NEAR and _reaches(dark, int(r.at)) for r in lines)
    right = sum(r.end > width - NEAR and _reaches(dark[:, ::-1], int(r.at)) for r in lines)
    broken = {
        side
        for side, here, there in (("left", left, right), ("right", right, left))
        if here >= (FEW_LINES if side == ends else CUT_LINES) and there < 0.3 * here
    }
    return tuple(s for s in SIDES if s in cut | broken), tuple(s for s in SIDES if s in broken)


def _as_deep_as_writing(plane: Plane) -> Picture:
    """A mask of what is not much fainter than the letters: the shade along a page's edge is no ink."""
    light = lightest(plane.colour)
    depth = PAPER - float(np.median(light[plane.letters.mask > 0]))
    return np.asarray(light < PAPER - SHADE * depth, np.uint8)


def _reaches(dark: Picture, at: int) -> bool:
    """Whether a level ruling goes on to the left edge of a picture, as dark there as farther in."""
    rim, inner = _depth(dark[:, 3:14], at), _depth(dark[:, 60:120], at)
    return inner > 4 and rim > 0.5 * inner


def _depth(strip: Picture, at: int) -> float:
    """How much darker a level line is than what is above and below it."""
    if not 8 <= at < len(strip) - 8:
        return 0.0
    around = (float(strip[at - 8 : at - 3].mean()) + float(strip[at + 4 : at + 9].mean())) / 2
    return around - float(strip[at - 1 : at + 2].mean())


def _strokes_through(strip: Array, cap: float) -> int:
    """How many separate strokes, none longer than a letter is high, cross a strip along an edge from side
    to side.
    """
    through = (strip.mean(axis=1) > 0.75).astype(np.int8)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], through, [0]])))
    lengths = edges[1::2] - edges[::2]
    return int((lengths < 1.5 * cap).sum())
