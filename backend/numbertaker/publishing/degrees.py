"""Degrees of evidence: the word for a probability, and the hedge that a sentence takes from it.

One table for the screens and the documents: near certain from .98, probable from .85, doubtful from .5,
improbable below; *contradicted* whenever an open finding names the claim, whatever its figure.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal, TypeAlias

from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.history import Finding

Degree: TypeAlias = Literal["near certain", "probable", "doubtful", "improbable", "contradicted", "unknown"]

_FLOORS: Final[tuple[tuple[float, Degree], ...]] = (
    (0.98, "near certain"),
    (0.85, "probable"),
    (0.5, "doubtful"),
)

NO_CONTRADICTION: Final = frozenset(("gap",))
"""Kinds that name claims on either side of a silence: those are not themselves put in question."""


def degree_of(probability: float | None, *, contradicted: bool = False) -> Degree:
    """The word for a probability; None is unknown."""
    if contradicted:
        return "contradicted"
    if probability is None:
        return "unknown"
    return next((word for floor, word in _FLOORS if probability >= floor), "improbable")


def contradicted_cells(findings: Iterable[Finding]) -> frozenset[CellKey]:
    """The cells that a finding nobody has ruled on names as being at odds."""
    return frozenset(
        cell
        for finding in findings
        if finding.settled_by is None and finding.kind not in NO_CONTRADICTION
        for cell in finding.claims
    )
