"""Edits: one ruling, the whole way to the new history, beside reconciling everything anew.

    .venv/bin/python scripts/bench_parts/edits.py [--components 300] [--edits 20]

A world is taken into an archive that goes on with what it has worked out, as the web's does; then cells are
corrected and corrections taken back as a person would do it: the ruling is written, its history is worked
out, compared with the one before, and kept. Times are of the processor, so that other work on the machine
counts little. Before it ends, the history is held to a whole run's.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from random import Random
from statistics import median
from time import process_time

sys.path[:0] = [str(Path(__file__).resolve().parents[2] / "backend"), str(Path(__file__).resolve().parent)]

from reconciling import write  # noqa: E402

from numbertaker.archive import Archive  # noqa: E402
from numbertaker.archive.opening import open_archive  # noqa: E402
from numbertaker.evidence.errors import NumbertakerError  # noqa: E402
from numbertaker.usecases.decide import decide, take_back  # noqa: E402
from numbertaker.usecases.packages import import_package  # noqa: E402
from numbertaker.usecases.reconcile import current, go_on, worked_out  # noqa: E402

_CELLS = ("fitted", "removed", "miles", "engine", "component")


def main(argv: Sequence[str] | None = None) -> int:
    """Print the median and the longest of some edits; 0 if the history is that of a whole run."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--components", type=int, default=300)
    parser.add_argument("--edits", type=int, default=20)
    parser.add_argument("--profile", default="typical")
    given = parser.parse_args(argv)
    with tempfile.TemporaryDirectory() as name:
        write("first", given.profile, 1, given.components, Path(name))
        (Path(name) / "package" / "cards.csv").unlink(missing_ok=True)
        with closing(open_archive(Path(name) / "archive")) as archive:
            import_package(archive, Path(name) / "package")
            return measure(archive, given.edits)


def measure(archive: Archive, edits: int) -> int:
    """Make some edits and time them."""
    go_on(archive)
    current(archive)
    lines, rng, took = archive.evidence().lines, Random(1), []
    edit(archive, rng)  # the first one works out everything, so that there is something to go on from
    for _ in range(edits):
        start = process_time()
        edit(archive, rng)
        took.append(1000 * (process_time() - start))
    start = process_time()
    whole = worked_out(archive, archive.ruled(), whole=True)
    all_of_it = 1000 * (process_time() - start)
    took.sort()
    print(
        f"{len(lines)} lines: an edit takes {median(took):.0f} ms of the processor, nine of ten at most"
        f" {took[len(took) * 9 // 10]:.0f} ms, the longest {took[-1]:.0f} ms; everything anew {all_of_it:.0f}"
        f" ms: {median(took) / all_of_it:.4f} of it"
    )
    same = current(archive).to_json(explained=True) == whole.to_json(explained=True)
    print(f"what was kept up is {'' if same else 'NOT '}what a whole run gives")
    return 0 if same else 1


def edit(archive: Archive, rng: Random) -> None:
    """Correct a cell to what another line has there, or take a correction back."""
    log = [d for d in archive.evidence().decisions if d.kind == "cell"]
    if log and rng.random() < 0.3:
        try:
            take_back(archive, rng.choice(log).decision_id, "measured", "bench")
        except NumbertakerError:
            return  # it was taken back before
        return
    lines, cell = archive.evidence().lines, rng.choice(_CELLS)
    line, other = (rng.choice([one for one in lines if one.text(cell)]) for _ in range(2))
    decide(archive, "cell", f"{line.line_id}/{cell}", other.text(cell), "measured", "bench")


if __name__ == "__main__":
    sys.exit(main())
