"""The files of a bag, one after the other: each a path and the pieces of its content."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from typing import Any, Final, TypeAlias

from numbertaker.archive import Archive
from numbertaker.evidence import package as form
from numbertaker.evidence.errors import Unreadable
from numbertaker.publishing.analysis import TABLES, csv_text, dictionary, rows_of
from numbertaker.publishing.bibliography import ENDINGS, WRITERS
from numbertaker.publishing.compose import component_document
from numbertaker.publishing.keeping.alto import alto
from numbertaker.publishing.keeping.annotations import web_annotations
from numbertaker.publishing.keeping.bag import PAYLOAD, file_name, scan_paths
from numbertaker.publishing.keeping.hocr import hocr
from numbertaker.publishing.keeping.manifest import collection, manifest, shown_sources
from numbertaker.publishing.keeping.provenance import provenance
from numbertaker.publishing.keeping.streams import csv_lines, json_lines, object_with_list
from numbertaker.publishing.keeping.values import Holding
from numbertaker.publishing.markdown import to_markdown
from numbertaker.publishing.matter import Matter
from numbertaker.usecases.forms import CHOSEN, HEADINGS
from numbertaker.usecases.forms import FOLDER as FORMS
from numbertaker.usecases.houses import COMPARISONS
from numbertaker.usecases.houses import FOLDER as STYLES
from numbertaker.usecases.keep.readme import readme

File: TypeAlias = tuple[str, Iterable[bytes]]

EVIDENCE: Final = f"{PAYLOAD}evidence/"
SCANS: Final = f"{PAYLOAD}scans.csv"
PAGES: Final = f"{PAYLOAD}pages.csv"
IMPORTS: Final = f"{PAYLOAD}imports.csv"
READINGS: Final = f"{PAYLOAD}readings/readings.jsonl"
OTHER: Final = f"{PAYLOAD}archive/"
BESIDE: Final = f"{PAYLOAD}archive/files/"
_OWN: Final = r"[a-z0-9][a-z0-9-]{0,59}"
BESIDE_NAME: Final = re.compile(
    rf"{FORMS}/{_OWN}\.json|{STYLES}/{_OWN}\.toml|"
    rf"{re.escape(HEADINGS)}|{re.escape(CHOSEN)}|{re.escape(COMPARISONS)}"
)
"""What a file beside the rows may be called; nothing else is written on the way back."""
SCAN_COLUMNS: Final = ("file", "sha256", "name", "media_type", "pages", "bytes", "by", "at")
PAGE_COLUMNS: Final = ("card_id", "sha256", "page", "position", "width", "height", "alto", "hocr")
IMPORT_COLUMNS: Final = ("name", "prefix", "rows", "by", "at")


def payload(archive: Archive, holding: Holding) -> Iterator[File]:
    """Everything that a bag holds, the scans first."""
    paths = scan_paths(holding.scans)
    yield f"{PAYLOAD}README.md", _utf8([readme(holding)])
    for scan in holding.scans:
        yield paths[scan.sha256], _checked(archive, scan.sha256, scan.name)
    tables = form.outgoing(archive.evidence(), archive.readings(), archive.columns)
    for name, data in form.write_files(tables).items():
        yield f"{EVIDENCE}{name}", [data]
    yield SCANS, _utf8(csv_lines(SCAN_COLUMNS, _scan_rows(holding, paths)))
    yield IMPORTS, _utf8(csv_lines(IMPORT_COLUMNS, _import_rows(archive)))
    yield READINGS, _utf8(json_lines(_readings(archive)))
    for table, rows in archive.other_rows():
        if rows:
            yield f"{OTHER}{table}.jsonl", _utf8(json_lines(rows))
    for name in beside(archive):
        yield f"{BESIDE}{name}", [(archive.folder / name).read_bytes()]
    yield from _as_read(holding)
    yield from _histories(holding)
    yield from _linked(holding)
    yield from _tables(holding)


def beside(archive: Archive) -> list[str]:
    """The files that lie beside the rows: forms learnt, headings told, house styles, comparisons."""
    found = [f"{FORMS}/{path.name}" for path in sorted((archive.folder / FORMS).glob("*.json"))]
    found += [f"{STYLES}/{path.name}" for path in sorted((archive.folder / STYLES).glob("*.toml"))]
    found += [name for name in (HEADINGS, CHOSEN, COMPARISONS) if (archive.folder / name).is_file()]
    return [name for name in found if BESIDE_NAME.fullmatch(name)]


def _utf8(pieces: Iterable[str]) -> Iterator[bytes]:
    return (piece.encode("utf-8") for piece in pieces)


def _checked(archive: Archive, sha256: str, name: str) -> Iterator[bytes]:
    """The bytes of a scan; `Unreadable` at their end if they are not those that were taken in."""
    found = hashlib.sha256()
    for chunk in archive.scan_files.chunks(sha256):
        found.update(chunk)
        yield chunk
    if found.hexdigest() != sha256:
        raise Unreadable(
            name,
            f"its bytes have changed since it was taken in; expected SHA-256 {sha256[:12]}…, "
            f"found {found.hexdigest()[:12]}…",
        )


def _scan_rows(holding: Holding, paths: dict[str, str]) -> Iterator[tuple[str, ...]]:
    for s in holding.scans:
        file = paths[s.sha256].removeprefix(PAYLOAD)
        yield file, s.sha256, s.name, s.media_type, str(s.pages), str(s.bytes_), s.by, s.at


def _import_rows(archive: Archive) -> Iterator[tuple[str, ...]]:
    return ((note.name, note.prefix, str(note.rows), note.by, note.at) for note in archive.imports())


def _readings(archive: Archive) -> Iterator[dict[str, Any]]:
    for one in archive.every_reading():
        yield {
            "card_id": one.card_id,
            "sha256": one.sha256,
            "page": one.page,
            "recogniser": one.recogniser,
            "at": one.at,
            "body": one.body,
        }


def _as_read(holding: Holding) -> Iterator[File]:
    """The latest reading of each page in both page formats, and the table that leads to them."""
    rows: list[tuple[str, ...]] = []
    for number, page in enumerate(holding.pages, start=1):
        reading = holding.read_on.get((page.sha256, page.page, page.card_id))
        name = file_name(page.card_id, number) if reading is not None else ""
        files = (f"readings/alto/{name}.xml", f"readings/hocr/{name}.html") if name else ("", "")
        width, height = page.size
        place = (page.card_id, page.sha256, str(page.page), str(page.position))
        rows.append((*place, str(width), str(height), *files))
        if reading is not None:
            scan = holding.scan_of[page.sha256]
            yield f"{PAYLOAD}{files[0]}", _utf8([alto(reading, scan, page.size)])
            yield f"{PAYLOAD}{files[1]}", _utf8([hocr(reading, scan, page.size)])
    yield PAGES, _utf8(csv_lines(PAGE_COLUMNS, rows))


def _histories(holding: Holding) -> Iterator[File]:
    whole = holding.history.to_json([])
    components = (component.to_json() for component in holding.history.components)
    yield f"{PAYLOAD}histories/history.json", _utf8(object_with_list(whole, "components", components))
    matter = Matter(holding.history, holding.ruled)
    for number, component in enumerate(holding.history.components, start=1):
        name = file_name(component.component_id, number)
        document = component_document(matter, component.component_id, holding.state)
        yield f"{PAYLOAD}histories/{name}.md", _utf8([to_markdown(document)])


def _linked(holding: Holding) -> Iterator[File]:
    yield f"{PAYLOAD}provenance.jsonld", _utf8(provenance(holding))
    yield f"{PAYLOAD}annotations.jsonld", _utf8(web_annotations(holding))
    yield f"{PAYLOAD}iiif/collection.json", _utf8([collection(holding)])
    for number, source in enumerate(shown_sources(holding), start=1):
        name = file_name(source.source_id, number)
        yield f"{PAYLOAD}iiif/{name}.json", _utf8(manifest(holding, source.source_id))
    for style, write in WRITERS.items():
        yield (
            f"{PAYLOAD}bibliography/sources{ENDINGS[style]}",
            _utf8([write(holding.ruled.evidence.sources)]),
        )


def _tables(holding: Holding) -> Iterator[File]:
    """The tables for analysis as CSV: what must be read in fifty years needs no library."""
    yield (
        f"{PAYLOAD}analysis/datapackage.json",
        _utf8([dictionary(holding.program, holding.state, parquet=False)]),
    )
    for table in TABLES:
        yield f"{PAYLOAD}analysis/{table.name}.csv", _utf8(csv_text(table, rows_of(holding, table.name)))
