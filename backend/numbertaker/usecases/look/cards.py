"""Cards: one row each, and one with its scans and lines."""

from __future__ import annotations

from typing import Any

from numbertaker.archive import Archive, CardScan
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Card, Line
from numbertaker.usecases.look.drawing import Drawer
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.lines import HEADINGS, SHOWN, cell_view, fields_of, line_views
from numbertaker.usecases.look.summaries import card_summary, citation_of, source_summary
from numbertaker.usecases.look.views import CardPage, CardSummary, CellView, ScanView


def cards(archive: Archive, source_id: str | None = None) -> list[CardSummary]:
    """The cards of a source, or all, in the order of the table."""
    made = index(archive)
    wanted = made.cards.values() if source_id is None else made.cards_of_source.get(source_id, ())
    return [card_summary(made, card) for card in wanted]


def card_page(archive: Archive, drawer: Drawer, card_id: str) -> CardPage:
    """One card; `NotFound` where there is none of that id. `drawer` knows how large its scans are."""
    made = index(archive)
    card = made.cards.get(card_id)
    if card is None:
        raise NotFound("card", card_id)
    source = made.matter.citations.sources[card.source_id]
    lines = made.lines_of_card.get(card_id, [])
    read: dict[str, Any] = made.readings[card_id][0].body if card_id in made.readings else {}
    before, after = _beside(made, card)
    return CardPage(
        card=card_summary(made, card),
        source=source_summary(made, source),
        citation=citation_of(made, card.source_id, card.locator),
        scans=[_scan(made, drawer, page) for page in made.pages.get(card_id, ())],
        form=str(read.get("form", card.form)),
        turned=float(read.get("turned", 0.0)),
        outline=[(round(x), round(y)) for x, y in read.get("outline", ())],
        heading=_heading(made, lines),
        columns=_columns(lines),
        lines=line_views(made, (line.line_id for line in lines)),
        problems=[
            said for reading in made.readings.get(card_id, ()) for said in reading.body.get("problems", ())
        ],
        checked=made.ruled.checked.get(card_id),
        previous=before,
        next=after,
    )


def _heading(made: Index, lines: list[Line]) -> dict[str, CellView]:
    """The cells of the heading, which stand on the first line that has them.

    One that nothing was read of is there all the same where a line needs it, so that it can be typed in.
    """
    cells: dict[str, CellView] = {}
    for field in HEADINGS:
        was = (line for line in lines if line.text(field) or made.raw_lines[line.line_id].text(field))
        line = next(was, lines[0] if lines and field == "heading" and _one_sided(lines) else None)
        if line is not None:
            cells[field] = cell_view(made, line, field)
    return cells


def _one_sided(lines: list[Line]) -> bool:
    """Whether no line names both an engine and a component, so that the heading must name the other."""
    return not any(
        line.text("component") and (line.text("engine") or line.text("engine_name")) for line in lines
    )


def _columns(lines: list[Line]) -> list[str]:
    """The columns that any line of the card has something in; columns of the source's own come last."""
    used = {field: None for line in lines for field in fields_of(line) if field not in HEADINGS}
    own = [field for field in used if field not in SHOWN]
    return [*(field for field in SHOWN if field in used), *own]


def _scan(made: Index, drawer: Drawer, page: CardScan) -> ScanView:
    width, height = drawer.size(page.sha256, page.page)
    return ScanView(page.sha256, page.page, made.scans[page.sha256].name, width, height)


def _beside(made: Index, card: Card) -> tuple[str | None, str | None]:
    """The cards before and after one in its source."""
    ids = [other.card_id for other in made.cards_of_source[card.source_id]]
    at = ids.index(card.card_id)
    return (ids[at - 1] if at > 0 else None), (ids[at + 1] if at + 1 < len(ids) else None)
