"""How a source is read: what is proposed, what its corrections taught, how far confidence can be trusted."""

from __future__ import annotations

from dataclasses import dataclass

from numbertaker.usecases.look.views.cells import Box, ScanRef


@dataclass(frozen=True, slots=True)
class ProposedCell:
    """A cell of which another text is likelier than what was read; `before` is what was proposed before a
    decision changed it, '' for nothing. `proposed` is '' where nothing is proposed any more."""

    line_id: str
    field: str
    card_id: str
    where: str
    text: str
    before: str
    proposed: str
    confidence: float
    why: str
    scan: ScanRef | None
    box: Box | None


@dataclass(frozen=True, slots=True)
class ConfusionView:
    """A sign that was read as another in so many of the cells looked over in which it stands; '' for none."""

    sign: str
    read: str
    cells: int
    of: int
    says: str


@dataclass(frozen=True, slots=True)
class SpellingView:
    """A word as it was read, what it was corrected to, and in how many cells."""

    read: str
    word: str
    cells: int


@dataclass(frozen=True, slots=True)
class ReliabilityGroup:
    """Cells read with nearly one confidence: how many were checked, how many of them were right, and the
    bounds within which the share that is right lies with probability .95."""

    low: float
    high: float
    cells: int
    right: int
    mean: float
    share: float
    at_least: float
    at_most: float


@dataclass(frozen=True, slots=True)
class ReliabilityView:
    """How far the confidence of a source's cells can be trusted, by the cells of its checked cards.

    `error` is the mean distance between confidence and share right.
    """

    cells: int
    right: int
    error: float
    groups: list[ReliabilityGroup]


@dataclass(frozen=True, slots=True)
class SourceReading:
    """How a source is read: its cells looked over and corrected, what that taught of its hand, what is
    proposed for other cells (by the hand alone, `by_hand`), and its reliability as read and as learnt."""

    source_id: str
    read: int
    looked_over: int
    corrected: int
    cards_checked: list[str]
    confusions: list[ConfusionView]
    spellings: list[SpellingView]
    by_hand: list[ProposedCell]
    proposed: list[ProposedCell]
    reliability: ReliabilityView
    learnt: ReliabilityView | None
    says: str
