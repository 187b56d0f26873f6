"""The rows of a table's body: ruled or written, with those that only go on with the row above."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from numbertaker.reading import marks as mk
from numbertaker.reading.columns import Column
from numbertaker.reading.geometry import Array
from numbertaker.reading.ground import Ground, beside_stamps, levels, runs_in, words_in, writing_in
from numbertaker.reading.header import Reader
from numbertaker.reading.marks import Box, hull
from numbertaker.reading.rows import Row, beaten_rows, ruled_rows

MAY_GO_ON: Final = ("remarks", "place", "engine_name", "")
"""The fields of columns whose text may go on in the next row."""
TALLEST: Final = 1.85
ACROSS: Final = 3
"""A phrase that runs over this many cuts belongs to no column."""
FAINT: Final = 0.5
"""A last row with hardly a word in it whose marks are fainter than this, of the usual depth, is none."""
FAINTER: Final = 0.75
"""The same of a last row off the beat."""
THROUGH: Final = 0.6
"""What is less deep than this share of the deepest writing of its row shows through from the back."""
OFF_BEAT: Final = 0.15
"""A last row with hardly anything in it that stands so far off the beat, in pitches, is none."""
PHRASE, WORD = 1.45, 0.65
"""The gap within a phrase, and within a word, in heights of a capital: a typewriter's letters stand apart."""


def body_rows(ground: Ground, columns: Sequence[Column], header: Box, reader: Reader) -> list[Row]:
    """The rows under a header, top to bottom; what stands under the table is left out.

    `reader` is asked for the first word of a row that may go on with the one above.
    """
    clear = beside_stamps(ground)
    left, right = columns[0].left, min(columns[-1].right, float(ground.size[0]))
    end = _foot(ground, columns, right)
    written = _written(clear, (left, right), header.bottom + 0.1 * ground.cap, float(ground.size[1]))
    written = _down_to(clear, written, end + 0.3 * ground.cap, columns)
    if not written:
        return []
    end = max(end, written[-1].level)
    wide = tuple(
        r for r in ground.level
        if r.weight > 0.2 and min(r.end, right) - max(r.start, left) > 0.4 * (right - left)
        and r.at > header.level and r.at < end + ground.cap
    )  # fmt: skip
    ruled = ruled_rows(wide, written, ground.cap)
    rows = _with_ends(ruled, written, header.bottom) if ruled else _up_to_a_gap(written, ground.cap)
    rows = [row for row in rows if row.bottom > header.level and row.top < ground.size[1]]
    kept = [row for row in rows if is_written(clear, row)]
    return _belonging(ground, _told(clear, kept, columns, reader), columns)


def _foot(ground: Ground, columns: Sequence[Column], right: float) -> float:
    """Where the upright rulings end, if the table has most of them; else the picture's foot."""
    edges = {c.left for c in columns} | {right}
    sides = [r for r in ground.upright if any(abs(r.at - e) < 2 for e in edges) and r.weight >= 0.3]
    ruled = ground.ruled and len(sides) > 0.5 * len(columns)
    return max(r.end for r in sides) if ruled else float(ground.size[1])


def _down_to(ground: Ground, rows: list[Row], foot: float, columns: Sequence[Column]) -> list[Row]:
    """The rows above a foot, and those right below it that keep to the beat and to most columns: where
    rulings fade out towards the end they are followed by the writing.
    """
    last = sum(row.level - 0.3 * ground.cap < foot for row in rows)
    pitch = float(np.median(np.diff([row.level for row in rows[:last]]))) if last > 2 else 0.0
    while 0 < last < len(rows):
        steps = (rows[last].level - rows[last - 1].level) / pitch if pitch else 9.0
        held = len(_holding(ground, rows[last], columns))
        if abs(steps - 1) > OFF_BEAT or held < max(3, 0.5 * len(columns)):
            break
        last += 1
    return rows[:last]


def _written(ground: Ground, sides: tuple[float, float], top: float, foot: float) -> list[Row]:
    """Rows of writing between the sides of the table, below a height and above another."""
    marks = mk.letter_like(ground.marks, ground.cap)
    middle = marks[:, mk.LEFT] + marks[:, mk.WIDTH] / 2
    level = marks[:, mk.TOP] + marks[:, mk.HEIGHT] / 2
    inside = (middle > sides[0]) & (middle < sides[1]) & (level > top) & (level < foot)
    rows = beaten_rows(marks[inside], ground.cap, ground.size[1]) if inside.sum() > 1 else []
    return [replace(row, top=max(row.top, top)) if row.top < top < row.bottom else row for row in rows]


def _with_ends(ruled: list[Row], written: Sequence[Row], top: float) -> list[Row]:
    """Ruled rows, and those written at their pitch above the first and below the last ruling seen."""
    pitch = float(np.median([row.bottom - row.top for row in ruled]))
    out = list(ruled)
    for row in written:
        if 0.3 * pitch < row.level - out[-1].bottom < 0.8 * pitch:
            out.append(Row(out[-1].bottom, out[-1].bottom + pitch))
    for row in reversed(written):
        if 0.3 * pitch < out[0].top - row.level < 0.8 * pitch and row.level > top:
            out.insert(0, Row(out[0].top - pitch, out[0].top))
    return out


def _up_to_a_gap(rows: list[Row], cap: float) -> list[Row]:
    """Rows of writing up to the first gap of more than three pitches."""
    gaps = np.diff([row.level for row in rows])
    if not len(gaps):
        return rows
    far = np.flatnonzero(gaps > 3.6 * max(float(np.median(gaps)), 1.2 * cap))
    return rows[: int(far[0]) + 1] if len(far) else rows


def _told(ground: Ground, rows: Sequence[Row], columns: Sequence[Column], reader: Reader) -> list[Row]:
    """The rows, with what each is: one of its own, one that goes on with the last, or a text that runs on."""
    out: list[Row] = []
    for row in rows:
        told = replace(
            row,
            runs=bool(out) and runs_over(ground, row, columns, reader, goes_on=bool(out) and out[-1].runs),
        )
        if out and (goes_on(ground, out[-1], row, columns, reader) or (told.runs and out[-1].runs)):
            told = replace(told, joins=True)
        out.append(told)
    return out


def runs_over(
    ground: Ground, row: Row, columns: Sequence[Column], reader: Reader, *, goes_on: bool = False
) -> bool:
    """Whether the writing of a row takes no notice of the columns: one phrase over several cuts, words
    across them.

    A row that goes on with such a text may be shorter.
    """
    inner = [c.left for c in columns[1:]]
    words, reach = runs_in(ground, row, WORD), 0.15 * ground.cap
    crossed = sum(any(b.left + reach < x < b.right - reach for b in words) for x in inner)
    phrases = runs_in(ground, row, PHRASE)
    passed = max((sum(p.left < x < p.right for x in inner) for p in phrases), default=0)
    if not phrases or (not goes_on and (passed < 2 or not crossed)):
        return False
    text = reader.words([max(phrases, key=lambda p: p.width)])[0].text
    if goes_on:
        return _goes_on_running(text, passed) or _goes_on_running(_by_words(words, reader), passed)
    if passed >= ACROSS and crossed > 1 and _sentence(text, 3):
        return True
    text = _by_words(words, reader)
    return not _figures(text) and _sentence(text, 4)


def _by_words(words: Sequence[Box], reader: Reader) -> str:
    """A row's text read word by word: what is long and faint is read better so, and comes in several
    phrases.
    """
    return " ".join(word.text for word in reader.words(words))


def _goes_on_running(text: str, passed: int) -> bool:
    """Whether a text below one that runs over the columns is the rest of it: words without figures, which
    pass a cut or begin small.
    """
    return not _figures(text) and _sentence(text, 2) and (passed > 0 or text[0].islower())


def _sentence(text: str, least: int) -> bool:
    """Whether a text has so many words of three letters or more, and no fewer than words with figures."""
    words = text.split()
    said = sum(len(word) > 2 and word.strip(".,;").isalpha() for word in words)
    return said >= max(least, _figures(text))


def _figures(text: str) -> int:
    """How many words of a text have figures; a single one may be a letter that was misread."""
    return sum(len(word) > 1 and any(c.isdigit() for c in word) for word in text.split())


def goes_on(ground: Ground, above: Row, row: Row, columns: Sequence[Column], reader: Reader) -> bool:
    """Whether a row holds only the rest of a text of the row above.

    Its first word would not have fitted there, or begins with a small letter.
    """
    held = _held(ground, row, columns)
    if len(held) != 1 or columns[held[0]].field not in MAY_GO_ON:
        return False
    k = held[0]
    words = _by_column(words_in(ground, row), columns).get(k)
    if not words:
        return False
    before = _by_column(words_in(ground, above), columns).get(k)
    if not before:
        return False
    room = min(columns[k].right, ground.size[0]) - before[-1].right
    if room < words[0].width + 1.4 * ground.cap:
        return True
    first = reader.words(words[:1])[0].text
    return len(first) > 1 and first[0].islower() and first[1].islower()


def _holding(ground: Ground, row: Row, columns: Sequence[Column]) -> list[int]:
    """The columns in which a row has more than specks."""
    own = writing_in(ground, row)
    own = own[own[:, mk.HEIGHT] > 0.2 * ground.cap]
    middle = own[:, mk.LEFT] + own[:, mk.WIDTH] / 2
    cells = (own[(middle > c.left + 3) & (middle < c.right - 3)] for c in columns)
    return [k for k, cell in enumerate(cells) if len(cell) and _more_than_specks(cell, ground.cap)]


def _more_than_specks(cell: Array, cap: float) -> bool:
    """Whether a cell's marks are letters, or the ticks of a ditto side by side."""
    letters = mk.letter_like(cell, cap)
    if len(letters):
        return hull(letters).width > 1.1 * cap
    if not 2 <= len(cell) <= 4:
        return False
    level = cell[:, mk.TOP] + cell[:, mk.HEIGHT] / 2
    return hull(cell).width < 1.5 * cap and float(np.ptp(level)) < 0.4 * cap


def _held(ground: Ground, row: Row, columns: Sequence[Column]) -> list[int]:
    """The columns in which something stands in a row, what shows through from the back left out."""
    held = _holding(ground, row, columns)
    if len(held) != 2:
        return held
    deep = [_faintness(ground, row, (columns[k].left, columns[k].right)) for k in held]
    return [k for k, depth in zip(held, deep, strict=True) if depth > THROUGH * max(deep)]


def _by_column(words: Sequence[Box], columns: Sequence[Column]) -> dict[int, list[Box]]:
    out: dict[int, list[Box]] = {}
    for word in words:
        k = next((k for k, c in enumerate(columns) if c.left <= word.middle < c.right), None)
        if k is not None:
            out.setdefault(k, []).append(word)
    return out


def _belonging(ground: Ground, rows: list[Row], columns: Sequence[Column]) -> list[Row]:
    """Drop from the end what is no line of the table: a stray mark, a printed foot, rows on which nothing
    stands.
    """
    kept = _without_stamp_rows(ground, rows, columns)
    usual = float(np.median([_faintness(ground, row) for row in rows])) if rows else 0.0
    while kept:
        used = len(_holding(ground, kept[-1], columns))
        if used <= 2 and not kept[-1].joins and _faintness(ground, kept[-1]) < FAINT * usual:
            kept.pop()  # the edge of a stain
            continue
        own = max((i for i, row in enumerate(kept) if not row.joins), default=0)
        if _heedless(ground, kept[own], columns):
            del kept[own:]  # a stamp, or the edge of a stain or of the card
            continue
        if used >= 2 or (kept[-1].joins and used) or (kept[-1].runs and len(kept) > 1):
            break
        kept.pop()
    return kept


def _without_stamp_rows(ground: Ground, rows: list[Row], columns: Sequence[Column]) -> list[Row]:
    """The rows without those at the end that a stamp under the table makes: hardly anything in each of
    them, and one that takes no notice of the columns or of the beat.
    """
    last = len(rows)
    while last > 1 and not (rows[last - 1].joins or rows[last - 1].runs):
        if len(_holding(ground, rows[last - 1], columns)) > 2:
            break
        last -= 1
    pitch = float(np.median(np.diff([row.level for row in rows]))) if len(rows) > 3 else 0.0
    usual = float(np.median([_faintness(ground, row) for row in rows])) if last < len(rows) else 0.0
    for k in range(last, len(rows)):
        steps = (rows[k].level - rows[k - 1].level) / pitch if pitch else 1.0
        off_beat = abs(steps - max(1, round(steps))) > OFF_BEAT
        none = len(rows) - k > 1 or _faintness(ground, rows[k]) < FAINTER * usual
        if _heedless(ground, rows[k], columns) or (off_beat and none):
            return rows[:k]
    return list(rows)


def _heedless(ground: Ground, row: Row, columns: Sequence[Column]) -> bool:
    """Whether what stands in a row takes no notice of the columns, and is no sentence either."""
    used = len(_holding(ground, row, columns))
    if row.runs or used > 3:
        return False
    inner = [c.left for c in columns[1:]]
    words = runs_in(ground, row, 0.65)
    if any(sum(b.left < x < b.right for x in inner) > 1 for b in words):
        return True
    left, right = columns[0].left, columns[-1].right
    phrases = [p for p in runs_in(ground, row, PHRASE) if left < p.middle < right]
    return len(phrases) == 1 and any(b.left < x < b.right for x in inner for b in words)


def _faintness(ground: Ground, row: Row, sides: tuple[float, float] = (0.0, np.inf)) -> float:
    """The usual depth of a row's letters between two sides."""
    level = levels(ground.marks, ground.cap, row)
    middle = ground.marks[:, mk.LEFT] + ground.marks[:, mk.WIDTH] / 2
    own = (level >= row.top) & (level < row.bottom) & (ground.marks[:, mk.HEIGHT] > 0.5 * ground.cap)
    own &= (middle > sides[0]) & (middle < sides[1])
    return float(np.median(ground.depth[own])) if own.any() else 0.0


def is_written(ground: Ground, row: Row) -> bool:
    """Whether a row has at least one word of two letters or more; specks stand alone."""
    for run in mk.split_runs(writing_in(ground, row), 0.9 * ground.cap):
        letters = mk.letter_like(run, ground.cap)
        letters = letters[letters[:, mk.HEIGHT] < TALLEST * ground.cap]  # a stamp's letters are taller
        if len(letters) and hull(letters).width > 1.15 * ground.cap:
            return True
    return False
