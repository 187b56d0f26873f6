"""The authority tables, with the standing decisions followed."""

from __future__ import annotations

from numbertaker.archive import Archive
from numbertaker.evidence.decisions import AUTHORITY
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import RECORDS, Record
from numbertaker.usecases.look.views import AuthorityRow, AuthorityTable


def table(archive: Archive, name: str) -> AuthorityTable:
    """One table by its name; `NotFound` where it is no authority table."""
    if name not in AUTHORITY:
        raise NotFound("table", name, near=AUTHORITY)
    rows: tuple[Record, ...] = getattr(archive.ruled().evidence, name)
    kind = next(record for record in RECORDS if name == record.TABLE)
    came_with = archive.columns(name)
    columns = [*came_with, *(column for column in kind.columns() if column not in came_with)]
    return AuthorityTable(name, columns, list(kind.KEY), [AuthorityRow(row.key, row.row()) for row in rows])
