"""The slips of the scans behind the lines, as pictures: for the notes of a page, and for plates."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Final

from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput, NotFound, Unreadable
from numbertaker.publishing.pictures import Picture, Slips
from numbertaker.usecases.look.drawing import Drawer
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.lines import place_of

PAD: Final = 6
"""How many pixels around a line are shown, so that the reader sees where it stands."""

_DRAWN_BYTES: Final = 8_000_000
_DECODED_BYTES: Final = 64_000_000


@contextmanager
def slips(archive: Archive) -> Iterator[Slips]:
    """From a line's id to its slip, open as long as the block; None where there is no scan.

    A scan that can't be opened, or a box that lies off its page, has no slip: the note stands without one.
    """
    made = index(archive)
    drawer = Drawer(archive, drawn_bytes=_DRAWN_BYTES, decoded_bytes=_DECODED_BYTES)
    try:
        yield lambda line_id: _slip(made, drawer, line_id)
    finally:
        drawer.close()


def placed(archive: Archive, line_ids: Iterable[str]) -> frozenset[str]:
    """Those of some lines whose place on a scan is known."""
    made = index(archive)
    lines = ((i, made.lines.get(i)) for i in line_ids)
    return frozenset(i for i, line in lines if line is not None and None not in place_of(made, line))


def _slip(made: Index, drawer: Drawer, line_id: str) -> Picture | None:
    from PIL import Image

    line = made.lines.get(line_id)
    scan, box = (None, None) if line is None else place_of(made, line)
    if scan is None or box is None:
        return None
    try:
        drawn = drawer.slip(scan.sha256, scan.page, box, PAD)
    except (BadInput, NotFound, Unreadable):
        return None
    with Image.open(io.BytesIO(drawn.data)) as picture:
        return Picture(drawn.data, drawn.media_type, picture.width, picture.height)
