"""Bring a database to the tables that this program wants, by the migrations that it carries.

A file is copied beside itself before it is migrated (`numbertaker-before-REVISION.db`), and the copy is a
whole database, not a file in the middle of something.
"""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, inspect, text

from numbertaker.evidence.errors import BadInput

HEAD: Final = "0004"
"""The newest migration; a test holds it to the folder, so that Alembic need not be loaded to know it."""
MIGRATIONS: Final = Path(__file__).parent / "migrations"


def bring_up_to_date(engine: Engine, file: Path | None, *, to: str = HEAD) -> None:
    """Migrate to the newest tables, or to the revision named; does nothing where they are there already."""
    with engine.begin() as connection:
        now = revision_of(connection)
    if now == to:
        return
    if now is not None and now > HEAD:
        raise BadInput(
            f"This archive was made by a newer version of the program (tables {now}, expected {HEAD} "
            "at most). Install that version or a newer one."
        )
    if now is not None and file is not None:
        _copy(engine, file.with_name(f"{file.stem}-before-{to}.db"))
    migrate(engine, to)


def revision_of(connection: Connection) -> str | None:
    """The migration that a database stands at; None where it is empty."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    return str(connection.scalar(text("SELECT version_num FROM alembic_version")))


def migrate(engine: Engine, to: str) -> None:
    """Run the migrations in one transaction, with foreign keys checked after it instead of within.

    SQLite alters a table by copying and dropping it, which would take what refers to it along.
    """
    from alembic import command
    from alembic.config import Config

    logging.getLogger("alembic").setLevel(logging.WARNING)
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    with engine.connect() as connection:
        sqlite = connection.dialect.name == "sqlite"
        if sqlite:
            _outside(connection, "PRAGMA foreign_keys=OFF")
        try:
            with connection.execution_options(writing=True).begin():
                config.attributes["connection"] = connection
                command.upgrade(config, to)
                if sqlite and connection.exec_driver_sql("PRAGMA foreign_key_check").first():
                    raise BadInput("The archive's tables don't fit each other; its copy is beside it.")
        finally:
            if sqlite:
                _outside(connection, "PRAGMA foreign_keys=ON")


def _outside(connection: Connection, statement: str) -> None:
    """Run a statement outside any transaction, where alone it has an effect."""
    raw = connection.connection.driver_connection
    if raw is None:
        raise RuntimeError("The connection is closed.")
    raw.execute(statement)


def _copy(engine: Engine, backup: Path) -> None:
    """Copy the database as a whole; an older copy of the same step is replaced."""
    backup.unlink(missing_ok=True)
    with engine.connect() as connection:
        raw = connection.connection.driver_connection
        if raw is None:
            raise RuntimeError("The connection is closed.")
        raw.execute("VACUUM INTO ?", (str(backup),))
