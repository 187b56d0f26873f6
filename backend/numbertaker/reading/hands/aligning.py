"""Which sign was read as which: a text as it stands beside what was read, sign by sign.

The alignment is a shortest edit script (Levenshtein, 1966), by rapidfuzz.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from rapidfuzz.distance import Levenshtein

from numbertaker.reading.hands.values import Pair

STRANGE: Final = 0.4
"""Texts less alike than this are not two readings of one writing, and teach nothing of its signs."""


def aligned(true: str, read: str) -> Iterator[Pair]:
    """Pairs of a sign as it stands and as it was read, in order; '' where one was lost or made up."""
    for op in Levenshtein.opcodes(true, read):
        stands, seen = true[op.src_start : op.src_end], read[op.dest_start : op.dest_end]
        if op.tag == "equal" or len(stands) == len(seen):
            yield from zip(stands, seen, strict=True)
        elif not seen:
            yield from ((sign, "") for sign in stands)
        else:
            yield from (("", sign) for sign in seen)


def errors_between(true: str, read: str) -> int:
    """How many signs were read otherwise, lost or made up; by the signs of `true` it is the character error
    rate."""
    return sum(sign != seen for sign, seen in aligned(true, read))


def alike(true: str, read: str) -> bool:
    """Whether two texts are near enough to be told apart sign by sign."""
    return bool(true and read) and Levenshtein.normalized_similarity(true, read) >= STRANGE
