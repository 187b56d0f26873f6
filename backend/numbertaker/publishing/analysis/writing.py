"""Tables for analysis as CSV (RFC 4180) and as Parquet, a few thousand rows at a time in memory."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any, Final, Protocol

from numbertaker.publishing.analysis.columns import Column, Table
from numbertaker.publishing.analysis.rows import Row
from numbertaker.publishing.keeping.streams import csv_lines

AT_ONCE: Final = 10_000
"""The rows of one row group of a Parquet file."""


class Writable(Protocol):
    """Anything that bytes can be written to."""

    def write(self, data: bytes, /) -> int:
        """Write on; how much was written."""


def csv_text(table: Table, rows: Iterable[Row]) -> Iterator[str]:
    """The CSV piece by piece: dates by ISO 8601, `true` and `false`, lists as JSON."""
    return csv_lines([c.name for c in table.columns], ([_cell(value) for value in row] for row in rows))


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, list) else str(value)


def write_parquet(table: Table, rows: Iterable[Row], file: Writable) -> None:
    """Write a Parquet file; the same rows give the same bytes with the same version of the library."""
    import pyarrow as pa
    from pyarrow import parquet

    schema = pa.schema([_field(column) for column in table.columns], metadata={"description": table.says})
    with parquet.ParquetWriter(file, schema, compression="zstd") as writer:
        for some in _some(rows):
            columns = list(zip(*some, strict=True)) if some else [()] * len(table.columns)
            arrays = [pa.array(values, field.type) for values, field in zip(columns, schema, strict=True)]
            writer.write_table(pa.Table.from_arrays(arrays, schema=schema))


def _some(rows: Iterable[Row]) -> Iterator[list[Row]]:
    some: list[Row] = []
    for row in rows:
        some.append(row)
        if len(some) == AT_ONCE:
            yield some
            some = []
    yield some


def _field(column: Column) -> Any:
    import pyarrow as pa

    types = {
        "string": pa.string(),
        "integer": pa.int64(),
        "number": pa.float64(),
        "date": pa.date32(),
        "boolean": pa.bool_(),
        "array": pa.list_(pa.string()),
    }
    must = bool(column.constraints.get("required"))
    return pa.field(column.name, types[column.type], nullable=not must, metadata={"description": column.says})
