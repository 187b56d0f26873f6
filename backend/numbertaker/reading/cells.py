"""The cells of a table: which marks belong to which, and what kind of cell each is.

A cell is blank, a ditto, struck out or plain. All four are told by geometry, since a recogniser reads
dittos as '11' and makes a figure of a struck one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import cv2
import numpy as np
import numpy.typing as npt

from numbertaker.reading import marks as mk
from numbertaker.reading.columns import Column
from numbertaker.reading.geometry import Array, Picture
from numbertaker.reading.ground import in_row
from numbertaker.reading.marks import Box, hull
from numbertaker.reading.rows import Row

Sort: TypeAlias = Literal["blank", "ditto", "struck", "plain"]
NO_MARKS: Final = np.zeros((0, 5))
CLEAR: Final = 0.9
"""A low mark farther than this from the middle of a row's writing, in heights of a capital, is none of it."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its place, its marks, and for a struck one the marks that were struck out.

    `ditto` is how likely its ticks, by how dark they are and where they stand, are held to be a ditto
    (`numbertaker.reading.dittos`); 0 where only their shape speaks.
    """

    column: Column
    row: Row
    sort: Sort
    marks: Array
    struck: Array
    ditto: float = 0.0

    @property
    def place(self) -> Box:
        """The ruled cell."""
        return Box(self.column.left, self.row.top, self.column.right, self.row.bottom)


def cells_of_row(
    row: Row, columns: tuple[Column, ...], marks: Array, grey: Picture, cap: float
) -> list[Cell]:
    """Sort the marks of a row into its cells. `marks` are those of the whole card, `grey` the flat
    picture.
    """
    own = in_row(marks, row, cap)
    own = _without_remains(own, row, cap)
    middle = _middle_of_writing(own, row, cap)
    own = off_the_line(own, middle, cap)
    shares = _by_column(own, columns, cap)
    return [
        _cell(column, row, _off_the_edges(share, column, cap), grey=grey, cap=cap, middle=middle)
        for column, share in zip(columns, shares, strict=True)
    ]


def running_cell(row: Row, columns: tuple[Column, ...], marks: Array, cap: float) -> Cell:
    """All writing of a row that runs over the columns, as one cell: of the remarks, or of the last column."""
    own = without_specks(_without_remains(in_row(marks, row, cap), row, cap), cap)
    middle = own[:, mk.LEFT] + own[:, mk.WIDTH] / 2
    own = own[(middle > columns[0].left) & (middle < columns[-1].right)]
    column = next((c for c in columns if c.field == "remarks"), columns[-1])
    return Cell(column, row, "plain" if len(own) else "blank", own if len(own) else NO_MARKS, NO_MARKS)


def middle_of_row(row: Row, marks: Array, cap: float) -> float:
    """The height of the middle of a row's letters, of all marks of the card."""
    return _middle_of_writing(_without_remains(in_row(marks, row, cap), row, cap), row, cap)


def _middle_of_writing(marks: Array, row: Row, cap: float) -> float:
    """The height of the middle of a row's letters; dittos stand above it, full stops below."""
    letters = mk.letter_like(marks, cap)
    letters = letters[letters[:, mk.HEIGHT] > 0.7 * cap]
    return float(np.median(letters[:, mk.TOP] + letters[:, mk.HEIGHT] / 2)) if len(letters) > 2 else row.level


def _without_remains(marks: Array, row: Row, cap: float) -> Array:
    """Leave out bits of the ruling that bounds a row: flat marks at its edge."""
    bottom = marks[:, mk.TOP] + marks[:, mk.HEIGHT]
    at_edge = (marks[:, mk.TOP] - row.top < 0.25 * cap) | (row.bottom - bottom < 0.25 * cap)
    flat = (marks[:, mk.HEIGHT] < 0.3 * cap) & (marks[:, mk.WIDTH] > 1.5 * marks[:, mk.HEIGHT])
    return np.asarray(marks[~(at_edge & flat)])


def off_the_line(marks: Array, middle: float, cap: float) -> Array:
    """Leave out what is left of a faint ruling above or below a row's writing: low marks clear of its
    letters.

    `middle` is the height of the middle of the writing. A stroke through letters stays.
    """
    top, bottom = marks[:, mk.TOP], marks[:, mk.TOP] + marks[:, mk.HEIGHT]
    low = (marks[:, mk.HEIGHT] < 0.45 * cap) & (marks[:, mk.WIDTH] >= marks[:, mk.HEIGHT])
    return np.asarray(marks[~(low & ((top > middle + CLEAR * cap) | (bottom < middle - CLEAR * cap)))])


def _off_the_edges(marks: Array, column: Column, cap: float) -> Array:
    """Leave out bits of the rulings beside a cell: narrow marks at its edges with nothing close to them."""
    if not len(marks):
        return marks
    left, right = marks[:, mk.LEFT], marks[:, mk.LEFT] + marks[:, mk.WIDTH]
    at_edge = (left - column.left < 0.5 * cap) | (column.right - right < 0.5 * cap)
    narrow = marks[:, mk.WIDTH] < 0.36 * cap
    inner = marks[~(at_edge & narrow)]
    alone = np.array(
        [not len(inner) or bool((np.abs(inner[:, mk.LEFT] - r) > 0.8 * cap).all()) for r in right]
    )
    return np.asarray(marks[~(at_edge & narrow & alone)])


def _by_column(marks: Array, columns: tuple[Column, ...], cap: float) -> list[Array]:
    """A word goes where most of it stands; one that truly runs on into the next column is cut."""
    edges = np.array([c.left for c in columns[1:]])
    shares: list[list[Array]] = [[] for _ in columns]
    for word in mk.split_runs(marks, 0.55 * cap):
        side = np.searchsorted(edges, word[:, mk.LEFT] + word[:, mk.WIDTH] / 2)
        for k, part in _settled(word, side, cap):
            box = hull(part)
            if box.middle > columns[0].left and box.middle < columns[-1].right:
                shares[k].append(part)
    return [np.concatenate(parts) if parts else NO_MARKS for parts in shares]


def _settled(word: Array, side: Array, cap: float) -> list[tuple[int, Array]]:
    """Parts of a word with their columns; a part narrower than a letter follows the rest."""
    parts = [(int(s), word[side == s]) for s in np.unique(side)]
    if len(parts) == 1:
        return parts
    widths = [hull(p).width for _, p in parts]
    main = int(np.argmax(widths))
    if sum(w > 1.3 * cap for w in widths) <= 1:
        return [(parts[main][0], word)]
    return parts


def _cell(column: Column, row: Row, marks: Array, *, grey: Picture, cap: float, middle: float) -> Cell:
    ticks = ditto_ticks(marks, cap, middle)
    if len(ticks):
        return Cell(column, row, "ditto", ticks, NO_MARKS)
    kept = without_specks(marks, cap)
    if not len(kept):
        return Cell(column, row, "blank", NO_MARKS, NO_MARKS)
    lines = stacked(kept, cap)
    if len(lines) == 2:  # a figure squeezed in over the one that it replaces
        return Cell(column, row, "struck", *_replaced(lines[0], lines[1], grey, cap))
    struck = struck_marks(kept, grey, cap)
    if len(struck):
        return Cell(column, row, "struck", without_specks(_others(kept, struck), cap), struck)
    return Cell(column, row, "plain", kept, NO_MARKS)


def stacked(marks: Array, cap: float) -> list[Array]:
    """The marks of a cell as one line, or as two where figures stand over figures."""
    letters = mk.letter_like(marks, cap)
    if len(letters) < 2 or hull(letters).height < 1.45 * cap:
        return [marks]
    level = letters[:, mk.TOP] + letters[:, mk.HEIGHT] / 2
    order = np.sort(level)
    gap = int(np.argmax(np.diff(order)))
    cut = float(order[gap] + order[gap + 1]) / 2
    over, under = letters[level < cut], letters[level >= cut]
    if order[gap + 1] - order[gap] < 0.45 * cap or min(hull(over).width, hull(under).width) < 1.5 * cap:
        return [marks]
    a, b = hull(over), hull(under)
    if min(a.right, b.right) - max(a.left, b.left) < 0.4 * min(a.width, b.width):
        return [marks]
    middle = marks[:, mk.TOP] + marks[:, mk.HEIGHT] / 2
    return [marks[middle < cut], marks[middle >= cut]]


def _replaced(over: Array, under: Array, grey: Picture, cap: float) -> tuple[Array, Array]:
    """Of two lines in one cell, which one stands and which is struck: (standing, struck)."""
    over_struck, under_struck = (len(struck_marks(m, grey, cap)) for m in (over, under))
    if bool(over_struck) != bool(under_struck):
        return (under, over) if over_struck else (over, under)
    # no stroke seen, or both: the first figure was written on the line, the other squeezed in over it
    return over, under


def _others(marks: Array, struck: Array) -> Array:
    taken = {tuple(m) for m in struck}
    rest = [m for m in marks if tuple(m) not in taken]
    return np.array(rest) if rest else NO_MARKS


def without_specks(marks: Array, cap: float) -> Array:
    """Leave out small marks that stand away from any letter, and all where there is no letter."""
    if not len(marks):
        return marks
    big = (marks[:, mk.HEIGHT] > 0.45 * cap) & (marks[:, mk.AREA] > 0.08 * cap * cap)
    if not big.any():
        return NO_MARKS
    left, right = marks[:, mk.LEFT], marks[:, mk.LEFT] + marks[:, mk.WIDTH]
    near = np.array(
        [
            bool(((left[big] - r < 0.9 * cap) & (x - right[big] < 0.9 * cap)).any())
            for x, r in zip(left, right, strict=True)
        ]
    )
    return np.asarray(marks[big | near])


def ditto_ticks(marks: Array, cap: float, middle: float) -> Array:
    """The marks of a ditto in a cell that has no letter: small ticks in the upper half, or strokes with
    ticks.
    """
    height = marks[:, mk.HEIGHT]
    if (height > 0.78 * cap).any() or not len(marks):
        return NO_MARKS
    level = marks[:, mk.TOP] + height / 2
    ticks = marks[(height > 0.2 * cap) & (level < middle + 0.05 * cap) & (level > middle - 1.3 * cap)]
    if len(ticks) and 0.2 * cap < hull(ticks).width < 1.4 * cap and len(ticks) <= 4:
        return np.asarray(ticks)
    strokes = marks[
        (marks[:, mk.WIDTH] > 0.5 * cap) & (height < 0.3 * cap) & (np.abs(level - middle) < 0.6 * cap)
    ]
    if len(strokes) and len(strokes) + len(ticks) == len(marks) and 0.8 * cap < hull(marks).width < 9 * cap:
        return marks
    return NO_MARKS


LEANS: Final = tuple(np.linspace(-0.08, 0.08, 9))
"""The slopes that a stroke drawn by hand may have, as tangents."""


def struck_marks(marks: Array, grey: Picture, cap: float) -> Array:
    """The marks of the words that a level stroke goes through, from end to end, at the height of their
    middle.

    `grey` is the flat picture. Only what is nearly as dark as the writing counts: between typed letters
    there is
    paper, and a stroke bridges it.
    """
    words = mk.split_runs(marks, 0.75 * cap)
    struck = [word for word in words if hull(word).width > 1.6 * cap and _is_struck(word, grey, cap)]
    return np.concatenate(struck) if struck else NO_MARKS


def _is_struck(word: Array, grey: Picture, cap: float) -> bool:
    letters = mk.letter_like(word, cap)
    box = hull(word)
    if not len(letters):
        return False
    high = float(np.median(letters[:, mk.TOP]))
    low = float(np.median(letters[:, mk.TOP] + letters[:, mk.HEIGHT]))
    # the strokes of two or three letters may touch one another: there the stroke must go right through
    share = 0.97 if box.width < 4.5 * cap else 0.88
    reach = max(8, int(2.3 * cap), int(share * box.width))
    top, left = max(0, int(box.top)), max(0, int(box.left))
    part = grey[top : int(box.bottom) + 1, left : int(box.right) + 1]
    if part.shape[1] < reach:
        return False
    paper, ink = float(np.percentile(part, 90)), float(np.percentile(part, 4))
    dark = np.asarray(part < paper - 0.4 * (paper - ink), np.uint8)
    zone = (high + 0.25 * (low - high) - top, low - 0.25 * (low - high) - top)
    if not any(bool(_stroke(dark, lean, reach, zone).any()) for lean in LEANS):
        return False
    return sum(_ends_thin(dark, cap)) >= (2 if box.width < 4.5 * cap else 1)


def _ends_thin(dark: Picture, cap: float) -> tuple[bool, bool]:
    """Whether a word ends, left and right, in a thin stroke that reaches beyond its letters."""
    wide = max(2, round(0.13 * cap))
    ends = (dark[:, :wide], dark[:, -wide:])
    left, right = (np.flatnonzero(end.any(axis=1)) for end in ends)
    return tuple(len(rows) > 0 and rows[-1] - rows[0] < 0.45 * cap for rows in (left, right))  # type: ignore[return-value]


def _stroke(dark: Picture, lean: float, reach: int, zone: tuple[float, float]) -> npt.NDArray[np.bool_]:
    """Which columns a straight stroke of this lean passes through, within a zone of heights."""
    height, width = dark.shape
    slide = np.array([[1.0, 0, reach], [lean, 1, -lean * width / 2]])
    level = cv2.warpAffine(dark, slide, (width + 2 * reach, height), flags=cv2.INTER_NEAREST, borderValue=0)
    level = cv2.morphologyEx(level, cv2.MORPH_CLOSE, np.ones((1, 3), np.uint8))
    stroke = cv2.morphologyEx(level, cv2.MORPH_OPEN, np.ones((1, reach), np.uint8))[:, reach:-reach]
    return np.asarray(stroke[max(0, int(zone[0])) : int(zone[1]) + 1].any(axis=0))


def two_alike(marks: Array, cap: float) -> tuple[Array, Array] | None:
    """Two words of like width side by side, as a figure struck out and its replacement are; else None."""
    words = [w for w in mk.split_runs(marks, 0.6 * cap) if hull(w).width > 1.1 * cap]
    if len(words) != 2:
        return None
    a, b = (hull(w).width for w in words)
    return (words[0], words[1]) if min(a, b) > 0.78 * max(a, b) else None
