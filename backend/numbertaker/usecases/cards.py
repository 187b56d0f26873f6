"""Cards as read, before any linking, in the format `numbertaker-cards/1`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from numbertaker.archive import Archive, KeptReading
from numbertaker.evidence.records import CellKey
from numbertaker.reading.meaning import Proposal
from numbertaker.usecases.proposing import proposals

FORMAT: Final = "numbertaker-cards/1"


def cards_json(archive: Archive) -> dict[str, Any]:
    """Every page that was read, in the order of the cards."""
    names = {scan.sha256: scan.name for scan in archive.scans()}
    sources = {card.card_id: card.source_id for card in archive.evidence().cards}
    proposed = proposals(archive)
    cards = [
        _page(kept, names[kept.sha256], sources[kept.card_id], proposed) for kept in archive.card_readings()
    ]
    return {"format": FORMAT, "cards": cards}


def _page(
    kept: KeptReading, name: str, source_id: str, proposed: Mapping[CellKey, Proposal]
) -> dict[str, Any]:
    place = {
        "scan": name,
        "sha256": kept.sha256,
        "page": kept.page,
        "source_id": source_id,
        "card_id": kept.card_id,
    }
    return place | kept.body | {"lines": [_line(line, proposed) for line in kept.body.get("lines", ())]}


def _line(line: dict[str, Any], proposed: Mapping[CellKey, Proposal]) -> dict[str, Any]:
    """A line as it was read, with what the card as a whole makes likelier beside each cell."""
    cells = {
        field: cell | {"proposed": proposal.to_json()}
        if (proposal := proposed.get(CellKey(str(line["line_id"]), field)))
        else cell
        for field, cell in line["cells"].items()
    }
    return line | {"cells": cells}
