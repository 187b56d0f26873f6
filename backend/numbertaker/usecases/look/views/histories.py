"""Histories of components and engines, and the pages that show them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from numbertaker.usecases.look.views.cells import Degree, LineView, ReasonView
from numbertaker.usecases.look.views.findings import ComponentRef, DecisionView, FindingView


@dataclass(frozen=True, slots=True)
class WhenView:
    """When something happened: as claimed, the days between which it lies, and in words."""

    edtf: str | None
    earliest: str | None
    latest: str | None
    level: float
    text: str


@dataclass(frozen=True, slots=True)
class MilesView:
    """The miles of a fitment and how they are known."""

    value: int | None
    low: int | None
    high: int | None
    level: float
    basis: Literal["stated", "derived", "estimated"]
    text: str


@dataclass(frozen=True, slots=True)
class FitmentView:
    """One stay on one engine, with the designation that the engine bore then."""

    engine_id: str
    engine_then: str
    fitted: WhenView | None
    removed: WhenView | None
    miles: MilesView | None
    running_miles: int | None
    confidence: float
    degree: Degree
    evidence: list[str]
    copies: list[str]
    claims: list[str]
    reasons: list[ReasonView]
    notes: list[int]


@dataclass(frozen=True, slots=True)
class TotalView:
    """The miles of the whole component."""

    supported: int
    low: int | None
    high: int | None
    level: float


@dataclass(frozen=True, slots=True)
class NoteView:
    """A numbered footnote of a history: the line it cites, in full and short."""

    number: int
    line_id: str
    first: str
    short: str


@dataclass(frozen=True, slots=True)
class EventView:
    """A dated, cited statement about an engine or component."""

    event_id: str
    subject_id: str
    subject: str
    date: str
    date_text: str
    statement: str
    citation: str


@dataclass(frozen=True, slots=True)
class DesignationView:
    """A number, name or class, and when it was borne."""

    scheme: str
    value: str
    from_: str
    to: str
    text: str


@dataclass(frozen=True, slots=True)
class EngineView:
    """An engine as the tables have it."""

    engine_id: str
    label: str
    class_: str
    built: str
    withdrawn: str
    works: str
    note: str
    designations: list[DesignationView]


@dataclass(frozen=True, slots=True)
class CarriedView:
    """A component on an engine, seen from the engine."""

    component: ComponentRef
    kind: str
    fitted: WhenView | None
    removed: WhenView | None
    miles: MilesView | None
    confidence: float
    degree: Degree
    evidence: list[str]


@dataclass(frozen=True, slots=True)
class EnginePage:
    """An engine, everything it carried, and what happened to it."""

    engine: EngineView
    carried: list[CarriedView]
    events: list[EventView]
    findings: list[FindingView]


@dataclass(frozen=True, slots=True)
class ComponentSummary:
    """One row of the list of components."""

    component_id: str
    label: str
    number: str
    kind: str
    type: str
    fitments: int
    supported_miles: int
    findings_open: int
    first: str | None
    last: str | None


@dataclass(frozen=True, slots=True)
class ComponentPage:
    """The history of one component with all that the screen needs to explain it."""

    component_id: str
    label: str
    number: str
    kind: str
    type: str
    built: str
    condemned: str
    note: str
    fitments: list[FitmentView]
    miles: TotalView
    findings: list[FindingView]
    decisions: list[DecisionView]
    events: list[EventView]
    engines: list[EngineView]
    lines: list[LineView]
    notes: list[NoteView]
    caution: str
