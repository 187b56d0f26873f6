"""What an archive holds besides the rows of the evidence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias

Json: TypeAlias = dict[str, Any]
ItemState = Literal["waiting", "running", "done", "failed"]
JobState = Literal["waiting", "running", "done", "failed", "stopped"]

OVER: Final = ("done", "failed", "stopped")
"""The states in which a job makes no more progress."""


@dataclass(frozen=True, slots=True)
class Scan:
    """A file as it came; `sha256` is its name in the archive, `bytes_` its size."""

    sha256: str
    name: str
    media_type: str
    pages: int
    bytes_: int
    by: str = ""
    at: str = ""


@dataclass(frozen=True, slots=True)
class ImportNote:
    """A package that came in: what it was called, how many rows were new, who brought it and when."""

    name: str
    prefix: str
    rows: int
    by: str
    at: str


@dataclass(frozen=True, slots=True)
class Lesson:
    """One version of what was learnt of the archive's papers, as JSON (`reconciling.learning`)."""

    version: int
    at: str
    by: str
    body: Json


@dataclass(frozen=True, slots=True)
class CardScan:
    """One page of a scan that shows a card; `position` orders the pages of one card, from 1."""

    card_id: str
    sha256: str
    page: int
    position: int


@dataclass(frozen=True, slots=True)
class KeptReading:
    """What was read on one page of a card: an object of 'cards as read', each line with its `line_id`."""

    card_id: str
    sha256: str
    page: int
    recogniser: str
    at: str
    body: Json


@dataclass(frozen=True, slots=True)
class JobItem:
    """One page to be read: how far it is, how often it was tried, and why it failed where it did."""

    card_id: str
    sha256: str
    page: int
    state: ItemState
    why: str = ""
    attempts: int = 0


@dataclass(frozen=True, slots=True)
class Job:
    """Work on many pages. `stopped` is a job whose process ended before it did; what it finished is kept."""

    job_id: int
    kind: str
    state: JobState
    by: str
    began: str
    ended: str
    items: tuple[JobItem, ...]

    @property
    def counts(self) -> Mapping[str, int]:
        """How many pages are in each state."""
        states = [item.state for item in self.items]
        return {state: states.count(state) for state in ("waiting", "running", "done", "failed")}
