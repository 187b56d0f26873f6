"""Open one page of a scan: JPEG, PNG, HEIC, TIFF (of many pages) or PDF, right way up, within limits.

Nothing of a picture is decoded before its size is known, so that a decompression bomb is refused
unopened. PDFium is not safe in threads: a process opens one PDF at a time and closes it at once.
"""

from __future__ import annotations

import io
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from numbertaker.evidence.errors import Unreadable

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt
    from PIL import Image

PDF: Final = b"%PDF-"
STRIP: Final = 512
LARGE: Final = 24_000_000
"""Pixels from which on a second copy of a picture matters."""
ORIENTATION: Final = 0x0112
"""The tag of Exif that says how a picture lies (Exif 2.3, CIPA DC-008)."""
END_OF_JPEG: Final = b"\xff\xd9"
_ONE_PDF: Final = threading.Lock()
FORMATS: Final = ("JPEG", "PNG", "TIFF")
HEIC: Final = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
"""The brands of HEIC files, at the fifth to twelfth byte (ISO/IEC 23008-12, from memory)."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What is still opened: bytes of a file, pixels of a page, pages of a file, dots per inch of a
    rendered page.
    """

    most_bytes: int = 200_000_000
    most_pixels: int = 120_000_000
    most_pages: int = 1000
    dots_per_inch: int = 300


LIMITS: Final = Limits()


def page_count(data: bytes, *, name: str = "the file", limits: Limits = LIMITS) -> int:
    """How many pages a scan has; raises `Unreadable` for what is no picture."""
    _check_bytes(data, name, limits)
    if data.startswith(PDF):
        with _pdf(data, name) as document:
            count = len(document)
    else:
        with _picture(data, name, limits) as image:
            count = int(getattr(image, "n_frames", 1))
    if not 1 <= count <= limits.most_pages:
        raise Unreadable(name, f"it has {count} pages, and 1 to {limits.most_pages} are taken")
    return count


def open_page(
    data: bytes, page: int = 1, *, name: str = "the file", limits: Limits = LIMITS
) -> npt.NDArray[np.uint8]:
    """Page `page` (from 1) as height × width × 3, blue-green-red, EXIF orientation applied.

    Of a PDF page that is one picture, that picture as it is; any other PDF page at 300 dots per inch.
    """
    large = _large_page(data, page, name, limits)
    if large is not None:
        return large
    image = _loaded(data, page, name, limits)
    import numpy as np

    if image.mode not in ("1", "L", "P", "RGB"):
        image = _as_rgb(image)  # what takes the whole picture to convert
    out = np.empty((image.height, image.width, 3), np.uint8)
    for top in range(0, image.height, STRIP):  # in strips: two copies of a large scan, not four
        strip = _as_rgb(image.crop((0, top, image.width, min(image.height, top + STRIP))))
        # turned about by Pillow: numpy takes four times as long to read backwards
        flat = np.frombuffer(strip.tobytes("raw", "BGR"), np.uint8)
        out[top : top + STRIP] = flat.reshape(strip.height, strip.width, 3)
    return out


def open_image(data: bytes, page: int = 1, *, name: str = "the file", limits: Limits = LIMITS) -> Image.Image:
    """The same page as a Pillow picture in red-green-blue."""
    return _as_rgb(_loaded(data, page, name, limits))


def _large_page(data: bytes, page: int, name: str, limits: Limits) -> npt.NDArray[np.uint8] | None:
    """A large colour picture, decoded to blue-green-red at once: Pillow would hold a second copy of it, of
    four bytes a pixel. None for all others, and for what may be damaged.
    """
    if data.startswith(PDF) or page != 1:
        return None
    _check_bytes(data, name, limits)
    with _picture(data, name, limits) as image:
        plain = image.mode == "RGB" and image.format in ("JPEG", "TIFF", "PNG")
        if not plain or image.width * image.height < LARGE or getattr(image, "n_frames", 1) != 1:
            return None
        if image.format == "JPEG" and not data.endswith(END_OF_JPEG):
            return None
        size, turned = image.size, image.getexif().get(ORIENTATION, 1)
    import cv2
    import numpy as np

    turns = {1: None, 3: cv2.ROTATE_180, 6: cv2.ROTATE_90_CLOCKWISE, 8: cv2.ROTATE_90_COUNTERCLOCKWISE}
    whole = np.frombuffer(data, np.uint8)
    picture = cv2.imdecode(whole, cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION)
    if picture is None or picture.shape[1::-1] != size or turned not in turns:
        return None
    turn = turns[turned]
    return np.asarray(picture if turn is None else cv2.rotate(picture, turn), np.uint8)


def _loaded(data: bytes, page: int, name: str, limits: Limits) -> Image.Image:
    """A page as it was decoded, right way up."""
    _check_bytes(data, name, limits)
    if data.startswith(PDF):
        return _pdf_page(data, page, name, limits)
    from PIL import ImageOps

    with _picture(data, name, limits) as image:
        _check_page(page, int(getattr(image, "n_frames", 1)), name)
        with _said_plainly(name):
            image.seek(page - 1)
            _check_pixels(image.size, name, limits)
            image.load()
            ImageOps.exif_transpose(image, in_place=True)
            return image


def is_heic(data: bytes) -> bool:
    """Whether a file says of itself that it is a telephone's HEIC picture."""
    return data[4:8] == b"ftyp" and data[8:12] in HEIC


def _check_bytes(data: bytes, name: str, limits: Limits) -> None:
    if not data:
        raise Unreadable(name, "it is empty")
    if len(data) > limits.most_bytes:
        raise Unreadable(name, f"it has {len(data):,} bytes, and at most {limits.most_bytes:,} are taken")


def _check_page(page: int, count: int, name: str) -> None:
    if not 1 <= page <= count:
        raise Unreadable(name, f"page {page} was asked for, and it has {count}")


def _check_pixels(size: tuple[int, int], name: str, limits: Limits) -> None:
    width, height = size
    if width * height > limits.most_pixels:
        raise Unreadable(
            name,
            f"a page of {width} × {height} pixels is larger than the "
            f"{limits.most_pixels // 1_000_000} million pixels that are taken; "
            "scan it at 300 to 600 dots per inch",
        )
    if width < 2 or height < 2:
        raise Unreadable(name, f"its picture is {width} × {height} pixels")


@contextmanager
def _said_plainly(name: str) -> Iterator[None]:
    """Turn what Pillow raises for broken pictures into one sentence."""
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            yield
    except Image.DecompressionBombError as error:
        raise Unreadable(name, "it would unpack to far more pixels than any scan has") from error
    except UnidentifiedImageError as error:
        raise Unreadable(name, "it is no JPEG, PNG, TIFF, HEIC or PDF") from error
    except (OSError, SyntaxError, ValueError, EOFError, TypeError) as error:
        raise Unreadable(name, f"the picture breaks off or is damaged ({error})") from error


@contextmanager
def _picture(data: bytes, name: str, limits: Limits) -> Iterator[Image.Image]:
    from PIL import Image

    formats: tuple[str, ...] = FORMATS
    if is_heic(data):
        import pi_heif

        pi_heif.register_heif_opener()
        formats = (*FORMATS, "HEIF")
    with _said_plainly(name):
        image = Image.open(io.BytesIO(data), formats=formats)
    with image:
        _check_pixels(image.size, name, limits)
        yield image


def _as_rgb(image: Image.Image) -> Image.Image:
    """Any mode to eight bits of red, green and blue; transparent parts are paper."""
    from PIL import Image

    if image.mode.startswith("I;16") or image.mode in ("I", "F"):
        low, high = image.convert("F").getextrema()
        span = max(float(high) - float(low), 1.0)  # type: ignore[arg-type]
        image = image.convert("F").point(lambda v: (v - float(low)) * (255 / span)).convert("L")  # type: ignore[arg-type]
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        layer = image.convert("RGBA")
        paper = Image.new("RGBA", layer.size, "white")
        return Image.alpha_composite(paper, layer).convert("RGB")
    return image if image.mode == "RGB" else image.convert("RGB")


@contextmanager
def _pdf(data: bytes, name: str) -> Iterator[Any]:
    import pypdfium2

    with _ONE_PDF:
        try:
            document = pypdfium2.PdfDocument(data)
        except pypdfium2.PdfiumError as error:
            locked = "password" in str(error).lower()
            why = "it has a password; save a copy without one" if locked else f"the PDF is damaged ({error})"
            raise Unreadable(name, why) from error
        try:
            yield document
        finally:
            document.close()


def _pdf_page(data: bytes, page: int, name: str, limits: Limits) -> Image.Image:
    import pypdfium2

    with _pdf(data, name) as document:
        _check_page(page, len(document), name)
        try:
            sheet = document[page - 1]
            try:
                return _embedded(sheet, name, limits) or _rendered(sheet, name, limits)
            finally:
                sheet.close()
        except pypdfium2.PdfiumError as error:
            raise Unreadable(name, f"page {page} of the PDF is damaged ({error})") from error


def _embedded(sheet: Any, name: str, limits: Limits) -> Image.Image | None:
    """The picture of a scanned page; None where the page is not one upright picture and nothing else."""
    from pypdfium2 import raw

    objects = list(sheet.get_objects(max_depth=3))
    if len(objects) != 1 or objects[0].type != raw.FPDF_PAGEOBJ_IMAGE or sheet.get_rotation():
        return None
    matrix = objects[0].get_matrix().get()
    if matrix[0] <= 0 or matrix[3] <= 0 or abs(matrix[1]) + abs(matrix[2]) > 1e-3:
        return None
    _check_pixels(objects[0].get_px_size(), name, limits)
    # the picture's memory belongs to the page, which is closed by whoever opened it
    return _as_rgb(objects[0].get_bitmap(render=False).to_pil().copy())


def _rendered(sheet: Any, name: str, limits: Limits) -> Image.Image:
    scale = limits.dots_per_inch / 72
    width, height = sheet.get_size()
    _check_pixels((round(width * scale), round(height * scale)), name, limits)
    bitmap = sheet.render(scale=scale)
    try:
        return _as_rgb(bitmap.to_pil().copy())
    finally:
        bitmap.close()
