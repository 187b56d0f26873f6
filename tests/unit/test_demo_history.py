"""The demo's true lines give every planted finding, and no other."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import RECORDS, Evidence
from numbertaker.reconciling import reconcile

CORPUS = Path(__file__).resolve().parents[2] / "corpus_demo"


@pytest.fixture(scope="module")
def findings():
    """Everything that is found in the demo's package."""
    tables = {}
    for record in RECORDS:
        file = CORPUS / "package" / f"{record.TABLE}.csv"
        if file.exists():
            with file.open(newline="", encoding="utf-8") as rows:
                tables[record.TABLE] = tuple(record.from_row(row) for row in csv.DictReader(rows))
    return reconcile(follow(Evidence(**tables))).all_findings()


@pytest.fixture(scope="module")
def planted():
    """What was planted: the kind that should be found, and the lines."""
    truth = json.loads((CORPUS / "truth.json").read_text(encoding="utf-8"))
    return [(fault["expected"], set(fault["lines"])) for fault in truth["faults"]]


def test_every_planted_fault_is_found_with_the_kind_it_names(findings, planted):
    """One finding of the expected kind names a line of each fault."""
    missed = [
        (kind, lines)
        for kind, lines in planted
        if not any(f.kind == kind and lines & set(f.lines) for f in findings)
    ]
    assert missed == []


def test_nothing_else_is_flagged(findings, planted):
    """No finding is of another kind or names none of the lines that were tampered with."""
    surplus = [
        f.message
        for f in findings
        if not any(f.kind == kind and lines & set(f.lines) for kind, lines in planted)
    ]
    assert surplus == []
