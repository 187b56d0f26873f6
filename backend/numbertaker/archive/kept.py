"""Scans, cards' pages, readings and histories out of their tables."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Final

from sqlalchemy import Connection, func, select

from numbertaker.archive.tables import (
    CARD_READINGS,
    CARD_SCANS,
    COLUMNS,
    HISTORIES,
    IMPORTS,
    RECORD_TABLES,
    SCANS,
)
from numbertaker.archive.values import CardScan, ImportNote, KeptReading, Scan

_AT_ONCE: Final = 200
"""How many parts of a history are taken out in one go."""
_CARDS = RECORD_TABLES["cards"]


def read_columns(connection: Connection) -> dict[str, tuple[str, ...]]:
    """The columns of each table in their order."""
    found: dict[str, list[str]] = {}
    for table, column in connection.execute(
        select(COLUMNS.c.table_name, COLUMNS.c.column_name).order_by(COLUMNS.c.table_name, COLUMNS.c.position)
    ):
        found.setdefault(table, []).append(column)
    return {table: tuple(columns) for table, columns in found.items()}


def read_imports(connection: Connection) -> tuple[ImportNote, ...]:
    """The packages that brought something, the oldest first."""
    rows = connection.execute(select(IMPORTS).order_by(IMPORTS.c.import_id))
    return tuple(ImportNote(r.name, r.prefix, r.rows, r.by, r.at) for r in rows)


def read_scans(connection: Connection) -> tuple[Scan, ...]:
    """Every scan, by the time it came and its name."""
    rows = connection.execute(select(SCANS).order_by(SCANS.c.at, SCANS.c.name, SCANS.c.sha256))
    return tuple(Scan(r.sha256, r.name, r.media_type, r.pages, r.bytes, r.by, r.at) for r in rows)


def read_card_scans(connection: Connection) -> tuple[CardScan, ...]:
    """The pages of the cards, in the cards' order."""
    rows = connection.execute(
        select(CARD_SCANS)
        .join(_CARDS, _CARDS.c.card_id == CARD_SCANS.c.card_id)
        .order_by(_CARDS.c.position, CARD_SCANS.c.position)
    )
    return tuple(CardScan(r.card_id, r.sha256, r.page, r.position) for r in rows)


def read_card_readings(connection: Connection, card_id: str | None = None) -> tuple[KeptReading, ...]:
    """The latest reading of each page of each card, or of one card."""
    same = (CARD_READINGS.c.card_id, CARD_READINGS.c.sha256, CARD_READINGS.c.page)
    latest = select(func.max(CARD_READINGS.c.reading_id)).group_by(*same)
    wanted = select(CARD_READINGS).where(CARD_READINGS.c.reading_id.in_(latest))
    if card_id is not None:
        wanted = wanted.where(CARD_READINGS.c.card_id == card_id)
    rows = connection.execute(wanted)
    found = {
        (r.card_id, r.sha256, r.page): KeptReading(
            r.card_id, r.sha256, r.page, r.recogniser, r.at, json.loads(r.body)
        )
        for r in rows
    }
    pages = read_card_scans(connection)
    keys = ((page.card_id, page.sha256, page.page) for page in pages)
    return tuple(found[key] for key in keys if key in found)


def read_readings_after(connection: Connection, after: int, most: int) -> list[tuple[int, KeptReading]]:
    """So many readings behind the one of that number, each with its own number, the oldest first."""
    wanted = select(CARD_READINGS).where(CARD_READINGS.c.reading_id > after)
    rows = connection.execute(wanted.order_by(CARD_READINGS.c.reading_id).limit(most))
    return [
        (r.reading_id, KeptReading(r.card_id, r.sha256, r.page, r.recogniser, r.at, json.loads(r.body)))
        for r in rows
    ]


def read_digest(connection: Connection) -> str:
    """The digest of what the reconciliation that is kept was made of; empty where none is."""
    return connection.scalar(select(HISTORIES.c.digest).where(HISTORIES.c.component_id == "")) or ""


def read_histories(connection: Connection) -> Iterator[tuple[str, str]]:
    """The parts of the reconciliation that is kept, by component id, a few at once in memory."""
    wanted = select(HISTORIES.c.component_id, HISTORIES.c.body)
    rows = connection.execute(wanted, execution_options={"yield_per": _AT_ONCE})
    return ((row.component_id, row.body) for row in rows)
