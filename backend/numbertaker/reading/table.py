"""From a flat card to its table: header, columns, rows, and how far the geometry can be trusted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import cv2

from numbertaker.reading.body import body_rows
from numbertaker.reading.columns import Column, columns_of, without_ticks
from numbertaker.reading.cuts import NARROWEST, Cutting, Evidence, Weighed, best_cutting, weigh
from numbertaker.reading.fitting import Fitted, best_fit
from numbertaker.reading.geometry import Array, Plane
from numbertaker.reading.ground import Ground, beside_stamps, runs_in, survey
from numbertaker.reading.header import (
    FEWEST_FIELDS,
    FEWEST_WITH_COLUMNS,
    Header,
    Reader,
    ReadWords,
    find_header,
)
from numbertaker.reading.learnt import NOTHING_LEARNT, Learnt
from numbertaker.reading.marks import Box
from numbertaker.reading.rows import Row
from numbertaker.reading.titles import Word
from numbertaker.reading.trust import trust
from numbertaker.reading.witnesses import Found, witnesses

WORD_GAP, LETTER_GAP = 0.65, 0.3
"""Runs of writing are divided at gaps wider than these, in heights of a capital."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table on a flat card. `above` are the lines of words over it, top to bottom; `sure` how far the whole
    of its geometry is trusted, 0 to 1, and `seen` the witnesses by which it is; `titled` how surely its
    titles were read; `form` the learnt form that it was found by, if any.
    """

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    marks: Array
    cap: float
    above: tuple[tuple[Word, ...], ...]
    header: Box
    ruled: bool
    sure: float
    titled: float
    form: Fitted | None = None
    seen: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class NoTable:
    """Why no table was found, in a sentence for the person at the desk, with what was read on the way."""

    reason: str
    above: tuple[tuple[Word, ...], ...] = ()


def find_table(
    ground: Ground,
    read: ReadWords,
    further: Mapping[str, Sequence[str]] | None = None,
    learnt: Learnt = NOTHING_LEARNT,
) -> Table | NoTable:
    """Find the table by its header; a card without one is no table.

    A learnt form that fits gives the columns and what they mean; where none does the card speaks for itself.
    """
    if len(ground.rows) < 2:
        return NoTable(
            "Fewer than two rows of writing were found, so this is no register card that can be read."
        )
    reader = Reader(read)
    header = find_header(ground, reader, further)
    if header is None:
        return _no_header(header)
    evidence = _evidence(beside_stamps(ground), header, further)
    weighed = weigh(evidence)
    fitted = best_fit(weighed, learnt.forms, learnt.named) if weighed and evidence.runs else None
    if weighed and fitted:
        cutting = fitted.cutting(weighed)
        columns = fitted.columns(cutting, ruled=ground.ruled)
        freed = without_ticks(columns, evidence.runs, header.words, ground.cap)
        # a sliver would be left of a column that counts the lines
        columns = freed if freed[0].right - freed[0].left > NARROWEST * ground.cap else columns
        return replace(_table(ground, header, cutting, columns, reader), form=fitted)
    return _free(ground, header, weighed, evidence, reader)


def _free(
    ground: Ground, header: Header, weighed: Weighed | None, evidence: Evidence, reader: Reader
) -> Table | NoTable:
    """The table of a card whose form nobody knows."""
    if header.fields < FEWEST_WITH_COLUMNS:
        return _no_header(header)
    cutting = best_cutting(evidence, weighed)
    if cutting is None:
        return NoTable("Column headings were found, but nothing that divides the writing into columns.")
    if header.fields < FEWEST_FIELDS and not _clear_columns(cutting):
        return _no_header(header)
    columns = columns_of(cutting, ground.cap, ruled=ground.ruled, over=header.over, further=evidence.further)
    columns = without_ticks(columns, evidence.runs, header.words, ground.cap)
    return _table(ground, header, cutting, columns, reader)


def _table(
    ground: Ground, header: Header, cutting: Cutting, columns: Sequence[Column], reader: Reader
) -> Table:
    """The table with these columns."""
    rows = body_rows(ground, columns, header.box, reader)
    found = Found(ground, header, cutting, tuple(columns), tuple(rows))
    seen = witnesses(found) if rows else {}
    return Table(
        tuple(columns), tuple(rows), ground.marks, ground.cap, header.above, header.box, ground.ruled,
        trust(seen) if seen else 0.0, header.sure, seen=seen,
    )  # fmt: skip


def _no_header(header: Header | None) -> NoTable:
    return NoTable(
        f"No row of column headings was found: at least {FEWEST_FIELDS} words such as 'Engine', "
        f"'Fitted', 'Removed', 'Miles' were expected in one row, "
        f"and {header.fields if header else 0} were found.",
        header.above if header else (),
    )


def _clear_columns(cutting: Cutting) -> bool:
    """Whether the writing stands in at least four columns, three of them filled in most rows."""
    spans = cutting.spans
    inner = [s.left for s in spans[1:]]
    clear = all(max(cut.ruling, cut.gap) > 0.6 and cut.crossed < 0.15 for cut in inner)
    return len(spans) >= 4 and sum(s.filled > 0.6 for s in spans) >= 3 and clear


def _evidence(ground: Ground, header: Header, further: Mapping[str, Sequence[str]] | None) -> Evidence:
    """What the cuts are weighed by: the rows under the header whose writing keeps to columns."""
    cap, box = ground.cap, header.box
    body = [row for row in ground.rows if row.level > box.bottom + 0.2 * cap]
    runs = [(runs_in(ground, row, WORD_GAP), runs_in(ground, row, LETTER_GAP)) for row in body]
    kept = [pair for pair in runs if any(b.right > box.left and b.left < box.right for b in pair[0])]
    rulings = [r for r in ground.upright if r.end > box.top]
    words, letters = [pair[0] for pair in kept], [pair[1] for pair in kept]
    return Evidence(words, letters, header.words, rulings, ground.ruled, cap, ground.size[0], further)


def overlay(plane: Plane, table: Table) -> Array:
    """The found table drawn on the flat picture, to be looked at."""
    view = plane.colour.copy()
    if not table.rows:
        return view
    top, bottom = int(table.header.top), int(table.rows[-1].bottom)
    for c in table.columns:
        for x in (c.left, c.right):
            cv2.line(view, (int(x), top), (int(x), bottom), (0, 0, 220), 2)
        place = (int(c.left) + 4, top - 6)
        cv2.putText(view, c.field or c.title, place, cv2.FONT_HERSHEY_SIMPLEX, 0.5, (0, 120, 0), 1)
    for row in table.rows:
        ink = (0, 160, 0) if row.runs else (180, 180, 180) if row.joins else (220, 120, 0)
        start = (int(table.columns[0].left), int(row.top))
        cv2.line(view, start, (int(min(table.columns[-1].right, view.shape[1])), int(row.top)), ink, 1)
    return view


__all__ = ["Ground", "NoTable", "Table", "find_table", "overlay", "survey"]
