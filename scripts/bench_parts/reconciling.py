"""Reconciling: worlds of known truth by two generators, beside the card's word alone and a majority vote."""

from __future__ import annotations

import argparse
import csv
import importlib.util
import json
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing
from math import log
from multiprocessing import get_context
from pathlib import Path
from statistics import linear_regression
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT / "scripts" / "bench_parts")]

from measuring import cells as cell_measures  # noqa: E402
from measuring import findings as finding_measures  # noqa: E402
from measuring import fitments as fitment_measures  # noqa: E402
from measuring.baselines import card_alone, majority  # noqa: E402
from measuring.brier import parts  # noqa: E402
from second_worlds.files import make as make_second  # noqa: E402
from worlds.files import write_world  # noqa: E402
from worlds.world import make_world  # noqa: E402

from numbertaker.archive import open_archive  # noqa: E402
from numbertaker.evidence.decisions import follow  # noqa: E402
from numbertaker.evidence.records import RECORDS, Evidence  # noqa: E402
from numbertaker.reconciling import learn, reconcile  # noqa: E402
from numbertaker.usecases.packages import import_package  # noqa: E402
from numbertaker.usecases.reconcile import reconcile as reconcile_archive  # noqa: E402
from numbertaker.usecases.reconcile import undisturbed  # noqa: E402

Json = dict[str, Any]
HEADS = (
    *("F1", "strict", "days", "widen", "Brier", "ECE", "AUROC", "AP", "found", "of all"),
    *("alarms", "totals", "score", "used"),
)
HANDS = ("first", "second")


def load(package: Path) -> Evidence:
    """The tables of a package, as they stand."""
    tables: dict[str, Any] = {}
    for record in RECORDS:
        file = package / f"{record.TABLE}.csv"
        if file.exists() and record.TABLE != "readings":
            with file.open(newline="", encoding="utf-8") as rows:
                tables[record.TABLE] = tuple(record.from_row(row) for row in csv.DictReader(rows))
    return Evidence(**tables)


def demo() -> bool:
    """Whether the demo's true lines give every planted finding and no other."""
    truth = json.loads((ROOT / "corpus_demo" / "truth.json").read_text(encoding="utf-8"))
    found = reconcile(follow(load(ROOT / "corpus_demo" / "package"))).all_findings()
    planted = [(f["kind"], f.get("expected"), set(f["lines"])) for f in truth["faults"]]
    missed = [
        k for k, kind, lines in planted if not any(f.kind == kind and lines & set(f.lines) for f in found)
    ]
    surplus = [
        f for f in found if not any(f.kind == kind and lines & set(f.lines) for _, kind, lines in planted)
    ]
    print(f"demo: {len(planted)} planted, missed {missed or 'none'}, {len(surplus)} findings besides")
    for finding in surplus:
        print(f"  {finding.kind}: {finding.message}")
    return not missed and not surplus


def write(hand: str, profile: str, seed: int, components: int, folder: Path) -> None:
    """One world of either generator as `package/` and `truth.json`."""
    if hand == "first":
        write_world(make_world(components, profile, seed), folder)
    else:
        make_second(components, profile, seed, folder)


class Sums:
    """What is pooled over the worlds of one profile."""

    def __init__(self) -> None:
        """Start with nothing."""
        self.cells: list[cell_measures.Judged] = []
        self.held: list[bool] = []
        self.scores: list[float] = []
        self.kinds: dict[str, list[int]] = {}
        self.lines, self.seconds = 0, 0.0


def measure(given: argparse.Namespace, hand: str, profile: str, seed: int, sums: Sums) -> None:
    """One world: a row for the program, and one for each simpler way."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write(hand, profile, seed, given.components, folder)
        evidence = load(folder / "package")
        truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
        ruled = follow(evidence)
        learnt = learn(ruled)
        start = time.process_time()
        with undisturbed():
            made = reconcile(ruled, learnt=learnt)
        sums.seconds += time.process_time() - start
        history = made.to_json()
        sums.lines += len(evidence.lines)
        _pool(sums, truth, history)
        lines = {line.line_id: line.row() for line in evidence.lines}
        _row(f"{hand} {profile} {seed}, {len(evidence.lines)} lines", truth, history, lines)
        if not given.alone:
            _row("  the card's word", truth, card_alone(evidence), lines)
            _row("  majority vote", truth, majority(evidence), lines)
        if given.scorer is not None:
            _score(given.scorer, folder / "package", truth, history)


def _pool(sums: Sums, truth: Json, history: Json) -> None:
    sums.cells += cell_measures.judged(truth, history)
    held, scores = fitment_measures.totals(truth, history)
    sums.held += held
    sums.scores += scores
    for kind, (found, planted) in finding_measures.rates(truth, history)["kinds"].items():
        counts = sums.kinds.setdefault(kind, [0, 0])
        counts[0] += found
        counts[1] += planted


def _row(head: str, truth: Json, history: Json, lines: Json) -> None:
    fits = fitment_measures.rates(truth, history)
    cells = cell_measures.rates(list(cell_measures.judged(truth, history)))
    found = finding_measures.rates(truth, history)
    held, scores = fitment_measures.totals(truth, history)
    widened = fitment_measures.widened_by(truth, history, lines)
    values = [f"{fits['f1']:.4f}", f"{fits['strict']:.4f}", f"{fits['days']:g}"]
    values += [f"{widened or 0:.2f}", f"{cells['brier']:.4f}", f"{cells['ece']:.4f}"]
    values += [f"{cells.get('auroc', 0):.4f}", f"{cells.get('ap', 0):.3f}"]
    values += [f"{found['visible']:.3f}", f"{found['all']:.3f}", f"{found['alarms']:.2f}"]
    values += [f"{sum(held) / max(1, len(held)):.3f}", f"{sum(scores) / max(1, len(scores)):.3f}"]
    print(f"{head:34}" + "".join(f"{value:>8}" for value in [*values, f"{cells['used']:.3f}"]))


def _close(hand: str, profile: str, sums: Sums) -> None:
    """What only many worlds together can tell."""
    print(f"\n{hand} {profile}: {sums.seconds / sums.lines * 1000:.3f} s of CPU per 1,000 lines")
    print(f"totals inside their interval: {sum(sums.held)} of {len(sums.held)}")
    print("faults found, of those that anything contradicts:")
    print("  " + ", ".join(f"{kind} {found}/{n}" for kind, (found, n) in sorted(sums.kinds.items())))
    cut = parts([round(cell.given, 2) for cell in sums.cells], [cell.true for cell in sums.cells])
    print(
        f"Brier score of cells in steps of .01: {cut.score:.5f} = reliability {cut.reliability:.5f}"
        f" - resolution {cut.resolution:.5f} + uncertainty {cut.uncertainty:.5f}; skill {cut.skill:.3f}"
    )
    print("confidence of cells: count, mean given, share true")
    for step, count, mean, share in cell_measures.reliability(sums.cells):
        print(f"  {step:14} {count:8} {mean:8.4f} {share:8.4f}")
    print()


def _score(scorer: Path, package: Path, truth: Json, history: Json) -> None:
    """The same by another scorer: a file with `score(package, truth, history)` and `table(result)`."""
    spec = importlib.util.spec_from_file_location("scorer", scorer)
    if spec is None or spec.loader is None:
        raise SystemExit(f"{scorer} is no Python file.")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    print("\n".join(module.table(module.score(package, truth, history))))


def growth(profile: str, most: int) -> None:
    """How time and memory of `reconcile` with its database grow with the archive: worlds of the first
    generator, each twice the one before. Every step is a process of its own, so that none pays for another.
    """
    print(f"{'lines':>8}{'s':>8}{'s/1000':>8}{'MB':>8}{'growth':>8}")
    told: list[tuple[int, float]] = []
    with ProcessPoolExecutor(1, mp_context=get_context("spawn"), max_tasks_per_child=1) as fresh:
        components = 60
        while components <= most:
            with tempfile.TemporaryDirectory() as name:
                fresh.submit(write, "first", profile, 1, components, Path(name)).result()
                fresh.submit(_taken_in, Path(name)).result()
                lines, took, peak = fresh.submit(_reconciled, Path(name)).result()
            told.append((lines, took))
            print(
                f"{lines:>8}{took:>8.2f}{took / lines * 1000:>8.3f}{peak:>8.0f}{_power(told):>8}", flush=True
            )
            components *= 2


def _taken_in(folder: Path) -> None:
    # These worlds have no rows for the pages of lists; where there is no table, none are asked for.
    (folder / "package" / "cards.csv").unlink(missing_ok=True)
    with closing(open_archive(folder / "archive")) as archive:
        import_package(archive, folder / "package")


def _reconciled(folder: Path) -> tuple[int, float, float]:
    """Lines, seconds of the processor, and the most memory of a process that reconciles anew, in MB."""
    start = time.process_time()
    with closing(open_archive(folder / "archive")) as archive:
        reconcile_archive(archive)
        took, lines = time.process_time() - start, len(archive.evidence().lines)
    status = Path("/proc/self/status").read_text(encoding="utf-8")
    return lines, took, int(status.split("VmHWM:")[1].split()[0]) / 1024


def _power(told: Sequence[tuple[int, float]]) -> str:
    """The power of the number of lines that the time grows with, by least squares over all so far."""
    if len(told) < 2:
        return ""
    lines, seconds = ([log(value) for value in column] for column in zip(*told, strict=True))
    return f"n^{linear_regression(lines, seconds).slope:.2f}"


def main(argv: Sequence[str] | None = None) -> int:
    """Print the demo's result and a table of worlds; 0 if the plantings are found and nothing else is."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--components", type=int, default=60)
    parser.add_argument("--seeds", type=int, default=2, help="how many worlds of each profile")
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--profiles", default="clean,typical,hard")
    parser.add_argument("--hands", default=",".join(HANDS), help="first, second: which generator")
    parser.add_argument("--alone", action="store_true", help="leave the simpler ways out")
    parser.add_argument("--scorer", type=Path, help="a scorer of another hand, run on the same worlds")
    parser.add_argument("--growth", type=int, metavar="N", help="only time and memory, up to N components")
    given = parser.parse_args(argv)
    if given.growth:
        growth("typical", given.growth)
        return 0
    right = demo()
    print(f"{'world':34}" + "".join(f"{head:>8}" for head in HEADS))
    for hand in given.hands.split(","):
        for profile in given.profiles.split(","):
            sums = Sums()
            for seed in range(given.first_seed, given.first_seed + given.seeds):
                measure(given, hand, profile, seed, sums)
            _close(hand, profile, sums)
    return 0 if right else 1


if __name__ == "__main__":
    sys.exit(main())
