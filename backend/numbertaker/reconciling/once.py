"""A reconciliation that nothing is gone on from: what only an edit would ask for is let go of after each
step, and the history is given component by component, so that no more of it is in memory than is worked on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from numbertaker.evidence.clerkdates import forget_dates
from numbertaker.evidence.figures import read_figure
from numbertaker.reconciling.assembly import component_of, rest_of
from numbertaker.reconciling.chronology import date_stays
from numbertaker.reconciling.claims import read_lines
from numbertaker.reconciling.confidence import LEAST
from numbertaker.reconciling.copies import attach_statements
from numbertaker.reconciling.entries import Draft, Entry
from numbertaker.reconciling.findings import find_everything
from numbertaker.reconciling.gathering import Gathered
from numbertaker.reconciling.headings import link_headings
from numbertaker.reconciling.history import CellMeaning, ComponentHistory, History
from numbertaker.reconciling.mileage import reckon_miles
from numbertaker.reconciling.pairing import pair_sides
from numbertaker.reconciling.placing import place_stays
from numbertaker.reconciling.turning import let_go, untie


def let_go_after(step: Callable[[Draft], None], draft: Draft) -> None:
    """Let go of what no later step asks for once a step is done."""
    if step is read_lines:
        draft.lines, draft.lines_of = {}, {}
        forget_dates()
        read_figure.cache_clear()
    elif step is link_headings:
        draft.facing = None
    elif step is pair_sides:
        draft.pairs = draft.offices = None
    elif step is attach_statements:
        draft.statements = None
    elif step is place_stays:
        draft.slots = None
        _let_go_of_unlikely(draft)
    elif step is date_stays:
        draft.chains = None
    elif step is reckon_miles:
        for stay in draft.stays:
            stay.weighed = None
    elif step is find_everything:
        draft.notes = draft.suspects = draft.ladders = None
        draft.columns, draft.missing = {}, {}
        untie(draft)


def _let_go_of_unlikely(draft: Draft) -> None:
    """Let go of whom the cells hardly mean: once all is placed, nobody asks for them."""
    for entry in draft.entries:
        stay = entry.stay
        if entry.engine_refs is not None:
            entry.engine_refs = entry.engine_refs.likely(LEAST, stay.engine_id if stay is not None else None)
        if entry.component_refs is not None:
            wanted = stay.component_id if stay is not None else None
            entry.component_refs = entry.component_refs.likely(LEAST, wanted)
    draft.index.forget()


class InParts:
    """The history of a settled draft, put together once, part by part."""

    def __init__(self, draft: Draft) -> None:
        """Gather everything but the cells."""
        self._draft = draft
        self._gathered = _Passing(draft)

    def components(self) -> Iterator[ComponentHistory]:
        """The history of every component of the tables, in the order of their ids."""
        for name in sorted(self._draft.index.components):
            yield component_of(self._draft, name, self._gathered)

    def rest(self) -> History:
        """What belongs to no component."""
        return rest_of(self._draft, self._gathered)

    def let_go(self) -> None:
        """Let go of the draft once all parts are taken."""
        let_go(self._draft)

    def whole(self) -> History:
        """All of it."""
        history = replace(self.rest(), components=tuple(self.components()))
        self.let_go()
        return history


class _Passing(Gathered):
    """What a history is put together from, where the cells of a line are read off when its component is."""

    def __init__(self, draft: Draft) -> None:
        """Gather everything else."""
        super().__init__()
        self._draft = draft
        self.renew(draft)

    def cells_of(self, entry: Entry) -> list[CellMeaning]:
        """What the cells of a line mean."""
        return self.read_off(self._draft, entry)

    def keep_cells(self, draft: Draft, entry: Entry) -> None:
        """Keep none."""
