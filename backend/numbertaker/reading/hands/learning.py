"""Count what the looked-over cells of a source tell of its hand."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from typing import TypeAlias

from numbertaker.reading.fields import kind_of
from numbertaker.reading.hands.aligning import aligned, alike
from numbertaker.reading.hands.values import UNKNOWN, Hand, LookedOver, Pair

SPELT = ("name", "words")
"""The sorts of fields in which a clerk's words come again."""


def learn_hand(cells: Iterable[LookedOver]) -> Hand:
    """The hand of a source by the cells that were looked over, in any order.

    A cell counts once for each sign and each pair in it, however often it stands there: slips within one
    cell go together.
    """
    every = [cell for cell in cells if cell.true or cell.read]
    corrected = sum(cell.true != cell.read for cell in every)
    if not corrected:
        return Hand(len(every)) if every else UNKNOWN
    misread, met, taken, seen = _signs(every)
    words, mended = _words(every)
    return Hand(len(every), corrected, misread, met, words, mended, _new(words), taken, seen)


_Signs: TypeAlias = tuple[dict[Pair, int], dict[str, int], dict[Pair, int], dict[str, int]]


def _signs(cells: Sequence[LookedOver]) -> _Signs:
    """Pairs and true signs by cells, then pairs and signs as read by their number."""
    misread: Counter[Pair] = Counter()
    met: Counter[str] = Counter()
    taken: Counter[Pair] = Counter()
    seen: Counter[str] = Counter()
    for cell in cells:
        if not alike(cell.true, cell.read):
            continue
        every = list(aligned(cell.true, cell.read))
        taken.update(pair for pair in every if pair[0] != pair[1])
        seen.update(read for _, read in every)
        pairs = set(every)
        misread.update(pair for pair in pairs if pair[0] != pair[1])
        met.update({sign for sign, _ in pairs if sign} | {""})
    return dict(misread), dict(met), dict(taken), dict(seen)


def _words(
    cells: Sequence[LookedOver],
) -> tuple[dict[tuple[str, str], int], dict[tuple[str, str], dict[str, int]]]:
    """Words that stand in the cells, and what words as read were corrected to, by sort of field."""
    words: Counter[tuple[str, str]] = Counter()
    mended: dict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    for cell in cells:
        sort = kind_of(cell.field)
        if sort not in SPELT:
            continue
        words.update({(sort, word) for word in cell.true.split()})
        stands, seen = cell.true.split(), cell.read.split()
        if cell.said and len(stands) == len(seen):
            for true, read in set(zip(stands, seen, strict=True)):
                mended[sort, read][true] += 1
    changed = {key: dict(to) for key, to in mended.items() if set(to) - {key[1]}}
    return dict(words), changed


def _new(words: dict[tuple[str, str], int]) -> dict[str, float]:
    """By sort of field, the share of words that stood there once only: so likely the next one is new
    (Good, 1953)."""
    alone: Counter[str] = Counter()
    whole: Counter[str] = Counter()
    for (sort, _), count in words.items():
        whole[sort] += count
        alone[sort] += count == 1
    return {sort: (alone[sort] + 1) / (whole[sort] + 2) for sort in whole}
