"""Everything that can be written into an archive, within one transaction."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, Final

from sqlalchemy import Connection, delete, func, insert, select

from numbertaker.archive import jobs, kept, lessons, other, rows
from numbertaker.archive.tables import CARD_READINGS, CARD_SCANS, COLUMNS, HISTORIES, IMPORTS, SCANS
from numbertaker.archive.values import (
    CardScan,
    ImportNote,
    JobItem,
    JobState,
    Json,
    KeptReading,
    Lesson,
    Scan,
)
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Card, Decision, Evidence, Line, Reading, Record

_AT_ONCE: Final = 200
"""How many parts of a history are written in one go."""


@dataclass(frozen=True, slots=True)
class Writer:
    """The open transaction. What it reads it sees with its own changes; decisions can only be added."""

    connection: Connection

    def evidence(self) -> Evidence:
        """The rows as this transaction sees them."""
        return rows.read_evidence(self.connection)

    def readings(self) -> tuple[Reading, ...]:
        """The superseded readings as this transaction sees them."""
        return rows.read_readings(self.connection)

    def lines_of(self, card_id: str) -> tuple[Line, ...]:
        """The lines of one card as this transaction sees them."""
        return rows.read_lines_of(self.connection, card_id)

    def log(self) -> tuple[Decision, ...]:
        """The log of decisions as this transaction sees it."""
        return rows.read_decisions(self.connection)

    def readings_of(self, card_id: str) -> tuple[KeptReading, ...]:
        """The latest readings of a card's pages as this transaction sees them."""
        return kept.read_card_readings(self.connection, card_id)

    def card(self, card_id: str) -> Card:
        """One card, or `NotFound`."""
        return rows.read_card(self.connection, card_id)

    def scans(self) -> tuple[Scan, ...]:
        """The scans as this transaction sees them."""
        return kept.read_scans(self.connection)

    def scan(self, sha256: str) -> Scan:
        """One scan as this transaction sees it, or `NotFound`."""
        for scan in self.scans():
            if scan.sha256 == sha256:
                return scan
        raise NotFound("scan", sha256)

    def card_scans(self) -> tuple[CardScan, ...]:
        """Which page shows which card, as this transaction sees it."""
        return kept.read_card_scans(self.connection)

    def add(self, table: str, records: Sequence[Record]) -> None:
        """Put records behind the rows of a table."""
        rows.add_rows(self.connection, table, records)

    def append(self, decision: Decision) -> None:
        """Add a decision to the log."""
        self.add(Decision.TABLE, [decision])

    def change_lines(self, lines: Sequence[Line]) -> None:
        """Give lines that were read anew their new cells; ids and places stay."""
        rows.change_rows(self.connection, Line.TABLE, lines)

    def drop_lines(self, line_ids: Sequence[str]) -> None:
        """Take out lines that a new reading has not got."""
        rows.drop_rows(self.connection, Line.TABLE, line_ids)

    def note_columns(self, table: str, columns: Sequence[str]) -> None:
        """Remember the columns of a file in their order; those known already keep their places."""
        known = kept.read_columns(self.connection).get(table, ())
        new = [column for column in columns if column not in known]
        values = [
            {"table_name": table, "column_name": column, "position": len(known) + n}
            for n, column in enumerate(new)
        ]
        if values:
            self.connection.execute(insert(COLUMNS), values)

    def note_import(self, note: ImportNote) -> None:
        """Enter a package that brought something new."""
        self.connection.execute(
            insert(IMPORTS).values(name=note.name, prefix=note.prefix, rows=note.rows, by=note.by, at=note.at)
        )

    def add_lesson(self, at: str, by: str, body: Json) -> Lesson:
        """Keep what was learnt as a new version, which is in force from now on."""
        return lessons.add_lesson(self.connection, at, by, body)

    def add_scan(self, scan: Scan) -> None:
        """Enter a scan whose file is kept."""
        self.connection.execute(
            insert(SCANS).values(
                sha256=scan.sha256,
                name=scan.name,
                media_type=scan.media_type,
                pages=scan.pages,
                bytes=scan.bytes_,
                by=scan.by,
                at=scan.at,
            )
        )

    def add_shown(self, shown: CardScan) -> None:
        """Say again that a page shows a card, in the place that it had among the card's pages."""
        self.connection.execute(
            insert(CARD_SCANS).values(
                card_id=shown.card_id, sha256=shown.sha256, page=shown.page, position=shown.position
            )
        )

    def show(self, card_id: str, sha256: str, page: int) -> CardScan:
        """Say that a page shows a card, behind the pages that show it already."""
        last = self.connection.scalar(
            select(func.max(CARD_SCANS.c.position)).where(CARD_SCANS.c.card_id == card_id)
        )
        shown = CardScan(card_id, sha256, page, (last or 0) + 1)
        self.add_shown(shown)
        return shown

    def keep_reading(self, reading: KeptReading) -> None:
        """Keep what was read on a page; earlier readings of it stay."""
        self.connection.execute(
            insert(CARD_READINGS).values(
                card_id=reading.card_id,
                sha256=reading.sha256,
                page=reading.page,
                recogniser=reading.recogniser,
                at=reading.at,
                body=json.dumps(reading.body, ensure_ascii=False),
            )
        )

    def put_back(self, table: str, found: Sequence[Mapping[str, Any]]) -> bool:
        """Put back the rows of a table that a bag carries as they are; False where there is no such table."""
        return other.put_back(self.connection, table, found)

    def add_job(self, kind: str, by: str, at: str, pages: Sequence[CardScan]) -> int:
        """A new job with its pages waiting; gives its id."""
        return jobs.add_job(self.connection, kind, by, at, pages)

    def set_item(self, job_id: int, item: JobItem) -> None:
        """How far one page of a job is now."""
        jobs.set_item(self.connection, job_id, item)

    def set_job(self, job_id: int, state: JobState, ended: str = "") -> None:
        """How far a job is now."""
        jobs.set_job(self.connection, job_id, state, ended)

    def stop_jobs(self, at: str) -> None:
        """Mark jobs as stopped whose process is no more."""
        jobs.stop_jobs(self.connection, at)

    def kept_digest(self) -> str:
        """The digest of the reconciliation that is kept, as this transaction sees it."""
        return kept.read_digest(self.connection)

    def keep_histories(
        self, digest: str, at: str, parts: Iterable[tuple[str, str]], *, whole: bool = True
    ) -> None:
        """Keep a reconciliation in place of the last one; if not `whole`, the parts that changed since.

        Few parts are in memory at once. The digest of the part without an id holds for all: parts that did
        not change keep an older one.
        """
        if whole:
            self.connection.execute(delete(HISTORIES))
        left = iter(parts)
        while some := list(islice(left, _AT_ONCE)):
            if not whole:
                ids = [component_id for component_id, _ in some]
                self.connection.execute(delete(HISTORIES).where(HISTORIES.c.component_id.in_(ids)))
            values = [{"component_id": i, "digest": digest, "at": at, "body": body} for i, body in some]
            self.connection.execute(insert(HISTORIES), values)
