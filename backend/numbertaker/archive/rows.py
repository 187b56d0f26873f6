"""Rows of the evidence in and out of their tables, cell by cell as they are."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, TypeVar

from sqlalchemy import Connection, Text, bindparam, delete, func, insert, select, update
from sqlalchemy.sql.elements import ColumnElement

from numbertaker.archive.tables import CARD_READINGS, RECORD_OF, RECORD_TABLES
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Card, Decision, Evidence, Extra, Line, Reading, Record

R = TypeVar("R", bound=Record)

IN_EVIDENCE: Final = tuple(table for table in RECORD_TABLES if table != Reading.TABLE)
_NO_EXTRA: Final = "[]"


def read_table(connection: Connection, table: str) -> tuple[Record, ...]:
    """All rows of a table as records, in their order."""
    return _read(connection, RECORD_OF[table])


def read_evidence(connection: Connection) -> Evidence:
    """Everything that the archive holds, as a transaction sees it."""
    tables = {table: read_table(connection, table) for table in IN_EVIDENCE if table != Line.TABLE}
    lines = _settled(connection, _read(connection, Line))
    return Evidence(lines=lines, **tables)  # type: ignore[arg-type]


def _settled(connection: Connection, lines: tuple[Line, ...]) -> tuple[Line, ...]:
    """The lines in an order that doesn't hang on which card was read first.

    Those of cards that were read here come last, by card and row; all others in the order they came.
    """
    position = RECORD_TABLES[Card.TABLE].c.position
    here = select(RECORD_TABLES[Card.TABLE].c.card_id, position).join(CARD_READINGS).distinct()
    order = {row.card_id: row.position for row in connection.execute(here)}
    return tuple(sorted(lines, key=lambda line: _place(line, order))) if order else lines


def _place(line: Line, order: Mapping[str, int]) -> tuple[int, int]:
    read_here = line.reading and line.card_id in order
    return (order[line.card_id], int(line.row_ or 0)) if read_here else (-1, 0)


def read_lines_of(connection: Connection, card_id: str) -> tuple[Line, ...]:
    """The lines of one card, in their order."""
    return _read(connection, Line, RECORD_TABLES[Line.TABLE].c.card_id == card_id)


def read_decisions(connection: Connection) -> tuple[Decision, ...]:
    """The log of decisions."""
    return _read(connection, Decision)


def read_readings(connection: Connection) -> tuple[Reading, ...]:
    """The superseded readings of cells."""
    return _read(connection, Reading)


def read_card(connection: Connection, card_id: str) -> Card:
    """One card, or `NotFound`."""
    found = _read(connection, Card, RECORD_TABLES[Card.TABLE].c.card_id == card_id)
    if not found:
        raise NotFound("card", card_id)
    return found[0]


def add_rows(connection: Connection, table: str, records: Iterable[Record]) -> None:
    """Put records behind the rows that are there."""
    kept = RECORD_TABLES[table]
    last = connection.scalar(select(func.max(kept.c.position))) or 0
    values = [{"position": last + n, **_values(record)} for n, record in enumerate(records, start=1)]
    if values:
        connection.execute(insert(kept), values)


def change_rows(connection: Connection, table: str, records: Sequence[Record]) -> None:
    """Give rows with an id new cells; they keep their places."""
    kept = RECORD_TABLES[table]
    key = RECORD_OF[table].KEY[0]
    values = [{"wanted": record.key, **_values(record)} for record in records]
    if values:
        connection.execute(update(kept).where(kept.c[key] == bindparam("wanted", type_=Text)), values)


def drop_rows(connection: Connection, table: str, keys: Sequence[str]) -> None:
    """Take rows with these ids out."""
    kept = RECORD_TABLES[table]
    key: ColumnElement[Any] = kept.c[RECORD_OF[table].KEY[0]]
    for one in keys:
        connection.execute(delete(kept).where(key == one))


def _read(connection: Connection, make: type[R], *conditions: ColumnElement[bool]) -> tuple[R, ...]:
    kept = RECORD_TABLES[make.TABLE]
    known = [kept.c[column] for column in make.columns()]
    rows = connection.execute(select(kept.c.extra, *known).where(*conditions).order_by(kept.c.position))
    # The class's own slots are its fields without `extra`, in the order of its columns.
    names = make.__slots__
    keys = [column in make.KEY for column in make.columns()]
    # Most cells say what others say, and are then the very same text: a large archive is small in memory.
    extras: dict[str, Extra] = {_NO_EXTRA: ()}
    known_cells: dict[str, str] = {}
    same = known_cells.setdefault
    made: list[R] = []
    for extra, *cells in rows:
        if extra not in extras:
            extras[extra] = _extra(extra, known_cells)
        texts = [cell if key else same(cell, cell) for cell, key in zip(cells, keys, strict=True)]
        made.append(make(extra=extras[extra], **dict(zip(names, texts, strict=True))))
    return tuple(made)


def _extra(text: str, known: dict[str, str]) -> Extra:
    return tuple(
        (known.setdefault(column, column), known.setdefault(cell, cell)) for column, cell in json.loads(text)
    )


def _values(record: Record) -> dict[str, str]:
    extra = dict(record.extra)
    known = {column: text for column, text in record.row().items() if column not in extra}
    said = json.dumps(record.extra, ensure_ascii=False) if record.extra else _NO_EXTRA
    return {**known, "extra": said}
