"""What stands beside the writing of a cell and is none of it: grain, foxing, the back that shows through.

The marks of a card are found with a low threshold, so that no faded letter is lost, and that lets such
company in. Cut out with it, a word is read less surely or not at all. How dark writing is differs from row
to row and within a word, but not by half between two words of one cell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from numbertaker.reading import marks as mk
from numbertaker.reading.cells import Cell
from numbertaker.reading.geometry import PAPER, Array, Picture
from numbertaker.reading.marks import Box, hull

GAP: Final = 0.7
"""Company stands at least so far from the writing, in heights of a capital."""
NEAR: Final = 1.2
"""A letter that is no farther off than this belongs to the word, however pale."""
SMALL: Final = 1.8
"""What is narrower than this, in heights of a capital, is a sign or two."""
PALE: Final = 0.5
"""Something small that reaches less than this share of the depth of the cell's darkest is company."""
PALER: Final = 0.4
"""The same of something wider, which may be a word written later in another ink."""
TINTED: Final = 0.84
"""What is paler than this in the lightest channel, where ink of its depth would be 1, is no ink."""
DARK: Final = 0.6
"""Only beside writing that reaches this share of the card's usual depth is there company."""


@dataclass(frozen=True, slots=True)
class Light:
    """A flat card's lightest channel, in which stains and coloured stamps are pale, the usual depth of its
    letters there, and the height of a capital; its darkest channel, and how deep letters usually are in the
    lightest of what they are in the darkest: ink is nearly as deep in both.
    """

    picture: Picture
    depth: float
    cap: float
    darkest: Picture
    neutral: float = 1.0

    def coloured(self, marks: Array) -> bool:
        """Whether the deepest of some marks is rather a spot of rust or foxing than ink."""
        deep = mk.depths(self.picture, marks)
        k = int(deep.argmax())
        return bool(deep[k] < TINTED * self.neutral * mk.depths(self.darkest, marks[k : k + 1])[0])


def light_of(picture: Picture, darkest: Picture, marks: Array, cap: float) -> Light:
    """How dark a card's writing is, by its lightest and its darkest channel and all of its marks."""
    letters = mk.letter_like(marks, cap)
    if not len(letters):
        return Light(picture, float(PAPER), cap, darkest)
    deep = mk.depths(picture, letters)
    share = deep / np.maximum(mk.depths(darkest, letters), 1.0)
    return Light(picture, float(np.median(deep)), cap, darkest, float(np.median(share)))


def without_company(rows: Sequence[Sequence[Cell]], light: Light) -> list[list[Cell]]:
    """The cells of all rows, each without what stands beside its writing."""
    return [[_alone(cell, light) for cell in row] for row in rows]


def _alone(cell: Cell, light: Light) -> Cell:
    runs = mk.split_runs(cell.marks, GAP * light.cap) if cell.sort == "plain" else []
    if len(runs) < 2:
        return cell
    depths = np.array([mk.depths(light.picture, run).max() for run in runs])
    if depths.max() < DARK * light.depth:
        return cell
    shares = [PALE if hull(run).width < SMALL * light.cap else PALER for run in runs]
    word = runs[int(depths.argmax())]
    kept = [
        run
        for run, d, share in zip(runs, depths, shares, strict=True)
        if d >= share * depths.max() or _of_the_word(hull(run), hull(word), light.cap)
    ]
    return cell if len(kept) == len(runs) else replace(cell, marks=np.concatenate(kept))


def _of_the_word(run: Box, word: Box, cap: float) -> bool:
    """Whether a pale run is as tall as a letter, on the line, and no farther off than a worn letter between
    would leave it: where a ribbon fades at the end of a word.
    """
    apart = max(run.left - word.right, word.left - run.right)
    return apart < NEAR * cap and run.height > 0.75 * cap and abs(run.level - word.level) < 0.25 * cap
