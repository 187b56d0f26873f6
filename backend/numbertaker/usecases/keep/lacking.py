"""What an archive lacks before it can be kept: scans that are gone, and sources that state no rights."""

from __future__ import annotations

from dataclasses import dataclass

from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput, Problem
from numbertaker.evidence.records import Source


@dataclass(frozen=True, slots=True)
class Lacking:
    """`lost` are scans whose file is gone or has another size; `no_rights` sources with scans and no rights.

    `not_taken_in` are scans that cards name and that were never taken in: a bag holds what the archive holds.
    """

    lost: tuple[Problem, ...]
    no_rights: tuple[Source, ...]
    not_taken_in: tuple[str, ...]


def lacking(archive: Archive) -> Lacking:
    """Look for everything that is missing; nothing but the sizes of the files is read."""
    return Lacking(tuple(_lost(archive)), tuple(_no_rights(archive)), tuple(_not_taken_in(archive)))


def check(found: Lacking, *, rights_not_stated: bool) -> None:
    """`BadInput` names each scan that is gone, and each source without rights unless that is allowed."""
    problems = list(found.lost)
    if not rights_not_stated:
        problems += [
            Problem(
                table="sources",
                column="rights",
                expected=f"the licence or the rights of source {source.source_id}, ‘{source.title}’, whose "
                "scans would be given out",
                found="",
            )
            for source in found.no_rights
        ]
    if problems:
        raise BadInput(problems=problems)


def _lost(archive: Archive) -> list[Problem]:
    problems = []
    for scan in archive.scans():
        place = archive.scan_path(scan.sha256)
        size = place.stat().st_size if place.is_file() else None
        if size != scan.bytes_:
            found = "no file" if size is None else f"a file of {size:,} bytes"
            expected = f"the {scan.bytes_:,} bytes that were taken in"
            problems.append(Problem(file=scan.name, expected=expected, found=found))
    return problems


def _no_rights(archive: Archive) -> list[Source]:
    evidence = archive.ruled().evidence
    cards = {card.card_id: card.source_id for card in evidence.cards}
    shown = {cards[page.card_id] for page in archive.card_scans() if page.card_id in cards}
    return [s for s in evidence.sources if s.source_id in shown and not s.rights.strip()]


def _not_taken_in(archive: Archive) -> list[str]:
    """The scans that cards name which have none here."""
    shown = {page.card_id for page in archive.card_scans()}
    return [
        f"card {card.card_id}: {card.scans}"
        for card in archive.ruled().evidence.cards
        if card.scans and card.card_id not in shown
    ]
