"""A package as it was read: for each table the file, its columns and its rows, with their places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from numbertaker.evidence.records import RECORDS, Record

RECORD_OF: Final[Mapping[str, type[Record]]] = {record.TABLE: record for record in RECORDS}
"""The record class of each table."""


@dataclass(frozen=True, slots=True)
class Row:
    """A record and the row of its file, counted as a spreadsheet does, with the header as row 1."""

    number: int
    record: Record


@dataclass(frozen=True, slots=True)
class TableIn:
    """One table as it came. `columns` has the unknown ones too; `file` is what messages name."""

    table: str
    file: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Package:
    """The tables that came, and what a person should be told about how they were read."""

    tables: Mapping[str, TableIn] = field(default_factory=dict)
    notices: tuple[str, ...] = ()

    def rows(self, table: str) -> tuple[Row, ...]:
        """The rows of a table; none where it did not come."""
        return self.tables[table].rows if table in self.tables else ()
