"""Jobs, and what came of something that a person did."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from numbertaker.usecases.look.views.findings import DecisionView
from numbertaker.usecases.look.views.readings import ProposedCell

JobState: TypeAlias = Literal["waiting", "running", "done", "failed", "stopped"]
ItemState: TypeAlias = Literal["waiting", "running", "done", "failed"]


@dataclass(frozen=True, slots=True)
class JobItemView:
    """One page of a job: how far it is, how often it was tried, and why it failed where it did."""

    card_id: str
    sha256: str
    page: int
    state: ItemState
    why: str
    attempts: int


@dataclass(frozen=True, slots=True)
class JobView:
    """The reading of many pages, with how many are in each state, and how many seconds the rest will take,
    once that can be said."""

    job_id: int
    kind: str
    state: JobState
    by: str
    began: str
    ended: str
    total: int
    waiting: int
    running: int
    done: int
    failed: int
    seconds_left: int | None
    items: list[JobItemView]


@dataclass(frozen=True, slots=True)
class Changed:
    """What became otherwise by a decision: components whose history differs, findings gone and come, and
    other cells for which something else is proposed now."""

    components: list[str]
    findings_closed: list[str]
    findings_opened: list[str]
    proposed: list[ProposedCell]


@dataclass(frozen=True, slots=True)
class Decided:
    """A decision as kept, and what it changed."""

    decision: DecisionView
    changed: Changed


@dataclass(frozen=True, slots=True)
class TakenInView:
    """What came in: cards made or added to, scans kept, and files that were here already."""

    cards: list[str]
    scans: list[str]
    known_already: list[str]
    problems: list[str]


@dataclass(frozen=True, slots=True)
class ImportedView:
    """By table: how many rows came in, and how many were here already, the same; and what is worth saying."""

    counts: dict[str, int]
    unchanged: dict[str, int]
    notices: list[str]
