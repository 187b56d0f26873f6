"""Where a line or a cell stands on a scan: whole pixels, and never off the page.

W3C Media Fragments URI 1.0 (basic), 4.2.2 and 6.3.3: a pixel region has four whole numbers from the top left
corner; one without width or height is invalid, one that reaches past an edge is cut off there, and one that
begins outside the picture is passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil, floor
from typing import Any, Final, TypeAlias

from numbertaker.evidence.records import Line

Box: TypeAlias = tuple[int, int, int, int]
Size: TypeAlias = tuple[int, int]
_NUMBER: Final = r"\d{1,7}(?:\.\d{1,6})?"
_REGION: Final = re.compile(
    rf"(?P<file>[^#]*)#(?:page=(?P<page>\d{{1,6}})&)?xywh=(?:pixel:)?(?P<box>{_NUMBER}(?:,{_NUMBER}){{3}})",
    re.ASCII,
)
_NO_CELLS: Final = ("heading", "heading_name")


@dataclass(frozen=True, slots=True)
class Place:
    """A line's page, its box on it (None where only the page is known), and the boxes of its cells."""

    sha256: str
    page: int
    box: Box | None
    cells: Mapping[str, Box] = field(default_factory=dict)


def clipped(box: Sequence[float], size: Size) -> Box | None:
    """A box in whole pixels, rounded outward and cut off at the edges; None where nothing is left of it."""
    left, top, width, height = box
    if not (0 <= left < size[0] and 0 <= top < size[1]) or width <= 0 or height <= 0:
        return None
    x, y = floor(left), floor(top)
    # A box thinner than a float can add to its place is still a pixel wide.
    right, bottom = max(x + 1, ceil(left + width)), max(y + 1, ceil(top + height))
    return x, y, min(right, size[0]) - x, min(bottom, size[1]) - y


def hull(boxes: Iterable[Box]) -> Box | None:
    """The smallest box around several; None around none."""
    kept = list(boxes)
    if not kept:
        return None
    left, top = min(b[0] for b in kept), min(b[1] for b in kept)
    right, bottom = max(b[0] + b[2] for b in kept), max(b[1] + b[3] for b in kept)
    return left, top, right - left, bottom - top


def fragment(box: Box) -> str:
    """A box as a media fragment: `xywh=10,20,300,40`."""
    return "xywh=" + ",".join(str(number) for number in box)


def places_of(
    lines: Iterable[Line],
    shown: Sequence[tuple[str, str, int, Size]],
    names: Mapping[str, str],
    readings: Iterable[tuple[str, int, Mapping[str, Any]]],
) -> dict[str, Place]:
    """Where each line stands: on the page that it was read from, else where its region says.

    `shown` has card, scan, page and size of each page; `names` the names of the scans by digest.
    """
    sizes = {(sha256, page): size for _, sha256, page, size in shown}
    read = _read(readings, sizes)
    by_card: dict[str, list[tuple[str, int]]] = {}
    for card_id, sha256, page, _ in shown:
        by_card.setdefault(card_id, []).append((sha256, page))
    found: dict[str, Place] = {}
    for line in lines:
        place = read.get(line.line_id) or _said(line, by_card.get(line.card_id, []), names, sizes)
        if place is not None:
            found[line.line_id] = place
    return found


def _read(
    readings: Iterable[tuple[str, int, Mapping[str, Any]]], sizes: Mapping[tuple[str, int], Size]
) -> dict[str, Place]:
    found: dict[str, Place] = {}
    for sha256, page, body in readings:
        size = sizes.get((sha256, page))
        if size is None:
            continue
        for line in body["lines"]:
            boxes = {name: clipped(cell["box"], size) for name, cell in line["cells"].items()}
            cells = {name: box for name, box in boxes.items() if box is not None}
            whole = hull(box for name, box in cells.items() if name not in _NO_CELLS)
            found[line["line_id"]] = Place(sha256, page, whole, cells)
    return found


def _said(
    line: Line,
    pages: Sequence[tuple[str, int]],
    names: Mapping[str, str],
    sizes: Mapping[tuple[str, int], Size],
) -> Place | None:
    """The place that the region of a line names, or the only page of its card."""
    region = _REGION.fullmatch(line.region)
    if region is None:
        return Place(*pages[0], None) if len(pages) == 1 else None
    wanted = int(region["page"] or 1)
    at = next((p for p in pages if names.get(p[0]) == region["file"] and p[1] == wanted), None)
    if at is None:
        return Place(*pages[0], None) if len(pages) == 1 else None
    box = clipped([float(part) for part in region["box"].split(",")], sizes[at])
    return Place(*at, box)
