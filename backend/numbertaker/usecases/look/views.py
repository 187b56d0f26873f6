"""What the screens show, as values: the web gives them as JSON, word for word.

Nothing here is computed; the modules beside this one fill the values in. A *box* is
`(x, y, width, height)` in pixels of the scan with its EXIF orientation applied. *Sure* is
the probability that a claim is true of the component's history; *confidence* on a cell is
how surely its letters were read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

Box: TypeAlias = tuple[int, int, int, int]
Degree: TypeAlias = Literal["near certain", "probable", "doubtful", "improbable", "contradicted", "unknown"]
State: TypeAlias = Literal["open", "settled"]


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
    findings_open: int


@dataclass(frozen=True, slots=True)
class SourcePage:
    """A source with its cards and how it is cited."""

    source: dict[str, str]
    citation: str
    cards: list[CardSummary]


@dataclass(frozen=True, slots=True)
class CardPage:
    """A card: its scans, what was read from them, and its lines with their meanings."""

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
    """The reading of many pages, with how many are in each state."""

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
    items: list[JobItemView]


@dataclass(frozen=True, slots=True)
class Changed:
    """What became otherwise by a decision: components whose history differs, findings gone and come."""

    components: list[str]
    findings_closed: list[str]
    findings_opened: list[str]


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
