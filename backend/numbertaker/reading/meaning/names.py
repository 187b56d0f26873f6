"""Numbers, names and places by the lists of the archive: what nobody ever bore, or hardly any line has, while
something very like it was, or many have.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import log
from typing import Final

from rapidfuzz.distance import Levenshtein

from numbertaker.evidence.designations import read_number
from numbertaker.reading.meaning.values import Known, Proposal, Proposals, readings, stated, surely
from numbertaker.reading.values import CellReading, LineReading

_NOT_LISTED: Final = log(0.02)
"""How often a number that stands on a card is in none of the archive's lists."""
_NOT_USUAL: Final = log(0.002)
"""How often a place that hardly any line has is a letter off from one that many have."""
_SHORTEST: Final = 4
_LETTERS_A_SLIP: Final = 4
_LEAST: Final = 1.5


def propose_names(lines: Sequence[LineReading], known: Known) -> Proposals:
    """Proposals for engines, components and places that are in no list as they were read."""
    lists = {"engine": known.engines, "component": known.components}
    found: Proposals = {}
    for n, line in enumerate(lines):
        for field, borne in lists.items():
            cell = stated(line, field)
            proposal = None if cell is None or not borne else _listed(cell, borne)
            if proposal is not None:
                found[n, field] = proposal
        place = stated(line, "place")
        if place is not None and (usual := _usual(place, known.places)) is not None:
            found[n, "place"] = usual
    return found


def _usual(cell: CellReading, places: frozenset[str]) -> Proposal | None:
    """The one usual place that is but a letter in four off from what was seen."""
    text = cell.text.strip()
    if text in places or len(text) < _SHORTEST:
        return None
    off = {place: Levenshtein.distance(text, place) for place in places}
    near = [place for place, slips in off.items() if slips == min(off.values())]
    if len(near) != 1 or off[near[0]] > max(1, len(near[0]) // _LETTERS_A_SLIP):
        return None
    seen = min(0.999, max(0.001, cell.confidence))
    gain = log(max(0.01, 1 - seen)) - (log(seen) + _NOT_USUAL)
    return Proposal(near[0], surely(gain), f"many lines have '{near[0]}', and hardly any '{text}'")


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
