"""Cards that would show something: those seen, those known to exist, and those that nobody lists."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from numbertaker.evidence.days import Day
from numbertaker.evidence.records import Card, Evidence
from numbertaker.linking import Index
from numbertaker.linking.index import hull

State = Literal["seen", "known", "lost", "unknown"]
_ORDER: Final[dict[State, int]] = {"known": 0, "seen": 1, "unknown": 2, "lost": 3}


@dataclass(frozen=True, slots=True)
class Place:
    """Where to look: a card with its state, and why; no card where none is listed."""

    card_id: str | None
    source_id: str | None
    state: State
    says: str


def places_of(evidence: Evidence, index: Index, subject_id: str, first: Day, last: Day) -> tuple[Place, ...]:
    """The cards of a subject that cover some of a time, those that were not seen yet first."""
    found = [
        Place(card.card_id, card.source_id, _state(card), _says(card, index.label(subject_id, first, last)))
        for card in evidence.cards
        if card.subject_id == subject_id and _may_cover(card, first, last)
    ]
    if not any(place.state in {"seen", "known"} for place in found):
        found.append(_unlisted(evidence, index, subject_id, first, last))
    return tuple(sorted(found, key=lambda p: (_ORDER[p.state], p.card_id or "")))


def _unlisted(evidence: Evidence, index: Index, subject_id: str, first: Day, last: Day) -> Place:
    """Lines under its number tell of a card that the tables do not list."""
    sort = "engine" if subject_id in index.engines else "component"
    numbers = {borne.value for borne in index.borne_by(subject_id)}
    source = next(
        (
            line.source_id
            for line in evidence.lines
            if line.side == sort and numbers & {line.heading.strip(), line.heading_name.strip()}
        ),
        None,
    )
    label = index.label(subject_id, first, last)
    if source is None:
        return Place(None, None, "unknown", f"No card of {sort} {label} is listed: ask whether one exists.")
    return Place(
        None,
        source,
        "seen",
        f"The card of {sort} {label} in {source}: look again, between the lines about then.",
    )


def _state(card: Card) -> State:
    if card.state == "known":
        return "known"
    return "lost" if card.state == "lost" else "seen"


def _may_cover(card: Card, first: Day, last: Day) -> bool:
    span = hull(card.covers)
    return (span.first is None or span.first <= last) and (span.last is None or first <= span.last)


def _says(card: Card, label: str) -> str:
    where = f"Card {card.card_id} of {label}"
    if card.state == "known":
        return f"{where} is known to exist and was not seen yet."
    if card.state == "lost":
        return f"{where} is lost: only what was copied from it can show it."
    return f"{where} was seen: look at its lines about that time again."
