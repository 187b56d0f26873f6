"""Publishing: documents of 300 and 3,000 notes in every format, and a book of two hundred components.

Beside the time by the clock stands that of the processor, which other work on the machine hardly changes, and
with a book the most memory that this process and all its children together held at once (Linux: the sum of
their proportional set sizes, looked at every twentieth of a second).
"""

from __future__ import annotations

import argparse
import csv
import os
import resource
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT / "scripts" / "bench_parts")]

from worlds.files import write_world  # noqa: E402
from worlds.world import make_world  # noqa: E402

from numbertaker.evidence.decisions import follow  # noqa: E402
from numbertaker.evidence.records import RECORDS, Evidence  # noqa: E402
from numbertaker.publishing.books import bound  # noqa: E402
from numbertaker.publishing.document import (  # noqa: E402
    Document,
    Heading,
    Note,
    NoteRef,
    Paragraph,
    Run,
    words,
)
from numbertaker.publishing.manner import USUAL  # noqa: E402
from numbertaker.publishing.matter import Matter  # noqa: E402
from numbertaker.publishing.render import Format, render_document  # noqa: E402
from numbertaker.reconciling import reconcile  # noqa: E402
from numbertaker.usecases.chapters import chapters_of  # noqa: E402

FORMATS: tuple[Format, ...] = ("docx", "odt", "pdf", "html", "tex", "md", "txt")
BOOK: tuple[Format, ...] = ("html", "docx", "odt", "pdf")


def document(notes: int) -> Document:
    """A document with so many notes, each to a sentence as long as a fitment's."""
    blocks: list[Heading | Paragraph] = [Heading(1, words("Boiler 52"), "top")]
    written = []
    for n in range(1, notes + 1):
        said = words(
            "It was fitted next to ",
            Run("207 Hurlow Beacon", italic=True),
            " in October 1916 and removed ",
            Run("in the week ending 26 July 1919", degree="probable"),
            f", having run {40_000 + n:,} miles.",
            NoteRef(n),
        )
        blocks.append(Paragraph(said, follows=n % 4 != 1))
        cited = words(f"MOR/CME/4, card 52, line {n}: ", Run("207 · w/e 21.10.16 · 89,238", "written"), ".")
        written.append(Note(n, cited))
    return Document("Boiler 52", tuple(blocks), tuple(written), state="sha256:0")


def timed(make: Callable[[], object]) -> tuple[float, float]:
    """The seconds of the quicker of two runs, by the clock and of the processor."""
    spent = []
    for _ in range(2):
        begun, before = time.perf_counter(), processor()
        make()
        spent.append((time.perf_counter() - begun, processor() - before))
    return min(spent)


def by_notes() -> None:
    """Every format for both numbers of notes."""
    print(f"load of the machine: {os.getloadavg()[0]:.1f}; seconds by the clock / of one core")
    print(f"{'notes':>6}", *(f"{fmt:>11}" for fmt in FORMATS))
    for notes in (300, 3_000):
        made = document(notes)
        seconds = [timed(partial(render_document, made, fmt)) for fmt in FORMATS]
        print(f"{notes:>6}", *(f"{clock:5.2f} /{core:4.2f}" for clock, core in seconds))


def by_book(components: int, workers: int) -> None:
    """A whole archive in each format, with the most memory that this process and its children held."""
    with tempfile.TemporaryDirectory() as folder:
        write_world(make_world(components, "typical", 1), Path(folder))
        ruled = follow(load(Path(folder) / "package"))
    history = reconcile(ruled)
    fitments = sum(len(component.fitments) for component in history.components)
    print(f"{len(history.components)} components, {fitments} fitments")
    ids = [component.component_id for component in history.components]
    for fmt in BOOK:
        begun, before, memory = time.perf_counter(), processor(), Memory()
        chapters = chapters_of((history, ruled, USUAL), "component", ids, workers)
        made = bound(Matter(history, ruled), "Histories of components", chapters, "sha256:0")
        size = len(render_document(made, fmt)) / 1e6
        spent, worked = time.perf_counter() - begun, processor() - before
        print(
            f"  {fmt:>5} {spent:6.1f}s, {worked:5.1f}s of one core, {size:6.2f} MB; "
            f"most memory {memory.most():.0f} MB"
        )


def load(package: Path) -> Evidence:
    """The tables of a package, as they stand."""
    tables: dict[str, Any] = {}
    for record in RECORDS:
        file = package / f"{record.TABLE}.csv"
        if file.exists() and record.TABLE != "readings":
            with file.open(newline="", encoding="utf-8") as rows:
                tables[record.TABLE] = tuple(record.from_row(row) for row in csv.DictReader(rows))
    return Evidence(**tables)


def processor() -> float:
    """The seconds of processor that this process and its ended children took."""
    who = (resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN))
    return sum(one.ru_utime + one.ru_stime for one in who)


class Memory:
    """Looks at the memory of this process and all its children until it is asked for the most."""

    EVERY_S = 0.05

    def __init__(self) -> None:
        """Begin to look."""
        self._most = 0.0
        self._done = threading.Event()
        self._eye = threading.Thread(target=self._look, daemon=True)
        self._eye.start()

    def most(self) -> float:
        """The most megabytes at once so far; looking ends."""
        self._done.set()
        self._eye.join()
        return self._most

    def _look(self) -> None:
        while not self._done.wait(self.EVERY_S):
            self._most = max(self._most, sum(map(held, family(os.getpid()))))


def family(pid: int) -> list[int]:
    """A process and all below it."""
    below = []
    for task in Path(f"/proc/{pid}/task").glob("*/children"):
        try:
            below += [int(child) for child in task.read_text().split()]
        except OSError:
            continue
    return [pid, *(one for child in below for one in family(child))]


def held(pid: int) -> float:
    """The megabytes of a process, what it shares counted in part; nought for one that has ended."""
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1024


def main() -> None:
    """Measure what was asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--components", type=int, default=200)
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    by_notes()
    by_book(asked.components, asked.workers)


if __name__ == "__main__":
    main()
