"""From ink to a crop as the program cuts it from a scan: paper, rulings, neighbours, years, lens and file.

Three levels, as the bench has them: 0 clean, 1 worn, 2 poor. A crop is height × width × 3, blue-green-red.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, TypeAlias

import cv2
import numpy as np
import numpy.typing as npt
from ink import CAP, Mask, Written
from numpy.random import Generator

Picture: TypeAlias = npt.NDArray[np.uint8]
INKS: Final = (
    (28, 25, 28),
    (60, 30, 26),
    (95, 35, 66),
    (110, 60, 30),
    (70, 40, 40),
    (60, 60, 60),
    (40, 40, 150),
)
STAMPS: Final = ((50, 55, 185), (148, 62, 107), (158, 87, 56), (60, 110, 60))


@dataclass(frozen=True, slots=True)
class Wear:
    """How hard a crop is, drawn from its level: fade and contrast of the ink, letters' height, file."""

    fade: float
    cap: float
    blur: float
    noise: float
    quality: int
    patchy: float
    clog: float

    @classmethod
    def drawn(cls, rng: Generator, level: int) -> Wear:
        def u(*bounds: tuple[float, float]) -> float:
            return float(rng.uniform(*bounds[level]))

        return cls(
            fade=u((0.7, 1), (0.45, 1), (0.27, 0.85)), cap=u((19, 40), (13, 32), (9.5, 23)),
            blur=u((0.2, 0.7), (0.3, 1.0), (0.4, 1.2)), noise=u((0, 3), (1, 6), (1.5, 9)),
            quality=round(u((80, 97), (60, 92), (28, 72))), patchy=u((0, 0.15), (0.05, 0.4), (0.1, 0.65)),
            clog=u((-0.3, 0.6), (-0.6, 1.2), (-0.9, 1.6)),
        )  # fmt: skip


def cloud(rng: Generator, shape: tuple[int, int], patch: float) -> Mask:
    """Smooth noise of mean 0 and deviation about 1; patches are about `patch` pixels wide."""
    small = (max(2, round(shape[0] / patch) + 1), max(2, round(shape[1] / patch) + 1))
    coarse = rng.standard_normal(small, dtype=np.float32)
    how = cv2.INTER_CUBIC if patch > 12 else cv2.INTER_LINEAR
    return np.asarray(cv2.resize(coarse, (shape[1], shape[0]), interpolation=how), np.float32)


def crop_of(rng: Generator, line: Written, level: int, others: list[Mask], *, typed: bool) -> Picture:
    """The crop of a line of ink; `others` are lines that may stand next to it."""
    wear = Wear.drawn(rng, level)
    ink, box = _boxed(rng, line, _ribboned(rng, line.ink, wear, typed=typed))
    sheet = _paper(rng, ink.shape, level)
    if level and rng.random() < 0.15:
        _lay(sheet, 0.12 * cv2.GaussianBlur(_other(rng, others, ink.shape)[:, ::-1], (0, 0), 3), (70, 75, 80))
    form = _rulings(rng, ink, box, level)
    _lay(
        sheet,
        form,
        tuple(float(v) for v in rng.uniform(25, 130) * np.array((1, 1, 1)) + rng.uniform(-20, 20, 3)),
    )
    ours = INKS[int(rng.integers(len(INKS) if rng.random() < 0.4 else 2))]
    _lay(sheet, np.maximum(ink, _neighbours(rng, ink, box, others)) * wear.fade, ours)
    if rng.random() < (0.03, 0.09, 0.12)[level]:
        # a stamp may be of the ribbon's own colour
        _lay(
            sheet,
            _stamp(rng, ink.shape),
            ours if rng.random() < 0.3 else STAMPS[int(rng.integers(len(STAMPS)))],
        )
    _years(rng, sheet, level)
    return _filed(rng, _scanned(rng, sheet, box, wear), wear)


def _ribboned(rng: Generator, ink: Mask, wear: Wear, *, typed: bool) -> Mask:
    """Ink as it came off the ribbon or the nib: filled or thin, patchy, dry in places, spread into the
    card."""
    if wear.clog > 0:
        ink = np.minimum(1, cv2.GaussianBlur(ink, (0, 0), 0.4 + wear.clog) * (1 + 0.5 * wear.clog))
    elif wear.clog < -0.4:
        ink = np.minimum(ink, 0.35 * ink + 0.65 * cv2.erode(ink, np.ones((2, 2), np.uint8)))
    shape = (ink.shape[0], ink.shape[1])
    tone = 1 + wear.patchy * (0.5 * cloud(rng, shape, 50) + 0.5 * cloud(rng, shape, 6))
    if typed and rng.random() < 0.4:
        tone = tone * (1 - 0.35 * np.clip(rng.standard_normal(shape, dtype=np.float32) - 0.5, 0, 1.5))
    if rng.random() < wear.patchy:  # places where the ribbon or the nib was dry
        tone = tone * np.clip(1.3 + 1.2 * cloud(rng, shape, 14), 0.15, 1)
    if rng.random() < 0.12:
        tone = tone * _faded_ends(rng, ink)
    return np.asarray(np.clip(ink * tone, 0, 1), np.float32)


def _faded_ends(rng: Generator, ink: Mask) -> Mask:
    """A line whose first or last letters are faint, as where a ribbon was at its end or a thumb rubbed."""
    ends = _span(ink)
    x, fade = np.arange(ink.shape[1], dtype=np.float32), np.ones(ink.shape[1], np.float32)
    for far, wanted in ((x - ends[0], rng.random() < 0.6), (ends[1] - x, rng.random() < 0.6)):
        if wanted:
            least, reach = float(rng.uniform(0.2, 0.6)), float(rng.uniform(0.5, 2)) * CAP
            fade *= np.clip(least + (1 - least) * (far - 0.4 * CAP) / reach, least, 1).astype(np.float32)
    return fade[None, :]


def _boxed(rng: Generator, line: Written, ink: Mask) -> tuple[Mask, tuple[float, float, float, float]]:
    """The ink with room round it, and the box that the program would have cut: its hull and some paper."""
    seen = (line.ink if line.frame is None else line.frame) > 0.35
    rows, columns = np.flatnonzero(seen.any(axis=1)), np.flatnonzero(seen.any(axis=0))
    if not len(rows):
        rows, columns = np.array([line.foot - CAP, line.foot]), np.array([line.words[0][0], line.words[0][1]])
    across, down = (float(rng.uniform(a, b)) * CAP for a, b in ((0.2, 0.6), (0.12, 0.46)))
    left, right = columns[0] - across, columns[-1] + across * float(rng.uniform(0.7, 1.3))
    if rng.random() < 0.2:  # as wide as the column may be
        left, right = left - float(rng.uniform(0, 1.2)) * CAP, right + float(rng.uniform(0, 1.2)) * CAP
    if rng.random() < 0.07:  # the first or the last letter is cut
        cut = float(rng.uniform(0.0, 0.2)) * CAP
        left, right = (columns[0] + cut, right) if rng.random() < 0.5 else (left, columns[-1] - cut)
    top, bottom = rows[0] - down, rows[-1] + down * float(rng.uniform(0.6, 1.5))
    if rng.random() < 0.06:  # a box that cuts into the writing, or has a line's room too much
        top, bottom = top - float(rng.uniform(-0.2, 0.6)) * CAP, bottom + float(rng.uniform(-0.2, 0.6)) * CAP
    if bottom - top < 0.5 * CAP:
        bottom = top + 0.5 * CAP
    edge = 12
    lo = (max(0, int(top) - edge), max(0, int(left) - edge))
    part = ink[lo[0] : int(bottom) + edge, lo[1] : int(right) + edge]
    return np.ascontiguousarray(part), (left - lo[1], top - lo[0], right - lo[1], bottom - lo[0])


def _lay(sheet: Mask, ink: Mask, colour: tuple[float, ...]) -> None:
    """Ink multiplies: what it keeps back is kept back from what was there."""
    if ink.any():
        sheet *= 1 - ink[:, :, None] * (1 - np.array(colour, np.float32) / 255)


def _paper(rng: Generator, shape: tuple[int, ...], level: int) -> Mask:
    area = (shape[0], shape[1])
    tint = np.array((205, 226, 238), np.float32) + rng.uniform(-28, 14, 3).astype(np.float32)
    tint *= float(rng.uniform(0.72, 1.06))
    tone = 1 + 0.015 * cloud(rng, area, 60) + 0.01 * float(rng.uniform(0, 1 + level)) * cloud(rng, area, 4)
    slope = np.linspace(*rng.uniform(-0.08, 0.08, 2) * (0.4 + 0.5 * level), area[1], dtype=np.float32)
    return np.asarray(np.clip(tint * (tone + slope)[:, :, None], 0, 255), np.float32)


def _other(rng: Generator, others: list[Mask], shape: tuple[int, ...]) -> Mask:
    """Part of another line, on a canvas of this shape."""
    page = np.zeros(shape, np.float32)
    if others:
        other = others[int(rng.integers(len(others)))]
        at = int(rng.integers(max(1, other.shape[1] - shape[1] + 1)))
        part = other[: shape[0], at : at + shape[1]]
        page[: part.shape[0], : part.shape[1]] = part
    return page


def _neighbours(rng: Generator, ink: Mask, box: tuple[float, ...], others: list[Mask]) -> Mask:
    """Tails and heads of the rows above and below, half of a struck figure, the end of a word of the next
    column."""
    page = np.zeros(ink.shape, np.float32)
    if not others:
        return page
    height, width = ink.shape
    edge, span = round(min(box[0], box[1])), _span(ink)
    for last in (True, False):
        if rng.random() < 0.14:
            other = _trimmed(others[int(rng.integers(len(others)))])
            shown = edge + int(rng.uniform(0.05, 0.3 if rng.random() < 0.6 else 0.6) * CAP)
            at = int(rng.integers(max(1, other.shape[1] - width + 1)))
            part = (other[-shown:] if last else other[:shown])[:height, at : at + width]
            place = page[: part.shape[0]] if last else page[height - part.shape[0] :]
            x = int(rng.integers(max(1, width - part.shape[1] + 1)))
            np.maximum(place[:, x : x + part.shape[1]], part, out=place[:, x : x + part.shape[1]])
        if rng.random() < 0.06:
            other = _trimmed(others[int(rng.integers(len(others)))])
            room = (span[0] - edge, width - edge - span[1])[0 if last else 1] / CAP - 0.3
            shown = edge + int(rng.uniform(0.03, max(0.16, room)) * CAP)
            part = (other[:, -shown:] if last else other[:, :shown])[:height, :width]
            y = int(rng.integers(max(1, height - part.shape[0] + 1)))
            place = (
                page[y : y + part.shape[0], : part.shape[1]]
                if last
                else page[y : y + part.shape[0], width - part.shape[1] :]
            )
            np.maximum(place, part, out=place)
    return page


def _span(ink: Mask) -> tuple[float, float]:
    """Where ink begins and ends across."""
    columns = np.flatnonzero((ink > 0.3).any(axis=0))
    return (float(columns[0]), float(columns[-1])) if len(columns) else (0.0, float(ink.shape[1]))


def _trimmed(other: Mask) -> Mask:
    """A line without the empty canvas round it."""
    rows, columns = np.flatnonzero((other > 0.4).any(axis=1)), np.flatnonzero((other > 0.4).any(axis=0))
    return other[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1] if len(rows) else other


def _rulings(rng: Generator, ink: Mask, box: tuple[float, ...], level: int) -> Mask:
    """Rulings beside, under, over and at times through the writing; they run from edge to edge."""
    height, width = ink.shape
    layer, span = np.zeros((height, width), np.uint8), _span(ink)
    thick, deep = int(rng.choice([1, 1, 2, 2, 3, 4])), float(rng.uniform(0.15, 0.95))
    middle, reach = (box[1] + box[3]) / 2, (box[3] - box[1]) / 2
    for chance, low, high in ((0.22, 0.6, 1.1), (0.3, 0.6, 1.1), (0.06, 0.0, 0.6)):
        if rng.random() < chance:
            y = middle + reach * float(rng.uniform(low, high)) * (1 if rng.random() < 0.6 else -1)
            if chance == 0.06:
                deep = min(deep, 0.55)
            lean = float(rng.normal(0, 0.006)) * width
            cv2.line(layer, (-9, round(y - lean)), (width + 9, round(y + lean)), 255, thick, cv2.LINE_AA)
    for edge, room in ((box[0], span[0] - box[0]), (box[2], box[2] - span[1])):
        if rng.random() < 0.15:
            inwards = float(rng.uniform(-0.1, max(0.22, room / CAP - 0.08)))
            x = edge + inwards * CAP * (1 if edge == box[0] else -1)
            cv2.line(
                layer, (round(x), -9), (round(x + rng.normal(0, 1)), height + 9), 255, thick, cv2.LINE_AA
            )
    if level and rng.random() < 0.03:
        cv2.line(
            layer,
            (int(rng.uniform(0, width)), -9),
            (int(rng.uniform(0, width)), height + 9),
            255,
            thick,
            cv2.LINE_AA,
        )
    return layer.astype(np.float32) * (deep / 255)


def _stamp(rng: Generator, shape: tuple[int, ...]) -> Mask:
    layer = np.zeros((shape[0], shape[1]), np.uint8)
    size, lean = float(rng.uniform(1.2, 3.2)), float(rng.uniform(-14, 14))
    words = ["ENTERED", "CHECKED", "COPY", "OFFICE", "CLOSED", "14 OCT 1951"][int(rng.integers(6))]
    at = (int(rng.uniform(-2, 0.6) * CAP), int(rng.uniform(0.4, 1.3) * shape[0]))
    cv2.putText(layer, words, at, cv2.FONT_HERSHEY_SIMPLEX, size, 255, int(3 * size), cv2.LINE_AA)
    turn = cv2.getRotationMatrix2D((shape[1] / 2, shape[0] / 2), lean, 1)
    ink = cv2.warpAffine(layer, turn, (shape[1], shape[0])).astype(np.float32) / 255
    worn = np.clip(
        0.6 + 0.3 * cloud(rng, (shape[0], shape[1]), 20) + 0.2 * cloud(rng, (shape[0], shape[1]), 4), 0, 0.9
    )
    return np.asarray(ink * worn, np.float32)


def _years(rng: Generator, sheet: Mask, level: int) -> None:
    """Stains with a tide line, foxing, a crease."""
    area = (sheet.shape[0], sheet.shape[1])
    if rng.random() < (0.04, 0.15, 0.3)[level]:
        rows, columns = np.mgrid[0 : area[0], 0 : area[1]].astype(np.float32)
        y, x = rng.uniform(-1, 2) * area[0], rng.uniform(-0.5, 1.5) * area[1]
        far = np.hypot(rows - y, columns - x) / float(rng.uniform(1, 6) * CAP) + 0.06 * cloud(rng, area, 30)
        depth = float(rng.uniform(0.05, 0.4)) * np.clip((1 - far) * 6, 0, 1)
        depth += float(rng.uniform(0, 0.5)) * np.exp(-(((far - 1) / 0.04) ** 2))
        sheet *= 1 - depth[:, :, None] * np.array((0.6, 0.4, 0.25), np.float32)
    for _ in range(int(rng.integers(0, 3)) if rng.random() < (0.05, 0.2, 0.3)[level] else 0):
        at = (int(rng.integers(area[1])), int(rng.integers(area[0])))
        dot = np.zeros(area, np.float32)
        cv2.circle(dot, at, int(rng.integers(2, 8)), float(rng.uniform(0.1, 0.5)), -1, cv2.LINE_AA)
        _lay(sheet, cv2.GaussianBlur(dot, (0, 0), 1.5), (60, 90, 130))


def _scanned(rng: Generator, sheet: Mask, box: tuple[float, ...], wear: Wear) -> Picture:
    """What the scanner sees of the box, at its own fineness, the card not quite level under it."""
    scale = wear.cap / CAP
    left, top, right, bottom = box
    wide, high = max(6, round((right - left) * scale)), max(6, round((bottom - top) * scale))
    quad = np.array([[left, top], [right, top], [right, bottom], [left, bottom]], np.float32)
    lean = float(rng.normal(0, 0.008))
    middle = (left + right) / 2
    quad[:, 1] += lean * (quad[:, 0] - middle)
    quad[:, 0] += float(rng.normal(0, 0.02)) * (quad[:, 1] - (top + bottom) / 2)
    quad += rng.normal(0, 0.012 * (bottom - top), quad.shape).astype(np.float32)
    flat = np.array([[0, 0], [wide, 0], [wide, high], [0, high]], np.float32)
    soft = cv2.GaussianBlur(sheet, (0, 0), max(0.3, float(np.hypot(wear.blur, 0.35)) / scale))
    way = cv2.getPerspectiveTransform(quad, flat)
    seen = cv2.warpPerspective(
        soft, way, (wide, high), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    seen += wear.noise * rng.standard_normal(seen.shape[:2], dtype=np.float32)[:, :, None]
    if rng.random() < 0.5:
        seen += 0.5 * wear.noise * rng.standard_normal(seen.shape, dtype=np.float32)
    return np.clip(seen, 0, 255).astype(np.uint8)


def _filed(rng: Generator, seen: Picture, wear: Wear) -> Picture:
    """The picture as it was kept: grey, in two tones or in colour, and through JPEG."""
    p = rng.random()
    if p < 0.22:
        seen = cv2.cvtColor(cv2.cvtColor(seen, cv2.COLOR_BGR2GRAY), cv2.COLOR_GRAY2BGR)
    elif p < 0.26 and wear.cap > 14 and wear.fade > 0.45:
        grey = cv2.cvtColor(seen, cv2.COLOR_BGR2GRAY)
        cut = (float(np.percentile(grey, 80)) + float(np.percentile(grey, 2))) / 2
        return cv2.cvtColor(np.where(grey > cut, 255, 0).astype(np.uint8), cv2.COLOR_GRAY2BGR)
    if rng.random() < 0.15:
        light = rng.uniform(0.75, 1.25)
        seen = np.clip(seen.astype(np.float32) * light + rng.uniform(-12, 12), 0, 255).astype(np.uint8)
    if rng.random() < 0.85:
        _, data = cv2.imencode(".jpg", seen, [cv2.IMWRITE_JPEG_QUALITY, wear.quality])
        seen = np.asarray(cv2.imdecode(data, cv2.IMREAD_COLOR), np.uint8)
    return seen
