"""How a source is read, as the screens show it."""

from __future__ import annotations

from collections.abc import Mapping

from numbertaker.archive import Archive
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import CellKey
from numbertaker.reading.hands import UNKNOWN, Hand
from numbertaker.reading.meaning import Proposal
from numbertaker.reading.reliability import Reliability
from numbertaker.usecases import calibrating, proposing
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.views import (
    ConfusionView,
    ProposedCell,
    ReliabilityGroup,
    ReliabilityView,
    SourceReading,
    SpellingView,
)


def source_reading(archive: Archive, source_id: str) -> SourceReading:
    """How a source is read; `NotFound` where there is none of that id."""
    made = index(archive)
    if source_id not in made.matter.citations.sources:
        raise NotFound("source", source_id)
    cards = [card for card in proposing.cards_read(archive) if card.source_id == source_id]
    hand = proposing.hands(archive).get(source_id, UNKNOWN)
    as_read, learnt = calibrating.reliability_of(archive, source_id)
    checked = [card.card_id for card in cards if card.checked]
    return SourceReading(
        source_id=source_id,
        read=sum(
            bool(cell.text) for card in cards for line in card.lines for cell in line.read.cells.values()
        ),
        looked_over=hand.cells,
        corrected=hand.corrected,
        cards_checked=checked,
        confusions=[ConfusionView(c.sign, c.read, c.cells, c.of, c.says()) for c in hand.confusions],
        spellings=_spellings(hand),
        by_hand=_of_source(made, proposing.by_hand(archive), source_id),
        proposed=_of_source(made, made.proposed, source_id),
        reliability=_view(as_read),
        learnt=None if learnt is None else _view(learnt),
        says=_says(as_read, len(checked)),
    )


def all_proposed(archive: Archive, source_id: str | None = None) -> list[ProposedCell]:
    """Every cell of a source, or of all, of which another text is likelier; `NotFound` for no source."""
    made = index(archive)
    if source_id is not None and source_id not in made.matter.citations.sources:
        raise NotFound("source", source_id)
    return _of_source(made, made.proposed, source_id)


def anew(made: Index, changed: proposing.ProposedAnew) -> ProposedCell:
    """A cell for which something else is proposed than before."""
    return proposed_cell(made, changed.cell, changed.now, changed.before, changed.text)


def _of_source(
    made: Index, proposed: Mapping[CellKey, Proposal], source_id: str | None
) -> list[ProposedCell]:
    return [
        proposed_cell(made, key, proposal)
        for key, proposal in proposed.items()
        if key.line_id in made.lines and source_id in (None, made.lines[key.line_id].source_id)
    ]


def proposed_cell(
    made: Index, key: CellKey, proposal: Proposal | None, before: str = "", text: str = ""
) -> ProposedCell:
    """A cell with what is proposed for it, and where it stands."""
    line, read = made.lines[key.line_id], made.read_lines.get(key.line_id)
    box = read.cells.get(key.field, {}).get("box") if read else None
    return ProposedCell(
        line_id=key.line_id,
        field=key.field,
        card_id=line.card_id,
        where=made.matter.citations.locator(line),
        text=text or line.text(key.field),
        before=before,
        proposed=proposal.text if proposal else "",
        confidence=round(proposal.confidence, 4) if proposal else 0.0,
        why=proposal.why if proposal else "",
        scan=read.scan if read else None,
        box=(box[0], box[1], box[2], box[3]) if box else None,
    )


def _spellings(hand: Hand) -> list[SpellingView]:
    told = [
        SpellingView(read, word, cells)
        for (_, read), words in hand.mended.items()
        for word, cells in words.items()
        if word != read
    ]
    return sorted(told, key=lambda row: (-row.cells, row.read, row.word))


def _view(told: Reliability) -> ReliabilityView:
    groups = [
        ReliabilityGroup(
            g.low, g.high, g.cells, g.right, round(g.mean, 4), round(g.share, 4), round(g.at_least, 4),
            round(g.at_most, 4),
        )
        for g in told.groups
    ]  # fmt: skip
    return ReliabilityView(told.cells, told.right, round(told.error, 4), groups)


def _says(told: Reliability, cards: int) -> str:
    if not told.cells:
        return (
            "No cells of this source are checked yet. Look one of its cards through against the scan, correct"
            " what is wrong, and say so on the card\u2019s page."
        )
    on = "one checked card" if cards == 1 else f"{cards} checked cards"
    return (
        f"{told.cells:,} cells on {on}: {told.right:,} were read rightly. How surely they were read is off by"
        f" {100 * told.error:.1f} in a hundred on average."
    )
