"""Cards as read, before any linking, in the format `numbertaker-cards/1`."""

from __future__ import annotations

from typing import Any, Final

from numbertaker.archive import Archive, KeptReading

FORMAT: Final = "numbertaker-cards/1"


def cards_json(archive: Archive) -> dict[str, Any]:
    """Every page that was read, in the order of the cards."""
    names = {scan.sha256: scan.name for scan in archive.scans()}
    sources = {card.card_id: card.source_id for card in archive.evidence().cards}
    cards = [_page(kept, names[kept.sha256], sources[kept.card_id]) for kept in archive.card_readings()]
    return {"format": FORMAT, "cards": cards}


def _page(kept: KeptReading, name: str, source_id: str) -> dict[str, Any]:
    place = {
        "scan": name,
        "sha256": kept.sha256,
        "page": kept.page,
        "source_id": source_id,
        "card_id": kept.card_id,
    }
    return place | kept.body
