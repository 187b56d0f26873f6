"""The demo from its scans: cells read right, planted faults found, and why anything else was flagged."""

from __future__ import annotations

import argparse
import csv
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "backend"))

WRITTEN = "heading engine engine_name component fitted removed miles total_miles place remarks"
COLUMNS = tuple(WRITTEN.split())
FLOOR = 0.9
"""The share of inked cells that must be exactly right."""


def main(argv: Sequence[str] | None = None) -> int:
    """Compare an archive that was read from the demo's scans with the demo's true lines."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--archive", type=Path, default=ROOT / "archive", help="made by ./scripts/start --once"
    )
    parser.add_argument("--corpus", type=Path, default=ROOT / "corpus_demo")
    asked = parser.parse_args(argv)
    if not (asked.archive / "numbertaker.db").exists():
        print(f"There is no archive in {asked.archive}. Make it with:  ./scripts/start --once")
        return 2
    from numbertaker.archive import open_archive
    from numbertaker.usecases.reconcile import current

    archive = open_archive(asked.archive)
    read = {line.line_id: line for line in archive.evidence().lines}
    true = true_lines(asked.corpus)
    wrong = {line_id: misread(read.get(line_id), line) for line_id, line in true.items()}
    ok = tell_cells(read, true, wrong)
    faults = json.loads((asked.corpus / "truth.json").read_text(encoding="utf-8"))["faults"]
    return 0 if tell_findings(current(archive).all_findings(), faults, wrong) and ok else 1


def true_lines(corpus: Path) -> dict[str, Any]:
    """The lines as a perfect transcriber would have them, by id."""
    from numbertaker.evidence.records import Line

    with (corpus / "package" / "lines.csv").open(encoding="utf-8", newline="") as rows:
        return {row["line_id"]: Line.from_row(row) for row in csv.DictReader(rows)}


def plain(line: Any, column: str) -> bool:
    """Whether a cell is inked and is no ditto or strike-out."""
    marks = {mark.partition("=")[0]: mark for mark in line.marks.split(";")}
    return bool(line.text(column)) and column not in marks


def misread(read: Any, true: Any) -> list[str]:
    """The cells of a line that were not read exactly as they stand, as 'column: read for true'."""
    if read is None:
        return ["the whole line"]
    return [
        f"{column}: '{read.text(column)}' for '{true.text(column)}'"
        for column in COLUMNS
        if read.text(column) != true.text(column)
    ]


def tell_cells(read: dict[str, Any], true: dict[str, Any], wrong: dict[str, list[str]]) -> bool:
    """Print the share of inked plain cells that are exactly right."""
    cells = [
        (id_, column, line.text(column))
        for id_, line in true.items()
        for column in COLUMNS
        if plain(line, column)
    ]
    right = sum(id_ in read and read[id_].text(column) == text for id_, column, text in cells)
    share = right / len(cells)
    print(f"lines: {len(read)} read, {len(true)} on the cards")
    print(f"inked cells but dittos and strike-outs: {right} of {len(cells)} exactly right, {share:.2%}")
    print(f"lines with a misread cell: {sum(bool(cells) for cells in wrong.values())}")
    return share >= FLOOR


def tell_findings(findings: Sequence[Any], faults: list[dict[str, Any]], wrong: dict[str, list[str]]) -> bool:
    """Print which planted faults were found, and what misreading every other finding comes from."""
    explained, ok = set(), True
    for fault in faults:
        found = [f for f in findings if f.kind in fault["accept"] and set(f.lines) & set(fault["lines"])]
        explained |= {f.id for f in found}
        legible = not any(wrong.get(line) for line in fault["lines"])
        ok &= bool(found) or not legible
        state = "found" if found else "NOT FOUND" if legible else "not found, its lines were misread"
        print(f"planted {fault['kind']:10} {state:10} {fault['note']}")
    print()
    for finding in findings:
        if finding.id in explained:
            continue
        causes = [f"{line} {cell}" for line in finding.lines for cell in wrong.get(line, ())]
        ok &= bool(causes)
        print(f"{finding.kind:17} {'; '.join(causes) or 'NO MISREAD CELL'}")
    return ok


if __name__ == "__main__":
    sys.exit(main())
