"""Which paper lies in which file, how worn it is, and the files themselves."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from pathlib import Path
from random import Random
from time import gmtime

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray
from PIL import Image

from .forms import lay_out
from .look import Look, special_looks, usual_look
from .papers import Paper
from .photographs import outline, seen_box
from .render import pen_ink, printed_ink, typed_ink
from .scanning import Matrix, placing, scanned
from .sheet import Box, Sheet
from .wear import shape_of_card, worn_sheet


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
    """One file: its name, its pages, and how it is written."""

    name: str
    pages: tuple[Page, ...]
    orientation: int = 1  # EXIF

    def reference(self, page: Page) -> str:
        """How the package names a page: the file, with the page's number where there are several."""
        return self.name if len(self.pages) == 1 else f"{self.name}#page={self.pages.index(page) + 1}"


def _generator(seed: int, name: str) -> Generator:
    return np.random.default_rng([seed, zlib.crc32(name.encode())])


def _page(paper: Paper, seed: int, special: dict[str, Look]) -> Page:
    sheet = lay_out(paper, Random(f"sheet/{seed}/{paper.card_id}"))
    look = special.get(paper.card_id) or usual_look(paper, Random(f"look/{seed}/{paper.card_id}"))
    where = placing(_generator(seed, f"place/{paper.card_id}"), sheet.width, sheet.height, look)
    return Page(paper, sheet, look, *where)


def _stem(paper: Paper) -> str:
    number = paper.card_id.split("-")[1]
    return {"S1": "boiler-", "S2": "engine-", "S4": "list-p"}[paper.source_id] + number


def plan_scans(papers: list[Paper], seed: int, spared: set[str]) -> list[ScanFile]:
    """Every file with its pages laid out and placed, nothing drawn yet.

    The tenders' cards share a TIFF and the last pages of the book a PDF; a look of few tones goes into a PNG,
    a photograph into a JPEG that lies on its side. `spared` are the cards that must stay legible.
    """
    special = special_looks(papers, spared)
    pages = {paper.card_id: _page(paper, seed, special) for paper in papers}
    tenders = tuple(pages[p.card_id] for p in papers if p.source_id == "S3")
    book = tuple(pages[p.card_id] for p in papers if p.source_id == "S4")[2:]
    shared = {page.paper.card_id for page in (*tenders, *book)}
    files = [_single(pages[p.card_id]) for p in papers if p.card_id not in shared]
    sideways = [n for n, file in enumerate(files) if file.pages[0].look.perspective > 0.02]
    for n, orientation in zip(sideways[:2], (6, 8), strict=False):
        files[n] = ScanFile(files[n].name, files[n].pages, orientation)
    first, last = book[0].paper.printed["PAGE"], book[-1].paper.printed["PAGE"]
    return [*files, ScanFile("tenders.tif", tenders), ScanFile(f"list-p{first}-{last}.pdf", book)]


def _single(page: Page) -> ScanFile:
    suffix = "png" if page.look.tones < 256 else "jpg"
    return ScanFile(f"{_stem(page.paper)}.{suffix}", (page,))


def draw(page: Page, seed: int) -> NDArray[np.uint8]:
    """The pixels of one page, upright: rows, columns, red-green-blue."""
    rng = _generator(seed, f"wear/{page.paper.card_id}")
    sheet = page.sheet
    worn = worn_sheet(rng, page.look, printed_ink(sheet), typed_ink(sheet), pen_ink(sheet))
    card = shape_of_card(rng, (sheet.height, sheet.width), page.look)
    return scanned(rng, worn, card, (page.matrix, page.size), page.look)


def write_scan(file: ScanFile, folder: Path, seed: int) -> None:
    """Draw the pages of a file and write it in the format that its name says."""
    pictures = [Image.fromarray(draw(page, seed)) for page in file.pages]
    pictures = [p.convert("L") if page.look.grey else p for p, page in zip(pictures, file.pages, strict=True)]
    look, first, path = file.pages[0].look, pictures[0], folder / file.name
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
