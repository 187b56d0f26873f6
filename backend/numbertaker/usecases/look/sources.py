"""Sources, and how much of each is here."""

from __future__ import annotations

from numbertaker.archive import Archive
from numbertaker.evidence.errors import NotFound
from numbertaker.usecases.look.index import index
from numbertaker.usecases.look.summaries import card_summary, citation_of, source_summary
from numbertaker.usecases.look.views import SourcePage, SourceSummary


def sources(archive: Archive) -> list[SourceSummary]:
    """Every source, in the order of the table."""
    made = index(archive)
    return [source_summary(made, row) for row in made.evidence.sources]


def source_page(archive: Archive, source_id: str) -> SourcePage:
    """One source; `NotFound` where there is none of that id."""
    made = index(archive)
    row = made.matter.citations.sources.get(source_id)
    if row is None:
        raise NotFound("source", source_id)
    cards = [card_summary(made, card) for card in made.cards_of_source.get(source_id, ())]
    return SourcePage(row.row(), citation_of(made, source_id), cards)
