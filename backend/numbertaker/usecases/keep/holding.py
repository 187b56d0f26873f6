"""An archive as the formats for keeping need it: one state, and the size of every page in pixels."""

from __future__ import annotations

from typing import Final

import numbertaker
from numbertaker.archive import Archive, CardScan
from numbertaker.evidence.errors import NotFound, Unreadable
from numbertaker.publishing.keeping.values import ADDRESS, Holding, PageReading, ScanFile, ShownPage
from numbertaker.usecases.look.drawing import Drawer
from numbertaker.usecases.reconcile import current, state_of

PROGRAM: Final = f"Numbertaker {numbertaker.__version__}"
_DIGEST_SHOWN: Final = 16
_ONE_PAGE: Final = 1
"""No more than the page at hand need stay decoded."""


def holding(archive: Archive, address: str = ADDRESS) -> Holding:
    """The archive as it now stands; `Unreadable` names a scan whose pages can't be opened."""
    return Holding(
        evidence=archive.evidence(),
        ruled=archive.ruled(),
        history=current(archive),
        scans=scan_files(archive),
        pages=shown_pages(archive),
        readings=page_readings(archive),
        program=PROGRAM,
        state=archive.memo("state-kept", lambda: _state(archive)),
        address=address.rstrip("/"),
    )


def _state(archive: Archive) -> str:
    """The name of the state that is kept: a digest of all that a history is made of."""
    return f"sha256:{state_of(archive)[:_DIGEST_SHOWN]}"


def scan_files(archive: Archive) -> tuple[ScanFile, ...]:
    """The scans as values of the lower floor."""
    return tuple(
        ScanFile(s.sha256, s.name, s.media_type, s.pages, s.bytes_, s.by, s.at) for s in archive.scans()
    )


def page_readings(archive: Archive) -> tuple[PageReading, ...]:
    """The latest reading of each page, in the order of the cards."""
    return tuple(
        PageReading(r.card_id, r.sha256, r.page, r.recogniser, r.at, r.body) for r in archive.card_readings()
    )


def shown_pages(archive: Archive) -> tuple[ShownPage, ...]:
    """The pages that show cards with their sizes; `Unreadable` names a scan that can't be opened."""
    return archive.memo("shown-pages", lambda: _pages(archive))


def _pages(archive: Archive) -> tuple[ShownPage, ...]:
    names = {scan.sha256: scan.name for scan in archive.scans()}
    drawer = Drawer(archive, drawn_bytes=_ONE_PAGE, decoded_bytes=_ONE_PAGE)
    try:
        return tuple(
            ShownPage(p.card_id, p.sha256, p.page, p.position, _size(drawer, names[p.sha256], p))
            for p in archive.card_scans()
        )
    finally:
        drawer.close()


def _size(drawer: Drawer, name: str, page: CardScan) -> tuple[int, int]:
    """The size of a page; the scan is named where its file is gone."""
    try:
        return drawer.size(page.sha256, page.page)
    except NotFound:
        raise Unreadable(name, "its file is no longer in the archive's folder") from None
