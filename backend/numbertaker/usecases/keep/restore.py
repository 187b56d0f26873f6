"""Make an archive of a bag again: one that gives out the same bag."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final

from sqlalchemy.exc import IntegrityError

from numbertaker.archive import Archive, CardScan, ImportNote, KeptReading, Scan, Writer, open_archive
from numbertaker.archive.scans import CHUNK, write_whole
from numbertaker.evidence import package as form
from numbertaker.evidence.errors import BadInput
from numbertaker.evidence.records import Evidence
from numbertaker.publishing.keeping.bag import PAYLOAD
from numbertaker.usecases.keep.opened import Files, opened_bag
from numbertaker.usecases.keep.payload import (
    BESIDE,
    BESIDE_NAME,
    EVIDENCE,
    IMPORT_COLUMNS,
    IMPORTS,
    OTHER,
    PAGE_COLUMNS,
    PAGES,
    READINGS,
    SCAN_COLUMNS,
    SCANS,
)
from numbertaker.usecases.keep.sinks import put_in_place
from numbertaker.usecases.packages import take_rows

_DIGEST: Final = re.compile(r"[0-9a-f]{64}")
_NEEDED: Final = (f"{EVIDENCE}sources.csv", SCANS, PAGES, READINGS)


@dataclass(frozen=True, slots=True)
class Restored:
    """Where the archive is, how many rows each table has, how many scans and readings there are.

    `notices` say what the bag holds that this version of the program has no place for.
    """

    place: Path
    rows: Mapping[str, int]
    scans: int
    readings: int
    notices: tuple[str, ...]


def restore(bag: Path, folder: Path, *, database: str | None = None) -> Restored:
    """Make the archive of a bag in a folder that is not there yet or empty; it appears whole or not at all.

    `BadInput` names each file of the bag that is missing, not listed, changed or leads astray, before
    anything is taken. `database` is the SQLAlchemy address of the rows, where they don't lie in the folder;
    it must hold none yet.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise BadInput(
            f"{folder}: expected no folder or an empty one for the archive, found something there."
        )
    folder.parent.mkdir(parents=True, exist_ok=True)
    with opened_bag(bag, folder.parent) as files:
        _check_content(files, bag.name)
        coming = Path(tempfile.mkdtemp(dir=folder.parent, prefix=".coming-"))
        try:
            made = _fill(coming, files, database)
            coming.chmod(0o755)
            put_in_place(coming, folder)
        finally:
            shutil.rmtree(coming, ignore_errors=True)
    return Restored(folder, *made)


def _check_content(files: Files, name: str) -> None:
    missing = [path for path in _NEEDED if path not in set(files.names())]
    if missing:
        raise BadInput(
            f"{name} is a whole bag, but holds no archive of this program: expected {missing[0]} in it."
        )


def _fill(
    folder: Path, files: Files, database: str | None
) -> tuple[dict[str, int], int, int, tuple[str, ...]]:
    archive = open_archive(folder, database=database)
    try:
        if archive.evidence() != Evidence() or archive.scans():
            raise BadInput("The database holds an archive already; expected one without rows.")
        scans = list(_scans(archive, files))
        _put_beside(folder, files)
        return _enter(archive, files, scans)
    except IntegrityError as error:
        raise BadInput(f"The bag's tables don't fit together: {error.orig}.") from error
    finally:
        archive.close()


def _enter(
    archive: Archive, files: Files, scans: list[Scan]
) -> tuple[dict[str, int], int, int, tuple[str, ...]]:
    """Put back every row, all in one transaction."""
    with archive.writing() as writer:
        package = form.read_files(_evidence(files))
        form.check(package, writer.evidence())
        came = take_rows(writer, package)
        for note in _imports(files):
            writer.note_import(note)
        for scan in scans:
            writer.add_scan(scan)
        for page in _pages(files):
            writer.add_shown(page)
        readings = 0
        for reading in _readings(files):
            writer.keep_reading(reading)
            readings += 1
        notices = _others(writer, files)
    return dict(came.counts), len(scans), readings, (*came.notices, *notices)


def _put_beside(folder: Path, files: Files) -> None:
    """Write the files that lie beside the rows; one of another name than those is left alone."""
    for path in files.names():
        name = path.removeprefix(BESIDE)
        if name != path and BESIDE_NAME.fullmatch(name):
            place = folder / name
            place.parent.mkdir(exist_ok=True)
            with files.open(path) as file:
                write_whole(place, file.read())


def _evidence(files: Files) -> dict[str, bytes]:
    names = [path for path in files.names() if path.startswith(EVIDENCE)]
    found = {}
    for path in names:
        with files.open(path) as file:
            found[path.removeprefix(EVIDENCE)] = file.read()
    return found


def _scans(archive: Archive, files: Files) -> Iterator[Scan]:
    """Keep the file of each scan, piece by piece; what is kept is held to the digest that it goes by."""
    known = frozenset(files.names())
    for row in _table(files, SCANS, SCAN_COLUMNS):
        path, sha256 = PAYLOAD + row["file"], row["sha256"]
        if path not in known:
            raise BadInput(file=SCANS, column="file", expected="a file of the bag", found=row["file"])
        if _DIGEST.fullmatch(sha256) is None:
            raise BadInput(file=SCANS, column="sha256", expected="64 hexadecimal digits", found=sha256)
        with files.open(path) as file:
            if not archive.scan_files.put_stream(_chunks(file), sha256):
                raise BadInput(file=path, expected=f"SHA-256 {sha256[:16]}…", found="other bytes")
        pages = _number(SCANS, "pages", row["pages"])
        size = files.size(path)
        yield Scan(sha256, row["name"], row["media_type"], pages, size, row["by"], row["at"])


def _chunks(file: IO[bytes]) -> Iterator[bytes]:
    while chunk := file.read(CHUNK):
        yield chunk


def _pages(files: Files) -> Iterator[CardScan]:
    for row in _table(files, PAGES, PAGE_COLUMNS):
        page, position = (_number(PAGES, column, row[column]) for column in ("page", "position"))
        yield CardScan(row["card_id"], row["sha256"], page, position)


def _imports(files: Files) -> Iterator[ImportNote]:
    if IMPORTS in files.names():
        for row in _table(files, IMPORTS, IMPORT_COLUMNS):
            rows = _number(IMPORTS, "rows", row["rows"])
            yield ImportNote(row["name"], row["prefix"], rows, row["by"], row["at"])


def _readings(files: Files) -> Iterator[KeptReading]:
    for number, row in enumerate(_json_lines(files, READINGS), start=1):
        texts = [row.get(name) for name in ("card_id", "sha256", "recogniser", "at")]
        page, body = row.get("page"), row.get("body")
        if not all(isinstance(one, str) for one in texts) or not isinstance(page, int):
            raise BadInput(file=READINGS, row=number, expected="a reading of a page", found=str(row)[:80])
        if not isinstance(body, dict) or not isinstance(body.get("lines"), list):
            raise BadInput(file=READINGS, row=number, expected="a card as read", found=str(body)[:80])
        card_id, sha256, recogniser, at = map(str, texts)
        yield KeptReading(card_id, sha256, page, recogniser, at, body)


def _others(writer: Writer, files: Files) -> list[str]:
    """Put back the tables that go along as they are."""
    notices = []
    for path in files.names():
        if path.startswith(OTHER) and path.endswith(".jsonl"):
            table = path.removeprefix(OTHER).removesuffix(".jsonl")
            if not writer.put_back(table, list(_json_lines(files, path))):
                notices.append(
                    f"The bag holds a table '{table}' that this version of the program doesn't know."
                )
    return notices


def _table(files: Files, path: str, columns: Sequence[str]) -> Iterator[dict[str, str]]:
    """The rows of a table of the bag; `BadInput` where a column is missing or a row is cut short."""
    with files.open(path) as file:
        rows = csv.DictReader(io.TextIOWrapper(file, encoding="utf-8", newline=""), strict=True)
        missing = [column for column in columns if column not in (rows.fieldnames or ())]
        if missing:
            raise BadInput(file=path, row=1, expected=f"a column {missing[0]}", found="none")
        for number, row in enumerate(rows, start=2):
            if None in row or None in row.values():
                raise BadInput(file=path, row=number, expected="as many cells as columns", found="others")
            yield row


def _number(file: str, column: str, text: str) -> int:
    if not text.isdecimal():
        raise BadInput(file=file, column=column, expected="a whole number", found=text)
    return int(text)


def _json_lines(files: Files, path: str) -> Iterator[dict[str, Any]]:
    with files.open(path) as file:
        for number, line in enumerate(file, start=1):
            try:
                row = json.loads(line)
            except ValueError as error:
                raise BadInput(file=path, row=number, expected="a line of JSON", found=str(error)) from error
            if not isinstance(row, dict):
                raise BadInput(file=path, row=number, expected="an object of JSON", found=str(row)[:80])
            yield row
