"""A process that is killed outright leaves an archive that opens, with whole rows and whole cards only."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from tests.archives import new_archive, package, picture
from tests.readings import Reader, body

from numbertaker.archive import Archive, open_archive
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.read import read
from numbertaker.usecases.take_in import take_in

ROOT = Path(__file__).parents[2]

READS = """
import sys, time
from tests.readings import Reader, body
from numbertaker.archive import open_archive
from numbertaker.usecases.read import read

def slowly(name, page):
    time.sleep(0.2)
    return body({"engine": "208", "miles": "63,310"})

def told(job):
    print("done", job.counts["done"], flush=True)

read(open_archive(sys.argv[1]), workers=1, progress=told, executor=lambda: Reader(slowly))
"""

WRITES = """
import sys, time
from numbertaker.archive import open_archive
from numbertaker.evidence.records import Engine

with open_archive(sys.argv[1]).writing() as writer:
    # More than SQLite keeps in memory, so that pages of the file itself are overwritten before the end.
    writer.add("engines", [Engine(engine_id=f"E{n}", note="x" * 2000) for n in range(4000)])
    print("half way", flush=True)
    time.sleep(60)
"""


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """An archive with five cards that were not read."""
    made = new_archive(tmp_path / "archive")
    import_package(made, package(tmp_path / "tables", engines="engine_id\nA\n"))
    take_in(made, [picture(tmp_path / "scans" / f"{n}.png", 40 * n) for n in range(1, 6)], "S1")
    made.close()
    return made


def kill_after(program: str, archive: Archive, line: str) -> None:
    """Run a program on the archive and kill it, without any warning, when it has printed a line."""
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", program, str(archive.folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment, cwd=ROOT) as child:
        assert child.stdout is not None
        for said in child.stdout:
            if said.strip() == line:
                child.kill()
                break
        assert child.wait() != 0


def test_a_killed_reader_keeps_the_finished_cards_and_leaves_the_rest_waiting(archive: Archive) -> None:
    """After the kill the finished cards have their lines; the next job reads the others, and only them."""
    kill_after(READS, archive, "done 2")

    after = open_archive(archive.folder)
    finished = {line.card_id for line in after.evidence().lines}
    assert {"S1-1", "S1-2"} <= finished
    assert finished < {card.card_id for card in after.evidence().cards}

    job = read(after, executor=lambda: Reader(lambda *_: body({"engine": "208"})))
    assert {item.card_id for item in job.items} == {f"S1-{n}" for n in range(1, 6)} - finished
    assert [one.state for one in after.jobs()] == ["done", "stopped"]
    assert {line.card_id for line in after.evidence().lines} == {f"S1-{n}" for n in range(1, 6)}


def test_a_killed_writer_leaves_nothing_of_its_transaction(archive: Archive) -> None:
    """What was half written when the process died is rolled back by whoever opens the archive next."""
    kill_after(WRITES, archive, "half way")

    after = open_archive(archive.folder)
    assert [engine.engine_id for engine in after.evidence().engines] == ["A"]
    with after.engine.begin() as connection:
        assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
