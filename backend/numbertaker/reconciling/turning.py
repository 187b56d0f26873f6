"""A settled draft turned to other lines or rulings: what is news in them."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from typing import Final, TypeVar

from numbertaker.evidence.decisions import Ruled
from numbertaker.reconciling.entries import Draft, Entry, News, nothing

Key = TypeVar("Key", bound=Hashable)
_TABLES: Final = ("sources", "cards", "engines", "components", "designations", "fits", "events")
"""What everything rests on: where one of these is another, all is worked out anew."""


def same_tables(draft: Draft, ruled: Ruled) -> bool:
    """Whether a draft rests on the same tables, so that only lines and rulings can be news."""
    before, now = draft.ruled.evidence, ruled.evidence
    pairs = [(getattr(before, table), getattr(now, table)) for table in _TABLES]
    return all(one is other or one == other for one, other in pairs)


def turn(draft: Draft, ruled: Ruled) -> None:
    """Lay other rulings and lines under a draft, and note which rulings are news."""
    before, draft.ruled = draft.ruled, ruled
    draft.news = News()
    cells = [
        *_differing(before.links, ruled.links),
        *(before.believed ^ ruled.believed),
        *(before.set_aside ^ ruled.set_aside),
    ]
    draft.news.cells = dict.fromkeys(sorted(cells, key=str))
    draft.news.settled = dict.fromkeys(_differing(before.settled, ruled.settled))
    draft.news.spoken = dict.fromkeys(_differing(before.by_cell, ruled.by_cell))
    draft.news.looked = dict.fromkeys(_differing(before.looked, ruled.looked))


def let_go_of_old(draft: Draft) -> None:
    """Undo what points back and forth between values that are no more, so that they go at once, and not when
    somebody looks for garbage among all that a program holds.
    """
    for entry in draft.news.gone:
        entry.events = nothing()
        _loosen(entry)
    for stay in draft.news.left:
        if stay not in draft.stays:
            stay.events, stay.made = nothing(), ()


def let_go(draft: Draft) -> None:
    """The same for all values of a draft."""
    untie(draft)
    for entry in draft.entries:
        _loosen(entry)
    draft.pairs = draft.notes = None


def _loosen(entry: Entry) -> None:
    """Let go of the stay and of the other lines that an entry points to."""
    entry.stay, entry.twin, entry.beside, entry.heads = None, None, None, nothing()


def untie(draft: Draft) -> None:
    """Let go of events and of what ties them to one another."""
    for entry in draft.entries:
        entry.events = nothing()
    for stay in draft.stays:
        for event in stay.made:
            event.links = []
        stay.events, stay.made = nothing(), ()


def _differing(one: Mapping[Key, object], other: Mapping[Key, object]) -> Iterator[Key]:
    """The keys under which two tables have something else."""
    missing = object()
    for key in {**one, **other}:
        if one.get(key, missing) != other.get(key, missing):
            yield key
