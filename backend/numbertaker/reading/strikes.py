"""What a recogniser says of strike-outs, taken apart: how likely, what stands, and what was struck.

Our recogniser writes '~' before each word that is struck out, so 'struck' is one of the things that it
weighs against the others: its likeliest texts with and without the mark say how sure that is. A recogniser
that knows no such mark never says it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from numbertaker.reading.fields import fits, weigh
from numbertaker.reading.recognisers import NOTHING, Kind, Reading

MARK: Final = "~"
STRUCK: Final = 0.5
"""From this share on something is held to be struck out on the recogniser's word alone."""
PLAINLY: Final = 0.85
"""A reading surer than this speaks against a strike-out, if one is on it less likely than `SELDOM`."""
SELDOM: Final = 0.1
GUESSED: Final = 1e-4
"""What is read with less probability than this is no better than a guess at noise."""
PAIRS: Final = (("upper", "lower"), ("lower", "upper"), ("text", "struck"))
"""The parts of a cell of which the first may stand and the second be struck out."""


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


@dataclass(frozen=True, slots=True)
class Replaced:
    """What stands, what was struck, and how likely the latter is held to be struck out."""

    standing: Reading
    struck: Reading
    share: float


def struck_pair(own: Mapping[str, Reading], kind: Kind) -> Replaced | None:
    """A value and what it replaces, each read by itself, from the readings of a cell's parts: the pair whose
    standing value was read surest, if any is one that the field may hold.
    """
    pairs = []
    for one, other in PAIRS:
        if one in own and other in own:
            first, second = told(own[one]), told(own[other])
            standing = weigh(first.plain, kind)
            if second.share > STRUCK > first.share and fits(standing.text, kind) > 0:
                pairs.append(Replaced(standing, weigh(second.struck, kind), second.share))
    return max(pairs, key=lambda pair: pair.standing.confidence, default=None)


def plainly(reading: Reading) -> bool:
    """Whether a reading is sure, and sure that nothing is struck out."""
    return reading.confidence >= PLAINLY and told(reading).share < SELDOM


def unstruck(own: Mapping[str, Reading], whole: Told, kind: Kind) -> Reading | None:
    """What a cell says in which on the whole something seems to be struck out, and nothing is; else None.

    A part of it may read plainly what is said to be struck: then a stain, a stamp or a ruling did it. Or the
    whole makes no sense, since a neighbour's writing runs into it, and a part does; or nothing does.
    """
    struck = weigh(whole.struck, kind).text
    plain = [weigh(reading, kind) for reading in own.values() if plainly(reading)]
    bare = next((reading for reading in plain if struck and reading.text == struck), None)
    if bare or whole.struck.confidence >= GUESSED:
        return bare
    lines = [own[name] for name in ("upper", "lower") if name in own]
    if "struck" in own or any(told(line).share > STRUCK and line.confidence > GUESSED for line in lines):
        return None
    sense = [reading for reading in plain if len(reading.text) > 1 and fits(reading.text, kind)]
    best = max(sense, key=lambda reading: reading.confidence, default=whole.plain)
    return best if sense or len(best.text) < 2 else None


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
