"""Findings, decisions on them, and the authority tables."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Query

from numbertaker.usecases import decide
from numbertaker.usecases.look import ahead as look_ahead
from numbertaker.usecases.look import authority as look_authority
from numbertaker.usecases.look import decisions as look_decisions
from numbertaker.usecases.look import findings as look_findings
from numbertaker.usecases.look.ahead import WhatIfView
from numbertaker.usecases.look.views import AuthorityTable, Decided, DecisionView, FindingView
from numbertaker.web.asked import NewDecision, TakingBack
from numbertaker.web.failures import failures
from numbertaker.web.wanted import TheArchive

router = APIRouter(tags=["findings and decisions"])


@router.get("/findings", summary="What the evidence leaves open, and what can't all be true")
def findings(
    archive: TheArchive,
    state: Annotated[Literal["open", "settled"] | None, Query()] = None,
    kind: Annotated[str | None, Query(examples=["mileage-conflict"])] = None,
    component: Annotated[str | None, Query(description="A component's id.")] = None,
) -> list[FindingView]:
    """The findings, surest first, each with its sides and the rulings that can be given."""
    return look_findings.findings(archive, state=state, kind=kind, component=component)


@router.get(
    "/findings/{finding_id:path}/what-if",
    summary="What each ruling on a finding would change",
    responses=failures(404),
)
def what_if(archive: TheArchive, finding_id: str) -> WhatIfView:
    """Computed as if each ruling stood, and not stored; with the lines and cards that would settle it."""
    return look_ahead.finding_ahead(archive, finding_id)


@router.get("/findings/{finding_id:path}", summary="One finding", responses=failures(404))
def finding(archive: TheArchive, finding_id: str) -> FindingView:
    """Both sides with their places on the scans, and the rulings offered."""
    return look_findings.finding(archive, finding_id)


@router.get("/decisions", summary="The log of decisions, the latest first")
def decisions(archive: TheArchive) -> list[DecisionView]:
    """Every decision ever made, those that were taken back too."""
    return look_decisions.decisions(archive)


@router.post("/decisions", status_code=201, summary="Decide", responses=failures(403, 404, 409, 422))
def new_decision(archive: TheArchive, asked: NewDecision) -> Decided:
    """Keep a ruling with its reason, and say what became otherwise by it."""
    done = decide.decide(archive, asked.kind, asked.target, asked.ruling, reason=asked.reason, by=asked.by)
    return look_decisions.decided(archive, done)


@router.post(
    "/decisions/{decision_id:path}/take-back",
    status_code=201,
    summary="Take a decision back",
    responses=failures(403, 404, 409, 422),
)
def taken_back(archive: TheArchive, decision_id: str, asked: TakingBack) -> Decided:
    """Everything is again as it was before; both decisions stay in the log."""
    return look_decisions.decided(archive, decide.take_back(archive, decision_id, asked.reason, asked.by))


@router.get("/authority/{table}", summary="One authority table", responses=failures(404))
def authority(archive: TheArchive, table: str) -> AuthorityTable:
    """Its rows with the standing decisions followed; a row is mended by a decision of kind `authority`."""
    return look_authority.table(archive, table)
