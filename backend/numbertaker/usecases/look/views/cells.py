"""One cell and one line: as written, as read, and what is made of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

Box: TypeAlias = tuple[int, int, int, int]
Degree: TypeAlias = Literal["near certain", "probable", "doubtful", "improbable", "contradicted", "unknown"]


@dataclass(frozen=True, slots=True)
class ScanRef:
    """One page of a scan, by its digest."""

    sha256: str
    page: int


@dataclass(frozen=True, slots=True)
class ReasonView:
    """One row of an explanation: what was weighed, what it added in log2 odds, and a sentence."""

    what: str
    weight: float
    says: str


@dataclass(frozen=True, slots=True)
class CandidateView:
    """An engine or component that a cell could mean."""

    subject_id: str
    label: str
    probability: float
    why: str


@dataclass(frozen=True, slots=True)
class InsteadView:
    """A likelier meaning than the text as it stands."""

    meaning_text: str
    confidence: float
    why: str


@dataclass(frozen=True, slots=True)
class AlternativeText:
    """What else the letters could be."""

    text: str
    confidence: float


@dataclass(frozen=True, slots=True)
class ProposedText:
    """A likelier text than what was seen, from the card as a whole, and why."""

    text: str
    confidence: float
    why: str


@dataclass(frozen=True, slots=True)
class CellView:
    """One cell: as written, how it was read, and what it means."""

    field: str
    text: str
    read_as: str | None
    confidence: float | None
    typed: bool
    box: Box | None
    alternatives: list[AlternativeText]
    proposed: ProposedText | None
    mark: str
    struck: str
    meaning: str | int | None
    meaning_text: str
    sure: float | None
    degree: Degree
    used: bool
    instead: InsteadView | None
    candidates: list[CandidateView]
    reasons: list[ReasonView]
    findings: list[str]
    decision: str | None


@dataclass(frozen=True, slots=True)
class LineView:
    """One line of a card, with its citation and its place on the scan."""

    line_id: str
    card_id: str
    source_id: str
    row: str
    locator: str
    citation: str
    side: str
    says: str
    heading: str
    marks: str
    cells: dict[str, CellView]
    scan: ScanRef | None
    box: Box | None
    component_id: str | None


@dataclass(frozen=True, slots=True)
class ClaimView:
    """One side of a finding: a cell, what it says, and where."""

    cell: str
    field: str
    line_id: str
    text: str
    meaning_text: str
    citation: str
    scan: ScanRef | None
    box: Box | None
    sure: float | None
    degree: Degree
