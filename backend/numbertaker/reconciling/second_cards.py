"""A second card of one engine or component, kept by another office, and what its lines tell of anew.

A shed kept cards of engines that the works had cards of too, a ledger was written up beside the components'
own cards. The fullest of them (an original before a copy) is held against the other side, one line to one
line; a line of another that tells of the same fitment stands beside it as a further witness. What the fullest
lacks is left to be paired as any line is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from numbertaker.evidence.designations import WrittenNumber
from numbertaker.reconciling.entries import Draft, Entry
from numbertaker.reconciling.odds import dates_weight, miles_weight

_ENOUGH = 7.0
_SAME_NAME, _OTHER_NAME = 3.0, -5.0
_DATES_AGAINST = -6.0


def lay_beside(draft: Draft) -> None:
    """Mark each line of a second card with the line of the fullest that tells of the same fitment."""
    for offices in _by_subject(draft).values():
        if len(offices) > 1:
            fullest, *others = sorted(offices.values(), key=_fullest)
            for entries in others:
                _lay(fullest, entries)


def _by_subject(draft: Draft) -> dict[tuple[str, str], dict[str, list[Entry]]]:
    """The lines about each engine and component, by the source whose card of it they stand on."""
    found: dict[tuple[str, str], dict[str, list[Entry]]] = defaultdict(lambda: defaultdict(list))
    for entry in draft.entries:
        subject = entry.engine_id if entry.side == "engine" else entry.component_id
        if entry.says == "fitment" and entry.twin is None and entry.side != "statement" and subject:
            found[entry.side, subject][entry.line.source_id].append(entry)
    return found


def _fullest(entries: list[Entry]) -> tuple[bool, int, str]:
    return (entries[0].copy, -len(entries), entries[0].line.source_id)


def _lay(fullest: Iterable[Entry], entries: Iterable[Entry]) -> None:
    """Match the lines of two cards one to one, the likeliest pairs first."""
    both = [(_alike(one, other), one, other) for one in fullest for other in entries]
    pairs = [pair for pair in both if pair[0] > 0]
    taken: set[str] = set()
    for _, one, other in sorted(pairs, key=lambda p: (-p[0], p[1].rank, p[2].rank)):
        if other.beside is None and one.id not in taken:
            other.beside = one
            taken.add(one.id)


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
