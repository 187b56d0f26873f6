"""What a recogniser says of strike-outs, taken apart: how likely, what stands, and what was struck.

Our recogniser writes '~' before each word that is struck out, so 'struck' is one of the things that it
weighs against the others: its likeliest texts with and without the mark say how sure that is. A recogniser
that knows no such mark never says it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from numbertaker.reading.recognisers import NOTHING, Reading

MARK: Final = "~"


@dataclass(frozen=True, slots=True)
class Told:
    """How likely something on a crop is struck out; what stands on it if nothing is; and if something is,
    what stands and what was struck.
    """

    share: float
    plain: Reading
    standing: Reading
    struck: Reading


def told(reading: Reading) -> Told:
    """Take a reading apart. Probabilities stay those of the whole reading: each part's add up to its
    share."""
    every = [(reading.text, reading.confidence), *reading.alternatives]
    marked = [(text, p) for text, p in every if MARK in text]
    if not marked:
        return Told(0.0, reading, NOTHING, NOTHING)
    bare = [(text, p) for text, p in every if MARK not in text]
    whole = sum(p for _, p in every)
    share = sum(p for _, p in marked) / whole if whole > 0 else 0.0
    return Told(
        share,
        _reading(bare, reading),
        _reading([(_words(t, struck=False), p) for t, p in marked], reading),
        _reading([(_words(t, struck=True), p) for t, p in marked], reading),
    )


def unmarked(reading: Reading) -> Reading:
    """The reading of a crop that is known to be struck out, without its marks."""
    every = [(reading.text, reading.confidence), *reading.alternatives]
    return _reading([(text.replace(MARK, ""), p) for text, p in every], reading)


def _words(text: str, *, struck: bool) -> str:
    words = text.split()
    return " ".join(w.lstrip(MARK) for w in words if w.startswith(MARK) == struck)


def _reading(ranked: list[tuple[str, float]], seen: Reading) -> Reading:
    """The likeliest of some texts, alike ones added up; where signs stand is known only of the text that was
    seen."""
    merged: dict[str, float] = {}
    for text, p in ranked:
        merged[text] = merged.get(text, 0.0) + p
    if not merged:
        return NOTHING
    first, *others = sorted(merged.items(), key=lambda item: -item[1])
    return Reading(first[0], first[1], tuple(others), seen.places if first[0] == seen.text else ())
