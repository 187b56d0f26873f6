"""Which paper lies in which file, how worn it is, and the files themselves."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from time import gmtime
from typing import Final

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray
from PIL import Image

from .forms import lay_out
from .look import Look, looks_elsewhere, special_looks, usual_look
from .papers import Paper
from .photographs import View, desk, laid_on, outline, seen_box, seen_by_camera, worn
from .scanning import Matrix, placing, scanned
from .sheet import Box, Sheet

LONG_SIDE: Final = 2600  # of a photograph, in pixels
SNAPS: Final = {  # which cards a telephone's camera took, and those that lay beside each other
    "photo-1.jpg": ("S6-210", "S6-61"),
    "photo-2.jpg": ("S6-226", "S6-204"),
    "photo-3.jpg": ("S6-221",),
}


@dataclass(frozen=True, slots=True)
class Page:
    """One paper as it lies in a scan: flat sheet, and where its pixels fall."""

    paper: Paper
    sheet: Sheet
    look: Look
    matrix: Matrix
    size: tuple[int, int]

    def box(self, box: Box) -> list[int]:
        """A box of the flat sheet as the upright hull of its corners in the scan: x, y, width, height."""
        return seen_box(self.matrix, box)

    def outline(self) -> list[list[int]]:
        """The four corners of the sheet in the scan, clockwise from the top left."""
        return outline(self.matrix, self.sheet)


@dataclass(frozen=True, slots=True)
class ScanFile:
    """One file: its name, its pages, and how it is written. `camera`: its papers lay on a desk together."""

    name: str
    pages: tuple[Page, ...]
    orientation: int = 1  # EXIF
    camera: bool = False

    def reference(self, page: Page) -> str:
        """How the package names a page: the file, with the page's number where there are several."""
        return self.name if self.number(page) is None else f"{self.name}#page={self.number(page)}"

    def number(self, page: Page) -> int | None:
        """Which page of the file a page is, from 1; None where the file has but one picture."""
        return None if self.camera or len(self.pages) == 1 else self.pages.index(page) + 1


def _generator(seed: int, name: str) -> Generator:
    return np.random.default_rng([seed, zlib.crc32(name.encode())])


def _page(paper: Paper, seed: int, special: dict[str, Look]) -> Page:
    sheet = lay_out(paper, Random(f"sheet/{seed}/{paper.card_id}"))
    look = special.get(paper.card_id) or usual_look(paper, Random(f"look/{seed}/{paper.card_id}"))
    where = placing(_generator(seed, f"place/{paper.card_id}"), sheet.width, sheet.height, look)
    return Page(paper, sheet, look, *where)


def _stem(paper: Paper) -> str:
    number = paper.card_id.split("-")[1]
    stems = {"S1": "boiler-", "S2": "engine-", "S4": "list-p", "S6": "shed-", "S7": "ledger-", "S8": "tanks-"}
    return stems[paper.source_id] + number


def plan_scans(papers: list[Paper], seed: int, spared: set[str]) -> list[ScanFile]:
    """Every file with its pages laid out and placed, nothing drawn yet.

    The tenders' cards share a TIFF and the last pages of the book a PDF; a look of few tones goes into a PNG,
    a photograph into a JPEG that lies on its side. `spared` are the cards that must stay legible.
    """
    special = special_looks(papers, spared) | looks_elsewhere(papers)
    by_id = {paper.card_id: paper for paper in papers}
    snaps = {**SNAPS, "photo-4.jpg": [p.card_id for p in papers if p.form == "ledger"][-1:]}
    snapped = [_snapped(name, [by_id[i] for i in ids], seed, special) for name, ids in snaps.items()]
    papers = [p for p in papers if not any(p.card_id in ids for ids in snaps.values())]
    pages = {paper.card_id: _page(paper, seed, special) for paper in papers}
    tenders = tuple(pages[p.card_id] for p in papers if p.source_id == "S3")
    book = tuple(pages[p.card_id] for p in papers if p.source_id == "S4")[2:]
    shared = {page.paper.card_id for page in (*tenders, *book)}
    files = [_single(pages[p.card_id]) for p in papers if p.card_id not in shared]
    sideways = [n for n, file in enumerate(files) if file.pages[0].look.perspective > 0.02]
    for n, orientation in zip(sideways[:2], (6, 8), strict=False):
        files[n] = ScanFile(files[n].name, files[n].pages, orientation)
    first, last = book[0].paper.printed["PAGE"], book[-1].paper.printed["PAGE"]
    files += [ScanFile("tenders.tif", tenders), ScanFile(f"list-p{first}-{last}.pdf", book)]
    return [*files, *snapped]


def _snapped(name: str, papers: list[Paper], seed: int, looks: dict[str, Look]) -> ScanFile:
    """Papers on a desk before a telephone's camera, nothing drawn yet."""
    rng = _generator(seed, f"view/{name}")
    sheets = [lay_out(paper, Random(f"sheet/{seed}/{paper.card_id}")) for paper in papers]
    view = View.over(sheets, rng, LONG_SIDE)
    pages = [
        Page(paper, sheet, replace(looks[paper.card_id], skew=0.0), view.put(sheet, rng), view.size)
        for paper, sheet in zip(papers, sheets, strict=True)
    ]
    return ScanFile(name, tuple(pages), camera=True)


def _single(page: Page) -> ScanFile:
    suffix = "png" if page.look.tones < 256 else "jpg"
    return ScanFile(f"{_stem(page.paper)}.{suffix}", (page,))


def draw(page: Page, seed: int) -> NDArray[np.uint8]:
    """The pixels of one page, upright: rows, columns, red-green-blue."""
    rng = _generator(seed, f"wear/{page.paper.card_id}")
    colour, card = worn(page.sheet, page.look, rng)
    return scanned(rng, colour, card, (page.matrix, page.size), page.look)


def snap(file: ScanFile, seed: int) -> NDArray[np.uint8]:
    """The pixels of a photograph with all the papers on it."""
    rng = _generator(seed, f"wear/{file.name}")
    size = file.pages[0].size
    picture = desk(rng, size)
    for page in file.pages:
        picture = laid_on(picture, worn(page.sheet, page.look, rng), page.matrix, size)
    return seen_by_camera(picture, rng)


def write_scan(file: ScanFile, folder: Path, seed: int) -> None:
    """Draw the pages of a file and write it in the format that its name says."""
    drawn = [snap(file, seed)] if file.camera else [draw(page, seed) for page in file.pages]
    look = file.pages[0].look
    pictures = [Image.fromarray(pixels).convert("L" if look.grey else "RGB") for pixels in drawn]
    first, path = pictures[0], folder / file.name
    dpi = (look.dpi, look.dpi)
    match path.suffix:
        case ".jpg":
            _write_jpeg(first, path, file.orientation, look)
        case ".png":
            first.save(path, dpi=dpi, optimize=True)
        case ".tif":
            first.save(
                path,
                save_all=True,
                append_images=pictures[1:],
                compression="jpeg",
                quality=look.quality,
                dpi=dpi,
            )
        case ".pdf":
            made = gmtime(0)
            first.save(
                path,
                save_all=True,
                append_images=pictures[1:],
                resolution=look.dpi,
                quality=look.quality,
                creationDate=made,
                modDate=made,
            )


def _write_jpeg(picture: Image.Image, path: Path, orientation: int, look: Look) -> None:
    """A JPEG; with an orientation of 6 or 8 it is stored lying on its side, as a camera does."""
    turn = {6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}.get(orientation)
    exif = Image.Exif()
    exif[0x0112] = orientation
    stored = picture.transpose(turn) if turn is not None else picture
    stored.save(
        path,
        quality=look.quality,
        dpi=(look.dpi, look.dpi),
        exif=exif if turn is not None else b"",
        optimize=True,
    )
