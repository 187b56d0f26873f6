"""Figures by the card's own arithmetic: running totals, and the sum at the foot of a column.

Every figure has candidates: what was seen, the recogniser's alternatives, and what one look-alike digit or
two exchanged digits would make of it. A running column is decoded as a whole (Viterbi 1967): each line may
add up or not, and not adding up has a price, so that one misread digit is told from two totals that it
contradicts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import log
from typing import Any, Final

from numbertaker.evidence.figures import read_figure
from numbertaker.reading.meaning.values import Proposal, Proposals, readings, stated, surely
from numbertaker.reading.values import CellReading, LineReading

_ALIKE: Final = dict(
    zip("0123456789", ("689", "74", "7", "859", "917", "368", "058", "124", "3560", "4037"), strict=True)
)
_SLIP: Final = 0.15
"""The share of misread figures in which a given digit was taken for a given look-alike."""
_EXCHANGED: Final = 0.02
_OTHER: Final = 0.02, 0.0005
"""The share of misread figures in which one digit, or two, were taken for any others; tried only where the
figures around want just that."""
_LEAST_DOUBT: Final = 0.004
"""However sure the recogniser is, so many figures are misread."""
_NOT_ADDED: Final = log(0.03 * 0.003)
"""How often a line does not add up as it was written, and is off by just what a look-alike digit makes."""
_LEAST: Final = 2.5
_MANY: Final = 24

Candidates = dict[int, float]


def propose_figures(lines: Sequence[LineReading]) -> Proposals:
    """Proposals for the miles and totals of a card that has both; else for what a total at the foot wants."""
    rows = [(n, line) for n, line in enumerate(lines) if line.says in {"fitment", "removed", "total"}]
    running = sum(stated(line, "total_miles") is not None and line.says != "total" for _, line in rows)
    return _running(rows) if running >= 2 else _foot(rows)


def value_of(text: str) -> int | None:
    """The figure that a text is, if it is one."""
    return read_figure(text).value


def candidates(cell: CellReading | None, wanted: Iterable[int] = ()) -> Candidates:
    """Values that a cell may mean, each with its natural log of probability, the likeliest kept; those
    that are `wanted` by the figures around it among them, where they are a digit or two off.
    """
    found: Candidates = {}
    if cell is None:
        return found
    for text, weight in readings(cell):
        value = value_of(text)
        if value is not None:
            found[value] = max(weight, found.get(value, -99.0))
    doubt = log(max(_LEAST_DOUBT, 1 - cell.confidence))
    seen = value_of(cell.text)
    for other, share in _slips(seen) if seen is not None else ():
        found[other] = max(doubt + log(share), found.get(other, -99.0))
    for value in wanted:
        share = _OTHER[off - 1] if seen is not None and 0 < (off := _digits_off(seen, value)) <= 2 else 0.0
        if share and value not in found:
            found[value] = doubt + log(share)
    best = sorted(found.items(), key=lambda pair: (-pair[1], pair[0]))[:_MANY]
    return dict(best)


def _slips(value: int) -> Iterable[tuple[int, float]]:
    digits = str(value)
    for place, digit in enumerate(digits):
        for other in _ALIKE[digit]:
            if place or other != "0":
                yield int(digits[:place] + other + digits[place + 1 :]), _SLIP
        after = digits[place + 1 : place + 2]
        if after and after != digit and (place or after != "0"):
            yield int(digits[:place] + after + digit + digits[place + 2 :]), _EXCHANGED


def _digits_off(seen: int, other: int) -> int:
    """How many digits two figures of one length differ in; many where they are of two lengths."""
    a, b = str(seen), str(other)
    return sum(x != y for x, y in zip(a, b, strict=True)) if len(a) == len(b) and other > 0 else 99


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of a running column: its place, whether it is a total, what its two figures may be, and what
    those around want them to be."""

    place: int
    foot: bool
    miles: CellReading | None
    total: CellReading | None
    wanted_miles: tuple[int, ...] = ()
    wanted_total: tuple[int, ...] = ()

    def options(self, fixed: _Fixed | None) -> tuple[_Options, _Options]:
        """What the miles and the total may be, each with its natural log; None where a cell states nothing.

        `fixed` may hold one of the two to a value, or to none that was tried.
        """
        miles = _options(self.miles, _held(self.place, "miles", fixed), self.wanted_miles)
        return miles, _options(self.total, _held(self.place, "total_miles", fixed), self.wanted_total)


_Options = list[tuple[int | None, float]]
_Fixed = tuple[int, str, int | None]
_FREE: Final = -1


def _held(place: int, field: str, fixed: _Fixed | None) -> int | None:
    """The value that a cell is held to; `_FREE` where it is not held, None where to what is no figure."""
    return fixed[2] if fixed is not None and fixed[:2] == (place, field) else _FREE


def _options(cell: CellReading | None, held: int | None, wanted: tuple[int, ...]) -> _Options:
    if held is None and cell is not None:
        # What was seen is no figure at all: hold the cell to that.
        return [(None, max(weight for _, weight in readings(cell)))]
    found: _Options = [(value, weight) for value, weight in candidates(cell, wanted).items()]
    if held == _FREE:
        return found or [(None, 0.0)]
    return [option for option in found if option[0] == held]


def _running(rows: Sequence[tuple[int, LineReading]]) -> Proposals:
    column = _wanting(rows)
    best = _decoded(column)
    found: Proposals = {}
    for row, (miles, total) in zip(column, best[1], strict=True):
        for field, cell, value in (("miles", row.miles, miles), ("total_miles", row.total, total)):
            seen = None if cell is None else value_of(cell.text)
            if cell is None or cell.mark or value is None or value == seen:
                continue
            held = _decoded(column, fixed=(row.place, field, seen))
            gain = best[0] - held[0]
            if gain >= _LEAST:
                found[row.place, field] = Proposal(
                    _as_written(value, cell.text), surely(gain), _why(field, value)
                )
    return found


def _wanting(rows: Sequence[tuple[int, LineReading]]) -> list[_Row]:
    """The lines of a running column, each with what the lines before and after it, as read, want of it."""
    cells = [(_standing(line, "miles"), _standing(line, "total_miles")) for _, line in rows]
    read = [tuple(None if c is None else value_of(c.text) for c in pair) for pair in cells]
    out = []
    for k, (n, line) in enumerate(rows):
        foot = line.says == "total"
        (miles, total), before = read[k], read[k - 1][1] if k else None
        after = read[k + 1] if k + 1 < len(read) else (None, None)
        sums = [before + (miles or 0)] if before is not None and (foot or miles is not None) else []
        closing = k + 1 < len(rows) and rows[k + 1][1].says == "total"
        if after[1] is not None and (closing or after[0] is not None):
            sums.append(after[1] - (after[0] or 0))
        differences = (total - before,) if total is not None and before is not None else ()
        out.append(_Row(n, foot, *cells[k], differences, tuple(sums)))
    return out


def _standing(line: LineReading, field: str) -> CellReading | None:
    """A cell that states a figure: plain, or written in place of one that was struck out."""
    cell = line.cells.get(field)
    return cell if cell is not None and cell.mark == "struck" and cell.text else stated(line, field)


_Path = tuple[float, list[tuple[int | None, int | None]]]
_Chain = tuple[float, Any]
"""A weight, and the choices that led to it, the last one first."""


def _decoded(column: Sequence[_Row], fixed: _Fixed | None = None) -> _Path:
    """The likeliest figures of a column; `fixed` holds one cell to a value (None: to none that was tried).

    The state between two lines is the total so far, None where it is not known.
    """
    states: dict[int | None, _Chain] = {0: (0.0, None)}
    for row in column:
        after: dict[int | None, _Chain] = {}
        miles, totals = row.options(fixed)
        for start, (weight, chain) in states.items():
            for m, t, price in _steps(start, miles, totals, foot=row.foot):
                step = weight + price
                end = t if t is not None else (start + m if start is not None and m else None)
                if end not in after or step > after[end][0]:
                    after[end] = (step, (chain, (m, t)))
        states = dict(sorted(after.items(), key=lambda pair: -pair[1][0])[:_MANY])
    best, chain = max(states.values(), key=lambda path: path[0], default=(0.0, None))
    path = []
    while chain is not None:
        chain, choice = chain
        path.append(choice)
    return best, path[::-1]


def _steps(
    start: int | None, miles: _Options, totals: _Options, *, foot: bool
) -> Iterator[tuple[int | None, int | None, float]]:
    """The steps from one total that can be the best ones: miles, total and the natural log of both.

    To each total leads the figure that adds up to it, or else the likeliest one, which does not.
    """
    if start is None or miles[:1] == [(None, 0.0)] or any(t is None for t, _ in totals) or len(miles) < 2:
        for m, a in miles:
            for t, b in totals:
                yield m, t, a + b + _fit(start, m, t, foot=foot)
        return
    known, (likeliest, most) = dict(miles), max(miles, key=lambda option: option[1])
    for t, b in totals:
        adding = known.get((t or 0) - start)
        if adding is not None and adding >= most + _NOT_ADDED:
            yield (t or 0) - start, t, adding + b
        else:
            yield likeliest, t, most + b + _fit(start, likeliest, t, foot=foot)


def _fit(start: int | None, miles: int | None, total: int | None, *, foot: bool) -> float:
    """What it costs that a line does not add up: a total repeats what was reached, others add their miles."""
    if start is None or total is None:
        return 0.0
    if miles is None:
        short = total != start if foot and start else total <= start
        return _NOT_ADDED if short else 0.0
    return 0.0 if start + miles == total else _NOT_ADDED


def _why(field: str, value: int) -> str:
    if field == "miles":
        return f"the totals above and below need {value:,}"
    return f"the lines above and below add up with {value:,}"


def _as_written(value: int, like: str) -> str:
    """A value in the style of the cell: with a comma where that has one."""
    return f"{value:,}" if "," in like else str(value)


def _foot(rows: Sequence[tuple[int, LineReading]]) -> Proposals:
    """Where a total stands at the foot alone, the one figure that makes the lines above add up to it."""
    if not rows or rows[-1][1].says != "total":
        return {}
    foot = stated(rows[-1][1], "total_miles")
    above = [(n, stated(line, "miles")) for n, line in rows[:-1]]
    told = [(n, cell, value_of(cell.text)) for n, cell in above if cell is not None]
    total = value_of(foot.text) if foot is not None else None
    if foot is None or total is None or len(told) < 2 or any(value is None for *_, value in told):
        return {}
    off = total - sum(value or 0 for *_, value in told)
    if not off:
        return {}
    tries = [(n, "miles", cell, (value or 0) + off) for n, cell, value in told]
    tries.append((rows[-1][0], "total_miles", foot, total - off))
    return _only_mending(tries)


def _only_mending(tries: Sequence[tuple[int, str, CellReading, int]]) -> Proposals:
    """The one change that mends a sum, if it is likelier than every other and than a sum cast wrongly."""
    priced = []
    for place, field, cell, value in tries:
        known = candidates(cell)
        seen = value_of(cell.text)
        if value in known and seen is not None:
            priced.append((known[value] - known[seen], place, field, cell, value))
    priced.sort(key=lambda p: (-p[0], p[1]))
    if not priced:
        return {}
    rivals = [_NOT_ADDED, *(p[0] for p in priced[1:])]
    weight, place, field, cell, value = priced[0]
    gain = weight - max(rivals)
    if gain < _LEAST:
        return {}
    why = (
        f"the total at the foot needs {value:,}"
        if field == "miles"
        else f"the lines above add up to {value:,}"
    )
    return {(place, field): Proposal(_as_written(value, cell.text), surely(gain), why)}
