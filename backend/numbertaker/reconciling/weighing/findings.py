"""How sure a finding is: that something is wrong where it looks, as often as such findings prove right."""

from __future__ import annotations

from dataclasses import replace

from numbertaker.reconciling.history import Finding
from numbertaker.reconciling.weighing.terms import Term, odds, rows_of
from numbertaker.reconciling.weighing.weights import WEIGHTS


def weighed(finding: Finding) -> Finding:
    """The finding with the probability that such a one, found as surely, has proved right."""
    kind = kind_of(finding)
    if kind not in WEIGHTS.kinds:
        return finding
    return replace(finding, confidence=rows_of(kind, finding_terms(finding)).probability)


def kind_of(finding: Finding) -> str:
    """The name of its weights."""
    return f"finding {finding.kind}"


def finding_terms(finding: Finding) -> list[Term]:
    """How surely the family that looked found it."""
    return [Term("found", odds(finding.confidence), "conflict", finding.message)]
