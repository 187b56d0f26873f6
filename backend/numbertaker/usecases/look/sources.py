"""Sources, and how much of each is here."""

from __future__ import annotations

from numbertaker.archive import Archive
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Source
from numbertaker.publishing.document import Run
from numbertaker.usecases.look.cards import card_summary
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.views import SourcePage, SourceSummary


def sources(archive: Archive) -> list[SourceSummary]:
    """Every source, in the order of the table."""
    made = index(archive)
    return [source_summary(made, row) for row in made.evidence.sources]


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


def source_page(archive: Archive, source_id: str) -> SourcePage:
    """One source; `NotFound` where there is none of that id."""
    made = index(archive)
    row = made.matter.citations.sources.get(source_id)
    if row is None:
        raise NotFound("source", source_id)
    cards = [card_summary(made, card) for card in made.cards_of_source.get(source_id, ())]
    return SourcePage(row.row(), citation_of(made, source_id), cards)


def citation_of(made: Index, source_id: str, locator: str = "") -> str:
    """How a source is cited in full, as plain text."""
    cited = made.matter.citations.full(source_id, locator)
    return "".join(part.text for part in cited if isinstance(part, Run))
