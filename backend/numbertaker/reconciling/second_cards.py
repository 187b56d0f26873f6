"""A second card of one engine or component, kept by another office, and what its lines tell of anew.

A shed kept cards of engines that the works had cards of too, a ledger was written up beside the components'
own cards. The fullest of them (an original before a copy) is held against the other side, one line to one
line; a line of another that tells of the same fitment stands beside it as a further witness. What the fullest
lacks is left to be paired as any line is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import TypeAlias

from numbertaker.evidence.designations import WrittenNumber
from numbertaker.reconciling.entries import Draft, Entry
from numbertaker.reconciling.odds import dates_weight, miles_weight

Subject: TypeAlias = tuple[str, str]
"""The side of a card, and whose card it is."""
_ENOUGH = 7.0
_SAME_NAME, _OTHER_NAME = 3.0, -5.0
_DATES_AGAINST = -6.0


class Offices:
    """The lines about each engine and component, by the source whose card of it they stand on."""

    def __init__(self) -> None:
        """Start with none."""
        self.of: dict[Subject, dict[Entry, None]] = {}
        self._subject: dict[Entry, Subject] = {}

    def renew(self, draft: Draft) -> list[Subject]:
        """Take in what is new; whose cards have news."""
        touched: dict[Subject, None] = {}
        for entry in (*draft.news.gone, *draft.news.entries):
            known = self._subject.pop(entry, None)
            if known is not None:
                del self.of[known][entry]
                touched[known] = None
        for entry in draft.news.entries:
            subject = entry.engine_id if entry.side == "engine" else entry.component_id
            if entry.says == "fitment" and entry.twin is None and entry.side != "statement" and subject:
                self._subject[entry] = entry.side, subject
                self.of.setdefault((entry.side, subject), {})[entry] = None
                touched[entry.side, subject] = None
        return list(touched)


def lay_beside(draft: Draft) -> None:
    """Mark each line of a second card with the line of the fullest that tells of the same fitment."""
    offices = draft.offices = draft.offices or Offices()
    beside: dict[Entry, Entry | None] = {
        entry: None for entry in draft.news.entries if entry.says == "fitment" and entry.side != "statement"
    }
    for subject in offices.renew(draft):
        cards: dict[str, list[Entry]] = defaultdict(list)
        for entry in sorted(offices.of[subject], key=lambda e: e.rank):
            cards[entry.line.source_id].append(entry)
            beside[entry] = None
        if len(cards) > 1:
            fullest, *others = sorted(cards.values(), key=_fullest)
            for entries in others:
                beside.update(_laid(fullest, entries))
    for entry, other in beside.items():
        if entry.beside is not other:
            entry.beside = other
            draft.news.entries[entry] = None


def _fullest(entries: list[Entry]) -> tuple[bool, int, str]:
    return (entries[0].copy, -len(entries), entries[0].line.source_id)


def _laid(fullest: Iterable[Entry], entries: Iterable[Entry]) -> dict[Entry, Entry | None]:
    """Match the lines of two cards one to one, the likeliest pairs first: whichever a line stands beside."""
    both = [(_alike(one, other), one, other) for one in fullest for other in entries]
    pairs = [pair for pair in both if pair[0] > 0]
    found: dict[Entry, Entry | None] = {}
    taken: set[str] = set()
    for _, one, other in sorted(pairs, key=lambda p: (-p[0], p[1].rank, p[2].rank)):
        if other not in found and one.id not in taken:
            found[other] = one
            taken.add(one.id)
    return found


def _alike(one: Entry, other: Entry) -> float:
    """What two lines have in common beyond what makes them one fitment, in log2 odds.

    Dates count for what they are worth, but no further against than one that was misread: the miles may
    still be the very same.
    """
    dates = max(_DATES_AGAINST, dates_weight(one, other))
    name = _SAME_NAME if _named(one) == _named(other) else _OTHER_NAME
    return dates + miles_weight(one.miles, other.miles) + name - _ENOUGH


def _named(entry: Entry) -> str:
    written: WrittenNumber | None = entry.component if entry.side == "engine" else entry.engine
    return written.bare if written else ""
