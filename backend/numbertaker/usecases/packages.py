"""Bring an evidence package in, all of it or nothing, and give one out."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from numbertaker.archive import Archive, ImportNote, Writer
from numbertaker.archive.scans import write_whole
from numbertaker.evidence import package as form
from numbertaker.evidence.errors import BadInput, Conflict
from numbertaker.evidence.package.restoring import Corrected, corrected, restored
from numbertaker.evidence.package.values import RECORD_OF
from numbertaker.evidence.package.writing import DESCRIPTOR
from numbertaker.evidence.records import Line, Reading, Record
from numbertaker.usecases.learn import learn

WORKBOOK: Final = ".xlsx"
ZIP: Final = ".zip"


@dataclass(frozen=True, slots=True)
class Imported:
    """By table: how many rows are new and how many were there already; and what a person should be told."""

    counts: Mapping[str, int]
    unchanged: Mapping[str, int]
    notices: tuple[str, ...]


def import_package(
    archive: Archive, path: Path, by: str = "", prefix: str | None = None, *, learning: bool = False
) -> Imported:
    """Take in a folder, a .zip or an .xlsx; `prefix` goes before each incoming id.

    `BadInput` lists every fault with file, row and column; `Conflict` the rows whose id is there already with
    other content. In both cases nothing is taken in. `by` is who brings it; the archive keeps that. When the
    archive has its first lines, and where `learning` asks for it, its papers are learnt from afterwards.
    """
    package = read_package(path)
    if prefix:
        package = form.prefixed(package, prefix)
    with archive.writing() as writer:
        form.check(package, writer.evidence())
        came = take_rows(writer, package)
        rows = sum(came.counts.values())
        if rows:
            at = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
            writer.note_import(ImportNote(path.resolve().name, prefix or "", rows, by, at))
    if learning or (came.counts.get("lines") and not archive.lessons()):
        learn(archive, by)
    return came


def read_package(path: Path) -> form.Package:
    """The tables in a folder, a .zip or an .xlsx, not yet checked."""
    if path.is_dir():
        return form.read_files(_files_of(path))
    if not path.is_file():
        raise BadInput(f"{path}: expected a folder, a .zip or an .xlsx file, found nothing there.")
    data = path.read_bytes()
    if path.suffix.lower() == WORKBOOK:
        return form.read_workbook(data, path.name)
    return form.read_files(form.unzip(data, path.name))


def _files_of(folder: Path) -> dict[str, bytes]:
    """The files of a folder and of the folders in it that may be tables."""
    found = sorted(p for p in folder.rglob("*") if p.is_file() and p.suffix.lower() == ".csv")
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def take_rows(writer: Writer, package: form.Package) -> Imported:
    """Add what is new of a package that was checked, or `Conflict` where something clashes."""
    known = _views(writer)
    incoming = restored(
        (r.record for r in package.rows("lines") if isinstance(r.record, Line)),
        (r.record for r in package.rows("readings") if isinstance(r.record, Reading)),
        (r.record.key for r in package.rows("decisions")),
    )
    merged = form.merge(package, known)
    if merged.clashes:
        raise Conflict(
            "These rows have an id that is there already, with other content. Nothing was taken in. "
            "Mend them, or give the incoming ids a prefix.",
            rows=merged.clashes,
        )
    for table, records in merged.new.items():
        writer.note_columns(table, package.tables[table].columns)
        writer.add(table, _as_they_came(table, records, incoming))
    counts = {table: len(records) for table, records in merged.new.items()}
    return Imported(counts, merged.unchanged, package.notices)


def _views(writer: Writer) -> dict[str, list[tuple[Record, ...]]]:
    """The rows as they came and, of what corrections change, as an export gives them."""
    evidence, readings = writer.evidence(), writer.readings()
    now = corrected(evidence, readings)
    plain = {table: [getattr(evidence, table)] for table in RECORD_OF if table != Reading.TABLE}
    return plain | {"lines": [evidence.lines, now.lines], "readings": [now.readings]}


def _as_they_came(table: str, records: tuple[Record, ...], incoming: Corrected) -> tuple[Record, ...]:
    """The records to keep: lines as they were before the decisions that came with them."""
    if table == Line.TABLE:
        before = {line.line_id: line for line in incoming.lines}
        return tuple(before[record.key] for record in records)
    if table == Reading.TABLE:
        kept = {id(reading) for reading in incoming.readings}
        return tuple(record for record in records if id(record) in kept)
    return records


def export_package(archive: Archive, out: Path) -> Path:
    """Write everything as a folder, a .zip or an .xlsx, by the name's ending; never half of it.

    A file is replaced; a folder must be absent, empty or an earlier export. The same rows give the same
    bytes, but for a workbook.
    """
    if out.is_dir() and any(out.iterdir()) and not (out / DESCRIPTOR).is_file():
        raise BadInput(
            f"{out}: expected no folder, an empty one or an earlier export, found other files in it."
        )
    tables = form.outgoing(archive.evidence(), archive.readings(), archive.columns)
    out.parent.mkdir(parents=True, exist_ok=True)
    if out.suffix.lower() == WORKBOOK:
        write_whole(out, form.write_workbook({t: (o.columns, o.rows) for t, o in tables.items()}))
    elif out.suffix.lower() == ZIP:
        write_whole(out, form.zipped(form.write_files(tables)))
    else:
        _write_folder(out, form.write_files(tables))
    return out


def _write_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Write all files beside the place, then put the folder there at one stroke."""
    coming = Path(tempfile.mkdtemp(dir=out.parent, prefix=".coming-"))
    try:
        for name, data in files.items():
            write_whole(coming / name, data)
        coming.chmod(0o755)
        if out.exists():
            gone = Path(tempfile.mkdtemp(dir=out.parent, prefix=".going-"))
            out.replace(gone / "was")
            coming.replace(out)
            shutil.rmtree(gone)
        else:
            coming.replace(out)
    finally:
        shutil.rmtree(coming, ignore_errors=True)


def write_template(out: Path) -> Path:
    """Write an empty workbook with a sheet a table, every column formatted as text."""
    out.parent.mkdir(parents=True, exist_ok=True)
    write_whole(out, form.template())
    return out
