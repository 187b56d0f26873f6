"""The slips of the scans behind the lines, as pictures held in a page: what notes show beside a citation."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput, NotFound, Unreadable
from numbertaker.publishing.html import Crops
from numbertaker.usecases.look.drawing import Drawer
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.lines import place_of

PAD: Final = 6
"""How many pixels around a line are shown, so that the reader sees where it stands."""

_DRAWN_BYTES: Final = 8_000_000
_DECODED_BYTES: Final = 64_000_000


@contextmanager
def slips(archive: Archive) -> Iterator[Crops]:
    """From a line's id to its slip as a data URI, open as long as the block; None where there is no scan.

    A scan that can't be opened, or a box that lies off its page, has no slip: the note stands without one.
    """
    made = index(archive)
    drawer = Drawer(archive, drawn_bytes=_DRAWN_BYTES, decoded_bytes=_DECODED_BYTES)
    try:
        yield lambda line_id: _slip(made, drawer, line_id)
    finally:
        drawer.close()


def _slip(made: Index, drawer: Drawer, line_id: str) -> str | None:
    line = made.lines.get(line_id)
    scan, box = (None, None) if line is None else place_of(made, line)
    if scan is None or box is None:
        return None
    try:
        drawn = drawer.slip(scan.sha256, scan.page, box, PAD)
    except (BadInput, NotFound, Unreadable):
        return None
    return f"data:{drawn.media_type};base64,{base64.b64encode(drawn.data).decode('ascii')}"
