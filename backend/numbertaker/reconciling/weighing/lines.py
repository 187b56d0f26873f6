"""What the line of a cell is worth as a whole: who it is tied to, and how well the rest of it stands."""

from __future__ import annotations

from functools import lru_cache
from math import log2
from typing import Final

from numbertaker.reconciling.dating.regions import mass_in
from numbertaker.reconciling.entries import EVENTS, Entry, Stay
from numbertaker.reconciling.weighing.terms import Term, odds
from numbertaker.reconciling.weighing.witnesses import made_from, others

_SURE_PAIR = 40.0


class Whole:
    """One entry's line, worked out once for all its cells; `fellows` are who else speaks of the same stay,
    `made` the copies among all of them, each with its original that is there.
    """

    __slots__ = ("_dates", "_miles", "_shared", "fellows", "made")

    def __init__(self, entry: Entry) -> None:
        """Look at its source, at the stay that it tells of, and at each of its cells."""
        stay = entry.stay
        self._shared = source_terms(entry.source.kind, entry.copy)
        self._dates: dict[str, Term] = {}
        self._miles: Term | None = None
        self.fellows: list[Entry] = []
        self.made: list[tuple[Entry, Entry]] = []
        if stay is None:
            return
        self._shared += linked_terms(stay)
        self.fellows = others(stay, entry)
        self.made = made_from([entry, *self.fellows])
        for event in EVENTS:
            claim, known = entry.date(event), stay.dates.get(event)
            if claim is not None and known is not None and known.regions:
                sure = mass_in(known.regions, claim.spans)
                self._dates[event] = Term("other date", odds(sure), "agreement")
        if entry.miles is not None and stay.figures:
            sure = stay.figures.get(entry.miles.value, 0.0)
            self._miles = Term("its miles", odds(sure), "agreement")

    def terms(self, cell: str) -> list[Term]:
        """Its source and its links, and how well the cells beside the one named stand."""
        found = [*self._shared, *(term for event, term in self._dates.items() if event != cell)]
        if cell != "miles" and self._miles is not None:
            found.append(self._miles)
        return found


@lru_cache(maxsize=256)
def source_terms(kind: str, copy: bool) -> tuple[Term, ...]:
    """The kind of source, and whether it was copied from another."""
    plain = kind.replace("-", " ")
    name = "a copy" if copy else f"{'an' if plain[:1] in 'aeio' else 'a'} {plain}"
    return (Term("copy", float(copy), "source", name),)


def linked_terms(stay: Stay) -> tuple[Term, ...]:
    """How surely the line is tied to its component and engine."""
    return (
        Term("component", odds(stay.component_sure), "linked"),
        Term("engine", odds(stay.engine_sure), "linked"),
        *sides_terms(stay),
    )


def sides_terms(stay: Stay) -> list[Term]:
    """Whether both cards of a fitment are here, and how well they pair."""
    if stay.own is not None and stay.mirror is not None:
        found = [_BOTH, Term("pair", log2(max(1.0, min(_SURE_PAIR, stay.score))), "linked")]
    else:
        found = [_ONE_SIDE]
    if stay.hearsay:
        found.append(_HEARSAY)
    return found


_BOTH: Final = Term("one side", 0.0, "linked", "both cards of the fitment are here")
_ONE_SIDE: Final = Term("one side", 1.0, "linked", "one side of the fitment is here")
_HEARSAY: Final = Term("hearsay", 1.0, "linked", "no paper that knows for itself speaks of it")
