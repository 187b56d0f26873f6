"""What a number or a name says of time: who bore it only from one day to another was called so between them.

A line was at work with a name of its own time: its fitment began before the name was given up and ended
after it was taken, a month's looseness at either end. With the line's own dates these are constraints of a
small network, and where they close a negative cycle the date and the row of the table can't both be true,
if the one who is meant is meant.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

from numbertaker.evidence.records import CellKey
from numbertaker.linking import Index, Sort
from numbertaker.linking.index import MEETING, Borne
from numbertaker.reconciling.entries import DateClaim, Draft, Entry, Stay
from numbertaker.reconciling.network.conflicts import Conflict, one_conflict
from numbertaker.reconciling.network.temporal import Constraint, Network, between
from numbertaker.reconciling.pairing import references

_ORIGIN: Final = "origin"
_SORTS: Final[tuple[Sort, Sort]] = ("engine", "component")


class OutOfSpan(NamedTuple):
    """A date of a line that lies before or after the span of what it names somebody by, and the conflict."""

    claim: DateClaim
    borne: Borne
    conflict: Conflict[str, CellKey | str]

    @property
    def days(self) -> int:
        """By how many days they miss, the month's looseness taken off."""
        return int(self.conflict.days)


def row_of(borne: Borne) -> str:
    """The row of the table of designations, as findings name it."""
    return f"designations:{borne.subject_id}/{borne.scheme}/{borne.value}"


def bounds(event: str, borne: Borne) -> tuple[int | None, int | None]:
    """Between which days an event lies of a fitment that was called so: begun before the end, ended after the
    beginning.
    """
    return (None, borne.last + MEETING) if event == "fitted" else (borne.first - MEETING, None)


def out_of_span(entry: Entry, borne: Borne) -> OutOfSpan | None:
    """The date of a line that can't be true of somebody whom it names by what was not borne then."""
    for event in ("fitted", "removed"):
        claim = entry.date(event)
        if claim is not None:
            first, last = bounds(event, borne)
            constraints: list[Constraint[str, CellKey | str]] = []
            constraints += between(_ORIGIN, event, claim.first, claim.last, claim.key)
            constraints += between(_ORIGIN, event, first, last, row_of(borne))
            conflict = one_conflict(Network(constraints))
            if conflict is not None:
                return OutOfSpan(claim, borne, conflict)
    return None


def named_by(draft: Draft, stay: Stay, least: float) -> Iterator[Borne]:
    """What the lines of a stay name its engine and its component by, letter for letter, where that was borne
    for a part of a life only and it is at least so sure that the two are meant.
    """
    for sort in _SORTS:
        subject, sure = (
            (stay.engine_id, stay.engine_sure)
            if sort == "engine"
            else (stay.component_id, stay.component_sure)
        )
        if subject is not None and sure >= least and _changes(draft.index, subject):
            for entry in stay.entries:
                if entry.side != sort and not entry.copy and sort not in entry.heads:
                    found = references(draft, entry, sort).get(subject)
                    if found is not None and found.exact and found.borne is not None:
                        yield found.borne


def _changes(index: Index, subject: str) -> bool:
    """Whether anything was borne for a part of a life only."""
    life = index.life(subject)
    return any(b.first > life.first or b.last < life.last for b in index.borne_by(subject))
