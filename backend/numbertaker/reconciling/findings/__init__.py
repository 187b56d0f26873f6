"""The findings, a small file for each family; `FAMILIES` says in which order they look.

One fault should make one finding, of the kind nearest to its cause. So a family that explains a cell marks it
as spoken for, and a later family passes over what an earlier one explained. Only what is news is looked at
again, and that of which others explain the cells otherwise than before.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from numbertaker.reconciling.entries import Draft
from numbertaker.reconciling.findings import chronology, gaps, links, miles, readings, totals
from numbertaker.reconciling.findings.due import Due
from numbertaker.reconciling.findings.notes import Notes

Family = Callable[[int, Draft, Notes, Due], None]

FAMILIES: Final[tuple[Family, ...]] = (
    links.of_headings,
    links.of_stays,
    chronology.backwards,
    chronology.suspects,
    chronology.sightings,
    miles.conflicts,
    totals.of_columns,
    miles.rates,
    gaps.missing_partners,
    gaps.of_components,
    gaps.of_engines,
    readings.of_cards,
)


def find_everything(draft: Draft) -> None:
    """Let every family look, in order."""
    notes = draft.notes = draft.notes or Notes(draft)
    due = Due(draft, notes, len(FAMILIES))
    for place, family in enumerate(FAMILIES):
        due.take(notes.remarked)
        notes.remarked.clear()
        family(place, draft, notes, due)
    notes.remarked.clear()
    notes.close()
