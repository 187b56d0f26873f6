"""Reconciling: the demo's plantings, and worlds of known truth beside the component card's word alone."""

from __future__ import annotations

import argparse
import csv
import importlib.util
import json
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT / "scripts" / "bench_parts")]

from worlds.files import write_world  # noqa: E402
from worlds.world import make_world  # noqa: E402

from numbertaker.evidence.days import from_iso  # noqa: E402
from numbertaker.evidence.decisions import follow  # noqa: E402
from numbertaker.evidence.edtf import parse_edtf, widened  # noqa: E402
from numbertaker.evidence.records import RECORDS, Evidence  # noqa: E402
from numbertaker.reconciling import reconcile  # noqa: E402

Json = dict[str, Any]


def load(package: Path) -> Evidence:
    """The tables of a package, as they stand."""
    tables: dict[str, Any] = {}
    for record in RECORDS:
        file = package / f"{record.TABLE}.csv"
        if file.exists() and record.TABLE != "readings":
            with file.open(newline="", encoding="utf-8") as rows:
                tables[record.TABLE] = tuple(record.from_row(row) for row in csv.DictReader(rows))
    return Evidence(**tables)


def card_alone(evidence: Evidence) -> Json:
    """What the component cards say by themselves: the baseline that any weighing has to beat."""
    own = {s.source_id for s in evidence.sources if s.kind == "component-card"}
    lines = tuple(line for line in evidence.lines if line.source_id in own)
    return reconcile(follow(Evidence(**{**_tables(evidence), "lines": lines}))).to_json()


def _tables(evidence: Evidence) -> dict[str, Any]:
    names = ("sources", "cards", "engines", "components", "designations", "fits", "events")
    return {name: getattr(evidence, name) for name in names}


def fitment_rates(truth: Json, history: Json) -> tuple[float, float]:
    """F1 of fitments, and of those whose true days both lie within closed intervals.

    A returned fitment is right if its component was on its engine at a time within its span; one to one, in
    order of time.
    """
    true: dict[tuple[str, str], list[Json]] = defaultdict(list)
    for fitment in truth["fitments"]:
        true[fitment["component"], fitment["engine"]].append(fitment)
    given = right = strict = 0
    for component in history["components"]:
        for fitment in component["fitments"]:
            given += 1
            left = true[component["component_id"], fitment["engine_id"]]
            match = next((t for t in left if _overlaps(fitment, t)), None)
            if match is not None:
                left.remove(match)
                right += 1
                strict += all(_holds(fitment[event], match[event]) for event in ("fitted", "removed"))
    whole = given + len(truth["fitments"])
    return 2 * right / whole, 2 * strict / whole


def _overlaps(fitment: Json, true: Json) -> bool:
    first = (fitment["fitted"] or {}).get("earliest") or "0000"
    last = (fitment["removed"] or {}).get("latest") or "9999"
    return bool(first < true["removed"] and true["fitted"] < last)


def _holds(when: Json | None, day: str) -> bool:
    return bool(when and when["earliest"] and when["latest"] and when["earliest"] <= day <= when["latest"])


def cell_rates(truth: Json, history: Json) -> tuple[float, float]:
    """Brier score of the cells, and the share of false cells that the history still rests on."""
    losses, used, false = [], 0, 0
    for component in history["components"]:
        for cell in component["cells"]:
            known = truth["cells"].get(cell["line_id"], {}).get(cell["field"])
            if known is None:
                continue
            here = truth["lines"][cell["line_id"]][0] == component["component_id"]
            right = here and _true(cell, known[0])
            losses.append((cell["confidence"] - right) ** 2)
            used += not right and cell["used"]
            false += not right
    return sum(losses) / max(1, len(losses)), used / max(1, false)


def _true(cell: Json, value: Any) -> bool:
    if cell["field"] not in {"fitted", "removed"} or cell["meaning"] is None:
        return bool(cell["meaning"] == value)
    return any(span.contains(from_iso(value)) for span in widened(parse_edtf(cell["meaning"])))


def finding_rates(truth: Json, history: Json) -> tuple[float, float, int]:
    """Faults found, of those that anything contradicts; false alarms per 100 clean lines, and in all."""
    findings = {f["id"]: f for c in history["components"] for f in c["findings"]}
    findings |= {f["id"]: f for f in history["findings"]}
    at: dict[str, set[str]] = defaultdict(set)
    for finding in findings.values():
        for line in finding["lines"] if len(finding["lines"]) <= 12 else ():
            at[line].add(finding["kind"])
    visible = [f for f in truth["faults"] if f["visible"]]
    found = sum(any(at[line] & set(f["accept"]) for line in f["lines"]) for f in visible)
    touched = {line for line, row in truth["lines"].items() if row[1]}
    alarms = sum(not touched & set(f["lines"]) for f in findings.values())
    return found / max(1, len(visible)), 100 * alarms / (len(truth["lines"]) - len(touched)), alarms


def inside_totals(truth: Json, history: Json) -> float:
    """The share of components whose true miles lie within the interval given."""
    true: dict[str, int] = defaultdict(int)
    for fitment in truth["fitments"]:
        true[fitment["component"]] += fitment["miles"]
    held = [c["miles"]["low"] <= true[c["component_id"]] <= c["miles"]["high"] for c in history["components"]]
    return sum(held) / max(1, len(held))


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


HEADS = ("profile", "seed", "lines", "F1", "strict", "Brier", "used", "found", "alarms", "totals", "s/1000")


def measure(profile: str, seed: int, components: int, scorer: Path | None) -> None:
    """One world: a row for the program and one for the component card's word."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_world(make_world(components, profile, seed), folder)
        evidence = load(folder / "package")
        truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
        start = time.process_time()
        history = reconcile(follow(evidence)).to_json()
        took = (time.process_time() - start) / len(evidence.lines) * 1000
        _row((profile, seed, len(evidence.lines)), truth, history, took)
        _row(("  card", seed, ""), truth, card_alone(evidence), None)
        if scorer is not None:
            _score(scorer, folder / "package", truth, history)


def _row(head: Iterable[Any], truth: Json, history: Json, took: float | None) -> None:
    f1, strict = fitment_rates(truth, history)
    brier, used = cell_rates(truth, history)
    found, alarms, _ = finding_rates(truth, history)
    cells = [f"{f1:.4f}", f"{strict:.4f}", f"{brier:.4f}", f"{used:.3f}", f"{found:.3f}", f"{alarms:.2f}"]
    cells += [f"{inside_totals(truth, history):.3f}", "" if took is None else f"{took:.2f}"]
    print(" ".join(f"{cell!s:>8}" for cell in (*head, *cells)))


def _score(scorer: Path, package: Path, truth: Json, history: Json) -> None:
    """The same by another scorer: a file with `score(package, truth, history)` and `table(result)`."""
    spec = importlib.util.spec_from_file_location("scorer", scorer)
    if spec is None or spec.loader is None:
        raise SystemExit(f"{scorer} is no Python file.")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    print("\n".join(module.table(module.score(package, truth, history))))


def main(argv: Sequence[str] | None = None) -> int:
    """Print the demo's result and a table of worlds; 0 if the plantings are found and nothing else is."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--components", type=int, default=60)
    parser.add_argument("--seeds", type=int, default=2, help="how many worlds of each profile")
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--profiles", default="clean,typical,hard")
    parser.add_argument("--scorer", type=Path, help="a scorer of another hand, run on the same worlds")
    given = parser.parse_args(argv)
    right = demo()
    print(" ".join(f"{head:>8}" for head in HEADS))
    for profile in given.profiles.split(","):
        for seed in range(given.first_seed, given.first_seed + given.seeds):
            measure(profile, seed, given.components, given.scorer)
    return 0 if right else 1


if __name__ == "__main__":
    sys.exit(main())
