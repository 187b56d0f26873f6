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
    found = propose([_reweighed(line, hand) for line in lines], known)
    for place, line in enumerate(lines):
        for field, cell in line.cells.items():
            told = found.get((place, field))
            if told is None and cell.confidence < CERTAIN:
                told = propose_by_hand(cell, field, hand)
            elif told is not None and (why := why_by_hand(cell, field, told.text, hand)):
                told = replace(told, why=f"{told.why}, and {why}")
            if told is not None:
                found[place, field] = told
    return {key: told for key, told in found.items() if told.text != lines[key[0]].cells[key[1]].text}


def _reweighed(line: LineReading, hand: Hand) -> LineReading:
    cells = {
        field: cell if cell.confidence >= CERTAIN else reweighed(cell, field, hand)
        for field, cell in line.cells.items()
    }
    return replace(line, cells=cells)
