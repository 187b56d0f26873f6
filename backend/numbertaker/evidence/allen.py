"""How two spans of days lie to each other: Allen's thirteen relations, their converses and compositions.

Source: J. F. Allen, "Maintaining knowledge about temporal intervals", Communications of the ACM 26(11),
1983. The letters and their order are those of T. Alspaugh's page on the algebra: `pmoFDseSdfOMP`, where a
capital is the converse of its small letter and `e` of itself.

A span is taken as half-open, from its first day up to the day after its last, because a day is an interval
and not a point. So a fitment that ended on the 14th *meets* one that began on the 15th, and one that began on
the 14th *overlaps* it by that day.

A relation that is not settled is a text of the letters that are possible: all thirteen when nothing
is known, none when there is a contradiction.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from itertools import combinations, product
from typing import Final, TypeAlias

from numbertaker.evidence.days import Span

Relation: TypeAlias = str

ORDER: Final[Relation] = "pmoFDseSdfOMP"
"""The thirteen basic relations in canonical order; also the relation of which nothing is known."""

NAMES: Final[dict[Relation, str]] = {
    "p": "precedes",
    "m": "meets",
    "o": "overlaps",
    "F": "is finished by",
    "D": "contains",
    "s": "starts",
    "e": "equals",
    "S": "is started by",
    "d": "lies during",
    "f": "finishes",
    "O": "is overlapped by",
    "M": "is met by",
    "P": "is preceded by",
}

_INFINITY: Final = float("inf")
_Ends: TypeAlias = tuple[float, float]


def relation(one: Span, other: Span) -> Relation:
    """The basic relation that holds between two spans; an end without a bound lies at infinity."""
    return _basic(_half_open(one), _half_open(other))


def _half_open(span: Span) -> _Ends:
    return (
        -_INFINITY if span.first is None else span.first,
        _INFINITY if span.last is None else span.last + 1,
    )


def _basic(one: _Ends, other: _Ends) -> Relation:
    """The letter of two half-open intervals, from the order of their four ends."""
    (start, end), (start2, end2) = one, other
    if end < start2 or end2 < start:
        return "p" if end < start2 else "P"
    if end == start2 or end2 == start:
        return "m" if end == start2 else "M"
    if start == start2:
        return "e" if end == end2 else "s" if end < end2 else "S"
    if end == end2:
        return "f" if start > start2 else "F"
    if start < start2:
        return "o" if end < end2 else "D"
    return "d" if end < end2 else "O"


def canonical(letters: Iterable[str]) -> Relation:
    """The letters in canonical order, each once; ValueError for one that is none of the thirteen."""
    wanted = set(letters)
    unknown = wanted.difference(ORDER)
    if unknown:
        raise ValueError(f"'{''.join(sorted(unknown))}' is no relation: expected letters of {ORDER}.")
    return "".join(letter for letter in ORDER if letter in wanted)


def converse(known: Relation) -> Relation:
    """What holds from the second to the first, where `known` holds from the first to the second."""
    return canonical("e" if letter == "e" else letter.swapcase() for letter in known)


def compose(first: Relation, second: Relation) -> Relation:
    """What may hold from A to C, where `first` holds from A to B and `second` from B to C."""
    table = _table()
    return canonical(letter for pair in product(first, second) for letter in table[pair])


@cache
def _table() -> dict[tuple[Relation, Relation], Relation]:
    """The composition of every two basic relations, worked out on small intervals.

    Three intervals have six ends, so ends from 0 to 5 show every order in which they can stand.
    """
    intervals: list[_Ends] = list(combinations(range(6), 2))
    found: dict[tuple[Relation, Relation], set[Relation]] = {}
    for one, two, three in product(intervals, repeat=3):
        pair = (_basic(one, two), _basic(two, three))
        found.setdefault(pair, set()).add(_basic(one, three))
    return {pair: canonical(letters) for pair, letters in found.items()}
