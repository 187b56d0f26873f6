"""What the archive's desk says before anything goes out for keeping."""

from __future__ import annotations

from dataclasses import dataclass

from numbertaker.archive import Archive
from numbertaker.usecases.keep.lacking import lacking


@dataclass(frozen=True, slots=True)
class UnstatedRights:
    """A source with scans that states no rights."""

    source_id: str
    title: str


@dataclass(frozen=True, slots=True)
class KeepView:
    """What stands in the way of a bag, and what it would hold.

    `lost` says in a sentence each which scans are gone; `no_rights` are the sources with scans that state no
    rights; `not_taken_in` the scans that cards name and that were never taken in.
    """

    lost: list[str]
    no_rights: list[UnstatedRights]
    not_taken_in: list[str]
    scans: int
    octets: int
    pages_read: int


def keep_view(archive: Archive) -> KeepView:
    """Look at what there is; no scan is opened."""
    found = lacking(archive)
    return KeepView(
        lost=[str(problem) for problem in found.lost],
        no_rights=[UnstatedRights(source.source_id, source.title) for source in found.no_rights],
        not_taken_in=list(found.not_taken_in),
        scans=len(archive.scans()),
        octets=sum(scan.bytes_ for scan in archive.scans()),
        pages_read=len(archive.card_readings()),
    )
