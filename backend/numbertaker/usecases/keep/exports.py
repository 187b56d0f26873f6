"""Single exports for keeping and for analysis, each a file or a folder that is whole or not there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final, Literal, TypeAlias

from numbertaker.archive import Archive
from numbertaker.archive.scans import writing_whole
from numbertaker.evidence.errors import BadInput, NotFound
from numbertaker.publishing.analysis import TABLES, csv_text, dictionary, rows_of, write_parquet
from numbertaker.publishing.bibliography import WRITERS, Style
from numbertaker.publishing.keeping.alto import alto
from numbertaker.publishing.keeping.annotations import web_annotations
from numbertaker.publishing.keeping.bag import file_name
from numbertaker.publishing.keeping.hocr import hocr
from numbertaker.publishing.keeping.manifest import collection, manifest, shown_sources
from numbertaker.publishing.keeping.provenance import provenance
from numbertaker.publishing.keeping.values import ADDRESS, Holding
from numbertaker.usecases.keep.holding import holding, page_readings, scan_files, shown_pages
from numbertaker.usecases.keep.sinks import Counted, whole

Linked: TypeAlias = Literal["provenance", "annotations"]
Paged: TypeAlias = Literal["alto", "hocr", "iiif"]
PageFormat: TypeAlias = Literal["alto", "hocr"]
LINKED: Final = {"provenance": provenance, "annotations": web_annotations}
PAGED: Final = {"alto": (alto, "xml"), "hocr": (hocr, "html")}


def linked_data(archive: Archive, what: Linked, address: str = ADDRESS) -> Iterator[str]:
    """The provenance or the annotations of everything, as JSON-LD piece by piece."""
    return LINKED[what](holding(archive, address))


def write_linked(archive: Archive, what: Linked, out: Path, address: str = ADDRESS) -> Path:
    """Write the same to a file."""
    return write_pieces(out, linked_data(archive, what, address))


def iiif_collection(archive: Archive, address: str = ADDRESS) -> str:
    """The collection of all manifests."""
    return collection(holding(archive, address))


def iiif_manifest(archive: Archive, source_id: str, address: str = ADDRESS) -> Iterator[str]:
    """The manifest of a source piece by piece; `NotFound` where it has no scans."""
    return manifest(holding(archive, address), source_id)


def page_as_read(archive: Archive, what: PageFormat, sha256: str, page: int, card_id: str) -> str:
    """The latest reading of a page, in ALTO or hOCR; `NotFound` where it was never read."""
    shown = next(
        (p for p in shown_pages(archive) if (p.sha256, p.page, p.card_id) == (sha256, page, card_id)), None
    )
    scan = next((one for one in scan_files(archive) if one.sha256 == sha256), None)
    for reading in page_readings(archive):
        if (reading.sha256, reading.page, reading.card_id) == (sha256, page, card_id) and shown and scan:
            return PAGED[what][0](reading, scan, shown.size)
    raise NotFound("reading of card", card_id)


def write_pages(archive: Archive, what: Paged, out: Path, address: str = ADDRESS) -> int:
    """Write a folder, or a .zip, with a file for each page that was read, or each source; gives how many."""
    check_folder(out)
    held = holding(archive, address)
    with whole(out) as sink:
        made = Counted(sink)
        for path, pieces in _iiif(held) if what == "iiif" else _as_read(held, what):
            made.put(path, (piece.encode("utf-8") for piece in pieces))
    return len(made.digests)


def _as_read(held: Holding, what: PageFormat) -> Iterator[tuple[str, Iterable[str]]]:
    write, ending = PAGED[what]
    for number, page in enumerate(held.pages, start=1):
        reading = held.read_on.get((page.sha256, page.page, page.card_id))
        if reading is not None:
            text = write(reading, held.scan_of[page.sha256], page.size)
            yield f"{file_name(page.card_id, number)}.{ending}", [text]


def _iiif(held: Holding) -> Iterator[tuple[str, Iterable[str]]]:
    yield "collection.json", [collection(held)]
    for number, source in enumerate(shown_sources(held), start=1):
        yield f"{file_name(source.source_id, number)}.json", manifest(held, source.source_id)


def bibliography(archive: Archive, style: Style) -> str:
    """The sources, with the decisions followed, for other people's bibliographies."""
    return WRITERS[style](archive.ruled().evidence.sources)


def write_analysis(archive: Archive, out: Path) -> int:
    """Write the tables for analysis as CSV and Parquet with their dictionary: a folder or a .zip.

    Gives how many files there are.
    """
    check_folder(out)
    held = holding(archive)
    with whole(out) as sink:
        made = Counted(sink)
        made.put("datapackage.json", [dictionary(held.program, held.state).encode("utf-8")])
        for table in TABLES:
            text = csv_text(table, rows_of(held, table.name))
            made.put(f"{table.name}.csv", (piece.encode("utf-8") for piece in text))
            with made.writing(f"{table.name}.parquet") as file:
                write_parquet(table, rows_of(held, table.name), file)
    return len(made.digests)


def write_pieces(out: Path, pieces: Iterable[str]) -> Path:
    """Write a text piece by piece to a file that is there whole or not at all."""
    if out.is_dir():
        raise BadInput(f"{out} is a folder; expected the name of a file to write.")
    out.parent.mkdir(parents=True, exist_ok=True)
    with writing_whole(out) as file:
        for piece in pieces:
            file.write(piece.encode("utf-8"))
    return out


def check_folder(out: Path) -> None:
    """`BadInput` where a folder would replace something."""
    if out.suffix.lower() == ".zip":
        if out.is_dir():
            raise BadInput(f"{out} is a folder; expected the name of a file to write.")
    elif out.is_file() or (out.is_dir() and any(out.iterdir())):
        raise BadInput(f"{out}: expected no folder or an empty one, found something there.")
