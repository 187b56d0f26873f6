"""The pictures of a document as files in a folder: what pandoc and the typesetter are handed.

Slips come in the scan's own pixels; on a page 146 mm wide a plate of more than 300 pixels an inch shows
nothing more, and weighs a book down. So plates are brought to that at most, and stay as they are below it.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Final

from numbertaker.publishing.document import Document, Plate
from numbertaker.publishing.documents.drawings import drawings
from numbertaker.publishing.pictures import Picture, Slips
from numbertaker.publishing.watching import Watch, unwatched

WIDEST: Final = 1_740
"""How many pixels wide a plate is at most: 300 an inch over 146 mm, the measure of the page."""
_QUALITY: Final = 85


def put_drawings(document: Document, root: Path) -> dict[str, str]:
    """Write each drawing as SVG; the names of the files by what they show."""
    files: dict[str, str] = {}
    for number, (name, svg) in enumerate(drawings(document).items()):
        files[name] = f"drawing-{number}.svg"
        (root / files[name]).write_text(svg, encoding="utf-8")
    return files


def put_plates(
    document: Document, slips: Slips | None, root: Path, watch: Watch = unwatched
) -> dict[str, str]:
    """Write the slip of each plate, at print size; the names of the files by the ids of their lines."""
    files: dict[str, str] = {}
    wanted = dict.fromkeys(block.line_id for block in document.blocks if isinstance(block, Plate))
    for number, line_id in enumerate(wanted):
        picture = slips(line_id) if slips is not None else None
        if picture is not None:
            picture = at_print_size(picture)
            files[line_id] = f"plate-{number}.{picture.ending}"
            (root / files[line_id]).write_bytes(picture.data)
        watch("pictures", number + 1, len(wanted))
    return files


def at_print_size(picture: Picture) -> Picture:
    """The picture as it is where it is no wider than print can show, else a smaller one."""
    if picture.width <= WIDEST:
        return picture
    from PIL import Image

    height = max(1, round(picture.height * WIDEST / picture.width))
    out = io.BytesIO()
    with Image.open(io.BytesIO(picture.data)) as whole:
        small = whole.convert("RGB").resize((WIDEST, height), Image.Resampling.LANCZOS)
        small.save(out, "JPEG", quality=_QUALITY, subsampling=0)
    return Picture(out.getvalue(), "image/jpeg", WIDEST, height)
