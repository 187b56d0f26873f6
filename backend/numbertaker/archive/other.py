"""The tables that a bag carries as they are, because no open format tells of what is in them.

A bag has the evidence as a package, and scans, readings and imports as tables and lines of their own. What
else an archive comes to know (what it has learnt, say) goes along row by row, so that nothing is lost when
a table is added.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from typing import Any, Final

from sqlalchemy import Connection, Table, insert, select

from numbertaker.archive.tables import METADATA, RECORD_TABLES

TOLD: Final = frozenset((*RECORD_TABLES, "table_column", "import", "scan", "card_scan", "card_reading"))
"""The tables whose rows stand in a bag in a format of their own."""
LEFT_OUT: Final = frozenset(("archive_state", "job", "job_item", "kept_history"))
"""The tables that are no part of what is kept: counters, the progress of work, and what is made anew."""
_BYTES: Final = "base64"


def tables() -> tuple[Table, ...]:
    """The tables that are carried as they are; one that another refers to comes before it."""
    return tuple(t for t in METADATA.sorted_tables if t.name not in TOLD | LEFT_OUT)


def read_rows(connection: Connection, table: Table) -> list[dict[str, Any]]:
    """The rows of a table in the order of its key, as JSON can hold them."""
    rows = connection.execute(select(table).order_by(*table.primary_key.columns)).mappings()
    return [{name: _plain(value) for name, value in row.items()} for row in rows]


def put_back(connection: Connection, name: str, rows: Sequence[Mapping[str, Any]]) -> bool:
    """Put rows into a table again; False where there is no table of that name to be carried so."""
    table = next((t for t in tables() if t.name == name), None)
    if table is None:
        return False
    known = {column.name for column in table.columns}
    values = [{key: _value(value) for key, value in row.items() if key in known} for row in rows]
    if values:
        connection.execute(insert(table), values)
    return True


def _plain(value: Any) -> Any:
    return {_BYTES: base64.b64encode(value).decode("ascii")} if isinstance(value, bytes) else value


def _value(plain: Any) -> Any:
    return base64.b64decode(plain[_BYTES]) if isinstance(plain, Mapping) else plain
