"""Rows out into a package: every column, in the order of the files they came from, listed in its schema."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from numbertaker.evidence.package.restoring import corrected
from numbertaker.evidence.package.values import RECORD_OF
from numbertaker.evidence.records import Evidence, Reading, Record

DESCRIPTOR: Final = "datapackage.json"
PROFILE: Final = "tabular-data-package"


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A table on its way out: its columns, and for each row the texts under them."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def outgoing(
    evidence: Evidence, readings: Iterable[Reading], columns: Callable[[str], Sequence[str]]
) -> dict[str, Outgoing]:
    """The tables as an export gives them; `columns` gives those of the files that a table came in.

    A table that neither has a row nor ever came is left out; `sources` never is.
    """
    now = corrected(evidence, readings)
    found: dict[str, Sequence[Record]] = {
        table: getattr(evidence, table) for table in RECORD_OF if table not in ("lines", "readings")
    }
    found = {table: found.get(table, ()) for table in RECORD_OF} | {
        "lines": now.lines,
        "readings": now.readings,
    }
    return {
        table: _table(table, records, tuple(columns(table)))
        for table, records in found.items()
        if records or columns(table) or table == "sources"
    }


def _table(table: str, records: Sequence[Record], came: tuple[str, ...]) -> Outgoing:
    """The columns that came, then any other that a row fills; all known ones where none came."""
    rows = [record.row() for record in records]
    first = came or RECORD_OF[table].columns()
    filled = dict.fromkeys(column for row in rows for column, text in row.items() if text)
    later = [column for column in filled if column not in first]
    columns = (*first, *later)
    return Outgoing(columns, tuple(tuple(row.get(column, "") for column in columns) for row in rows))


def write_files(tables: Mapping[str, Outgoing]) -> dict[str, bytes]:
    """The files of a package: `datapackage.json`, then a CSV file for each table."""
    files = {f"{table}.csv": _delimited(out) for table, out in tables.items()}
    return {DESCRIPTOR: _descriptor(tables)} | files


def _delimited(out: Outgoing) -> bytes:
    text = io.StringIO(newline="")
    # Both line ends are quoted in a cell only if the file's own line end has both.
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(out.columns)
    writer.writerows(out.rows)
    return text.getvalue().encode("utf-8")


def _descriptor(tables: Mapping[str, Outgoing]) -> bytes:
    resources = [_resource(table, out.columns) for table, out in tables.items()]
    whole = {"name": "evidence", "profile": PROFILE, "resources": resources}
    return (json.dumps(whole, ensure_ascii=False, indent=1) + "\n").encode("utf-8")


def _resource(table: str, columns: Sequence[str]) -> dict[str, Any]:
    """A table's part of the descriptor. Everything is a string: cells are texts as they stand."""
    record = RECORD_OF[table]
    fields = [
        {"name": column, "type": "string"}
        | ({"constraints": {"required": True}} if _must(record, column) else {})
        for column in columns
    ]
    schema: dict[str, Any] = {"fields": fields, "missingValues": [""]}
    if len(record.KEY) == 1:
        schema["primaryKey"] = list(record.KEY)
    return {
        "name": table,
        "path": f"{table}.csv",
        "profile": "tabular-data-resource",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": schema,
    }


def _must(record: type[Record], column: str) -> bool:
    """Whether no row may leave a column empty. (A correction may empty a cell; taking back rules nothing.)"""
    return column in record.REQUIRED and (record.TABLE, column) not in (
        ("decisions", "ruling"),
        ("readings", "text"),
    )
