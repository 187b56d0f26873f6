"""The tables. Those of the evidence are derived from the record classes: every known column is text.

Constraints have names by convention, because a constraint without a name can't be altered later.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import Column, ForeignKey, Integer, MetaData, Table, Text, UniqueConstraint

from numbertaker.evidence.records import RECORDS, Record

NAMING: Final = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
METADATA: Final = MetaData(naming_convention=NAMING)


def _record_table(record: type[Record]) -> Table:
    """A table with `position` (the order of the rows), the known columns, and `extra` as JSON pairs.

    A table whose key is one column has it unique; the others may say one thing of several times.
    """
    known = [Column(column, Text, nullable=False) for column in record.columns()]
    unique = [UniqueConstraint(record.KEY[0])] if len(record.KEY) == 1 else []
    return Table(
        record.TABLE,
        METADATA,
        Column("position", Integer, primary_key=True, autoincrement=False),
        *known,
        Column("extra", Text, nullable=False),
        *unique,
    )


RECORD_TABLES: Final[dict[str, Table]] = {record.TABLE: _record_table(record) for record in RECORDS}
RECORD_OF: Final[dict[str, type[Record]]] = {record.TABLE: record for record in RECORDS}

STATE: Final = Table(
    "archive_state",
    METADATA,
    Column("name", Text, primary_key=True),
    Column("value", Integer, nullable=False),
)
"""One row, `revision`: it grows with every writing transaction, so what was derived is known to be stale."""

COLUMNS: Final = Table(
    "table_column",
    METADATA,
    Column("table_name", Text, primary_key=True),
    Column("column_name", Text, primary_key=True),
    Column("position", Integer, nullable=False),
)
"""The columns of each table in the order of the files they came in."""

IMPORTS: Final = Table(
    "import",
    METADATA,
    Column("import_id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("prefix", Text, nullable=False),
    Column("rows", Integer, nullable=False),
    Column("by", Text, nullable=False),
    Column("at", Text, nullable=False),
)
"""The packages that brought something new: the file's name, how many rows, who and when."""

SCANS: Final = Table(
    "scan",
    METADATA,
    Column("sha256", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("media_type", Text, nullable=False),
    Column("pages", Integer, nullable=False),
    Column("bytes", Integer, nullable=False),
    Column("by", Text, nullable=False),
    Column("at", Text, nullable=False),
)

CARD_SCANS: Final = Table(
    "card_scan",
    METADATA,
    Column("card_id", Text, ForeignKey("cards.card_id"), primary_key=True),
    Column("sha256", Text, ForeignKey("scan.sha256"), primary_key=True),
    Column("page", Integer, primary_key=True, autoincrement=False),
    Column("position", Integer, nullable=False),
)

CARD_READINGS: Final = Table(
    "card_reading",
    METADATA,
    Column("reading_id", Integer, primary_key=True),
    Column("card_id", Text, ForeignKey("cards.card_id"), nullable=False, index=True),
    Column("sha256", Text, ForeignKey("scan.sha256"), nullable=False),
    Column("page", Integer, nullable=False),
    Column("recogniser", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("body", Text, nullable=False),
)
"""Every reading of every page; the latest of a page stands."""

JOBS: Final = Table(
    "job",
    METADATA,
    Column("job_id", Integer, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("by", Text, nullable=False),
    Column("began", Text, nullable=False),
    Column("ended", Text, nullable=False),
)

JOB_ITEMS: Final = Table(
    "job_item",
    METADATA,
    Column("job_id", Integer, ForeignKey("job.job_id"), primary_key=True),
    Column("position", Integer, primary_key=True, autoincrement=False),
    Column("card_id", Text, nullable=False),
    Column("sha256", Text, nullable=False),
    Column("page", Integer, nullable=False),
    Column("state", Text, nullable=False),
    Column("why", Text, nullable=False),
    Column("attempts", Integer, nullable=False),
)

LEARNT: Final = Table(
    "learnt",
    METADATA,
    Column("version", Integer, primary_key=True, autoincrement=False),
    Column("at", Text, nullable=False),
    Column("by", Text, nullable=False),
    Column("body", Text, nullable=False),
)
"""What was learnt of the archive's papers, by version; rows are only added, and the last is in force."""

HISTORIES: Final = Table(
    "kept_history",
    METADATA,
    Column("component_id", Text, primary_key=True),
    Column("digest", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("body", Text, nullable=False),
)
"""The last reconciliation, a row a component; the row without an id has what belongs to none.

`digest` is that of everything that went in: evidence, decisions, settings and program. That of the row
without an id holds for all; a row that a later reconciliation left as it was keeps an older one.
"""
