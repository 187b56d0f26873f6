"""Take scans in: kept byte for byte, each page tied to the card that it shows, the whole batch or nothing."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from typing import Final

from numbertaker.archive import Archive, Scan, Writer
from numbertaker.evidence.errors import BadInput, NotFound, Unreadable
from numbertaker.evidence.package.checking import faults
from numbertaker.evidence.records import Card, Evidence, Source
from numbertaker.reading.pages import LIMITS, is_heic, open_image, page_count

SUFFIXES: Final = frozenset((".jpg", ".jpeg", ".png", ".tif", ".tiff", ".heic", ".heif", ".pdf"))
"""The endings by which files of a folder are taken for scans."""
_SIGNS: Final = (
    (b"%PDF-", "application/pdf"),
    (b"\x89PNG", "image/png"),
    (b"\xff\xd8", "image/jpeg"),
    (b"II*\0", "image/tiff"),
    (b"MM\0*", "image/tiff"),
)
_PAGE: Final = re.compile(r"page=(\d+)")


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What came: pages of cards, scans that are new, and scans that were there already.

    `cards` has the ids of all cards shown, in order; `problems` what a person should look at.
    """

    cards: tuple[str, ...]
    scans: tuple[Scan, ...]
    known_already: tuple[str, ...]
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _File:
    """A file that was opened, found to be whole and kept."""

    sha256: str
    name: str
    media_type: str
    pages: int
    size: int


@dataclass(slots=True)
class _Batch:
    """What one call has come to so far, and the rules that it goes by."""

    writer: Writer
    evidence: Evidence
    source_id: str | None
    card_id: str | None
    shown: dict[tuple[str, int], str]
    taken: frozenset[str]
    cards: list[str] = field(default_factory=list)
    scans: list[Scan] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)


def take_in(
    archive: Archive,
    files: Sequence[Path],
    source_id: str | None = None,
    by: str = "",
    card_id: str | None = None,
    *,
    new_source: Source | None = None,
) -> TakenIn:
    """Take in files and folders of scans.

    A page falls to the card that `cards` names it for (by digest, else by name), else to `card_id`, else to a
    new card of the source. `new_source` is entered first. `Unreadable` names a file that can't be opened;
    `NotFound` a source or card that is not there; in either case nothing is taken in.
    """
    known = {scan.sha256: scan for scan in archive.scans()}
    new: list[str] = []
    try:
        opened = [_keep(archive, path, known, new) for path in _expand(files)]
        if not opened:
            endings = ", ".join(sorted(SUFFIXES))
            raise BadInput(
                f"No scans were found: expected files, or folders with files that end in {endings}."
            )
        with archive.writing() as writer:
            return _take(writer, opened, by, _Wanted(source_id, card_id, new_source))
    except BaseException:
        for sha256 in new:
            archive.scan_files.drop(sha256)
        raise


@dataclass(frozen=True, slots=True)
class _Wanted:
    """Where the scans belong, as far as the person said."""

    source_id: str | None
    card_id: str | None
    new_source: Source | None


def _expand(files: Iterable[Path]) -> Iterator[Path]:
    """The files named, and those of the folders named that look like scans, in the order of their names."""
    for path in files:
        if path.is_dir():
            yield from sorted(p for p in path.rglob("*") if p.is_file() and p.suffix.lower() in SUFFIXES)
        elif path.is_file():
            yield path
        else:
            raise BadInput(f"{path}: expected a file or a folder, found nothing there.")


def _keep(archive: Archive, path: Path, known: Mapping[str, Scan], new: list[str]) -> _File:
    """Read a file and keep its bytes; its digest goes to `new` if they were not there."""
    if path.stat().st_size > LIMITS.most_bytes:
        raise Unreadable(path.name, f"it is larger than the {LIMITS.most_bytes:,} bytes that are taken")
    data = path.read_bytes()
    before = known.get(hashlib.sha256(data).hexdigest())
    if before is not None:
        return _File(before.sha256, path.name, before.media_type, before.pages, before.bytes_)
    pages = page_count(data, name=path.name)
    signed = next((kind for sign, kind in _SIGNS if data.startswith(sign)), "application/octet-stream")
    media_type = "image/heic" if is_heic(data) else signed
    _decode(path.name, data, pages, media_type)
    sha256, is_new = archive.scan_files.put(data)
    if is_new:
        new.append(sha256)
    return _File(sha256, path.name, media_type, pages, len(data))


def _decode(name: str, data: bytes, pages: int, media_type: str) -> None:
    """Decode each page of a picture, so that a damaged one is refused at once; of a PDF the first."""
    last = 1 if media_type == "application/pdf" else pages
    for page in range(1, last + 1):
        open_image(data, page, name=name)


def _take(writer: Writer, files: Sequence[_File], by: str, wanted: _Wanted) -> TakenIn:
    at = datetime.now(UTC).isoformat(timespec="seconds")
    if wanted.new_source is not None:
        _enter(writer, wanted.new_source)
    evidence = writer.evidence()
    source_id = wanted.new_source.source_id if wanted.new_source else wanted.source_id
    _check_wanted(evidence, source_id, wanted.card_id)
    shown = {(s.sha256, s.page): s.card_id for s in writer.card_scans()}
    taken = frozenset(scan.sha256 for scan in writer.scans())
    batch = _Batch(writer, evidence, source_id, wanted.card_id, shown, taken)
    for file in files:
        scan = Scan(file.sha256, file.name, file.media_type, file.pages, file.size, by, at)
        if scan.sha256 in batch.taken or any(scan.sha256 == one.sha256 for one in batch.scans):
            batch.known.append(file.name)
        else:
            writer.add_scan(scan)
            batch.scans.append(scan)
        for page in range(1, file.pages + 1):
            _place(batch, scan, page)
    cards = tuple(dict.fromkeys(batch.cards))
    return TakenIn(cards, tuple(batch.scans), tuple(batch.known), tuple(batch.problems))


def _enter(writer: Writer, source: Source) -> None:
    """Put a new source into its table, if it is one that an import would take."""
    problems = faults(Source.TABLE, source)
    if problems:
        raise BadInput(problems=problems)
    if any(known.source_id == source.source_id for known in writer.evidence().sources):
        raise BadInput(
            table="sources", column="source_id", expected="an id of its own", found=source.source_id
        )
    writer.add(Source.TABLE, [source])


def _check_wanted(evidence: Evidence, source_id: str | None, card_id: str | None) -> None:
    sources = [source.source_id for source in evidence.sources]
    if source_id is not None and source_id not in sources:
        raise NotFound("source", source_id, near=sources[:5])
    if card_id is not None and not any(card.card_id == card_id for card in evidence.cards):
        raise NotFound("card", card_id)


def _place(batch: _Batch, scan: Scan, page: int) -> None:
    """Tie one page to its card."""
    shown = batch.shown.get((scan.sha256, page))
    if shown is not None and (batch.card_id is None or shown == batch.card_id):
        batch.cards.append(shown)
        return
    card_id = batch.card_id or _named(batch, scan, page) or _new_card(batch, scan, page)
    beside = [] if batch.card_id else _beside(batch, card_id, scan, page)
    for one in (card_id, *beside):
        batch.writer.show(one, scan.sha256, page)
        batch.cards.append(one)
    batch.shown[scan.sha256, page] = card_id


def _beside(batch: _Batch, card_id: str, scan: Scan, page: int) -> list[str]:
    """The other cards of the same source that the table names for the same page in the same words: they lie
    on it one below the other, in the table's order.
    """
    card = next((c for c in batch.evidence.cards if c.card_id == card_id), None)
    named = {pair for pair in _pages_of(card) if _names(*pair, scan, page)} if card else set()
    others = (c for c in batch.evidence.cards if card and c.source_id == card.source_id and c != card)
    return [other.card_id for other in others if named & set(_pages_of(other))]


def _names(name: str, digest: str, scan: Scan, page: int) -> bool:
    """Whether a card's words for a page mean this one: by the scan's digest, else by its name alone."""
    return _has_page(name, page) and (digest == scan.sha256 or _is_file(name, scan.name))


def _named(batch: _Batch, scan: Scan, page: int) -> str | None:
    """The card that names this page among its scans: one with its digest before one with its name alone."""
    pages = [
        (card, name, digest)
        for card in batch.evidence.cards
        if batch.source_id in (None, card.source_id)
        for name, digest in _pages_of(card)
        if _has_page(name, page)
    ]
    by_digest = next((card for card, _, digest in pages if digest == scan.sha256), None)
    if by_digest is not None:
        return by_digest.card_id
    by_name = next(((card, digest) for card, name, digest in pages if _is_file(name, scan.name)), None)
    if by_name is None:
        return None
    card, digest = by_name
    if digest:
        batch.problems.append(
            f"{scan.name} has another content than cards.csv says of card {card.card_id}: expected SHA-256 "
            f"{digest[:12]}…, found {scan.sha256[:12]}…. It was taken for that card by its name."
        )
    return card.card_id


def _pages_of(card: Card) -> Iterator[tuple[str, str]]:
    """The scans that a card names, each with its digest where one is given."""
    names = [part.strip() for part in card.scans.split(";") if part.strip()]
    digests = [part.strip().lower() for part in card.sha256.split(";")]
    for n, name in enumerate(names):
        yield name, digests[n] if n < len(digests) else digests[0] if len(digests) == 1 else ""


def _has_page(named: str, page: int) -> bool:
    """Whether `file#page=n` means this page; a file without a page is all of its pages."""
    match = _PAGE.search(named.partition("#")[2])
    return match is None or int(match[1]) == page


def _is_file(named: str, name: str) -> bool:
    """Whether `folder/file#page=n` means a file of this name; small and capital letters are one."""
    path = PurePosixPath(named.partition("#")[0].replace("\\", "/"))
    return path.name.casefold() == name.casefold()


def _new_card(batch: _Batch, scan: Scan, page: int) -> str:
    """A card of the source for a page that no card names; its id is the source's and the next number."""
    if batch.source_id is None:
        sources = ", ".join(source.source_id for source in batch.evidence.sources) or "none yet"
        raise BadInput(
            f"{scan.name} is named by no card. Say which source it belongs to (there are: {sources})."
        )
    card = Card(
        card_id=_next_card_id(batch),
        source_id=batch.source_id,
        form=_form_of(batch.evidence, batch.source_id),
        state="seen",
        scans=scan.name if scan.pages == 1 else f"{scan.name}#page={page}",
        sha256=scan.sha256,
        locator=scan.name if scan.pages == 1 else f"{scan.name}, page {page}",
    )
    batch.writer.add(Card.TABLE, [card])
    return card.card_id


def _next_card_id(batch: _Batch) -> str:
    used = {card.card_id for card in batch.evidence.cards} | set(batch.cards)
    head = f"{batch.source_id}-"
    numbers = (card_id.removeprefix(head) for card_id in used if card_id.startswith(head))
    return f"{head}{max((int(n) for n in numbers if n.isdecimal()), default=0) + 1}"


FORM_OF: Final[Mapping[str, str]] = {
    "component-card": "component-card",
    "engine-card": "engine-card",
    "works-list": "printed-list",
}
"""The form that the cards of a kind of source have, where nobody says otherwise."""


def _form_of(evidence: Evidence, source_id: str) -> str:
    source = next(s for s in evidence.sources if s.source_id == source_id)
    return FORM_OF.get(source.kind, "")
