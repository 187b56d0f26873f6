"""Dates by their grammar and their order: what is no date while an alternative is, and what runs backwards.

The events of a card follow one another: fitted, removed, fitted again. Among what was seen and its
alternatives the likeliest run is found in which as few as possible stand in the wrong order.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import log
from typing import Final

from numbertaker.evidence.clerkdates import Era, read_date
from numbertaker.evidence.days import Day, civil
from numbertaker.reading.meaning.values import Proposal, Proposals, readings, stated, surely
from numbertaker.reading.values import CellReading, LineReading

_BACKWARDS: Final = log(0.02)
"""How often the dates of a card, as they were written, stand in the wrong order."""
_NO_DATE: Final = log(0.02)
"""How often a cell of a column of dates holds something else."""
_LEAST: Final = 1.5
_MOST: Final = 6

_Date = tuple[str, float, Day | None, Day | None]


def propose_dates(lines: Sequence[LineReading]) -> Proposals:
    """Proposals for the dates of fitments, from the alternatives that the recogniser named."""
    cells = [
        (n, field, cell)
        for n, line in enumerate(lines)
        if line.says in {"fitment", "fitted", "removed", "spare"}
        for field in ("fitted", "removed")
        if (cell := stated(line, field)) is not None
    ]
    era = _era([cell for *_, cell in cells])
    column = [_dates(cell, era) for *_, cell in cells]
    best = _decoded(column)
    found: Proposals = {}
    for place, ((n, field, cell), chosen) in enumerate(zip(cells, best[1], strict=True)):
        if chosen[0] == cell.text:
            continue
        seen = [date for date in column[place] if date[0] == cell.text]
        gain = best[0] - _decoded([*column[:place], seen, *column[place + 1 :]])[0]
        if gain >= _LEAST:
            found[n, field] = Proposal(chosen[0], surely(gain), _why(seen[0], chosen))
    return found


def _era(cells: Sequence[CellReading]) -> Era | None:
    """The years of a card, by those of its dates that say their century."""
    days = sorted(
        read.hull.first
        for cell in cells
        for read in [read_date(cell.text)]
        if read.hull.first is not None
        and read.hull.last is not None
        and read.hull.last - read.hull.first < 1500
    )
    if not days:
        return None
    return Era(civil(days[len(days) // 10])[0], civil(days[-1 - len(days) // 10])[0], margin=20)


def _dates(cell: CellReading, era: Era | None) -> list[_Date]:
    found: list[_Date] = []
    for text, weight in list(readings(cell))[:_MOST]:
        read = read_date(text, era)
        price = weight + (_NO_DATE if read.edtf is None else 0.0)
        found.append((text, price, read.hull.first, read.hull.last))
    return found


def _decoded(column: Sequence[Sequence[_Date]]) -> tuple[float, list[_Date]]:
    states: list[tuple[float, list[_Date]]] = [(0.0, [])]
    for dates in column:
        states = [
            max(
                (
                    (weight + date[1] + (_BACKWARDS if _before(date, path) else 0.0), [*path, date])
                    for weight, path in states
                ),
                key=lambda state: state[0],
            )
            for date in dates
        ]
    return max(states, key=lambda state: state[0])


def _before(date: _Date, path: Sequence[_Date]) -> bool:
    """Whether a date lies wholly before the last one that is known."""
    last = next((d[2] for d in reversed(path) if d[2] is not None), None)
    return last is not None and date[3] is not None and date[3] < last


def _why(seen: _Date, chosen: _Date) -> str:
    if seen[2] is None and seen[3] is None:
        return f"'{seen[0]}' is no date, and '{chosen[0]}' is"
    return f"the dates of the card follow one another only with '{chosen[0]}'"
