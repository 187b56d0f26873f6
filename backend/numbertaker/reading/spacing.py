"""Blanks within a cell's text, settled by the gaps between its letters.

Recognisers leave out narrow blanks ('Nov1913') and put in blanks where a typewriter staggered
('Conde mned'). The gaps between the marks say which it is, where a gap stands out from the others.
"""

from __future__ import annotations

import re

import numpy as np

from numbertaker.reading import marks as mk
from numbertaker.reading.geometry import Array
from numbertaker.reading.recognisers import Reading

_WITHIN_WORDS = re.compile(r"(?<=[a-z]) (?=[a-z])")
PAD_ACROSS = 0.39
"""Paper left and right of a crop, in heights of a capital."""


def blanks_by_gaps(reading: Reading, marks: Array, cap: float) -> str:
    """The text with blanks where wide gaps are, and without any where no gap is wider than the rest."""
    text = reading.text
    starts, gaps = _gaps(marks)
    if len(gaps) < 0.55 * len(text.replace(" ", "")):
        return text  # letters have run together: their gaps tell nothing
    usual = max(0.0, float(np.median(gaps)))
    if " " in text:
        # where letters stand as far apart as a typewriter's, a blank is most of a letter wider
        staggered = usual > 0.25 * cap and gaps.max() < usual + 0.3 * cap
        return _WITHIN_WORDS.sub("", text) if staggered else text
    if len(reading.places) != len(text):
        return text
    wide = gaps > max(0.3 * cap, 2.0 * usual + 0.08 * cap)
    box = mk.hull(marks)
    whole = box.width + 2 * PAD_ACROSS * cap
    for at in sorted(
        ((starts[wide] + gaps[wide] / 2 - box.left) / whole + PAD_ACROSS * cap / whole), reverse=True
    ):
        k = int(np.searchsorted(reading.places, at))
        if 0 < k < len(text) and _takes_blank(text[k - 1], text[k]):
            text = f"{text[:k]} {text[k:]}"
    return text


def _gaps(marks: Array) -> tuple[Array, Array]:
    """Where each gap between neighbouring marks begins, and its width (below 0 where they overlap)."""
    order = marks[np.argsort(marks[:, mk.LEFT])]
    reach = np.maximum.accumulate(order[:, mk.LEFT] + order[:, mk.WIDTH])
    return reach[:-1], order[1:, mk.LEFT] - reach[:-1]


def _takes_blank(before: str, after: str) -> bool:
    """A blank is put in between a word and a figure only: within words typewriters stagger too much."""
    return (before.isalpha() and after.isdigit()) or (before.isdigit() and after.isalpha())
