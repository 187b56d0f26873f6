"""Numbers and names by the lists of the archive: what nobody ever bore, while something very like it was."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import log
from typing import Final

from numbertaker.evidence.designations import read_number
from numbertaker.reading.meaning.values import Known, Proposal, Proposals, readings, stated, surely
from numbertaker.reading.values import CellReading, LineReading

_NOT_LISTED: Final = log(0.02)
"""How often a number that stands on a card is in none of the archive's lists."""
_LEAST: Final = 1.5


def propose_names(lines: Sequence[LineReading], known: Known) -> Proposals:
    """Proposals for engines and components that are in no list as they were read."""
    lists = {"engine": known.engines, "component": known.components}
    found: Proposals = {}
    for n, line in enumerate(lines):
        for field, borne in lists.items():
            cell = stated(line, field)
            proposal = None if cell is None or not borne else _listed(cell, borne)
            if proposal is not None:
                found[n, field] = proposal
    return found


def _listed(cell: CellReading, borne: frozenset[str]) -> Proposal | None:
    """The best alternative that is in the list, where what was seen is not."""
    if _in(cell.text, borne) or read_number(cell.text).state:
        return None
    other = _best((text, p) for text, p in readings(cell) if _in(text, borne))
    if other is None:
        return None
    text, weight = other
    seen = next(p for t, p in readings(cell) if t == cell.text)
    gain = weight - (seen + _NOT_LISTED)
    return (
        Proposal(text, surely(gain), f"nobody bore '{cell.text}', and '{text}' was borne")
        if gain >= _LEAST
        else None
    )


def _in(text: str, borne: frozenset[str]) -> bool:
    number = read_number(text)
    return any(part.casefold() in borne for part in (number.number, number.name) if part)


def _best(pairs: Iterable[tuple[str, float]]) -> tuple[str, float] | None:
    return max(pairs, key=lambda pair: pair[1], default=None)
