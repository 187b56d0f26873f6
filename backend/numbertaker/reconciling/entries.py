"""The working values of a reconciliation: entries of cards, and the stays that they speak of.

They are filled step by step by the steps of `numbertaker.reconciling.STEPS` and live no longer than one run.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple, TypeAlias

from numbertaker.evidence.days import Day
from numbertaker.evidence.decisions import Ruled
from numbertaker.evidence.designations import WrittenNumber
from numbertaker.evidence.records import CellKey, Line, Source
from numbertaker.linking import Candidate, Index, Ranked, Sort
from numbertaker.linking.index import EVER_FIRST, EVER_LAST
from numbertaker.reconciling.history import Finding, Miles, Reason
from numbertaker.reconciling.learning.learnt import SHIPPED, Learnt
from numbertaker.reconciling.settings import Settings

if TYPE_CHECKING:
    from numbertaker.reconciling.dating.chains import Chains
    from numbertaker.reconciling.dating.events import Event
    from numbertaker.reconciling.facing import Facing
    from numbertaker.reconciling.findings.chronology import Suspects
    from numbertaker.reconciling.findings.gaps import Missing
    from numbertaker.reconciling.findings.notes import Notes
    from numbertaker.reconciling.gathering import Gathered
    from numbertaker.reconciling.miles.column import Column
    from numbertaker.reconciling.miles.figures import Weighed
    from numbertaker.reconciling.miles.ladders import Ladders
    from numbertaker.reconciling.pairing import Pairs
    from numbertaker.reconciling.second_cards import Offices
    from numbertaker.reconciling.slots import Slots
    from numbertaker.reconciling.statements import Statements

Posterior: TypeAlias = tuple[tuple[Day, Day, float], ...]
Spans: TypeAlias = tuple[tuple[Day, Day], ...]
Stages: TypeAlias = tuple[tuple[str, float], ...]
CardKey: TypeAlias = tuple[str, str, str, str]
Slot: TypeAlias = tuple[Sort, str]
"""An engine or a component."""
Rank: TypeAlias = tuple[CardKey, int, str]
"""Where a line stands: its card, its row, its id. It sorts lines in a fixed order."""
EVENTS: tuple[str, str] = ("fitted", "removed")
_LONGEST_STAY = 1600
_NOTHING: Final[Mapping[str, Any]] = {}


def nothing() -> Mapping[str, Any]:
    """What most entries have nothing of, as one and the same value."""
    return _NOTHING


@dataclass(frozen=True, slots=True)
class DateClaim:
    """What a date cell says: the days it may mean, as spans, and how likely it is wrong in itself.

    `first` and `last` are the ends of those days, `days` is how many they are, `middle` lies between.
    """

    key: CellKey
    text: str
    edtf: str
    spans: Spans
    slip: float
    first: Day = field(init=False, compare=False, repr=False)
    last: Day = field(init=False, compare=False, repr=False)
    days: int = field(init=False, compare=False, repr=False)
    middle: float = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Reckon once what is asked for very often, for all that may mean the same days."""
        for name, value in zip(_SHAPE, _shape(self.spans), strict=True):
            object.__setattr__(self, name, value)

    def meets(self, other: DateClaim) -> bool:
        """Whether both can be true of one day."""
        if self.last < other.first or other.last < self.first:
            return False
        return any(a <= d and c <= b for a, b in self.spans for c, d in other.spans)


_SHAPE: Final = ("spans", "first", "last", "days", "middle")


@lru_cache(maxsize=65_536)
def _shape(spans: Spans) -> tuple[Spans, Day, Day, int, float]:
    first, last = spans[0][0], spans[-1][1]
    return spans, first, last, sum(b - a + 1 for a, b in spans), (first + last) / 2


@dataclass(frozen=True, slots=True)
class FigureClaim:
    """What a cell of miles says, and how likely it is wrong in itself."""

    key: CellKey
    text: str
    value: int
    slip: float


@dataclass(slots=True, eq=False)
class Entry:
    """One line, or the two halves of one, normalised: who, from when, until when, how far.

    `side` is `component`, `engine` or `statement`: what its card is the card of. `rank` is a fixed order that
    does not depend on the order of the table.
    """

    line: Line
    source: Source
    card: CardKey
    row: int
    says: str
    copy: bool
    tail: Line | None = None
    engine: WrittenNumber | None = None
    component: WrittenNumber | None = None
    heads: Mapping[str, Entry | None] = field(default_factory=nothing)
    fitted: DateClaim | None = None
    removed: DateClaim | None = None
    seen: DateClaim | None = None
    miles: FigureClaim | None = None
    total: FigureClaim | None = None
    engine_id: str | None = None
    component_id: str | None = None
    repaired: bool = False
    unread: tuple[CellKey, ...] = ()
    twin: Entry | None = None
    beside: Entry | None = None
    stay: Stay | None = None
    engine_refs: Ranked | None = None
    component_refs: Ranked | None = None
    total_right: float | None = None
    total_why: tuple[Reason, ...] = ()
    total_instead: tuple[int, float] | None = None
    dates: Mapping[str, Dated] = field(default_factory=nothing)
    events: Mapping[str, Event] = field(default_factory=nothing)
    side: str = field(init=False)
    rank: Rank = field(init=False)
    _run: tuple[Day, Day, int] | None = None

    def __post_init__(self) -> None:
        """Note once what is asked for very often."""
        self.side = self.line.side
        self.rank = (self.card, self.row, self.id)

    @property
    def run(self) -> tuple[Day, Day, int]:
        """From which day to which its dates go, any day where it has none; its miles, -1 for none."""
        if self._run is None:
            dates = [d for d in (self.fitted, self.removed) if d is not None]
            first = min((d.first for d in dates), default=EVER_FIRST)
            last = max((d.last for d in dates), default=EVER_LAST)
            self._run = first, last, self.miles.value if self.miles is not None else -1
        return self._run

    @property
    def id(self) -> str:
        """The id of its line, of the first of two halves."""
        return self.line.line_id

    @property
    def lines(self) -> tuple[Line, ...]:
        """Its line, or both halves."""
        return (self.line,) if self.tail is None else (self.line, self.tail)

    def date(self, event: str) -> DateClaim | None:
        """The claim of one of the two events."""
        return self.fitted if event == "fitted" else self.removed

    def line_of(self, cell: str) -> Line:
        """The half that a cell stands on."""
        return (
            self.tail if self.tail is not None and cell in {"removed", "miles", "total_miles"} else self.line
        )

    def key(self, cell: str) -> CellKey:
        """The name of one of its cells."""
        return CellKey(self.line_of(cell).line_id, cell)

    @property
    def between(self) -> tuple[Day, Day]:
        """The days that it may speak of, for asking who bore a number then."""
        fitted, removed = self.fitted or self.seen, self.removed or self.seen
        first = fitted.first if fitted else (removed.first - _LONGEST_STAY if removed else EVER_FIRST)
        last = (
            removed.last
            if removed
            else (fitted.last + (_LONGEST_STAY if self.says == "fitment" else 0) if fitted else EVER_LAST)
        )
        return first, max(first, last)


@dataclass(slots=True)
class Dated:
    """What is known of one event: the probability of each run of days, and the days it must lie in.

    `stages` has, of the days that each text about it may mean, how likely they are as one kind of evidence
    after another is let in. `held` are the days that hold it by itself; `first` and `last` those that the
    events around it leave.
    """

    regions: Posterior
    first: Day
    last: Day
    sure: float
    likeliest: tuple[Day, Day] = (0, 0)
    stages: tuple[tuple[Spans, Stages], ...] = ()
    held: tuple[Day, Day] = field(init=False)

    def __post_init__(self) -> None:
        """Begin with what holds it by itself."""
        self.held = self.first, self.last

    def stages_of(self, said: Spans) -> Stages:
        """How likely the days of a text became, stage by stage; nothing where no text of it has them."""
        return next((stages for spans, stages in self.stages if spans == said), ())


class Headed(NamedTuple):
    """The engine and the component that the cards of a stay are headed with, and how surely."""

    engine_id: str | None = None
    engine_sure: float = 0.0
    component_id: str | None = None
    component_sure: float = 0.0


NOT_HEADED: Final = Headed()


@dataclass(slots=True, eq=False)
class Stay:
    """A putative fitment and every entry that speaks of it."""

    own: Entry | None = None
    mirror: Entry | None = None
    others: list[Entry] = field(default_factory=list)
    twins: list[Entry] = field(default_factory=list)
    score: float = 0.0
    engine_id: str | None = None
    component_id: str | None = None
    engine_sure: float = 0.0
    component_sure: float = 0.0
    engine_posterior: tuple[Candidate, ...] = ()
    component_posterior: tuple[Candidate, ...] = ()
    rough: tuple[float, float] | None = None
    headed: Headed = NOT_HEADED
    kind: str | None = None
    placed: tuple[float, float] = (0.0, 0.0)
    told: dict[str, list[tuple[Entry, DateClaim]]] = field(default_factory=dict)
    events: Mapping[str, Event] = field(default_factory=nothing)
    made: Sequence[Event] = ()
    dates: dict[str, Dated] = field(default_factory=dict)
    weighed: Weighed | None = None
    figures: dict[int, float] = field(default_factory=dict)
    figures_alone: dict[int, float] = field(default_factory=dict)
    derived: FigureClaim | None = None
    miles: Miles | None = None

    @property
    def entries(self) -> list[Entry]:
        """Every entry, the component's own card first, copies and doubles last."""
        first = [entry for entry in (self.own, self.mirror) if entry is not None]
        return [*first, *self.others, *self.twins]

    @property
    def witnesses(self) -> list[Entry]:
        """The entries that know it for themselves; where only copies are left, the first of them."""
        first = [entry for entry in (self.own, self.mirror) if entry is not None]
        found = [*first, *(entry for entry in self.others if not entry.copy)]
        return found or self.others[:1]

    @property
    def hearsay(self) -> bool:
        """Whether only copies or sightings speak of it, and no card and no list of its own knowledge."""
        return not any(e.says != "carried" and not e.copy for e in self.entries)

    @property
    def lead(self) -> Entry:
        """The entry that comes first."""
        return self.entries[0]

    @property
    def rank(self) -> tuple[float, Rank]:
        """A fixed order: by time, then by card."""
        return (self.rough[0] if self.rough else 0.0, self.lead.rank)

    @property
    def sure(self) -> float:
        """The probability that this component was on this engine."""
        return min(self.engine_sure, self.component_sure)


@dataclass(slots=True)
class News:
    """What is otherwise than when a draft was last settled, as far as the steps have come; at first, all.

    Each step works out anew what these touch, and adds to them what came out otherwise. They keep the order
    in which they were noted, so that nothing hangs on chance.
    """

    cells: dict[CellKey, None] = field(default_factory=dict)
    cards: dict[CardKey, None] = field(default_factory=dict)
    entries: dict[Entry, None] = field(default_factory=dict)
    gone: dict[Entry, None] = field(default_factory=dict)
    stays: dict[Stay, None] = field(default_factory=dict)
    left: dict[Stay, None] = field(default_factory=dict)
    looked: dict[tuple[str, str], None] = field(default_factory=dict)
    chains: dict[Slot, None] = field(default_factory=dict)
    dated: dict[Stay, None] = field(default_factory=dict)
    redated: dict[Stay, None] = field(default_factory=dict)
    single: dict[tuple[str, str], None] = field(default_factory=dict)
    reckoned: dict[Stay, None] = field(default_factory=dict)
    ladders: dict[str, None] = field(default_factory=dict)
    settled: dict[str, None] = field(default_factory=dict)
    spoken: dict[CellKey, None] = field(default_factory=dict)
    lines: dict[Entry, None] = field(default_factory=dict)
    findings: dict[str, tuple[Finding, tuple[str, ...]] | None] = field(default_factory=dict)


@dataclass(slots=True)
class Draft:
    """One reconciliation under way. Each step fills in what the next one needs.

    A draft may be settled again with other rulings or lines over the same tables: then the steps work out
    anew what the `news` touch, and everything else stays.
    """

    ruled: Ruled
    settings: Settings
    index: Index
    sources: Mapping[str, Source]
    subjects: Mapping[str, str]
    news: News = field(default_factory=News)
    lines: dict[str, Line] = field(default_factory=dict)
    lines_of: dict[CardKey, dict[str, Line]] = field(default_factory=dict)
    entry_of: dict[str, Entry] = field(default_factory=dict)
    facing: Facing | None = None
    offices: Offices | None = None
    pairs: Pairs | None = None
    statements: Statements | None = None
    slots: Slots | None = None
    cards: dict[CardKey, list[Entry]] = field(default_factory=dict)
    stays: dict[Stay, None] = field(default_factory=dict)
    on_component: dict[str, list[Stay]] = field(default_factory=dict)
    on_engine: dict[str, list[Stay]] = field(default_factory=dict)
    learnt: Learnt = SHIPPED
    spare: dict[str, list[Entry]] = field(default_factory=dict)
    single: dict[tuple[str, str], list[Entry]] = field(default_factory=dict)
    stating: dict[Entry, tuple[str, str]] = field(default_factory=dict)
    chains: Chains | None = None
    columns: dict[CardKey, Column] = field(default_factory=dict)
    ladders: Ladders | None = None
    furthest: dict[str, Column] = field(default_factory=dict)
    notes: Notes | None = None
    suspects: Suspects | None = None
    gathered: Gathered | None = None
    missing: dict[Stay, Missing] = field(default_factory=dict)
    findings: dict[str, tuple[Finding, tuple[str, ...]]] = field(default_factory=dict)

    @property
    def rate_spread(self) -> float:
        """Standard deviation of the log of miles a day within a class."""
        return max(self.settings.rate_spread, self.learnt.rate_spread)

    @property
    def entries(self) -> list[Entry]:
        """Every entry, in a fixed order."""
        return [entry for card in self.cards.values() for entry in card]

    def refused(self, key: CellKey) -> bool:
        """Whether a person set this cell aside."""
        return key in self.ruled.set_aside

    def trusted(self, entry: Entry, event: str) -> DateClaim | None:
        """A date claim, unless a person set it aside."""
        claim = entry.date(event)
        return None if claim is None or self.refused(claim.key) else claim
