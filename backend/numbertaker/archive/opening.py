"""Open an archive, making or bringing up to date what is there.

An archive is a folder: `numbertaker.db` (SQLite) and `scans/`. With a database address the rows lie there
instead, and the folder has the scans alone.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError

from numbertaker.archive.archive import Archive
from numbertaker.archive.migrating import bring_up_to_date
from numbertaker.archive.scans import ScanStore
from numbertaker.evidence.errors import BadInput

DATABASE: Final = "numbertaker.db"
SCANS: Final = "scans"
WAIT_S: Final = 30
"""How long a writer waits for another one, in seconds."""


def open_archive(folder: str | os.PathLike[str], *, database: str | None = None) -> Archive:
    """Open the archive in a folder, made if absent; `database` is an SQLAlchemy address other than its file.

    `BadInput` where the place is no folder or the file no archive of this program or of an older one.
    """
    place = Path(folder)
    if place.exists() and not place.is_dir():
        raise BadInput(f"{place}: expected the folder of an archive, found a file.")
    (place / SCANS).mkdir(parents=True, exist_ok=True)
    file = place / DATABASE
    engine = create_engine(database) if database else sqlite_engine(file)
    try:
        bring_up_to_date(engine, None if database else file)
    except DatabaseError as error:
        engine.dispose()
        raise BadInput(f"{database or file} can't be opened as an archive: {error.orig}.") from error
    except BaseException:
        engine.dispose()
        raise
    return Archive(place, engine, ScanStore(place / SCANS))


def sqlite_engine(file: Path, wait_s: float = WAIT_S) -> Engine:
    """An engine on an SQLite file with a rollback journal, synced at each commit.

    A write-ahead log would be quicker, but versions of SQLite before 3.51.3 can damage a file that has one
    when two connections write at the same moment (sqlite.org/wal.html).
    """
    engine = create_engine(f"sqlite:///{file}", connect_args={"timeout": wait_s, "check_same_thread": False})
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _: object) -> None:
    """Set what SQLite keeps per connection, and take BEGIN from the driver, which delays it."""
    connection.isolation_level = None
    for setting in ("journal_mode=DELETE", "synchronous=FULL", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {setting}")


def _begin(connection: Connection) -> None:
    """A transaction that will write says so at once: one that only turns to it later can't wait its turn."""
    writing = connection.get_execution_options().get("writing", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")
