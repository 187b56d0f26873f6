"""The archive of an institution: the same rows, rulings and histories with PostgreSQL as with SQLite."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError

from numbertaker.archive import Archive, open_archive
from numbertaker.evidence.records import Engine
from numbertaker.usecases.decide import decide, take_back
from numbertaker.usecases.packages import export_package, import_package
from numbertaker.usecases.reconcile import current

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "corpus_demo" / "package"


def tables(folder: Path) -> dict[str, bytes]:
    """The files of a package by name."""
    return {file.name: file.read_bytes() for file in sorted(folder.glob("*.csv"))}


def test_history_is_the_same_as_with_sqlite(tmp_path: Path, archive: Archive) -> None:
    """The demo's package gives the same tables back, and the same history to the byte, on both databases."""
    small = open_archive(tmp_path / "small")
    for one in (archive, small):
        import_package(one, DEMO)
    export_package(archive, tmp_path / "a")
    export_package(small, tmp_path / "b")
    assert tables(tmp_path / "a") == tables(tmp_path / "b")
    assert current(archive).to_json(explained=True) == current(small).to_json(explained=True)
    small.close()


def test_importing_again_brings_nothing(archive: Archive) -> None:
    """What is there already is not taken in twice."""
    import_package(archive, DEMO)
    assert not any(import_package(archive, DEMO).counts.values())


def test_decision_is_followed_and_taken_back(archive: Archive) -> None:
    """A ruling moves the history, and taking it back restores it exactly."""
    import_package(archive, DEMO)
    before = current(archive)
    finding = next(f for f in before.all_findings() if f.kind == "mileage-conflict")
    key = finding.claims[0]
    ruled = decide(archive, "finding", finding.id, f"believe {key}", "the other card is a copy", "A. Tester")
    assert current(archive) != before
    take_back(archive, ruled.decision.decision_id, "it is none", "A. Tester")
    assert current(archive).components == before.components


def test_log_of_decisions_cannot_be_rewritten(archive: Archive) -> None:
    """The database itself refuses to change or to drop a decision."""
    import_package(archive, DEMO)
    finding = current(archive).all_findings()[0]
    decide(archive, "finding", finding.id, "stands", "seen", "A. Tester")
    for statement in ("UPDATE decisions SET reason = 'other'", "DELETE FROM decisions"):
        with pytest.raises(DatabaseError), archive.engine.begin() as connection:
            connection.execute(text(statement))
    assert [d.reason for d in archive.evidence().decisions] == ["seen"]


def test_two_writers_take_turns(archive: Archive, address: str, tmp_path: Path) -> None:
    """Two that write at once through connections of their own lose nothing."""
    other = open_archive(tmp_path / "archive", database=address)

    def add(one: Archive, name: str) -> None:
        for number in range(20):
            with one.writing() as writer:
                writer.add("engines", [Engine(engine_id=f"{name}{number}")])

    threads = [threading.Thread(target=add, args=pair) for pair in ((archive, "A"), (other, "B"))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(archive.evidence().engines) == 40
    other.close()


def test_writer_that_is_killed_leaves_nothing_half_written(
    archive: Archive, address: str, tmp_path: Path
) -> None:
    """What a killed process had not committed is gone whole, and the next one writes without waiting."""
    program = (
        "import sys, time\n"
        "from numbertaker.archive import open_archive\n"
        "from numbertaker.evidence.records import Engine\n"
        "with open_archive(sys.argv[1], database=sys.argv[2]).writing() as writer:\n"
        "    writer.add('engines', [Engine(engine_id=f'E{n}') for n in range(500)])\n"
        "    print('half way', flush=True)\n"
        "    time.sleep(60)\n"
    )
    words = [sys.executable, "-c", program, str(tmp_path / "archive"), address]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "half way\n"
        writer.kill()
    with archive.writing() as after:
        after.add("engines", [Engine(engine_id="later")])
    assert [engine.engine_id for engine in archive.evidence().engines] == ["later"]


def test_command_line_takes_the_address_from_its_environment(address: str, tmp_path: Path) -> None:
    """`NUMBERTAKER_DATABASE` is all that a command needs to keep its rows in PostgreSQL."""
    words = [
        "-c",
        "from numbertaker.cli.main import run; run()",
        "import",
        str(DEMO),
        "--archive",
        str(tmp_path / "archive"),
    ]
    environment = {**os.environ, "NUMBERTAKER_DATABASE": address}
    done = subprocess.run(
        [sys.executable, *words], env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert not (tmp_path / "archive" / "numbertaker.db").exists()
    kept = open_archive(tmp_path / "archive", database=address)
    assert len(kept.evidence().lines) == 787
    kept.close()
