"""What a reconciliation gives: the history of each component, as values and as `history.json`.

The JSON is the public format `numbertaker-history/1` (docs/package.md). The values
carry a little more than it: the rows that explain a confidence, which the screens
show and the format leaves out unless asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias

from numbertaker.evidence.days import Day, iso
from numbertaker.evidence.records import CellKey, Event

FORMAT: Final = "numbertaker-history/1"
Basis = Literal["stated", "derived", "estimated"]
Meaning: TypeAlias = str | int | None
Json: TypeAlias = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Reason:
    """One row of an explanation: what was weighed, what it added in log2 odds, and a sentence.

    The rows of one confidence add up to its log2 odds (a test holds them to that).
    """

    what: str
    weight: float
    says: str

    def to_json(self) -> Json:
        """The row as shown."""
        return {"what": self.what, "weight": round(self.weight, 4), "says": self.says}


@dataclass(frozen=True, slots=True)
class Words:
    """What the rows of an explanation say, without their weights: of each row its name and its sentence."""

    rows: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Reasons:
    """The rows of one explanation, in their order, each put together when it is looked at.

    Thousands of statements are explained in the same words and differ in the weights alone. So whoever makes
    them gives equal words as one and the same value, and a statement costs no more than its numbers.
    """

    words: Words = Words()
    weights: tuple[float, ...] = ()

    def __iter__(self) -> Iterator[Reason]:
        """Row by row."""
        for (what, says), weight in zip(self.words.rows, self.weights, strict=True):
            yield Reason(what, weight, says)

    def __len__(self) -> int:
        """How many rows there are."""
        return len(self.weights)

    def to_json(self) -> list[Json]:
        """The rows as shown."""
        return [reason.to_json() for reason in self]


UNEXPLAINED: Final = Reasons()


@dataclass(frozen=True, slots=True)
class When:
    """The day on which something happened: as claimed, and the days between which it must lie."""

    edtf: str | None
    earliest: Day | None
    latest: Day | None
    level: float = 0.95

    def to_json(self) -> Json:
        """The interval with ISO days; None only where no bound exists."""
        return {
            "edtf": self.edtf,
            "earliest": None if self.earliest is None else iso(self.earliest),
            "latest": None if self.latest is None else iso(self.latest),
            "level": self.level,
        }


@dataclass(frozen=True, slots=True)
class Miles:
    """The miles of one fitment: a figure where one is stated or derived, and the range they lie in."""

    value: int | None
    low: int | None
    high: int | None
    basis: Basis
    level: float = 0.95

    def to_json(self) -> Json:
        """As in the format."""
        return {
            "value": self.value,
            "low": self.low,
            "high": self.high,
            "level": self.level,
            "basis": self.basis,
        }


@dataclass(frozen=True, slots=True)
class Fitment:
    """One stay of the component on one engine.

    `evidence` names the lines that speak of it, the component's own card first; `copies` those of them
    that only repeat another source. `claims` names the very cells each part rests on.
    """

    engine_id: str
    fitted: When | None
    removed: When | None
    miles: Miles | None
    confidence: float
    evidence: tuple[str, ...]
    copies: tuple[str, ...] = ()
    claims: tuple[CellKey, ...] = ()
    reasons: Reasons = UNEXPLAINED

    def to_json(self, *, explained: bool = False) -> Json:
        """As in the format; `explained` adds what the screens show."""
        plain: Json = {
            "engine_id": self.engine_id,
            "fitted": self.fitted and self.fitted.to_json(),
            "removed": self.removed and self.removed.to_json(),
            "miles": self.miles and self.miles.to_json(),
            "confidence": round(self.confidence, 4),
            "evidence": list(self.evidence),
        }
        if explained:
            plain["copies"] = list(self.copies)
            plain["claims"] = [str(claim) for claim in self.claims]
            plain["reasons"] = self.reasons.to_json()
        return plain


@dataclass(frozen=True, slots=True)
class Instead:
    """A likelier meaning than the text as it stands, and why."""

    meaning: Meaning
    confidence: float
    why: str


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another engine or component that a cell could mean, and how likely.

    `called` is what it was called then; `exact` says whether it bore the text letter for letter, `then`
    whether it bore it at that time.
    """

    subject_id: str
    probability: float
    called: str
    exact: bool
    then: bool

    @property
    def why(self) -> str:
        """Why it may be meant, as a sentence."""
        bore = "bore it letter for letter" if self.exact else "bore something like it"
        return f"{self.called}: {bore}{'' if self.then else ', but not then'}"


@dataclass(frozen=True, slots=True)
class CellMeaning:
    """What one cell says once linked and normalised, and the probability that it is true."""

    line_id: str
    field: str
    meaning: Meaning
    confidence: float
    used: bool
    instead: Instead | None = None
    alternatives: tuple[Alternative, ...] = ()
    reasons: Reasons = UNEXPLAINED

    @property
    def key(self) -> CellKey:
        """The cell's name."""
        return CellKey(self.line_id, self.field)

    def to_json(self, *, explained: bool = False) -> Json:
        """As in the format; `explained` adds alternatives and reasons."""
        plain: Json = {
            "line_id": self.line_id,
            "field": self.field,
            "meaning": self.meaning,
            "confidence": round(self.confidence, 4),
            "used": self.used,
        }
        if self.instead is not None:
            plain["instead"] = {
                "meaning": self.instead.meaning,
                "confidence": round(self.instead.confidence, 4),
                "why": self.instead.why,
            }
        if explained:
            plain["alternatives"] = [
                {"subject_id": a.subject_id, "probability": round(a.probability, 4), "why": a.why}
                for a in self.alternatives
            ]
            plain["reasons"] = self.reasons.to_json()
        return plain


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that the evidence leaves open or that can't all be true.

    `id` is made of the kind and the claims in it, so that the same finding keeps its id from run to run.
    `claims` are the cells at odds, one entry for each side of a contradiction; `settled_by` is the decision
    that ruled on it, if one did.
    """

    id: str
    kind: str
    confidence: float
    lines: tuple[str, ...]
    message: str
    earliest: Day | None = None
    latest: Day | None = None
    authority: tuple[str, ...] = ()
    claims: tuple[CellKey, ...] = ()
    settled_by: str | None = None

    def to_json(self, *, explained: bool = False) -> Json:
        """As in the format; `explained` adds the cells at odds and the decision."""
        plain: Json = {
            "id": self.id,
            "kind": self.kind,
            "confidence": round(self.confidence, 4),
            "span": {
                "earliest": None if self.earliest is None else iso(self.earliest),
                "latest": None if self.latest is None else iso(self.latest),
            },
            "lines": list(self.lines),
            "authority": list(self.authority),
            "message": self.message,
        }
        if explained:
            plain["claims"] = [str(claim) for claim in self.claims]
            plain["settled_by"] = self.settled_by
        return plain


@dataclass(frozen=True, slots=True)
class TotalMiles:
    """The miles of a whole component: the sum of its figures, and the range that holds its true miles."""

    supported: int
    low: int | None
    high: int | None
    level: float = 0.95

    def to_json(self) -> Json:
        """As in the format."""
        return {"supported": self.supported, "low": self.low, "high": self.high, "level": self.level}


@dataclass(frozen=True, slots=True)
class ComponentHistory:
    """The life of one component: its fitments in order, and everything known about each claim."""

    component_id: str
    fitments: tuple[Fitment, ...]
    miles: TotalMiles
    cells: tuple[CellMeaning, ...]
    findings: tuple[Finding, ...]
    decisions: tuple[str, ...] = ()

    def to_json(self, *, explained: bool = False) -> Json:
        """One member of `components`."""
        return {
            "component_id": self.component_id,
            "fitments": [f.to_json(explained=explained) for f in self.fitments],
            "miles": self.miles.to_json(),
            "cells": [c.to_json(explained=explained) for c in self.cells],
            "findings": [f.to_json(explained=explained) for f in self.findings],
            "decisions": list(self.decisions),
        }


@dataclass(frozen=True, slots=True)
class History:
    """Everything that one reconciliation gives.

    `unplaced` are cells of lines that belong to no component surely enough; `findings` those about engines
    or about lines of no component; `engine_cells` the meanings of cells on lines about engines alone.
    """

    components: tuple[ComponentHistory, ...]
    unplaced: tuple[CellMeaning, ...] = ()
    findings: tuple[Finding, ...] = ()
    decisions: tuple[str, ...] = ()
    events: tuple[Event, ...] = ()
    engine_cells: tuple[CellMeaning, ...] = ()

    def to_json(self, component_ids: Iterable[str] | None = None, *, explained: bool = False) -> Json:
        """The format, of all components or of those named."""
        wanted = None if component_ids is None else frozenset(component_ids)
        return {
            "format": FORMAT,
            "components": [
                c.to_json(explained=explained)
                for c in self.components
                if wanted is None or c.component_id in wanted
            ],
            "unplaced": [c.to_json(explained=explained) for c in self.unplaced],
            "findings": [f.to_json(explained=explained) for f in self.findings],
            "decisions": list(self.decisions),
            "events": [event.row() for event in self.events],
        }

    def all_findings(self) -> tuple[Finding, ...]:
        """Every finding once, those of components first."""
        once = {f.id: f for c in self.components for f in c.findings}
        once |= {f.id: f for f in self.findings}
        return tuple(once.values())
