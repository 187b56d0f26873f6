"""Pictures that show more than one card: each further one is a card of its own, of the same source.

Where the table of cards names several for one page, they lie on it from top to bottom in the table's order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from numbertaker.archive import KeptReading, Writer
from numbertaker.evidence.records import Card
from numbertaker.usecases.reading_rows import keep_card
from numbertaker.usecases.take_in import names_page

PLACE: Final = "place"
"""Which of the cards on a page a reading is of, from 0; readings of the first don't say."""


def place_of(readings: Sequence[KeptReading], card_id: str, sha256: str, page: int) -> int:
    """Which of the cards on a page a card is, by its last reading; 0 where nothing says."""
    for kept in readings:
        if (kept.card_id, kept.sha256, kept.page) == (card_id, sha256, page):
            return int(kept.body.get(PLACE, 0))
    return 0


def keep_further(
    writer: Writer, card_id: str, page: tuple[str, int], bodies: Sequence[Mapping[str, Any]], at: str
) -> None:
    """Keep what was read of the further cards on a page that shows a card."""
    for place, body in enumerate(bodies, start=1):
        own = (
            _known(writer, page, place)
            or _named(writer, card_id, page)
            or _new_card(writer, card_id, page, place)
        )
        keep_card(writer, own, [page], [{**body, PLACE: place}], at)


def _known(writer: Writer, page: tuple[str, int], place: int) -> str | None:
    """The card that stands at a place of a page already."""
    shown = [c.card_id for c in writer.card_scans() if (c.sha256, c.page) == page]
    for card_id in shown:
        if place_of(writer.readings_of(card_id), card_id, *page) == place:
            return card_id
    return None


def _named(writer: Writer, beside: str, page: tuple[str, int]) -> str | None:
    """The next card of the same source that the table names for a page and that no page shows yet."""
    source_id = writer.card(beside).source_id
    shown = {card.card_id for card in writer.card_scans()}
    for card in writer.evidence().cards:
        if (
            card.source_id == source_id
            and card.card_id not in shown
            and names_page(card, writer.scan(page[0]), page[1])
        ):
            writer.show(card.card_id, *page)
            return card.card_id
    return None


def _new_card(writer: Writer, beside: str, page: tuple[str, int], place: int) -> str:
    """Enter a card that lies on the same picture as another."""
    first, head = writer.card(beside), f"{writer.card(beside).source_id}-"
    used = [c.card_id.removeprefix(head) for c in writer.evidence().cards if c.card_id.startswith(head)]
    number = max((int(n) for n in used if n.isdecimal()), default=0) + 1
    card = Card(
        card_id=f"{head}{number}",
        source_id=first.source_id,
        form=first.form,
        state="seen",
        scans=first.scans,
        sha256=first.sha256,
        locator=f"{first.locator or writer.scan(page[0]).name}, card {place + 1} on the picture",
    )
    writer.add(Card.TABLE, [card])
    writer.show(card.card_id, *page)
    return card.card_id
