"""Who else speaks of the same thing, in numbers and in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Final, NamedTuple, TypeVar

from numbertaker.reconciling.entries import Entry, Stay
from numbertaker.reconciling.weighing.terms import Term

T = TypeVar("T")
_COUNTS: Final = ("no", "one", "two", "three", "four", "five", "six")


class Voices(NamedTuple):
    """How many other sources agree with a cell, and how many contradict it; copies are counted apart.

    `loosely` are those that leave open so much that they could hardly have contradicted it.
    """

    agree: int = 0
    against: int = 0
    copies_agree: int = 0
    copies_against: int = 0
    loosely: int = 0

    def but_for(self, agree: int, against: int) -> Voices:
        """Without so many copies that agree, and so many that contradict."""
        return self._replace(
            copies_agree=max(0, self.copies_agree - agree),
            copies_against=max(0, self.copies_against - against),
        )

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
        if self.loosely:
            told.append(f"{count(self.loosely)} less exact {_are(self.loosely)} not against it")
        return ", ".join(told) or f"nobody else speaks of {what}"


@lru_cache(maxsize=1024)
def voice_terms(told: Voices, what: str, counted: Voices | None = None) -> tuple[Term, ...]:
    """The counts as terms of the row of agreement. All are told of; `counted` are those that are weighed
    here, where copies are weighed elsewhere.
    """
    words, told = told.words(what), counted or told
    counts = (
        ("against", min(3, told.against)),
        ("loosely", min(2, told.loosely)),
        ("alone", not told.agree and not told.against and not told.loosely),
        ("copies agree", min(2, told.copies_agree)),
        ("copies against", min(2, told.copies_against)),
    )
    return (
        Term("agree", float(min(3, told.agree)), "agreement", words),
        *(Term(name, float(number), "agreement") for name, number in counts if number),
    )


def _are(number: int) -> str:
    return "is" if number == 1 else "are"


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


def made_from(entries: list[Entry]) -> list[tuple[Entry, Entry]]:
    """Each copy among these with the original among these that it was made from."""
    copies = [entry for entry in entries if entry.copy]
    return [
        (copy, original)
        for copy in copies
        for original in entries
        if not original.copy and original.line.source_id in copy.source.parents
    ]


def voices(
    fellows: list[Entry],
    mine: T,
    said: Callable[[Entry], T | None],
    same: Callable[[T, T], bool],
    loose: Callable[[T, T], bool] | None = None,
) -> Voices:
    """Count those who say the same as a cell does, and those who say otherwise; apart those who say it too
    loosely.
    """
    counts = [0, 0, 0, 0, 0]
    for other in fellows:
        theirs = said(other)
        if theirs is None:
            continue
        alike = same(mine, theirs)
        if alike and loose is not None and loose(mine, theirs):
            counts[4] += 1
        else:
            counts[2 * other.copy + (not alike)] += 1
    return Voices(*counts)


def read_alike(
    made: Iterable[tuple[Entry, Entry]],
    mine: T,
    said: Callable[[Entry], T | None],
    same: Callable[[T, T], bool],
) -> tuple[list[Entry], list[Entry]]:
    """The copies that have the same as their original that is here, which shows no more than that it was read
    rightly: those whose original says what a cell says, and those whose original says otherwise.
    """
    alike: tuple[list[Entry], list[Entry]] = ([], [])
    for copy, original in made:
        theirs, copied = said(original), said(copy)
        if theirs is not None and copied is not None and same(theirs, copied):
            alike[not same(mine, theirs)].append(copy)
    return alike
