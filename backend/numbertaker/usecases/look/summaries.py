"""Cards and sources in one row each, and how a source is cited."""

from __future__ import annotations

from numbertaker.evidence.records import Card, Source
from numbertaker.publishing.document import Run
from numbertaker.usecases.look.index import Index
from numbertaker.usecases.look.views import CardSummary, SourceSummary


def card_summary(made: Index, card: Card) -> CardSummary:
    """One row of the list."""
    return CardSummary(
        card_id=card.card_id,
        source_id=card.source_id,
        label=card.locator or card.card_id,
        form=card.form,
        locator=card.locator,
        state=card.state,
        scans=len(made.pages.get(card.card_id, ())),
        lines=len(made.lines_of_card.get(card.card_id, ())),
        read=made.is_read(card.card_id),
        checked=card.card_id in made.ruled.checked,
        findings_open=made.open_of_card.get(card.card_id, 0),
    )


def source_summary(made: Index, row: Source) -> SourceSummary:
    """One row of the list; `unread` counts cards whose scans are here and were not read."""
    cards = made.cards_of_source.get(row.source_id, [])
    return SourceSummary(
        source_id=row.source_id,
        kind=row.kind,
        title=row.title,
        cards=len(cards),
        lines=len(made.lines_of_source.get(row.source_id, ())),
        unread=sum(made.unread(card.card_id) for card in cards),
    )


def citation_of(made: Index, source_id: str, locator: str = "") -> str:
    """How a source is cited in full, as plain text."""
    cited = made.matter.citations.full(source_id, locator)
    return "".join(part.text for part in cited if isinstance(part, Run))
