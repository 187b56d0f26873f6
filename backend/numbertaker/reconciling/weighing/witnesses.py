"""Who else speaks of the same thing, in numbers and in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, TypeVar

from numbertaker.reconciling.entries import Entry, Stay
from numbertaker.reconciling.weighing.terms import Term

T = TypeVar("T")
_COUNTS: Final = ("no", "one", "two", "three", "four", "five", "six")


@dataclass(frozen=True, slots=True)
class Voices:
    """How many other sources agree with a cell, and how many contradict it; copies are counted apart."""

    agree: int = 0
    against: int = 0
    copies_agree: int = 0
    copies_against: int = 0

    def words(self, what: str) -> str:
        """In a sentence: 'one other independent source gives the same figure'."""
        told = [
            f"{count(n)} other independent source{'s' if n > 1 else ''} {verb} {what}"
            for n, verb in (
                (self.agree, "agrees on" if self.agree == 1 else "agree on"),
                (self.against, "contradicts" if self.against == 1 else "contradict"),
            )
            if n
        ]
        if self.copies_agree or self.copies_against:
            n, verb = (self.copies_agree, "has") if self.copies_agree else (self.copies_against, "has not")
            have = verb if n == 1 else verb.replace("has", "have")
            told.append(f"{count(n)} cop{'y' if n == 1 else 'ies'} {have} the same")
        return ", ".join(told) or f"nobody else speaks of {what}"

    def terms(self, what: str) -> list[Term]:
        """The counts as terms of the row of agreement."""
        return [
            Term("agree", float(min(3, self.agree)), "agreement", self.words(what)),
            Term("against", float(min(3, self.against)), "agreement"),
            Term("alone", float(not self.agree and not self.against), "agreement"),
            Term("copies agree", float(min(2, self.copies_agree)), "agreement"),
            Term("copies against", float(min(2, self.copies_against)), "agreement"),
        ]


def count(number: int) -> str:
    """A small number in words."""
    return _COUNTS[number] if number < len(_COUNTS) else str(number)


def echoes(stay: Stay, entry: Entry) -> bool:
    """Whether an entry was copied from a copy that speaks of the same fitment, and so tells nothing new."""
    return entry.copy and any(
        other.copy and other is not entry and other.line.source_id in entry.source.parents
        for other in stay.entries
    )


def voices(
    stay: Stay, entry: Entry, mine: T, said: Callable[[Entry], T | None], same: Callable[[T, T], bool]
) -> Voices:
    """Count those who say the same of a stay as this entry does, and those who say otherwise."""
    counts = {(copy, agrees): 0 for copy in (False, True) for agrees in (False, True)}
    for other in stay.entries:
        same_again = other is entry or other.twin is entry or entry.twin is other
        theirs = None if same_again or echoes(stay, other) else said(other)
        if theirs is not None:
            counts[other.copy, same(mine, theirs)] += 1
    return Voices(counts[False, True], counts[False, False], counts[True, True], counts[True, False])
