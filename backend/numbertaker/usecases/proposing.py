"""Likelier texts for cells that were read: from each card as a whole, and from what the corrections of its
source teach of the hand.

They follow from the evidence and the decisions alone, so that the same log gives the same proposals, and
taking a correction back takes its proposals back. No text is changed by them.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

from rapidfuzz import fuzz

from numbertaker.archive import Archive, KeptReading
from numbertaker.evidence.decisions import standing
from numbertaker.evidence.designations import bare_name, bare_number
from numbertaker.evidence.records import CellKey, Decision, Evidence, Line
from numbertaker.reading.hands import CERTAIN, UNKNOWN, Hand, LookedOver, learn_hand, weighed_lines, with_hand
from numbertaker.reading.kept import lines_of
from numbertaker.reading.meaning import Known, Proposal, propose
from numbertaker.reading.meaning.values import Proposals
from numbertaker.reading.values import CellReading, LineReading

Proposed: TypeAlias = dict[CellKey, Proposal]
SAME_LINE: Final = 60
"""A line that was typed is the line that was read if they are so much alike, of 100."""
_BY_CARD: Final = "proposals by card"
_PARSED: Final = "lines read"
_FEWEST_LINES: Final = 8
_LEAST_SHARE: Final = 0.02
"""A place that at least so many lines have, and such a share of all that have one, is no misreading."""


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


@dataclass(slots=True)
class _Made:
    """What was last made of a card, so that it is not weighed anew while what it rests on is the same.

    The card as it stood, the lists, and what the card as a whole proposes: as read, and weighed by the hand.
    """

    card: _Card
    known: Known
    lines: list[LineReading]
    alone: Proposals
    weighed: list[LineReading]
    by_meaning: Proposals


def _of_all(archive: Archive) -> Proposed:
    """Card by card; a card of which nothing that it rests on has changed is not weighed anew."""
    taught = hands(archive)
    return {
        key: proposal
        for made in _made(archive).values()
        for key, proposal in _told(made, made.by_meaning, taught.get(made.card.source_id, UNKNOWN))
    }


def _by_hand(archive: Archive) -> Proposed:
    found, told, taught = proposals(archive), Proposed(), hands(archive)
    for made in _made(archive).values():
        if taught.get(made.card.source_id, UNKNOWN).corrected:
            without = dict(_told(made, made.alone, UNKNOWN))
            for key in (
                CellKey(line.line_id, field) for line in made.card.lines for field in line.read.cells
            ):
                now, was = found.get(key), without.get(key)
                if now is not None and (was is None or was.text != now.text):
                    told[key] = now
    return told


def _made(archive: Archive) -> dict[str, _Made]:
    return archive.memo(_BY_CARD, lambda: _make(archive))


def _make(archive: Archive) -> dict[str, _Made]:
    known, taught = known_of(archive.ruled().evidence), hands(archive)
    before: dict[str, _Made] = archive.latest(_BY_CARD) or {}
    return {
        card.card_id: _of_card(card, known, taught.get(card.source_id, UNKNOWN), before.get(card.card_id))
        for card in cards_read(archive)
        if not card.checked
    }


def _of_card(card: _Card, known: Known, hand: Hand, last: _Made | None) -> _Made:
    """What a card as a whole proposes, as read and weighed by the hand; taken over where it is the same."""
    if last is None or last.card != card or last.known != known:
        lines = [_as_it_stands(line) for line in card.lines]
        alone = propose(lines, known)
        last = _Made(card, known, lines, alone, lines, alone)
    weighed = weighed_lines(last.lines, hand)
    if weighed == last.weighed:
        return last
    by_meaning = last.alone if weighed == last.lines else propose(weighed, known)
    return replace(last, weighed=weighed, by_meaning=by_meaning)


def _told(made: _Made, by_meaning: Proposals, hand: Hand) -> Iterator[tuple[CellKey, Proposal]]:
    """The proposals for one card; none for a cell that a person has looked at."""
    for (place, field), found in with_hand(made.lines, by_meaning, hand).items():
        line = made.card.lines[place]
        if field not in line.looked_at:
            yield CellKey(line.line_id, field), found


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
    for key in _looked_at(evidence.decisions):
        looked_at[key.line_id].add(key.field)
    source_of = {card.card_id: card.source_id for card in evidence.cards}
    pages: dict[str, list[tuple[str, LineReading]]] = defaultdict(list)
    for reading, parsed in _parsed(archive):
        pages[reading.card_id] += parsed
    for card_id, read in pages.items():
        lines = [
            CardLine(key, line, rows.get(key), frozenset(looked_at.get(key, ())), key in typed)
            for key, line in read
        ]
        yield _Card(card_id, source_of.get(card_id, ""), tuple(lines), card_id in ruled.checked)


def _looked_at(log: Iterable[Decision]) -> Iterator[CellKey]:
    """The cells that a standing decision corrects or confirms."""
    return (CellKey.parse(decision.target) for decision in standing(log) if decision.kind == "cell")


_Parsed: TypeAlias = list[tuple[KeptReading, list[tuple[str, LineReading]]]]


def _parsed(archive: Archive) -> _Parsed:
    """Each reading of a page with its lines and their ids; the same as last time where it is the same one."""
    before: _Parsed = archive.latest(_PARSED) or []
    known = {id(reading): lines for reading, lines in before}
    after = [(reading, known.get(id(reading)) or _lines_of(reading)) for reading in archive.card_readings()]
    archive.remember(_PARSED, after)
    return after


def _lines_of(reading: KeptReading) -> list[tuple[str, LineReading]]:
    """The lines of a page, each with its id."""
    written = reading.body.get("lines", ())
    return [(str(line["line_id"]), one) for line, one in zip(written, lines_of(reading.body), strict=True)]


def known_of(evidence: Evidence) -> Known:
    """Everything that an engine or a component of the tables ever bore, and the places of many lines."""
    engines = {engine.engine_id for engine in evidence.engines}
    borne: dict[bool, set[str]] = {True: set(), False: set()}
    for row in evidence.designations:
        if row.scheme in {"number", "name"}:
            text = bare_number(row.value) if row.scheme == "number" else bare_name(row.value)
            borne[row.subject_id in engines].add(text.casefold())
    return Known(frozenset(borne[True]), frozenset(borne[False]), _usual_places(evidence))


def _usual_places(evidence: Evidence) -> frozenset[str]:
    """The places that so many lines have as to be no misreading."""
    count = Counter(
        line.place.strip() for line in evidence.lines if line.place and "place=" not in line.marks
    )
    least = max(_FEWEST_LINES, _LEAST_SHARE * count.total())
    return frozenset(place for place, lines in count.items() if lines >= least)


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
    if not card.checked and not any(
        line.typed or line.looked_at & line.read.cells.keys() for line in card.lines
    ):
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
