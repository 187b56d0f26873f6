"""The demo from its scans: cells read right by form, kind and who wrote them, dittos and strike-outs told,
planted faults found, and why anything else was flagged.
"""

from __future__ import annotations

import argparse
import csv
import json
import sys
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "backend"))

WRITTEN = "heading engine engine_name component fitted removed miles total_miles place remarks"
COLUMNS = tuple(WRITTEN.split())
KINDS = {
    **dict.fromkeys(("heading", "engine", "component"), "numbers"),
    **dict.fromkeys(("fitted", "removed"), "dates"),
    **dict.fromkeys(("miles", "total_miles"), "miles"),
    **dict.fromkeys(("engine_name", "place", "remarks"), "words"),
}
BY_HAND = ("shed-card",)
"""The forms that were filled in with a pen."""
FLOOR = 0.9
"""The share of inked cells that must be exactly right."""


class Cell(NamedTuple):
    """A cell of the papers and what was read of it; its mark is '', 'ditto' or 'struck', each way."""

    form: str
    column: str
    text: str
    mark: str
    read: str
    read_mark: str
    proposed: str

    @property
    def right(self) -> bool:
        """Whether text and mark are exactly right; of a ditto the mark alone."""
        return self.mark == self.read_mark and (self.mark == "ditto" or self.text == self.read)


def main(argv: Sequence[str] | None = None) -> int:
    """Compare an archive that was read from the demo's scans with the demo's true lines."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--archive", type=Path, default=ROOT / "archive", help="made by ./scripts/start --once"
    )
    parser.add_argument("--corpus", type=Path, default=ROOT / "corpus_demo")
    parser.add_argument("--list", action="store_true", dest="listed", help="name every cell read otherwise")
    asked = parser.parse_args(argv)
    if not (asked.archive / "numbertaker.db").exists():
        print(f"There is no archive in {asked.archive}. Make it with:  ./scripts/start --once")
        return 2
    from numbertaker.archive import open_archive
    from numbertaker.usecases.proposing import proposals
    from numbertaker.usecases.reconcile import current

    archive = open_archive(asked.archive)
    proposed = {str(key): proposal.text for key, proposal in proposals(archive).items()}
    read = {line.line_id: line for line in archive.evidence().lines}
    true = rows_of(asked.corpus, "lines", "line_id")
    forms = {card_id: row.form for card_id, row in rows_of(asked.corpus, "cards", "card_id").items()}
    wrong = {line_id: misread(read.get(line_id), line) for line_id, line in true.items()}
    cells = list(cells_of(read, true, forms, proposed))
    tell_lines(read, true, forms)
    ok = tell_cells(cells, wrong, listed=asked.listed)
    faults = json.loads((asked.corpus / "truth.json").read_text(encoding="utf-8"))["faults"]
    return 0 if tell_findings(current(archive).all_findings(), faults, wrong) and ok else 1


def rows_of(corpus: Path, table: str, key: str) -> dict[str, Any]:
    """The rows of a table as a perfect transcriber would have them, by id."""
    from numbertaker.evidence.records import Card, Line

    record = {"lines": Line, "cards": Card}[table]
    with (corpus / "package" / f"{table}.csv").open(encoding="utf-8", newline="") as rows:
        return {row[key]: record.from_row(row) for row in csv.DictReader(rows)}


def marks_of(line: Any) -> dict[str, str]:
    """The mark of each cell that has one: 'ditto' or 'struck', without what was struck."""
    parts = (mark.partition("=") for mark in line.marks.split(";") if mark)
    return {column: what.partition(":")[0] for column, _, what in parts}


def cells_of(
    read: Mapping[str, Any], true: Mapping[str, Any], forms: Mapping[str, str], proposed: Mapping[str, str]
) -> Iterator[Cell]:
    """Every cell that is inked on the papers, the heading once for each of its lines."""
    for line_id, line in true.items():
        got, marks = read.get(line_id), marks_of(line)
        got_marks = marks_of(got) if got else {}
        for column in (c for c in COLUMNS if line.text(c)):
            text = got.text(column) if got else ""
            mark, got_mark = marks.get(column, ""), got_marks.get(column, "")
            likelier = proposed.get(f"{line_id}/{column}", text)
            yield Cell(forms[line.card_id], column, line.text(column), mark, text, got_mark, likelier)


def misread(read: Any, true: Any) -> list[str]:
    """The cells of a line that were not read exactly as they stand, as 'column: read for true'."""
    if read is None:
        return ["the whole line"]
    return [
        f"{column}: '{read.text(column)}' for '{true.text(column)}'"
        for column in COLUMNS
        if read.text(column) != true.text(column)
    ]


def tell_lines(read: Mapping[str, Any], true: Mapping[str, Any], forms: Mapping[str, str]) -> None:
    """Print the lines found, by form, and those that no paper has."""
    print(f"lines: {len(read)} read, {len(true)} on the papers, {len(set(read) - set(true))} on none of them")
    found: dict[str, list[bool]] = defaultdict(list)
    for line_id, line in true.items():
        found[forms[line.card_id]].append(line_id in read)
    print("  " + ", ".join(f"{form} {sum(there)} of {len(there)}" for form, there in found.items()))


def tell_cells(cells: Sequence[Cell], wrong: Mapping[str, list[str]], *, listed: bool) -> bool:
    """Print the shares of inked cells that are exactly right: plain ones, dittos, strike-outs."""
    plain = [c for c in cells if not c.mark]
    rights = sum(c.text == c.read for c in plain)
    share = rights / len(plain)
    print(f"inked cells but dittos and strike-outs: {rights} of {len(plain)} exactly right, {share:.2%}")
    likelier = sum(c.text == c.proposed for c in plain)
    print(
        f"  with what is proposed where anything is: {likelier} of {len(plain)}, {likelier / len(plain):.2%}"
    )
    print(f"lines with a misread cell: {sum(bool(found) for found in wrong.values())}")
    for name, group in (
        ("typed and printed", [c for c in cells if c.form not in BY_HAND]),
        ("by hand", [c for c in cells if c.form in BY_HAND]),
    ):
        print(f"{name}:")
        for form in dict.fromkeys(c.form for c in group):
            _tell_form(form, [c for c in group if c.form == form])
    if listed:
        for line_id, found in wrong.items():
            for what in found:
                print(f"  {line_id} {what}")
    return share >= FLOOR


def _tell_form(form: str, cells: Sequence[Cell]) -> None:
    plain = [c for c in cells if not c.mark]
    parts = [f"plain {_share([c.text == c.read for c in plain])}"]
    parts += [
        f"{kind} {_share([c.text == c.read for c in plain if KINDS[c.column] == kind])}"
        for kind in ("numbers", "miles", "dates", "words")
    ]
    parts.append(f"proposed {_share([c.text == c.proposed for c in plain])}")
    dittos, struck = ([c for c in cells if c.mark == mark] for mark in ("ditto", "struck"))
    parts.append(f"dittos {_share([c.right for c in dittos])}")
    parts.append(f"struck told {_share([c.read_mark == 'struck' for c in struck])}")
    parts.append(f"and read {_share([c.right for c in struck])}")
    print(f"  {form:15} {'  '.join(parts)}")


def _share(right: Sequence[bool]) -> str:
    return f"{100 * sum(right) / len(right):5.1f} % of {len(right)}" if right else "none"


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
        ok &= bool(causes) or finding.kind == "doubtful-reading"
        print(f"{finding.kind:17} {'; '.join(causes) or 'NO MISREAD CELL: ' + ', '.join(finding.lines)}")
    return ok


if __name__ == "__main__":
    sys.exit(main())
