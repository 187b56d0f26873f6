"""A real PostgreSQL server of the tests' own, on a socket in a folder that goes away with it."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from numbertaker.archive import Archive, open_archive

PORT = "5477"
"""Part of the socket's name only: the server listens on no network."""


def programs() -> Path:
    """The folder of `initdb` and `pg_ctl`; Debian keeps them off the path."""
    found = shutil.which("pg_ctl")
    folders = [Path(found).parent] if found else sorted(Path("/usr/lib/postgresql").glob("*/bin"))
    if not folders:
        pytest.fail("The PostgreSQL tests need its server: apt-get install postgresql.")
    return folders[-1]


def as_server(folder: Path) -> list[str]:
    """The words before a command so that it is not run by root, which PostgreSQL refuses."""
    if os.geteuid() != 0:
        return []
    shutil.chown(folder, "postgres", "postgres")
    return ["runuser", "-u", "postgres", "--"]


@pytest.fixture(scope="session")
def server() -> Iterator[Path]:
    """The folder of the socket of a running server."""
    # Not pytest's own folder: the server's user may not walk into root's.
    folder = Path(tempfile.mkdtemp(prefix="numbertaker-pg-"))
    before, data = as_server(folder), folder / "data"
    tools = programs()
    settings = f"-k {folder} -p {PORT} -c listen_addresses='' -c fsync=off"

    def run(*words: str) -> None:
        done = subprocess.run([*before, *words], cwd=folder, capture_output=True, text=True, check=False)
        if done.returncode:
            pytest.fail(f"{words[0]} failed: {done.stderr or done.stdout}")

    run(
        str(tools / "initdb"), "-D", str(data), "-U", "tests", "--auth=trust", "--encoding=UTF8", "--locale=C"
    )
    run(str(tools / "pg_ctl"), "-D", str(data), "-w", "-l", str(folder / "log"), "-o", settings, "start")
    yield folder
    run(str(tools / "pg_ctl"), "-D", str(data), "-w", "-m", "immediate", "stop")
    shutil.rmtree(folder)


@pytest.fixture
def address(server: Path) -> Iterator[str]:
    """The SQLAlchemy address of an empty database of this test's own."""
    from sqlalchemy import create_engine, text

    at = f"postgresql+psycopg://tests@/postgres?host={server}&port={PORT}"
    admin = create_engine(at, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text("CREATE DATABASE one_test"))
    yield at.replace("/postgres?", "/one_test?")
    with admin.connect() as connection:
        connection.execute(text("DROP DATABASE one_test WITH (FORCE)"))
    admin.dispose()


@pytest.fixture
def archive(tmp_path: Path, address: str) -> Iterator[Archive]:
    """An empty archive whose rows lie in PostgreSQL."""
    made = open_archive(tmp_path / "archive", database=address)
    yield made
    made.close()
