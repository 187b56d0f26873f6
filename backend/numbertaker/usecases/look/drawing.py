"""Pictures of scans for the screens: a page at a width, a slip of it; the last ones are kept in memory.

One page is decoded at a time, and always in the same thread: a page needs tens of megabytes, and what
a thread has freed the C library keeps for that thread.
"""

from __future__ import annotations

import io
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Generic, TypeAlias, TypeVar

from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput, Problem

if TYPE_CHECKING:
    from PIL.Image import Image

T = TypeVar("T")
Box: TypeAlias = tuple[int, int, int, int]
_PIXEL_BYTES = 4
_PAGE_QUALITY = 82
_SLIP_QUALITY = 90
_LYING = 5
"""From this EXIF orientation on, a picture is stored on its side (CIPA DC-008, tag 274)."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """An encoded picture."""

    data: bytes
    media_type: str = "image/jpeg"


@dataclass(slots=True)
class Kept(Generic[T]):
    """What was used last, up to a number of bytes; something larger than all of that is not kept."""

    most_bytes: int
    size: Callable[[T], int]
    _things: OrderedDict[str, T] = field(default_factory=OrderedDict)
    _bytes: int = 0

    def get(self, name: str) -> T | None:
        """The thing of that name, if it is still here."""
        if name in self._things:
            self._things.move_to_end(name)
        return self._things.get(name)

    def put(self, name: str, thing: T) -> None:
        """Keep a thing, letting go of those that were not used for longest."""
        self._drop(name)
        if self.size(thing) > self.most_bytes:
            return
        self.make_room(self.size(thing))
        self._things[name] = thing
        self._bytes += self.size(thing)

    def make_room(self, wanted: int) -> None:
        """Let go of so much that something of that size can be kept."""
        while self._things and self._bytes + wanted > self.most_bytes:
            self._drop(next(iter(self._things)))

    def _drop(self, name: str) -> None:
        if name in self._things:
            self._bytes -= self.size(self._things.pop(name))


class Drawer:
    """Draws scans of one archive. Safe to use from several threads."""

    def __init__(self, archive: Archive, *, drawn_bytes: int, decoded_bytes: int) -> None:
        """Draw from this archive; keep so many bytes of encoded pictures, and of decoded pages."""
        self._archive = archive
        self._drawn: Kept[Drawn] = Kept(drawn_bytes, lambda drawn: len(drawn.data))
        self._pages: Kept[Image] = Kept(decoded_bytes, lambda page: page.width * page.height * _PIXEL_BYTES)
        self._sizes: dict[str, tuple[int, int]] = {}
        self._hand = ThreadPoolExecutor(1, thread_name_prefix="drawing")

    def picture(self, sha256: str, page: int, width: int) -> Drawn:
        """A page right way up, at most `width` pixels wide; `NotFound`, or `Unreadable` if it is damaged."""
        return self._once(f"{sha256}-{page}-{width}", lambda: self._scaled(sha256, page, width))

    def slip(self, sha256: str, page: int, box: Box, pad: int) -> Drawn:
        """A box of the page and `pad` pixels around it, as far as they lie on the page."""
        return self._once(f"{sha256}-{page}-{box}-{pad}", lambda: self._cut(sha256, page, box, pad))

    def size(self, sha256: str, page: int) -> tuple[int, int]:
        """Width and height of a page right way up, in pixels; decodes it only where its head does not say."""
        name = f"{sha256}-{page}"
        if name not in self._sizes:
            said = _size_said(self._archive.scan_path(sha256), page)
            self._sizes[name] = said or self._hand.submit(self._page, sha256, page).result().size
        return self._sizes[name]

    def close(self) -> None:
        """Draw no more."""
        self._hand.shutdown()

    def _once(self, name: str, draw: Callable[[], Drawn]) -> Drawn:
        return self._hand.submit(self._known_or_drawn, name, draw).result()

    def _known_or_drawn(self, name: str, draw: Callable[[], Drawn]) -> Drawn:
        known = self._drawn.get(name)
        if known is None:
            known = draw()
            self._drawn.put(name, known)
        return known

    def _scaled(self, sha256: str, page: int, width: int) -> Drawn:
        image = self._page(sha256, page)
        wide = min(width, image.width)
        if wide < image.width:
            image = image.resize((wide, max(1, round(image.height * wide / image.width))), reducing_gap=2.0)
        return _encoded(image, _PAGE_QUALITY)

    def _cut(self, sha256: str, page: int, box: Box, pad: int) -> Drawn:
        image = self._page(sha256, page)
        left, top = max(0, box[0] - pad), max(0, box[1] - pad)
        right, bottom = min(image.width, box[0] + box[2] + pad), min(image.height, box[1] + box[3] + pad)
        if right <= left or bottom <= top:
            expected = f"a box on the page of {image.width} × {image.height} pixels"
            raise BadInput(problems=[Problem(column="x, y, w, h", expected=expected, found=str(box))])
        return _encoded(image.crop((left, top, right, bottom)), _SLIP_QUALITY)

    def _page(self, sha256: str, page: int) -> Image:
        """The decoded page; called in the drawing thread."""
        from numbertaker.reading.pages import open_image

        name = f"{sha256}-{page}"
        known = self._pages.get(name)
        if known is None:
            scan = self._archive.scan(sha256)
            width, height = _size_said(self._archive.scan_path(sha256), page) or (0, 0)
            # Before the new page is decoded, not after it: both at once would need twice the memory.
            self._pages.make_room(width * height * _PIXEL_BYTES or self._pages.most_bytes)
            known = open_image(self._archive.scan_bytes(sha256), page, name=scan.name)
            self._pages.put(name, known)
        return known


def _size_said(file: Path, page: int) -> tuple[int, int] | None:
    """The size that a picture's head gives, turned as EXIF says; None for a PDF or what is damaged."""
    from PIL import ExifTags, Image, UnidentifiedImageError

    from numbertaker.reading.pages import FORMATS

    try:
        with Image.open(file, formats=FORMATS) as image:
            image.seek(page - 1)
            lies = image.getexif().get(ExifTags.Base.Orientation, 1) >= _LYING
            return (image.height, image.width) if lies else image.size
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, EOFError):
        return None


def _encoded(image: Image, quality: int) -> Drawn:
    file = io.BytesIO()
    image.save(file, "JPEG", quality=quality, optimize=False)
    return Drawn(file.getvalue())
