"""Scans over HTTP: the bytes as they came, pages right way up, slips with their paper around them."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageOps

SCANS = Path(__file__).parents[2] / "corpus_demo" / "scans"


def scan_of(client: Any, card_id: str) -> dict[str, Any]:
    """The first page of a card, and its address."""
    page: dict[str, Any] = client.get(f"/api/cards/{card_id}").json()["scans"][0]
    return page | {
        "at": f"/api/scans/{page['sha256']}",
        "page_at": f"/api/scans/{page['sha256']}/{page['page']}",
    }


def opened(data: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(data))
    image.load()
    return image


def test_a_scan_comes_back_byte_for_byte(demo: Any) -> None:
    """What is served is the file as it was taken in, under its own name, and nothing in it runs."""
    answer = demo.get(scan_of(demo, "S1-46")["at"])
    assert answer.content == (SCANS / "boiler-46.jpg").read_bytes()
    assert answer.headers["content-type"] == "image/jpeg"
    assert answer.headers["content-disposition"] == "inline; filename*=UTF-8''boiler-46.jpg"
    assert answer.headers["content-security-policy"].startswith("sandbox; default-src 'none'")


@pytest.mark.parametrize("card_id", ["S4-16", "S3-11"])
def test_what_browsers_do_not_show_is_offered_to_be_kept(demo: Any, card_id: str) -> None:
    """A PDF could hold scripts and a TIFF is not shown: both are downloads of no particular type."""
    answer = demo.get(scan_of(demo, card_id)["at"])
    assert answer.headers["content-type"] == "application/octet-stream"
    assert answer.headers["content-disposition"].startswith("attachment; ")
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_what_a_digest_names_may_be_kept_for_good(demo: Any) -> None:
    """The answer never changes, and is not sent a second time to whoever has it."""
    at = f"{scan_of(demo, 'S1-46')['page_at']}/picture?width=300"
    answer = demo.get(at)
    assert "immutable" in answer.headers["cache-control"]
    again = demo.get(at, headers={"If-None-Match": answer.headers["etag"]})
    assert again.status_code == 304
    assert again.content == b""


@pytest.mark.parametrize(("width", "drawn"), [(400, 400), (4000, 2525)])
def test_a_page_is_drawn_no_wider_than_asked_and_than_it_is(demo: Any, width: int, drawn: int) -> None:
    """A rendition is never made larger than the scan."""
    answer = demo.get(f"{scan_of(demo, 'S1-46')['page_at']}/picture", params={"width": width})
    assert answer.headers["content-type"] == "image/jpeg"
    assert opened(answer.content).width == drawn


@pytest.mark.parametrize("width", ["0", "15", "4001", "wide"])
def test_a_width_out_of_bounds_is_refused(demo: Any, width: str) -> None:
    """The width is bounded, so that no request can ask for more memory than a scan needs."""
    answer = demo.get(f"{scan_of(demo, 'S1-46')['page_at']}/picture", params={"width": width})
    assert answer.status_code == 422
    assert answer.json()["details"][0]["column"] == "width"


def test_a_scan_stored_on_its_side_is_drawn_upright(demo: Any) -> None:
    """EXIF orientation 6 is honoured in the picture and in the size that the card's page gives."""
    scan = scan_of(demo, "S1-51")
    stored = Image.open(SCANS / "boiler-51.jpg")
    assert (scan["width"], scan["height"]) == (stored.height, stored.width)
    drawn = opened(demo.get(f"{scan['page_at']}/picture?width=600").content)
    upright = ImageOps.exif_transpose(stored)
    assert drawn.height == round(upright.height * 600 / upright.width)


@pytest.mark.parametrize(("card_id", "page"), [("S4-17", 2), ("S3-14", 4)])
def test_every_page_of_a_file_can_be_drawn(demo: Any, card_id: str, page: int) -> None:
    """A card that stands on a later page of a PDF or a TIFF shows that page, in the size that is said."""
    scan = scan_of(demo, card_id)
    assert scan["page"] == page
    drawn = opened(demo.get(f"{scan['page_at']}/picture?width=4000").content)
    assert drawn.size == (scan["width"], scan["height"])


def test_a_page_that_a_scan_has_not_got_is_refused(demo: Any) -> None:
    """The message says how many pages there are."""
    answer = demo.get(f"{scan_of(demo, 'S3-11')['at']}/9/picture")
    assert answer.status_code == 422
    assert "page 9 was asked for, and it has 5" in answer.json()["message"]


def test_a_slip_is_the_box_with_paper_around_it(demo: Any) -> None:
    """A slip is cut out of the upright scan at its own fineness."""
    scan = scan_of(demo, "S1-46")
    slip = opened(demo.get(f"{scan['page_at']}/slip?x=232&y=649&w=1552&h=56&pad=8").content)
    assert slip.size == (1552 + 16, 56 + 16)
    whole = opened((SCANS / "boiler-46.jpg").read_bytes()).convert("L").crop((224, 641, 1792, 713))
    difference = sum(abs(a - b) for a, b in zip(whole.tobytes(), slip.convert("L").tobytes(), strict=True))
    assert difference / (slip.width * slip.height) < 4


def test_a_slip_at_the_edge_is_clipped(demo: Any) -> None:
    """A box that reaches beyond the scan gives what there is of it, unstretched."""
    scan = scan_of(demo, "S1-46")
    slip = opened(
        demo.get(f"{scan['page_at']}/slip?x=-50&y={scan['height'] - 30}&w=200&h=500&pad=10").content
    )
    assert slip.size == (160, 40)


def test_a_slip_beside_the_scan_is_refused(demo: Any) -> None:
    """A box with nothing of the scan in it is refused, and the message says how large the page is."""
    answer = demo.get(f"{scan_of(demo, 'S1-46')['page_at']}/slip?x=90000&y=0&w=10&h=10")
    assert answer.status_code == 422
    assert "2525 × 1926" in answer.json()["message"]
