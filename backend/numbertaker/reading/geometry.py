"""Lay a scanned card flat: even out its light, then undo skew and perspective.

Everything after this module works on a *flat* picture, in which the lines of writing run
level and the columns upright. The flat picture is small (`WORKING_WIDTH` pixels wide at most);
letters are always cropped out of the scan itself, through `Plane.to_scan`.

Method: the bottoms of letters, the pixels of faint rulings and the starts and ends of text runs are
kept as *points*. A slope (which may change steadily over the page, as it does under
perspective) is good if it gathers the points on few levels: the sum of a power of their
histogram is the greatest (Postl, 'Detection of linear oblique structures', ICPR 1986, with points for
pixels).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, TypeAlias

import cv2
import numpy as np
import numpy.typing as npt

from numbertaker.reading.dotted import in_dotted_lines
from numbertaker.reading.pixels import components, long_runs, marked, reduced, ridges, spread, without

if TYPE_CHECKING:
    from numbertaker.reading.papers import Paper

Picture: TypeAlias = npt.NDArray[np.uint8]
"""Height × width (× 3, blue-green-red): 0 is black."""
Points: TypeAlias = npt.NDArray[np.float64]
Matrix: TypeAlias = npt.NDArray[np.float64]
Array: TypeAlias = npt.NDArray[Any]

WORKING_WIDTH: Final = 1500
PAPER: Final = 245
STEEPEST: Final = 0.1
"""The steepest slope looked for, as a tangent (about 5.7 degrees)."""
SHEAR: Final = 0.035
"""How far the columns may stand off square to the rows."""
MOST_POINTS: Final = 30_000
FEWEST_LETTERS: Final = 12


@dataclass(frozen=True, slots=True)
class Letters:
    """The marks of a picture that have the size of letters: a mask, their boxes, their height.

    `boxes` is n × 5: left, top, width, height, area. `cap` is the height of a capital or figure; `dotted`
    masks the dots of dotted rulings, None where there are none.
    """

    mask: Picture
    boxes: Array
    cap: float
    dotted: Picture | None = None


@dataclass(frozen=True, slots=True)
class Plane:
    """A card laid flat.

    `colour` has its light evened (paper is about 245); `to_flat` maps pixels of the scan to pixels
    of the flat picture. `outline` are the card's corners on the scan, clockwise from top left; `paper` is the
    card very small, its light as it came.
    """

    colour: Picture
    letters: Letters
    to_flat: Matrix
    outline: tuple[tuple[float, float], ...]
    paper: Picture

    @property
    def to_scan(self) -> Matrix:
        """The way back: pixels of the flat picture to pixels of the scan."""
        return np.asarray(np.linalg.inv(self.to_flat), np.float64)

    @property
    def turned(self) -> float:
        """Degrees clockwise by which the card stands off upright, at its middle."""
        height, width = self.colour.shape[:2]
        a, b = carry(self.to_scan, np.array([[width * 0.4, height / 2], [width * 0.6, height / 2]]))
        return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))


def carry(matrix: Matrix, points: Array) -> Points:
    """Map n × 2 points through a homography."""
    p = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(p[:, :2] / p[:, 2:], dtype=np.float64)


def darkest(colour: Picture) -> Picture:
    """The least of the channels: coloured rulings and inks show dark on it."""
    blue, green, red = cv2.split(colour)
    return np.asarray(cv2.min(cv2.min(blue, green), red), np.uint8)


def lightest(colour: Picture) -> Picture:
    """The greatest of the channels: coloured stamps and stains fade on it."""
    blue, green, red = cv2.split(colour)
    return np.asarray(cv2.max(cv2.max(blue, green), red), np.uint8)


def even_light(colour: Picture) -> tuple[Picture, Picture]:
    """Divide by the local paper; give the evened picture and the mask of what is not paper (the scanner's
    bed).
    """
    height, width = colour.shape[:2]
    small = cv2.resize(colour, (max(8, width // 8), max(8, height // 8)), interpolation=cv2.INTER_AREA)
    ground: Array = cv2.medianBlur(cv2.morphologyEx(small, cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8)), 9)
    light = lightest(np.asarray(ground, np.uint8))
    bed: Array = (light < 0.55 * np.percentile(light, 75)).astype(np.uint8)
    bed = cv2.dilate(
        cv2.morphologyEx(bed, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8)), np.ones((3, 3), np.uint8)
    )
    bed = cv2.resize(bed, (width, height), interpolation=cv2.INTER_NEAREST)
    ground = cv2.resize(ground, (width, height), interpolation=cv2.INTER_LINEAR)
    even = np.asarray(cv2.divide(colour, np.maximum(ground, 1), scale=PAPER), np.uint8)
    if bed.any():
        even[bed > 0] = PAPER
    return even, np.asarray(bed, np.uint8)


def ink_mask(grey: Picture, window: int, depth: float = 0.14) -> Picture:
    """Marks darker than their surroundings by `depth` of the paper and by three times its grain."""
    soft, around = cv2.GaussianBlur(grey, (3, 3), 0), cv2.blur(grey, (window, window))
    _, grain = spread(np.asarray(soft))
    # of whole numbers a difference is greater than a bound where it is greater than the bound's whole part
    least = int(max(depth * PAPER * 0.5, 3 * grain))
    _, deep = cv2.threshold(cv2.subtract(around, soft), least, 1, cv2.THRESH_BINARY)
    _, dark = cv2.threshold(soft, math.ceil(PAPER * (1 - depth)) - 1, 1, cv2.THRESH_BINARY_INV)
    return np.asarray(cv2.min(deep, dark), np.uint8)


def without_long_strokes(ink: Picture, tall: int, wide: int) -> Picture:
    """Take rulings out of a mask: strokes longer than any letter's."""
    upright = cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((tall, 1), np.uint8))
    level: Array = long_runs(ink, wide)
    upright = cv2.dilate(upright, np.ones((1, 3), np.uint8))
    level = cv2.dilate(level, np.ones((3, 1), np.uint8))
    return np.asarray(cv2.subtract(ink, cv2.max(upright, level)), np.uint8)


def find_letters(ink: Picture) -> Letters | None:
    """Keep the marks that can be letters; None where there are too few to speak of writing."""
    height, width = ink.shape
    labels, stats = components(ink)
    count = len(stats)
    w, h, area = stats[:, 2], stats[:, 3], stats[:, 4]
    long_side = max(height, width)
    fit = (h > max(4, 0.004 * long_side)) & (h < 0.05 * long_side) & (w < 0.09 * long_side) & (area > 6)
    fit &= (w < 12 * h) & (h < 9 * np.maximum(w, 1)) & (np.arange(count) > 0)
    fit &= (
        (stats[:, 0] > 3) & (stats[:, 1] > 3) & (stats[:, 0] + w < width - 3) & (stats[:, 1] + h < height - 3)
    )
    dots = np.concatenate([[False], in_dotted_lines(stats[1:], long_side)])
    fit &= ~dots
    if fit.sum() < FEWEST_LETTERS:
        return None
    heights = h[fit]
    cap = float(np.percentile(heights[heights > 0.7 * np.median(heights)], 60))
    fit &= (h > 0.3 * cap) & (h < 2.6 * cap)
    dotted = marked(labels, dots) if dots.any() else None
    return Letters(marked(labels, fit), stats[fit].astype(np.float64), cap, dotted)


class _Gathering:
    """How well points gather on few levels, for one slope after another; what is needed for that is kept,
    since hundreds are tried.
    """

    def __init__(self, at: Points, across: Points, weight: Points, length: int) -> None:
        # in cells of two pixels, counted from a fifth of the picture before its edge
        self.at, self.across, self.weight = 0.5 * at + 0.1 * length, 0.5 * across, weight
        self.changing = (at / length - 0.5) * self.across
        self.most, self.widest = 0.7 * length, float(np.abs(self.across).max(initial=0.0))
        self.level, self.cells = np.empty(len(at)), np.empty(len(at), np.int64)

    def best(self, slopes: Array, trends: Iterable[float]) -> tuple[float, float]:
        """The slope, and how it changes down the page, under which they gather best; the first of equals."""
        reach = float(np.abs(slopes).max()) * self.widest
        tried = [
            (self._under(at, a, beyond=beyond), float(a), float(b))
            for b, at, beyond in self._bent(trends, reach)
            for a in slopes
        ]
        most = max(value for value, _, _ in tried)
        return min((a, b) for value, a, b in tried if value == most)

    def _bent(self, trends: Iterable[float], reach: float) -> Iterator[tuple[float, Points, bool]]:
        """The points for each change of slope, and whether a slope may take some of them out of the cells."""
        for b in trends:
            at = self.at - b * self.changing if b else self.at
            yield b, at, bool(len(at) and (at.min() < reach or at.max() + reach > self.most))

    def _under(self, at: Points, slope: float, *, beyond: bool) -> float:
        """The sum of a power of the levels' histogram."""
        np.multiply(self.across, slope, out=self.level)
        np.subtract(at, self.level, out=self.level)
        if beyond:
            np.clip(self.level, 0.0, self.most, out=self.level)
        np.copyto(self.cells, self.level, casting="unsafe")
        hist = np.bincount(self.cells, weights=self.weight)
        smooth = np.convolve(hist, (0.25, 0.5, 0.25), "same")
        # less than squares: one long crease must not outweigh all columns of writing
        return float((smooth * np.sqrt(smooth)).sum())


def best_trend(
    at: Points, across: Points, weight: Points, *, length: int, width: int, steepest: float = STEEPEST
) -> tuple[float, float]:
    """The slope a + b (at / length - 1/2) of lines that gathers points best.

    `at` is the coordinate that the lines should share, `across` the one along them, from the middle.
    """
    points, fine = _Gathering(at, across, weight, length), 2.0 / width
    a, _ = points.best(np.arange(-steepest, steepest, 1.5 * fine), (0.0,))
    a, b = points.best(a + fine * np.arange(-6, 7, 1.5), np.linspace(-0.04, 0.04, 11))
    return points.best(a + fine * np.arange(-1.5, 1.6, 0.5), b + 0.002 * np.arange(-3, 4))


def _thin(points: Points, weight: Points) -> tuple[Points, Points]:
    step = max(1, len(points) // MOST_POINTS)
    return points[::step], weight[::step]


def row_points(letters: Letters) -> tuple[Points, Points]:
    """The feet of the letters, and their widths as weights."""
    b = letters.boxes
    points = np.column_stack([b[:, 0] + b[:, 2] / 2, b[:, 1] + b[:, 3]])
    return points, np.minimum(b[:, 2], 2 * letters.cap)


def column_points(dark: Picture, letters: Letters) -> tuple[Points, Points]:
    """Pixels of upright rulings between the letters, and the starts and ends of text runs."""
    strength = ridges(dark)
    mask = np.asarray(cv2.dilate(letters.mask, np.ones((3, 7), np.uint8)), np.uint8)
    strength = without(np.minimum(strength, np.float32(3.5)), mask)
    strong = np.flatnonzero(strength > 2)
    y, x = np.divmod(strong, strength.shape[1])
    rule, rule_weight = _thin(
        np.column_stack([x, y]).astype(np.float64), strength.ravel()[strong].astype(np.float64)
    )
    closed = cv2.morphologyEx(letters.mask, cv2.MORPH_CLOSE, np.ones((3, int(1.5 * letters.cap)), np.uint8))
    _, s = components(np.asarray(closed, np.uint8))
    s = s[1:][s[1:, 3] > 0.5 * letters.cap].astype(np.float64)
    middle = s[:, 1] + s[:, 3] / 2
    starts, ends = np.column_stack([s[:, 0], middle]), np.column_stack([s[:, 0] + s[:, 2], middle])
    weight = np.full(len(s), 2.0 * letters.cap)
    # rulings may speak as loudly as the writing, no louder
    rule_weight *= min(1.0, 1.7 * weight.sum() / max(1.0, rule_weight.sum()))
    return np.vstack([rule, starts, ends]), np.concatenate([rule_weight, weight, 0.7 * weight])


def upright_map(rows: tuple[float, float], columns: tuple[float, float], size: tuple[int, int]) -> Matrix:
    """The homography that makes lines of these slopes level and upright."""
    width, height = size

    def meeting(x: float, y: float) -> tuple[float, float]:
        s = columns[0] + columns[1] * (x / width - 0.5)
        t = rows[0] + rows[1] * (y / height - 0.5)
        down = (y + t * (x - s * height / 2 - width / 2)) / (1 - s * t)
        return x + s * (down - height / 2), down

    corners = [(width * i, height * j) for i, j in ((0.05, 0.05), (0.95, 0.05), (0.95, 0.95), (0.05, 0.95))]
    source = np.array([meeting(x, y) for x, y in corners], np.float32)
    return np.asarray(cv2.getPerspectiveTransform(source, np.array(corners, np.float32)), np.float64)


def _straightening(
    rows: tuple[Points, Points], columns: tuple[Points, Points], size: tuple[int, int]
) -> Matrix:
    """Estimate, apply to the points, estimate what is left: twice is enough."""
    width, height = size
    whole: Matrix = np.eye(3)
    for _ in range(2):
        at = carry(whole, rows[0])
        level = best_trend(at[:, 1], at[:, 0] - width / 2, rows[1], length=height, width=width)
        # A card is nearly a rectangle: lean the columns with the rows before measuring them.
        whole = upright_map(level, (-level[0], 0.0), size) @ whole
        at = carry(whole, columns[0])
        upright = best_trend(
            at[:, 0], at[:, 1] - height / 2, columns[1], length=width, width=height, steepest=SHEAR
        )
        whole = upright_map((0.0, 0.0), upright, size) @ whole
    return whole


def lay_flat(scan: Picture, paper: Paper | None = None) -> Plane | None:
    """Lay a card flat; None where there is no writing to go by.

    `scan` is height × width × 3 (blue-green-red), EXIF orientation applied; `paper` where on it the card
    lies, the
    whole of it by default.
    """
    start, small = _upright(scan, paper)
    even, bed = even_light(small)
    height, width = even.shape[:2]
    window = max(21, width // 45 | 1)
    first = find_letters(without_long_strokes(ink_mask(lightest(even), window), height // 12, width // 16))
    if first is None:
        return None
    turn = _straightening(row_points(first), column_points(darkest(even), first), (width, height))
    flat = np.asarray(
        cv2.warpPerspective(even, turn, (width, height), flags=cv2.INTER_LINEAR, borderValue=(PAPER,) * 3),
        np.uint8,
    )
    ink = ink_mask(lightest(flat), window)
    letters = find_letters(without_long_strokes(ink, int(3 * first.cap), int(5 * first.cap)))
    if letters is None:
        return None
    outline = _outline(bed, np.asarray(np.linalg.inv(start), np.float64), paper)
    tiny = np.asarray(cv2.resize(reduced(small, 4), (32, 24), interpolation=cv2.INTER_AREA), np.uint8)
    return Plane(flat, letters, turn @ start, outline, tiny)


def _upright(scan: Picture, paper: Paper | None) -> tuple[Matrix, Picture]:
    """The map from the scan to the working picture, and that picture: the paper alone, laid upright."""
    if paper is None:
        scale = min(1.0, WORKING_WIDTH / scan.shape[1])
        small = (
            cv2.resize(scan, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else scan
        )
        return np.diag([scale, scale, 1.0]), np.asarray(small, np.uint8)
    way, size = paper.upright(WORKING_WIDTH)
    shrink = min(1.0, 1.3 * size[0] / paper.size()[0])
    before = (
        cv2.resize(scan, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA) if shrink < 1 else scan
    )
    there = way @ np.diag([1 / shrink, 1 / shrink, 1.0])
    laid = cv2.warpPerspective(before, there, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return way, np.asarray(laid, np.uint8)


def _outline(bed: Picture, to_scan: Matrix, paper: Paper | None) -> tuple[tuple[float, float], ...]:
    """The card's corners on the scan: the paper's, or those of what is not bed, or the picture's."""
    if paper is not None and not paper.whole:
        return tuple((round(x, 1), round(y, 1)) for x, y in paper.corners)
    height, width = bed.shape
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    if bed.mean() > 0.02:
        found, _ = cv2.findContours(1 - bed, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
        patch = max(found, key=cv2.contourArea, default=None)
        if patch is not None and cv2.contourArea(patch) > 0.25 * width * height:
            box = np.asarray(cv2.boxPoints(cv2.minAreaRect(patch)))
            corners = np.stack([box[np.argmin(np.abs(box - c).sum(axis=1))] for c in corners])
    return tuple((round(float(x), 1), round(float(y), 1)) for x, y in carry(to_scan, corners))
