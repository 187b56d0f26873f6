"""Pictures that show more than one card: each further one is a card of its own, of the same source.

Where the table of cards names several for one page, they lie on it from top to bottom in the table's order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from numbertaker.archive import CardScan, KeptReading, Writer
from numbertaker.evidence.records import Card
from numbertaker.usecases.reading_rows import keep_card

PLACE: Final = "place"
"""Which of the cards on a page a reading is of, from 0; readings of the first don't say."""


def place_of(
    readings: Sequence[KeptReading], card_id: str, page: tuple[str, int], shown: Sequence[CardScan]
) -> int:
    """Which of the cards on a page a card is: by its last reading, else by the order in which `shown`, all
    pages of all cards, has the cards of that page.
    """
    for kept in readings:
        if (kept.card_id, kept.sha256, kept.page) == (card_id, *page):
            return int(kept.body.get(PLACE, 0))
    return [one.card_id for one in shown if (one.sha256, one.page) == page].index(card_id)


def read_with_others(pages: Sequence[CardScan], shown: Sequence[CardScan]) -> list[CardScan]:
    """The pages without those of further cards that are read with the first card on the same picture."""
    first: dict[tuple[str, int], str] = {}
    for one in shown:
        first.setdefault((one.sha256, one.page), one.card_id)
    read = {(one.card_id, one.sha256, one.page) for one in pages}
    return [
        one
        for one in pages
        if (leader := first[one.sha256, one.page]) == one.card_id
        or (leader, one.sha256, one.page) not in read
    ]


def keep_further(
    writer: Writer, card_id: str, page: tuple[str, int], bodies: Sequence[Mapping[str, Any]], at: str
) -> None:
    """Keep what was read of the further cards on a page that shows a card."""
    for place, body in enumerate(bodies, start=1):
        own = _known(writer, page, place) or _new_card(writer, card_id, page, place)
        keep_card(writer, own, [page], [{**body, PLACE: place}], at)


def _known(writer: Writer, page: tuple[str, int], place: int) -> str | None:
    """The card that stands at a place of a page already."""
    shown = writer.card_scans()
    for card_id in [one.card_id for one in shown if (one.sha256, one.page) == page]:
        if place_of(writer.readings_of(card_id), card_id, page, shown) == place:
            return card_id
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
