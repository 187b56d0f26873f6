"""From a flat card to its table: rows, header, columns, and how far the geometry can be trusted.

The header is looked for by *reading*: the row near the top whose words mean the most fields. With it come the
number of columns and their names, so that the search for each cut is a search between two words.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import cv2
import numpy as np

from numbertaker.reading import marks as mk
from numbertaker.reading.columns import (
    Column,
    Title,
    Word,
    divided,
    find_columns,
    group_titles,
    joined,
    named_fields,
    unrepeated,
)
from numbertaker.reading.geometry import Array, Plane, darkest
from numbertaker.reading.headings import is_part, match_heading
from numbertaker.reading.marks import Box, hull
from numbertaker.reading.rows import Row, ruled_rows, text_rows
from numbertaker.reading.rulings import Ruling, level_rulings, of_one_table, overlap, upright_rulings

ReadWords: TypeAlias = Callable[[Sequence[Box]], Sequence[tuple[str, float]]]
"""Reads boxes of the flat picture: text and confidence of each."""
HEADER_WITHIN: Final = 14
"""The header is one of the first rows of writing."""
FEWEST_FIELDS: Final = 3


@dataclass(frozen=True, slots=True)
class Table:
    """A table on a flat card. `above` are the lines of words over it, top to bottom."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    marks: Array
    cap: float
    above: tuple[tuple[Word, ...], ...]
    header: Box
    ruled: bool


@dataclass(frozen=True, slots=True)
class NoTable:
    """Why no table was found, in a sentence for the person at the desk, with what was read on the way."""

    reason: str
    above: tuple[tuple[Word, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Ground:
    """What is seen on a flat card before anything is read."""

    marks: Array
    cap: float
    rows: tuple[Row, ...]
    upright: tuple[Ruling, ...]
    level: tuple[Ruling, ...]
    size: tuple[int, int]
    ruled: bool


def survey(plane: Plane) -> Ground:
    """Find rulings, marks and rows of writing."""
    cap = plane.letters.cap
    dark = darkest(plane.colour)
    first = mk.faint_ink(plane.colour, cap)
    letters = plane.letters.mask | mk.strokes_out(first, cap, (), ())
    upright, ruled = of_one_table(upright_rulings(dark, letters, cap))
    level = level_rulings(dark, letters, cap)
    if ruled:
        level = tuple(r for r in level if overlap(r, upright[0].at, upright[-1].at) > 0.55)
    strong = tuple(tuple(r.at for r in lines if ruled and r.weight > 0.3) for lines in (upright, level))
    found = mk.find_marks(mk.strokes_out(first, cap, strong[0], strong[1]), cap)
    found = mk.like_the_writing(found, plane.colour, cap)
    rows = text_rows(mk.letter_like(found, cap), cap, plane.colour.shape[0])
    height, width = dark.shape
    return Ground(found, cap, tuple(rows), upright, level, (width, height), ruled)


def find_table(
    ground: Ground, read: ReadWords, further: Mapping[str, Sequence[str]] | None = None
) -> Table | NoTable:
    """Find the table by its header; a card without one is no table."""
    if len(ground.rows) < 2:
        return NoTable(
            "Fewer than two rows of writing were found, so this is no register card that can be read."
        )
    above, best, place = _look_for_header(ground, read, further)
    if best is None or named_fields(best) < FEWEST_FIELDS:
        return NoTable(
            f"No row of column headings was found: at least {FEWEST_FIELDS} words such as 'Engine', "
            f"'Fitted', 'Removed', 'Miles' were expected in one row, "
            f"and {named_fields(best or [])} were found.",
            tuple(above),
        )
    titles, used = _second_line(ground, best, place, read, further)
    header = joined([t.box for t in titles])
    body = [
        row
        for row in ground.rows[place + 1 :]
        if row.level > header.bottom + 0.2 * ground.cap and row not in used
    ]
    columns = find_columns(
        titles, ground.upright, _covers(ground, body, titles), len(body), ground.cap, ruled=ground.ruled
    )
    rows = _body_rows(ground, body, columns, header)
    return Table(
        tuple(columns), tuple(rows), ground.marks, ground.cap,
        tuple(line for line in above[:place]), header, ground.ruled,
    )  # fmt: skip


def in_row(marks: Array, row: Row) -> Array:
    """The marks whose middle lies in a row."""
    level = marks[:, mk.TOP] + marks[:, mk.HEIGHT] / 2
    return marks[(level >= row.top) & (level < row.bottom)]


def runs_in(ground: Ground, row: Row, gap: float) -> list[Box]:
    """Boxes of the runs of writing in a row, divided at gaps alone."""
    runs = mk.split_runs(in_row(ground.marks, row), gap * ground.cap)
    return [hull(run) for run in runs if len(mk.letter_like(run, ground.cap))]


def words_in(ground: Ground, row: Row, gap: float = 0.75) -> list[Box]:
    """Boxes of the words in a row, divided at gaps and at rulings; specks are no words."""
    boxes: list[Box] = []
    own = in_row(ground.marks, row)
    letters = mk.letter_like(own, ground.cap)
    cap = max(ground.cap, float(np.median(letters[:, mk.HEIGHT]))) if len(letters) else ground.cap
    for run in mk.split_runs(own, gap * cap):
        for part in _split_at_rulings(run, ground.upright if ground.ruled else (), row):
            boxes += [hull(part)] if len(mk.letter_like(part, ground.cap)) else []
    return boxes


def _split_at_rulings(run: Array, rulings: Sequence[Ruling], row: Row) -> list[Array]:
    inside = [r.at for r in rulings if r.weight >= 0.3 and r.start - 8 < row.level < r.end + 8]
    middle = run[:, mk.LEFT] + run[:, mk.WIDTH] / 2
    side = np.searchsorted(np.array(inside), middle)
    return [run[side == s] for s in np.unique(side)]


def _look_for_header(
    ground: Ground, read: ReadWords, further: Mapping[str, Sequence[str]] | None
) -> tuple[list[tuple[Word, ...]], list[Title] | None, int]:
    """Read rows from the top until one names most of its columns and the next doesn't do better."""
    lines: list[tuple[Word, ...]] = []
    best: list[Title] | None = None
    place = -1
    for i, row in enumerate(ground.rows[:HEADER_WITHIN]):
        boxes = words_in(ground, row)
        words = tuple(Word(b, t, c) for b, (t, c) in zip(boxes, read(boxes), strict=True))
        lines.append(words)
        titles = unrepeated(
            group_titles(
                [w for w in words if any(c.isalpha() for c in w.text)],
                ground.upright if ground.ruled else (),
                ground.cap,
                further,
            )
        )
        if best is None or named_fields(titles) > named_fields(best):
            best, place = titles, i
        elif named_fields(best) >= FEWEST_FIELDS and i >= place + 1:
            break
    return lines, best, place


def _second_line(
    ground: Ground,
    titles: list[Title],
    place: int,
    read: ReadWords,
    further: Mapping[str, Sequence[str]] | None,
) -> tuple[list[Title], list[Row]]:
    """Join to a header the other line of a heading of two lines ('DATE' over 'FITTED')."""
    used: list[Row] = []
    for step in (-1, 1):
        i = place + step
        if not 0 <= i < len(ground.rows):
            continue
        row, own = ground.rows[i], ground.rows[place]
        if abs(row.level - own.level) > 3.2 * ground.cap:
            continue
        boxes = words_in(ground, row)
        words = [Word(b, t, c) for b, (t, c) in zip(boxes, read(boxes), strict=True) if t]
        better = _stacked(titles, words, step, further)
        if words and better is not None:
            titles = unrepeated(better)
            used.append(row)
    return titles, used


def _stacked(
    titles: list[Title], words: list[Word], step: int, further: Mapping[str, Sequence[str]] | None
) -> list[Title] | None:
    """Titles with the words over (or under) them; None where that makes no better header."""
    out, gain = [], 0.0
    for title in titles:
        own = [w for w in words if w.box.left < title.box.right and w.box.right > title.box.left]
        if not own:
            out.append(title)
            continue
        if not all(is_part(w.text) for w in own) and not match_heading(" ".join(w.text for w in own)).field:
            return None
        text = " ".join(w.text for w in own)
        text = f"{text} {title.text}" if step < 0 else f"{title.text} {text}"
        match = match_heading(text, further)
        gain += match.score - title.match.score
        kept = match if match.score >= title.match.score - 0.1 else title.match
        out.append(Title(joined([title.box, *(w.box for w in own)]), text, kept))
    return out if gain > -0.3 and len(words) > 0 and out != titles else None


def _covers(ground: Ground, body: Sequence[Row], titles: Sequence[Title]) -> tuple[Array, Array]:
    """For each x, the number of body rows that have words over it, and that have phrases over it."""
    reach = joined([t.box for t in titles])
    covers = []
    for gap in (0.9, 1.35):
        cover = np.zeros(ground.size[0], np.int32)
        for row in body:
            line = np.zeros_like(cover)
            for b in runs_in(ground, row, gap):
                line[max(0, int(b.left)) : int(b.right) + 1] = 1
            cover += line * int(line[int(reach.left) : int(reach.right)].any())
        covers.append(cover)
    return covers[0], covers[1]


def _body_rows(ground: Ground, written: Sequence[Row], columns: Sequence[Column], header: Box) -> list[Row]:
    """The rows of the table's body, by its rulings where they are even; what stands under the table is
    left out.
    """
    left, right = columns[0].left, min(columns[-1].right, float(ground.size[0]))
    edges = {c.left for c in columns} | {right}
    sides = [r for r in ground.upright if any(abs(r.at - e) < 2 for e in edges) and r.weight >= 0.3]
    ruled = ground.ruled and len(sides) > 0.5 * len(columns)
    end = float(np.median([r.end for r in sides])) if ruled else float(ground.size[1])
    written = [row for row in written if row.level < end + 0.3 * ground.cap]
    if not written:
        return []
    wide = tuple(
        r for r in ground.level
        if r.weight > 0.2 and min(r.end, right) - max(r.start, left) > 0.4 * (right - left)
        and r.at > header.level and r.at < end + ground.cap
    )  # fmt: skip
    rows = ruled_rows(wide, list(written), ground.cap) or _regular(ground, list(written))
    return _belonging(ground, rows, columns)


def _regular(ground: Ground, rows: list[Row]) -> list[Row]:
    """Rows of writing up to the first gap of more than three pitches, without strays between the lines."""
    gaps = np.diff([row.level for row in rows])
    if not len(gaps):
        return rows
    pitch = max(float(np.median(gaps)), 1.2 * ground.cap)
    far = np.flatnonzero(gaps > 3.6 * pitch)
    rows = rows[: int(far[0]) + 1] if len(far) else rows
    words = [len(words_in(ground, row)) for row in rows]
    kept = [0, *(i for i in range(1, len(rows) - 1) if not _stray(rows, words, i, pitch)), len(rows) - 1]
    return [rows[i] for i in dict.fromkeys(kept)]


def _stray(rows: Sequence[Row], words: Sequence[int], i: int, pitch: float) -> bool:
    """A row squeezed between two others with hardly a word in it: a stain, or a figure over a struck one."""
    squeezed = rows[i + 1].level - rows[i - 1].level < 1.5 * pitch
    return squeezed and words[i] <= 0.4 * min(words[i - 1], words[i + 1])


def _belonging(ground: Ground, rows: list[Row], columns: Sequence[Column]) -> list[Row]:
    """Drop from the end what is no line of the table: one run of words across several columns, or a stray
    mark.
    """
    kept = [row for row in rows if row.bottom > 0 and row.top < ground.size[1]]
    while kept:
        boxes = words_in(ground, kept[-1], 1.2)
        columns_used = {k for b in boxes for k, c in enumerate(columns) if c.left <= b.middle < c.right}
        across = any(
            sum(b.left < c.left - ground.cap and b.right > c.left + ground.cap for c in columns[1:]) > 1
            for b in boxes
        )
        if len(columns_used) >= 2 and not across:
            break
        kept.pop()
    return kept


def overlay(plane: Plane, table: Table) -> Array:
    """The found table drawn on the flat picture, to be looked at."""
    view = plane.colour.copy()
    if not table.rows:
        return view
    top, bottom = int(table.header.top), int(table.rows[-1].bottom)
    for c in table.columns:
        cv2.line(view, (int(c.left), top), (int(c.left), bottom), (0, 0, 220), 2)
        cv2.putText(
            view,
            c.field or c.title,
            (int(c.left) + 4, top - 6),
            cv2.FONT_HERSHEY_SIMPLEX,
            0.5,
            (0, 120, 0),
            1,
        )
    for row in table.rows:
        for y in (row.top, row.bottom):
            cv2.line(
                view,
                (int(table.columns[0].left), int(y)),
                (int(min(table.columns[-1].right, view.shape[1])), int(y)),
                (220, 120, 0),
                1,
            )
    return view


__all__ = ["Ground", "NoTable", "Table", "divided", "find_table", "in_row", "overlay", "survey", "words_in"]
