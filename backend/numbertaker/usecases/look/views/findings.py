"""Findings and decisions, and the rulings that a person can give."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from numbertaker.usecases.look.views.cells import ClaimView, LineView

State: TypeAlias = Literal["open", "settled"]


@dataclass(frozen=True, slots=True)
class RulingOffered:
    """A ruling that a person may give, and the sentence on its button."""

    ruling: str
    label: str


@dataclass(frozen=True, slots=True)
class DecisionView:
    """A decision of the log, whether it still stands, and what it was about in plain words."""

    decision_id: str
    kind: str
    target: str
    ruling: str
    reason: str
    by: str
    at: str
    revokes: str
    stands: bool
    says: str


@dataclass(frozen=True, slots=True)
class ComponentRef:
    """A component by id and as people call it."""

    component_id: str
    label: str


@dataclass(frozen=True, slots=True)
class FindingView:
    """A finding with both sides and the rulings that can be given on it."""

    id: str
    kind: str
    kind_says: str
    message: str
    confidence: float
    state: State
    earliest: str | None
    latest: str | None
    components: list[ComponentRef]
    lines: list[LineView]
    claims: list[ClaimView]
    rulings: list[RulingOffered]
    decision: DecisionView | None
