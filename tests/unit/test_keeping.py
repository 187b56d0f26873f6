"""The parts of what is kept, one by one: paths of a bag, places on a scan, names in linked data, words."""

from __future__ import annotations

import json
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from tests.kept import JPEG, SIZE, body, holding

from numbertaker.evidence.errors import BadInput, NotFound
from numbertaker.publishing.keeping.alto import NAMESPACE, alto
from numbertaker.publishing.keeping.annotations import web_annotations
from numbertaker.publishing.keeping.bag import (
    decoded,
    encoded,
    info,
    leads_astray,
    manifest,
    read_info,
    read_manifest,
    scan_paths,
)
from numbertaker.publishing.keeping.hocr import hocr
from numbertaker.publishing.keeping.manifest import collection
from numbertaker.publishing.keeping.manifest import manifest as iiif
from numbertaker.publishing.keeping.names import digest_name, rights_address, segment, utc
from numbertaker.publishing.keeping.places import clipped, fragment
from numbertaker.publishing.keeping.values import ScanFile
from numbertaker.publishing.keeping.words import rows_of


@pytest.mark.parametrize(
    ("path", "stands"),
    [("data/a.txt", "data/a.txt"), ("data/100%", "data/100%25"), ("data/a\r\nb", "data/a%0D%0Ab")],
)
def test_a_path_is_percent_encoded_as_the_standard_has_it(path: str, stands: str) -> None:
    """CR, LF and the percent sign, and nothing else (RFC 8493, 2.1.3); it reads back."""
    assert encoded(path) == stands
    assert decoded(stands) == path


@pytest.mark.parametrize(
    "path",
    ["/etc/x", "../x", "data/../../x", "~/x", "C:/x", "data\\..\\x", "data//x", "data/./x", "", "a\0b"],
)
def test_a_path_that_leads_outside_is_known(path: str) -> None:
    """Absolute, upward, of a home, of a drive, of another system, or none at all (RFC 8493, section 5)."""
    assert leads_astray(path)
    assert not leads_astray("data/scans/..card.jpg")


def test_a_manifest_reads_back_and_names_its_faults() -> None:
    """Each wrong line is told by its number; a file that is listed twice too."""
    digests = {"data/b": "0a" * 32, "data/a\nc": "0b" * 32}
    assert read_manifest(manifest(digests), "manifest-sha256.txt", payload=True) == digests
    with pytest.raises(BadInput) as raised:
        read_manifest("0a  data/a\nnothing\n0b  ../x\n0c  data/a\n", "m.txt", payload=True)
    assert [problem.row for problem in raised.value.problems] == [2, 3, 4]


def test_bag_info_keeps_a_label_to_a_line() -> None:
    """A line break in a text can't begin another label; what is empty is left out; folded lines read back."""
    told = info([("Contact-Name", "A\r\nPayload-Oxum: 1.1"), ("Empty", "")])
    assert told == "Contact-Name: A Payload-Oxum: 1.1\n"
    assert read_info("A: one\n two\nB: 3\n") == [("A", "one two"), ("B", "3")]


def scan(name: str, digest: str) -> ScanFile:
    return ScanFile(digest * 32, name, "image/jpeg", 1, 1)


def test_scans_keep_safe_names_and_others_are_told_apart() -> None:
    """A plain name stays; one that some disk would refuse, or that stands twice, gets a digest."""
    paths = scan_paths(
        [
            scan(name, f"0{number}")
            for number, name in enumerate(
                ("boiler-52.jpg", "CON.jpg", "a/../b\n%.JPG", "Card.jpg", "card.JPG", "ß.tif"), start=1
            )
        ]
    )
    assert list(paths.values()) == [
        "data/scans/boiler-52.jpg",
        "data/scans/CON-020202020202.jpg",
        "data/scans/a-b-030303030303.jpg",
        "data/scans/Card-040404040404.jpg",
        "data/scans/card-050505050505.jpg",
        "data/scans/scan-060606060606.tif",
    ]


@pytest.mark.parametrize(
    ("box", "kept"),
    [
        ((10, 20, 30, 40), (10, 20, 30, 40)),
        ((380, 280, 90, 90), (380, 280, 20, 20)),
        ((1.5, 2.5, 3, 3), (1, 2, 4, 4)),
        ((4, 5, 0, 3), None),
        ((-1, 0, 9, 9), None),
        ((400, 0, 9, 9), None),
    ],
)
def test_a_box_is_whole_pixels_on_the_page(
    box: tuple[float, float, float, float], kept: tuple[int, int, int, int] | None
) -> None:
    """Media Fragments 1.0, 4.2.2 and 6.3.3: whole numbers, cut off at the edge; no width, no box."""
    assert clipped(box, SIZE) == kept


def test_a_fragment_is_written_as_the_standard_has_it() -> None:
    """`xywh=` and four whole numbers (Media Fragments 1.0, 4.2.2)."""
    assert fragment((1, 2, 3, 4)) == "xywh=1,2,3,4"


def test_names_are_safe_for_any_id() -> None:
    """A slash, a blank and dots alone can't be taken for parts of a path."""
    assert [segment(one) for one in ("a/b", "..", "é 1")] == ["a%2Fb", "%2E%2E", "%C3%A9%201"]


def test_a_digest_is_named_by_the_standard_for_it() -> None:
    """The example of RFC 6920, section 8.1: the SHA-256 of 'Hello World!'."""
    sha256 = "7f83b1657ff1fc53b92dc18148a1d65dfc2d4b1fa3d677284addd200126d9069"
    assert digest_name(sha256) == "ni:///sha-256;f4OxZX_x_FO5LcGBSKHWXfwtSx-j1ncoSt3SABJtkGk"


@pytest.mark.parametrize(
    ("rights", "address"),
    [
        ("CC0-1.0", "http://creativecommons.org/publicdomain/zero/1.0/"),
        ("CC-BY-NC-SA-4.0", "http://creativecommons.org/licenses/by-nc-sa/4.0/"),
        ("https://rightsstatements.org/vocab/InC/1.0/", "http://rightsstatements.org/vocab/InC/1.0/"),
        ("By kind permission", None),
    ],
)
def test_a_licence_has_its_address(rights: str, address: str | None) -> None:
    """By its SPDX identifier or its URL; other words have none."""
    assert rights_address(rights) == address


def test_a_time_is_given_only_where_it_is_stated_in_utc() -> None:
    """What states no second, or another zone, is not made into what it isn't."""
    assert utc("2026-03-01T10:00:00+00:00") == "2026-03-01T10:00:00Z"
    assert [utc(at) for at in ("2026-03", "2026-03-01T10:00:00+01:00", "")] == [None] * 3


def test_a_cell_of_two_words_gives_each_its_share() -> None:
    """By characters, as a typewriter sets them; nothing reaches out of the cell or off the page."""
    rows = list(rows_of(body(), SIZE))
    assert [row.line_id for row in rows] == ["", "a1", "a2"]
    words = rows[1].cells[1].words
    assert [(word.text, word.box) for word in words] == [
        ("w/e", (100, 60, 30, 20)),
        ("5.05", (140, 60, 40, 20)),
    ]
    assert rows[2].cells[0].box == (380, 100, 20, 20)


def test_alto_and_hocr_say_the_same() -> None:
    """Both have every word once, with the same box; confidences from 0 to 1 there, in per cent here."""
    held = holding()
    reading, file = held.readings[0], held.scan_of[JPEG]
    strings = ElementTree.fromstring(alto(reading, file, SIZE)).iter(f"{{{NAMESPACE}}}String")
    words = [
        e for e in ElementTree.fromstring(hocr(reading, file, SIZE)).iter() if e.get("class") == "ocrx_word"
    ]
    said = [(s.get("CONTENT"), int(s.get("HPOS", "")), round(float(s.get("WC", "")) * 100)) for s in strings]
    titles = [w.get("title", "").replace(";", "").split() for w in words]
    assert said == [(w.text, int(t[1]), int(t[6])) for w, t in zip(words, titles, strict=True)]
    assert [one[0] for one in said] == ["7", "31", "w/e", "5.05", '"']


def test_a_card_of_which_nothing_was_read_is_a_page_all_the_same() -> None:
    """A reading without lines gives both formats without words, and no empty element where one is wanted."""
    held = holding()
    empty = replace(held.readings[0], body={"heading": {}, "lines": []})
    assert "TextBlock" not in alto(empty, held.scan_of[JPEG], SIZE)
    assert 'ocr_line"' not in hocr(empty, held.scan_of[JPEG], SIZE)


def test_each_kind_of_annotation_is_there() -> None:
    """Lines, links, the correction that stands and the findings; a page of a PDF is refined by its box."""
    page = json.loads("".join(web_annotations(holding())))
    by_kind = {one["motivation"] for one in page["items"]}
    assert by_kind == {"describing", "identifying", "editing", "questioning"}
    assert [one["id"].rpartition("#")[2] for one in page["items"] if one["motivation"] == "editing"] == [
        "correction=D2"
    ]
    book = next(one for one in page["items"] if one["id"].endswith("#line=c1"))
    selector = book["target"]["selector"]
    assert (selector["value"], selector["refinedBy"]["value"]) == ("page=2", "xywh=10,20,500,30")


def test_a_manifest_shows_the_pages_of_one_source() -> None:
    """A canvas of the page's own size, its lines beside it; a source without scans has no manifest."""
    held = holding()
    made = json.loads("".join(iiif(held, "S1")))
    canvas = made["items"][0]
    assert (canvas["width"], canvas["height"]) == SIZE
    assert [one["target"]["selector"]["value"] for one in canvas["annotations"][0]["items"]] == [
        "xywh=20,60,160,20",
        "xywh=380,100,20,20",
    ]
    assert [one["label"]["none"] for one in json.loads(collection(held))["items"]] == [
        ["Boiler cards"],
        ["Boilers: a list"],
    ]
    with pytest.raises(NotFound):
        iiif(held, "S2")
