"""The proposals for a card of a known hand: what the card as a whole makes likelier, then the hand alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from numbertaker.reading.hands.values import Hand
from numbertaker.reading.hands.weighing import propose_by_hand, reweighed, why_by_hand
from numbertaker.reading.meaning import Known, propose
from numbertaker.reading.meaning.values import Proposals
from numbertaker.reading.values import LineReading

CERTAIN: Final = 0.9999
"""A cell so sure was typed, corrected or confirmed by a person, and has no other reading."""


def propose_in_hand(lines: Sequence[LineReading], known: Known, hand: Hand) -> Proposals:
    """The proposals for the lines of one card, by place in `lines` (from 0) and field.

    The card's sums, dates and lists decide among readings that are weighed by the hand; for a cell of which
    they say nothing the hand may speak alone. Never the text that was seen.
    """
    return with_hand(lines, propose(weighed_lines(lines, hand), known), hand)


def with_hand(lines: Sequence[LineReading], found: Proposals, hand: Hand) -> Proposals:
    """What the card as a whole proposes (`found`), with what the hand says to it, and what it says alone."""
    told: Proposals = {}
    for place, line in enumerate(lines):
        for field, cell in line.cells.items():
            one = found.get((place, field))
            if one is None and cell.confidence < CERTAIN:
                one = propose_by_hand(cell, field, hand)
            elif one is not None and (why := why_by_hand(cell, field, one.text, hand)):
                one = replace(one, why=f"{one.why}, and {why}")
            if one is not None and one.text != cell.text:
                told[place, field] = one
    return told


def weighed_lines(lines: Sequence[LineReading], hand: Hand) -> list[LineReading]:
    """The lines with the readings of each cell weighed by the hand; the same where it says nothing."""
    return [_reweighed(line, hand) for line in lines]


def _reweighed(line: LineReading, hand: Hand) -> LineReading:
    cells = {
        field: cell if cell.confidence >= CERTAIN else reweighed(cell, field, hand)
        for field, cell in line.cells.items()
    }
    moved = any(cells[field] is not cell for field, cell in line.cells.items())
    return replace(line, cells=cells) if moved else line
