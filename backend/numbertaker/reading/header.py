"""The header of a table, found by reading: the row near the top whose words mean the most fields."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, TypeAlias

import numpy as np

from numbertaker.reading.ground import (
    SEEN,
    Ground,
    clear_places,
    halves_of,
    parts_of,
    words_in,
    words_of_block,
)
from numbertaker.reading.headings import is_vocabulary
from numbertaker.reading.marks import Box
from numbertaker.reading.titles import Word, joined, named_by

ReadWords: TypeAlias = Callable[[Sequence[Box]], Sequence[tuple[str, float]]]
"""Reads boxes of the flat picture: text and confidence of each."""
HEADER_WITHIN: Final = 14
"""The header is one of the first rows of writing."""
FEWEST_FIELDS: Final = 3
FEWEST_WITH_COLUMNS: Final = 2
"""So few will do where the writing below stands in clear columns."""
PHRASE: Final = 1.6
"""Words nearer to one another than this, in heights of a capital, are a phrase and no titles."""
CLOSE: Final = 0.3
"""Letters nearer to one another than this, in heights of a capital, are of one word, on a ruling too."""
LONG: Final = 5.0
"""Two titles in one are at least so long, in heights of a capital."""
HIGHER: Final = 1.2
"""How far above its row a title's first line may stand, in heights of a capital."""
OVER: Final = 1.15
"""A word stands over another where it is at least so much higher, in heights of the lower of the two: less,
and they are titles of one line and of two side by side.
"""
NEIGHBOUR: Final = 3.4
"""How far off the next line of a header of two stands at most, in heights of a capital."""


@dataclass(frozen=True, slots=True)
class Header:
    """The titles' words, how many fields their best row names, and the lines of words above, top to bottom.
    Words over several columns ('DATE' over 'Fitted' and 'Removed') are no titles: they stand in `over`.
    """

    words: tuple[Word, ...]
    box: Box
    fields: int
    above: tuple[tuple[Word, ...], ...]
    over: tuple[Word, ...] = ()

    @property
    def sure(self) -> float:
        """How surely its words were read, on average: low where a card stands on its head."""
        return sum(w.confidence for w in self.words) / len(self.words)


class Reader:
    """Reads words of a card, none of them twice."""

    def __init__(self, read: ReadWords) -> None:
        self._read = read
        self._known: dict[tuple[int, ...], tuple[str, float]] = {}

    def words(self, boxes: Sequence[Box]) -> tuple[Word, ...]:
        """The words in some boxes."""
        keys = [(round(b.left), round(b.top), round(b.right), round(b.bottom)) for b in boxes]
        new = {key: box for key, box in zip(keys, boxes, strict=True) if key not in self._known}
        for key, answer in zip(new, self._read(list(new.values())) if new else (), strict=True):
            self._known[key] = answer
        return tuple(Word(box, *self._known[key]) for key, box in zip(keys, boxes, strict=True))


def find_header(
    ground: Ground, reader: Reader, further: Mapping[str, Sequence[str]] | None = None
) -> Header | None:
    """The header, however poor; None where no row has any words."""
    lines, place, named = _best_row(ground, reader, further)
    if place < 0:
        return None
    first, last = place, place
    while first > 0 and _belongs(ground, lines, reader, first - 1, first):
        first -= 1
    while last + 1 < len(ground.rows) and _belongs(ground, lines, reader, last + 1, last):
        last += 1
    rows = ground.rows[first : last + 1]
    boxes = words_of_block(ground, _top_of(ground, first), rows[-1].bottom)
    words = seen = [w for w in reader.words(boxes) if _is_word(w)]
    if ground.ruled:
        words = _over_rulings(ground, reader, words)
    else:
        words = [part for word in words for part in _come_apart(ground, reader, word)]
    if not words:
        words = list(lines[place])
    kept = without_group_words(words, ground.cap)
    high = float(np.median([w.box.height for w in kept]))
    plain = [w.box for w in kept if w.box.height < 1.7 * high]  # a figure may hang into a title
    over = tuple(w for w in seen if w not in kept and is_vocabulary(w.text))
    return Header(tuple(kept), joined(plain or [w.box for w in kept]), named, tuple(lines[:first]), over)


def _top_of(ground: Ground, first: int) -> float:
    """Where a header begins: some of its titles have a line that stands higher than the row they make."""
    row = ground.rows[first]
    over = ground.rows[first - 1].level + 0.8 * ground.cap if first else 0.0
    return min(row.top, max(row.top - HIGHER * ground.cap, over))


def _best_row(
    ground: Ground, reader: Reader, further: Mapping[str, Sequence[str]] | None
) -> tuple[list[tuple[Word, ...]], int, int]:
    """Read rows from the top until one names most fields and the next two don't do better."""
    lines: list[tuple[Word, ...]] = []
    place, most = -1, 0
    rulings = ground.upright if ground.ruled else ()
    places = () if ground.ruled else clear_places(ground)
    for i, row in enumerate(ground.rows[:HEADER_WITHIN]):
        words = reader.words(words_in(ground, row, places=places, close=CLOSE * ground.cap))
        lines.append(words)
        named = len(named_by([w for w in words if _is_word(w)], rulings, ground.cap, further))
        if words and (place < 0 or named > most):
            most, place = named, i
        elif most >= FEWEST_FIELDS and i > place:
            break
    return lines, place, most


def _over_rulings(ground: Ground, reader: Reader, words: Sequence[Word]) -> list[Word]:
    """The words without those that a ruling below them would pass through, whole or in two pieces: they
    stand over several columns.
    """
    cap, kept = ground.cap, list(words)
    lower = [w for w in words if any(_lower(o, w, cap) for o in words)]
    for r in (r for r in ground.upright if r.weight >= SEEN):
        for a in [w for w in kept if w not in lower]:
            if a.box.left + 0.2 * cap < r.at < a.box.right - 0.2 * cap and _has_under(a, r.at, lower, cap):
                kept.remove(a)
                continue
            b = next((b for b in kept if b not in lower and _pieces(a, b, r.at, cap)), None)
            if b is None or not (_has_under(a, r.at, lower, cap) or _has_under(b, r.at, lower, cap)):
                continue
            both = reader.words([joined([a.box, b.box])])[0]
            if is_vocabulary(both.text) and not (is_vocabulary(a.text) and is_vocabulary(b.text)):
                kept = [w for w in kept if w not in (a, b)]
    return kept or list(words)


def _pieces(a: Word, b: Word, at: float, cap: float) -> bool:
    """Whether two words may be one that was divided at a place."""
    gap = b.box.left - a.box.right
    return a.box.middle < at < b.box.middle and gap < cap and abs(a.box.level - b.box.level) < 0.5 * cap


def _has_under(word: Word, at: float, lower: Sequence[Word], cap: float) -> bool:
    """Whether titles stand under a word on both sides of a place, none of them right under it."""
    under = [w for w in lower if _lower(word, w, cap) and abs(w.box.middle - at) < 14 * cap]
    return any(w.box.right < at + cap for w in under) and any(w.box.left > at - cap for w in under)


def _come_apart(ground: Ground, reader: Reader, word: Word) -> tuple[Word, ...]:
    """Two titles that were written into one another, where they read better apart: at the clear places
    between the columns, else at one of the widest gaps.
    """
    if word.box.width < 3 * ground.cap:
        return (word,)
    known = is_vocabulary(word.text)
    ways = [parts_of(ground, word.box)]
    if not known and word.box.width > LONG * ground.cap:
        ways += halves_of(ground, word.box)
    read = [reader.words(way) for way in ways if len(way) > 1]
    if known:  # more signs than before: a letter was cut through and is read twice
        read = [parts for parts in read if _signs(word) >= sum(_signs(p) for p in parts)]
    better = [parts for parts in read if sum(is_vocabulary(p.text) for p in parts) > known]
    return max(better, key=lambda parts: min(p.confidence for p in parts), default=(word,))


def _signs(word: Word) -> int:
    return sum(not c.isspace() for c in word.text)


def _is_word(word: Word) -> bool:
    return any(c.isalpha() for c in word.text)


def _belongs(ground: Ground, lines: list[tuple[Word, ...]], reader: Reader, i: int, beside: int) -> bool:
    """Whether a row is another line of the header: near, and mostly of words that headers have."""
    if abs(ground.rows[i].level - ground.rows[beside].level) > NEIGHBOUR * ground.cap:
        return False
    while len(lines) <= i:
        row = ground.rows[len(lines)]
        lines.append(reader.words(words_in(ground, row, close=CLOSE * ground.cap)))
    words = [w for w in lines[i] if w.text and not (len(w.text) == 1 and w.text.isdigit())]  # of rulings
    if len(words) == 1 and len(words[0].text.split()) > 2:
        return False  # a whole sentence without a gap
    if any(sum(c.isdigit() for c in w.text) > 1 for w in words):
        return False  # what was filled in at the head of the card
    gaps = [b.box.left - a.box.right for a, b in pairwise(words)]
    if len(words) > 1 and max(gaps) < PHRASE * ground.cap:
        return False  # the words of one sentence: what the list is called
    known = sum(is_vocabulary(w.text) for w in words)
    return known >= 1 and known >= 0.6 * len(words)


def without_group_words(words: Sequence[Word], cap: float) -> list[Word]:
    """Leave out words that stand over several columns ('DATE' over 'Fitted' and 'Removed').

    Such a word has words under it on both its sides, and none that it stands over itself. The second line of
    another title is not under it, however much lower it stands.
    """
    kept = []
    for word in words:
        under = [w for w in words if _lower(word, w, cap)]
        over = any(_stands_over(word, w, cap) for w in under)
        first = [w for w in under if not any(_stands_over(o, w, cap) for o in words if o is not word)]
        left = any(0 < word.box.middle - w.box.right < 12 * cap for w in first)
        right = any(0 < w.box.left - word.box.middle < 12 * cap for w in first)
        beside = any(
            abs(w.box.level - word.box.level) < 0.6 * cap
            and w is not word
            and -cap < max(w.box.left - word.box.right, word.box.left - w.box.right) < 0.9 * cap
            for w in words
        )
        if over or not (left and right) or beside:
            kept.append(word)
    return kept or list(words)


def _lower(a: Word, b: Word, cap: float) -> bool:
    """Whether b stands a line or two lower than a."""
    least = OVER * min(a.box.height, b.box.height, cap)
    return least < b.box.level - a.box.level < NEIGHBOUR * cap


def _stands_over(a: Word, b: Word, cap: float) -> bool:
    """Whether a stands over b, as the first line of a title does over its second."""
    return _lower(a, b, cap) and _shared(a.box, b.box) > 0.35 * min(a.box.width, b.box.width)


def _shared(a: Box, b: Box) -> float:
    return min(a.right, b.right) - max(a.left, b.left)
