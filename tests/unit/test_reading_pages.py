"""A card reads the same however it came into the computer, and what is wrong with a picture is said."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from skimage import data
from tests.drawn import BOILER_CARD, Drawing, as_bytes, draw

from numbertaker.reading.card import read_card, read_picture
from numbertaker.reading.geometry import lay_flat
from numbertaker.reading.pages import LARGE, open_image, open_page
from numbertaker.reading.quality import look_over
from numbertaker.reading.recognisers import Recogniser, choose

Pixels = NDArray[np.uint8]
DESK = (38, 32, 30)


@pytest.fixture(scope="module")
def recogniser() -> Recogniser:
    """One session for all tests of this module."""
    return choose("onnx")


def card() -> Pixels:
    return np.asarray(draw(BOILER_CARD), np.uint8)


def as_pixels(values: NDArray[np.float64]) -> Pixels:
    return np.asarray(np.clip(np.rint(values), 0, 255), np.uint8)


def scaled(by: float) -> Pixels:
    way = cv2.INTER_AREA if by < 1 else cv2.INTER_CUBIC
    return np.asarray(cv2.resize(card(), None, fx=by, fy=by, interpolation=way), np.uint8)


def askew(degrees: float) -> Pixels:
    return np.asarray(draw(BOILER_CARD, turn=degrees), np.uint8)


def in_perspective() -> Pixels:
    """Held in the hand over a dark desk: the far side is a tenth shorter."""
    flat = card()
    height, width = flat.shape[:2]
    corners = np.array(((0, 0), (width, 0), (width, height), (0, height)), np.float32)
    seen = np.array(((0.09, 0.06), (0.93, 0.1), (0.97, 0.95), (0.03, 0.9)), np.float32) * np.float32(
        (width, height)
    )
    camera = cv2.getPerspectiveTransform(corners, seen)
    return np.asarray(cv2.warpPerspective(flat, camera, (width, height), borderValue=DESK), np.uint8)


def in_a_windows_light() -> Pixels:
    """Half as bright on the right as on the left."""
    flat = card().astype(np.float64)
    return as_pixels(flat * np.linspace(1.0, 0.5, flat.shape[1])[None, :, None])


def with_its_back_showing() -> Pixels:
    """Of another card's writing on the back a tenth shows through."""
    flat, back = (
        card().astype(np.float64),
        draw(Drawing("BOILER No. 61", BOILER_CARD.titles, BOILER_CARD.rows[::-1])),
    )
    through = np.asarray(back.transpose(Image.Transpose.FLIP_LEFT_RIGHT), np.float64)
    return as_pixels(flat - 0.1 * (through.max() - through))


def of_two_tones() -> Pixels:
    """As a microfilm reader gave it: black or white."""
    grey = np.asarray(draw(BOILER_CARD).convert("L"))
    return np.asarray(np.where(grey > 150, 255, 0), np.uint8)


def grey() -> Pixels:
    return np.asarray(draw(BOILER_CARD).convert("L"), np.uint8)


@pytest.mark.parametrize(
    "taken",
    [
        lambda: scaled(0.75), lambda: scaled(3.0), lambda: askew(5.0), lambda: askew(-5.0), in_perspective,
        in_a_windows_light, with_its_back_showing, of_two_tones, grey,
    ],
    ids=[
        "at 150 dpi", "at 600 dpi", "5 degrees askew", "5 degrees the other way", "in perspective",
        "in uneven light", "with its back showing", "of two tones", "grey",
    ],
)  # fmt: skip
def test_a_card_reads_the_same_however_it_was_taken(
    recogniser: Recogniser, taken: Callable[[], Pixels]
) -> None:
    """Five lines, every engine, date and mileage where it stands, and whose card it is."""
    read = read_card(as_bytes(Image.fromarray(taken())), 1, None, recogniser)

    assert read.heading["heading"].text == "52"
    assert len(read.lines) == 5
    told = [{name: cell.text for name, cell in line.cells.items()} for line in read.lines]
    assert [line["engine"] for line in told[:4]] == ["208", '"', "214", "61"]
    assert [line["fitted"] for line in told[:4]] == ["4.11", "12.13", "5.17", "7.20"]
    assert [line["miles"] for line in told[:2]] == ["68,310", "71,204"]


@pytest.mark.parametrize("name", ["chelsea", "coffee", "page"], ids=["a cat", "a cup", "a printed page"])
def test_a_picture_of_something_else_gives_the_reason(recogniser: Recogniser, name: str) -> None:
    """No line is invented on scikit-image's pictures, and it is said that none was found, and why."""
    picture = np.asarray(getattr(data, name)())
    colour = picture if picture.ndim == 3 else np.repeat(picture[..., None], 3, axis=2)
    (read,) = read_picture(np.ascontiguousarray(colour[..., ::-1]), None, recogniser)

    assert read.lines == ()
    assert "register line" in read.problems[0]


def test_a_form_that_nobody_knows_is_said_to_be_none(recogniser: Recogniser) -> None:
    """Columns that mean something else are no register line: which headings were looked for is said."""
    unknown = Drawing(
        "STORES ISSUED", ("Bolts", "Washers", "Paint", "Oil"), (("12", "40", "2 gall.", "3 pt."),) * 5
    )
    read = read_card(as_bytes(draw(unknown)), 1, None, recogniser)

    assert read.lines == ()
    assert "'Fitted'" in read.problems[0]


def test_the_fineness_of_a_scan_is_guessed_by_its_letters() -> None:
    """The same card at half the size is told to have half the dots per inch."""
    whole, half = (look_over(scan, plane) for scan in (card(), scaled(0.5)) if (plane := lay_flat(scan)))

    assert half.dpi == pytest.approx(whole.dpi / 2, rel=0.15)


@pytest.mark.parametrize(("kind", "turned"), [("JPEG", 1), ("JPEG", 6), ("JPEG", 3), ("TIFF", 1), ("PNG", 1)])
def test_large_pictures_open_as_small_ones_do(kind: str, turned: int) -> None:
    """Above the size from which they are decoded without Pillow, pixels and orientation are Pillow's."""
    width, height = 6000, LARGE // 6000 + 10
    ramp = np.linspace(0, 255, width, dtype=np.uint8)[None, :, None]
    pixels = np.repeat(np.repeat(ramp, height, axis=0), 3, axis=2)
    pixels[: height // 3, :, 0] = 40
    exif = Image.Exif()
    exif[0x0112] = turned
    file = as_bytes(Image.fromarray(pixels), kind, exif=exif)

    assert (open_page(file) == np.asarray(open_image(file))[:, :, ::-1]).all()
