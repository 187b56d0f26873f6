"""Broken files are refused in one sentence; cards with nothing to read give no lines, and the reason."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.drawn import BOILER_CARD, Drawing, as_bytes, draw

from numbertaker.evidence.errors import Unreadable
from numbertaker.reading.card import read_card
from numbertaker.reading.pages import Limits, open_page, page_count
from numbertaker.reading.recognisers import Crop, Reading
from numbertaker.reading.worker import read_job

LOCKED_PDF = b"""%PDF-1.4
1 0 obj <</Type/Catalog/Pages 2 0 R>> endobj
2 0 obj <</Type/Pages/Kids[3 0 R]/Count 1>> endobj
3 0 obj <</Type/Page/Parent 2 0 R/MediaBox[0 0 200 200]>> endobj
4 0 obj <</Filter/Standard/V 1/R 2/P -44/O<OO>/U<UU>>> endobj
trailer <</Root 1 0 R/Encrypt 4 0 R/ID[<00112233445566778899aabbccddeeff><00112233445566778899aabbccddeeff>]>>
%%EOF""".replace(b"OO", b"5a" * 32).replace(b"UU", b"a5" * 32)


class Nobody:
    """A recogniser that sees nothing: enough where no word is to be read."""

    name = "nobody"

    def read(self, crops: list[Crop]) -> list[Reading]:
        """Nothing, for each crop."""
        return [Reading("", 0.0)] * len(crops)


def bomb(width: int, height: int) -> bytes:
    """A tiny PNG that says it is enormous."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 999))
        + chunk(b"IEND", b"")
    )


WHOLE = as_bytes(Image.effect_noise((300, 200), 60).convert("RGB"), "JPEG")


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "empty"),
        (b"no picture at all", "no JPEG, PNG, TIFF, HEIC or PDF"),
        (WHOLE[: len(WHOLE) // 2], "breaks off"),
        (bomb(60_000, 60_000), "pixels"),
        (bomb(14_000, 12_000), "pixels"),
        (b"%PDF-1.7 and then nothing", "damaged"),
        (LOCKED_PDF, "password"),
    ],
    ids=["empty", "text", "truncated", "bomb", "too large", "broken PDF", "locked PDF"],
)
def test_broken_files_are_refused_with_the_reason(data: bytes, why: str) -> None:
    """The message names the file and says what is wrong with it."""
    with pytest.raises(Unreadable, match=f"card.x can't be read: .*{why}"):
        open_page(data, 1, name="card.x")


def test_a_page_that_is_not_there_is_named() -> None:
    """Asking for page 2 of 1 is refused."""
    with pytest.raises(Unreadable, match="page 2 was asked for, and it has 1"):
        open_page(WHOLE, 2)


def test_the_limits_can_be_set() -> None:
    """A named setting decides how much is still opened."""
    with pytest.raises(Unreadable, match="bytes"):
        open_page(WHOLE, 1, limits=Limits(most_bytes=100))


def test_orientation_is_applied() -> None:
    """A picture taken with the camera on its side comes out upright (EXIF 2.3, tag 274, value 6)."""
    exif = Image.Exif()
    exif[274] = 6
    data = as_bytes(Image.new("RGB", (300, 200), "white"), "JPEG", exif=exif)

    assert open_page(data).shape == (300, 200, 3)


def test_pages_of_a_tiff_are_counted_and_opened() -> None:
    """Each page of a TIFF is a picture of its own."""
    pages = [Image.new("L", (60 + i, 50), 200) for i in range(3)]
    data = as_bytes(pages[0], "TIFF", save_all=True, append_images=pages[1:])

    assert page_count(data) == 3
    assert open_page(data, 3).shape == (50, 62, 3)


def test_a_scanned_pdf_gives_its_own_picture() -> None:
    """The embedded picture comes out as it is, not rendered anew."""
    data = as_bytes(Image.new("RGB", (321, 123), (200, 190, 180)), "PDF", resolution=150)

    assert page_count(data) == 1
    assert open_page(data).shape == (123, 321, 3)


@pytest.mark.parametrize("mode", ["1", "L", "RGBA", "I;16", "P", "CMYK"])
def test_every_depth_becomes_colour(mode: str) -> None:
    """One bit, sixteen bits, palettes and transparency all come out as three channels of eight bits."""
    image = Image.new(mode, (40, 30))
    kind = "TIFF" if mode in ("I;16", "CMYK") else "PNG"

    assert open_page(as_bytes(image, kind)).shape == (30, 40, 3)


def test_a_blank_card_has_no_lines_and_says_why() -> None:
    """Nothing is invented where nothing is written."""
    card = read_card(as_bytes(Image.new("RGB", (900, 600), (235, 225, 200))), 1, None, Nobody())  # type: ignore[arg-type]

    assert card.lines == ()
    assert "No writing was found" in card.problems[0]


def test_a_photograph_has_no_lines_and_says_why(tmp_path: Path) -> None:
    """A picture without a table is read as no register card, by the real recogniser too."""
    hills = np.add.outer(np.sin(np.linspace(0, 9, 600)) * 60, np.cos(np.linspace(0, 14, 900)) * 60) + 128
    grain = np.random.default_rng(4).normal(0, 14, (600, 900, 3))
    path = tmp_path / "hills.jpg"
    path.write_bytes(
        as_bytes(Image.fromarray(np.clip(hills[:, :, None] + grain, 0, 255).astype(np.uint8)), "JPEG")
    )
    body = read_job(path, 1)

    assert body["lines"] == []
    assert body["form"] == "none"
    assert body["problems"]


def test_prose_is_no_table(tmp_path: Path) -> None:
    """A letter has rows of words, but no headings that mean a column."""
    path = tmp_path / "letter.png"
    rows = tuple((f"we write to you about the matter of line {i}", "") for i in range(6))
    path.write_bytes(as_bytes(draw(Drawing("Dear Sir,", ("", ""), rows, ruled=False))))
    body = read_job(path, 1)

    assert body["lines"] == []
    assert "headings" in body["problems"][0]


def test_an_empty_form_has_no_lines(tmp_path: Path) -> None:
    """A form on which nobody wrote is recognised, and has no lines."""
    path = tmp_path / "form.png"
    path.write_bytes(as_bytes(draw(Drawing("BOILER No. 52", BOILER_CARD.titles, [[""] * 6] * 5))))
    body = read_job(path, 1)

    assert body["lines"] == []
    assert body["form"] == "component-card"
