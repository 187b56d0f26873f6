"""Who else speaks of the same thing, in numbers and in words."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Final, NamedTuple, TypeVar

from numbertaker.reconciling.entries import Entry, Stay
from numbertaker.reconciling.weighing.terms import Term

T = TypeVar("T")
_COUNTS: Final = ("no", "one", "two", "three", "four", "five", "six")


class Voices(NamedTuple):
    """How many other sources agree with a cell, and how many contradict it; copies are counted apart."""

    agree: int = 0
    against: int = 0
    copies_agree: int = 0
    copies_against: int = 0

    def words(self, what: str) -> str:
        """In a sentence: 'one other independent source agrees on the figure'."""
        told = [
            f"{count(n)} other independent source{'s' if n > 1 else ''} {verb} {what}"
            for n, verb in (
                (self.agree, "agrees on" if self.agree == 1 else "agree on"),
                (self.against, "contradicts" if self.against == 1 else "contradict"),
            )
            if n
        ]
        told += [
            f"{count(n)} cop{'y' if n == 1 else 'ies'} {'has' if n == 1 else 'have'} {verb}"
            for n, verb in ((self.copies_agree, "the same"), (self.copies_against, "something else"))
            if n
        ]
        return ", ".join(told) or f"nobody else speaks of {what}"


@lru_cache(maxsize=1024)
def voice_terms(told: Voices, what: str) -> tuple[Term, ...]:
    """The counts as terms of the row of agreement."""
    counts = (
        ("against", min(3, told.against)),
        ("alone", not told.agree and not told.against),
        ("copies agree", min(2, told.copies_agree)),
        ("copies against", min(2, told.copies_against)),
    )
    return (
        Term("agree", float(min(3, told.agree)), "agreement", told.words(what)),
        *(Term(name, float(number), "agreement") for name, number in counts if number),
    )


def count(number: int) -> str:
    """A small number in words."""
    return _COUNTS[number] if number < len(_COUNTS) else str(number)


def others(stay: Stay, entry: Entry) -> list[Entry]:
    """Who else speaks of a stay: not the entry's double, and no copy of a copy that is there."""
    every = stay.entries
    return [
        other
        for other in every
        if other is not entry
        and other.twin is not entry
        and entry.twin is not other
        and not (other.copy and echoes(every, other))
    ]


def echoes(entries: list[Entry], entry: Entry) -> bool:
    """Whether an entry was copied from a copy that is among these, and so tells nothing new."""
    parents = entry.source.parents
    return any(e.copy and e is not entry and e.line.source_id in parents for e in entries)


def voices(
    fellows: list[Entry], mine: T, said: Callable[[Entry], T | None], same: Callable[[T, T], bool]
) -> Voices:
    """Count those who say the same as a cell does, and those who say otherwise."""
    counts = [0, 0, 0, 0]
    for other in fellows:
        theirs = said(other)
        if theirs is not None:
            counts[2 * other.copy + (not same(mine, theirs))] += 1
    return Voices(*counts)
