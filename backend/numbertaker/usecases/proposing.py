"""Likelier texts for cells that were read: from each card as a whole, and from what the corrections of its
source teach of the hand.

They follow from the evidence and the decisions alone, so that the same log gives the same proposals, and
taking a correction back takes its proposals back. No text is changed by them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

from rapidfuzz import fuzz

from numbertaker.archive import Archive, KeptReading
from numbertaker.evidence.decisions import Ruled
from numbertaker.evidence.designations import bare_name, bare_number
from numbertaker.evidence.records import CellKey, Evidence, Line
from numbertaker.reading.hands import CERTAIN, UNKNOWN, Hand, LookedOver, learn_hand, propose_in_hand
from numbertaker.reading.kept import card_of
from numbertaker.reading.meaning import Known, Proposal
from numbertaker.reading.values import CellReading, LineReading

Proposed: TypeAlias = dict[CellKey, Proposal]
SAME_LINE: Final = 60
"""A line that was typed is the line that was read if they are so much alike, of 100."""
_BY_CARD: Final = "proposals by card"


def proposals(archive: Archive) -> Proposed:
    """The proposals for all cards that were read, by cell; none for a cell that a person has looked at."""
    return archive.memo("proposals", lambda: _of_all(archive))


def hands(archive: Archive) -> dict[str, Hand]:
    """What the corrections of each source teach of its hand; sources without any are left out."""
    return archive.memo("hands", lambda: _hands(archive))


def by_hand(archive: Archive) -> Proposed:
    """Those of the proposals that would not be there, or be others, without the corrections."""
    return archive.memo("proposals by hand", lambda: _by_hand(archive))


@dataclass(frozen=True, slots=True)
class ProposedAnew:
    """A cell for which something else is proposed than before: its text as read, what was proposed for it
    before ('' for nothing), and what is proposed now (None for nothing)."""

    cell: CellKey
    text: str
    before: str
    now: Proposal | None


def proposed_anew(archive: Archive, before: Proposed, target: str) -> tuple[ProposedAnew, ...]:
    """What is proposed otherwise than before, in the order of the cards; the cell ruled on is left out."""
    after = proposals(archive)
    if after == before:
        return ()
    found = []
    for card in cards_read(archive):
        for line in () if card.card_id == target else card.lines:
            for field, cell in line.read.cells.items():
                key = CellKey(line.line_id, field)
                was, now = before.get(key), after.get(key)
                other = (was and was.text) != (now and now.text)
                if other and str(key) != target and field not in line.looked_at:
                    found.append(ProposedAnew(key, cell.text, was.text if was else "", now))
    return tuple(found)


def _of_all(archive: Archive) -> Proposed:
    """Card by card; a card of which nothing that it rests on has changed is not weighed anew."""
    known, taught = known_of(archive.ruled().evidence), hands(archive)
    before: dict[str, tuple[_Card, Known, Hand, Proposed]] = archive.latest(_BY_CARD) or {}
    after: dict[str, tuple[_Card, Known, Hand, Proposed]] = {}
    for card in cards_read(archive):
        hand = taught.get(card.source_id, UNKNOWN)
        last = before.get(card.card_id)
        same = last is not None and last[0] == card and last[1] == known and last[2] == hand
        made = last[3] if last is not None and same else dict(_of_card(card, known, hand))
        after[card.card_id] = (card, known, hand, made)
    archive.remember(_BY_CARD, after)
    return {key: proposal for *_, made in after.values() for key, proposal in made.items()}


def _by_hand(archive: Archive) -> Proposed:
    known, taught, found = known_of(archive.ruled().evidence), hands(archive), proposals(archive)
    told: Proposed = {}
    for card in cards_read(archive):
        if taught.get(card.source_id, UNKNOWN).corrected:
            without = dict(_of_card(card, known, UNKNOWN))
            for key in (CellKey(line.line_id, field) for line in card.lines for field in line.read.cells):
                now, was = found.get(key), without.get(key)
                if now is not None and (was is None or was.text != now.text):
                    told[key] = now
    return told


@dataclass(frozen=True, slots=True)
class CardLine:
    """A line as it was read, beside the row that stands for it; `looked_at` are its cells that a person
    corrected or confirmed one by one, `typed` is whether a person typed the row without the reading."""

    line_id: str
    read: LineReading
    row: Line | None
    looked_at: frozenset[str]
    typed: bool


@dataclass(frozen=True, slots=True)
class _Card:
    """A card that was read: its lines over all its pages, and whether it was looked through whole."""

    card_id: str
    source_id: str
    lines: tuple[CardLine, ...]
    checked: bool


def cards_read(archive: Archive) -> tuple[_Card, ...]:
    """The cards that were read, in their order, beside what stands of their lines."""
    return archive.memo("cards read", lambda: tuple(_cards(archive)))


def _cards(archive: Archive) -> Iterator[_Card]:
    ruled, evidence = archive.ruled(), archive.evidence()
    rows = {line.line_id: line for line in ruled.evidence.lines}
    typed = {line.line_id for line in evidence.lines if not line.reading}
    looked_at: dict[str, set[str]] = defaultdict(set)
    for key in _looked_at(ruled):
        looked_at[key.line_id].add(key.field)
    source_of = {card.card_id: card.source_id for card in evidence.cards}
    pages: dict[str, list[KeptReading]] = defaultdict(list)
    for reading in archive.card_readings():
        pages[reading.card_id].append(reading)
    for card_id, readings in pages.items():
        lines = [
            CardLine(key, line, rows.get(key), frozenset(looked_at.get(key, ())), key in typed)
            for key, line in _lines_of(readings)
        ]
        yield _Card(card_id, source_of.get(card_id, ""), tuple(lines), card_id in ruled.checked)


def _looked_at(ruled: Ruled) -> Iterator[CellKey]:
    """The cells that a standing decision corrects or confirms."""
    said = {d.decision_id for d in ruled.evidence.decisions if d.kind == "cell"}
    return (key for key, decision_id in ruled.by_cell.items() if decision_id in said)


def _lines_of(readings: Iterable[KeptReading]) -> Iterator[tuple[str, LineReading]]:
    """The lines of a card over all its pages, each with its id."""
    for reading in readings:
        written = reading.body.get("lines", ())
        for line, read in zip(written, card_of(reading.body).lines, strict=True):
            yield str(line["line_id"]), read


def known_of(evidence: Evidence) -> Known:
    """Everything that an engine or a component of the tables ever bore."""
    engines = {engine.engine_id for engine in evidence.engines}
    borne: dict[bool, set[str]] = {True: set(), False: set()}
    for row in evidence.designations:
        if row.scheme in {"number", "name"}:
            text = bare_number(row.value) if row.scheme == "number" else bare_name(row.value)
            borne[row.subject_id in engines].add(text.casefold())
    return Known(frozenset(borne[True]), frozenset(borne[False]))


def _hands(archive: Archive) -> dict[str, Hand]:
    cells: dict[str, list[LookedOver]] = defaultdict(list)
    for card in cards_read(archive):
        cells[card.source_id] += looked_over(card)
    return {source_id: learn_hand(seen) for source_id, seen in cells.items() if seen}


def looked_over(card: _Card) -> Iterator[LookedOver]:
    """The cells of a card that a person looked over, with what was read in them and what stands there.

    Who corrects a cell of a card has the others before his eyes: they count as read rightly, so that slips
    are counted among all the cells in which they could have been. Blanks and marked cells teach no signs.
    """
    if not card.checked and not any(line.looked_at or line.typed for line in card.lines):
        return
    for line in card.lines:
        if line.row is None or (line.typed and not _same(line.read, line.row)):
            continue
        for field, cell in line.read.cells.items():
            said = line.typed or field in line.looked_at
            if cell.text.strip() and not cell.mark:
                yield LookedOver(field, cell.text, line.row.text(field), said)


def _same(read: LineReading, row: Line) -> bool:
    """Whether a line that was typed is the one that was read, and not its neighbour."""
    fields = [field for field, cell in read.cells.items() if not cell.mark and row.text(field)]
    one = " ".join(read.cells[field].text for field in fields)
    return bool(fields) and fuzz.ratio(one, " ".join(row.text(field) for field in fields)) >= SAME_LINE


def _of_card(card: _Card, known: Known, hand: Hand) -> Iterator[tuple[CellKey, Proposal]]:
    """The proposals for one card: what the card as a whole makes likelier, then what the hand alone does."""
    if card.checked:
        return
    lines = [_as_it_stands(line) for line in card.lines]
    for (place, field), found in propose_in_hand(lines, known, hand).items():
        if field not in card.lines[place].looked_at:
            yield CellKey(card.lines[place].line_id, field), found


def _as_it_stands(line: CardLine) -> LineReading:
    """A cell that a person typed, corrected or confirmed is certain, and has no other reading."""
    row = line.row
    if row is None:
        return line.read
    cells = {
        field: cell
        if cell.text == row.text(field) and field not in line.looked_at
        else CellReading(row.text(field), CERTAIN, cell.box)
        for field, cell in line.read.cells.items()
    }
    return replace(line.read, cells=cells)
