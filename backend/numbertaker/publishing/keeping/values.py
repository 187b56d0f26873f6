"""What the formats for keeping are made of: the evidence, its history, and the scans with what was read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from numbertaker.evidence.decisions import Ruled
from numbertaker.evidence.records import Card, Evidence, Line, Source
from numbertaker.publishing.keeping.places import Place, places_of
from numbertaker.reconciling.history import History

ADDRESS: Final = "http://127.0.0.1:8000/api"
"""Where `numbertaker serve` answers unless told otherwise: what is named below it can be fetched there."""


@dataclass(frozen=True, slots=True)
class ScanFile:
    """A scan as it came: its digest, the name it had, its kind and size, who took it in and when."""

    sha256: str
    name: str
    media_type: str
    pages: int
    bytes_: int
    by: str = ""
    at: str = ""


@dataclass(frozen=True, slots=True)
class ShownPage:
    """A page of a scan that shows a card; `size` is width and height in pixels, right way up."""

    card_id: str
    sha256: str
    page: int
    position: int
    size: tuple[int, int]


@dataclass(frozen=True, slots=True)
class PageReading:
    """What one recogniser read on one page of a card: `body` is an object of 'cards as read'."""

    card_id: str
    sha256: str
    page: int
    recogniser: str
    at: str
    body: Mapping[str, Any]


@dataclass(frozen=True)
class Holding:
    """One state of an archive, as the formats for keeping need it.

    `evidence` has the rows as they came, `ruled` the same with the decisions followed; `readings` the
    latest reading of each page. `program` is the program with its version, `state` the digest of evidence
    and decisions, `address` the URL below which everything is named.
    """

    evidence: Evidence
    ruled: Ruled
    history: History
    scans: tuple[ScanFile, ...]
    pages: tuple[ShownPage, ...]
    readings: tuple[PageReading, ...]
    program: str
    state: str
    address: str = ADDRESS

    @cached_property
    def scan_of(self) -> Mapping[str, ScanFile]:
        """The scans by digest."""
        return {scan.sha256: scan for scan in self.scans}

    @cached_property
    def cards(self) -> Mapping[str, Card]:
        """The cards by id, with the decisions followed."""
        return {card.card_id: card for card in self.ruled.evidence.cards}

    @cached_property
    def sources(self) -> Mapping[str, Source]:
        """The sources by id, with the decisions followed."""
        return {source.source_id: source for source in self.ruled.evidence.sources}

    @cached_property
    def lines(self) -> Mapping[str, Line]:
        """The lines by id, with the decisions followed."""
        return {line.line_id: line for line in self.ruled.evidence.lines}

    @cached_property
    def places(self) -> Mapping[str, Place]:
        """Where each line stands, for those of which it is known."""
        names = {scan.sha256: scan.name for scan in self.scans}
        shown = [(page.card_id, page.sha256, page.page, page.size) for page in self.pages]
        read = [(one.sha256, one.page, one.body) for one in self.readings]
        return places_of(self.ruled.evidence.lines, shown, names, read)

    @cached_property
    def pages_of(self) -> Mapping[str, list[ShownPage]]:
        """The pages that show cards of each source, in the order of the cards."""
        found: dict[str, list[ShownPage]] = {}
        for page in self.pages:
            card = self.cards.get(page.card_id)
            if card is not None:
                found.setdefault(card.source_id, []).append(page)
        return found

    @cached_property
    def lines_on(self) -> Mapping[tuple[str, int, str], list[str]]:
        """The lines that have a place, by scan, page and card."""
        found: dict[tuple[str, int, str], list[str]] = {}
        for line_id, place in self.places.items():
            where = (place.sha256, place.page, self.lines[line_id].card_id)
            found.setdefault(where, []).append(line_id)
        return found

    @cached_property
    def read_on(self) -> Mapping[tuple[str, int, str], PageReading]:
        """The latest reading by scan, page and card."""
        return {(one.sha256, one.page, one.card_id): one for one in self.readings}
