"""What the desks list: sources, cards, scans, tables, and what was learnt."""

from __future__ import annotations

from dataclasses import dataclass

from numbertaker.usecases.look.views.cells import CellView, LineView
from numbertaker.usecases.look.views.doings import JobView
from numbertaker.usecases.look.views.histories import ComponentSummary


@dataclass(frozen=True, slots=True)
class EngineSummary:
    """One row of the list of engines."""

    engine_id: str
    label: str
    class_: str
    built: str
    withdrawn: str
    carried: int


@dataclass(frozen=True, slots=True)
class SourceSummary:
    """A source and how much of it is here."""

    source_id: str
    kind: str
    title: str
    cards: int
    lines: int
    unread: int


@dataclass(frozen=True, slots=True)
class ScanView:
    """One page of a scan as kept."""

    sha256: str
    page: int
    name: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class CardSummary:
    """One row of the list of cards."""

    card_id: str
    source_id: str
    label: str
    form: str
    locator: str
    state: str
    scans: int
    lines: int
    read: bool
    checked: bool
    findings_open: int


@dataclass(frozen=True, slots=True)
class SourcePage:
    """A source with its cards and how it is cited."""

    source: dict[str, str]
    citation: str
    cards: list[CardSummary]


@dataclass(frozen=True, slots=True)
class CardPage:
    """A card: its scans, what was read from them, and its lines with their meanings.

    `checked` is the decision that what was not corrected stands as read.
    """

    card: CardSummary
    source: SourceSummary
    citation: str
    scans: list[ScanView]
    form: str
    turned: float
    outline: list[tuple[int, int]]
    heading: dict[str, CellView]
    columns: list[str]
    lines: list[LineView]
    problems: list[str]
    checked: str | None
    previous: str | None
    next: str | None


@dataclass(frozen=True, slots=True)
class Counts:
    """How much an archive holds."""

    sources: int
    cards: int
    scans: int
    lines: int
    engines: int
    components: int
    findings_open: int
    findings_settled: int
    decisions: int


@dataclass(frozen=True, slots=True)
class LearntRow:
    """How often something is so in this archive's papers, 0 to 1, and on how many cases that rests."""

    what: str
    share: float
    cases: float


@dataclass(frozen=True, slots=True)
class LearntView:
    """What was learnt of the archive's papers; version 0 where nothing was learnt yet."""

    version: int
    at: str
    by: str
    says: str
    lines: int
    fitments: int
    rows: list[LearntRow]


@dataclass(frozen=True, slots=True)
class Overview:
    """What the first screen shows."""

    archive: str
    version: str
    counts: Counts
    components: list[ComponentSummary]
    sources: list[SourceSummary]
    unread: list[str]
    jobs: list[JobView]
    learnt: LearntView


@dataclass(frozen=True, slots=True)
class AuthorityTable:
    """One authority table: its columns and rows, each with the key that a decision names."""

    table: str
    columns: list[str]
    key: list[str]
    rows: list[AuthorityRow]


@dataclass(frozen=True, slots=True)
class AuthorityRow:
    """One row of an authority table."""

    key: str
    values: dict[str, str]
