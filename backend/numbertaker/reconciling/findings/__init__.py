"""The findings, a small file for each family; `FAMILIES` says in which order they look.

One fault should make one finding, of the kind nearest to its cause. So a family that explains a cell marks it
as spoken for, and a later family passes over what an earlier one explained.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from numbertaker.reconciling.entries import Draft
from numbertaker.reconciling.findings import chronology, gaps, links, miles, readings
from numbertaker.reconciling.findings.notes import Notes

Family = Callable[[Draft, Notes], None]

FAMILIES: Final[tuple[Family, ...]] = (
    links.find,
    chronology.find,
    miles.find,
    gaps.find,
    readings.find,
)


def find_everything(draft: Draft) -> None:
    """Let every family look, in order."""
    notes = Notes(draft)
    for family in FAMILIES:
        family(draft, notes)
