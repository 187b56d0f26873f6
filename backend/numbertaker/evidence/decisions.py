"""What people ruled, laid over what was written.

A decision never changes a row that is kept: this module makes *new* rows in which
the rulings that still stand are followed, so that taking one back restores exactly
what was. The order of the log decides where two rulings meet: the later one stands.

| kind | target | ruling |
| --- | --- | --- |
| `cell` | `LINE_ID/column` | the text as it should have been read; of a heading, for all the card's lines |
| `link` | `LINE_ID/column` | the id of the engine or component that is meant, or `none` |
| `finding` | its id | joined by `;`: `believe LINE_ID/column`, `set aside LINE_ID/column`, `stands` |
| `authority` | `TABLE:KEY` | the columns to add or mend, as a JSON object of texts |
| `looked` | `ENGINE_ID;COMPONENT_ID` | nothing there: a JSON object with `covers` (EDTF), `source`, `when` |
| `checked` | the id of a card | `stands` and a digest: all its cells but those corrected stand as read |
| `revoke` | the decision's id | empty; `revokes` names the same id |
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Final, Literal, TypeVar

from numbertaker.evidence.days import Day
from numbertaker.evidence.edtf import parse_edtf
from numbertaker.evidence.errors import BadDate
from numbertaker.evidence.records import CELL_FIELDS, RECORDS, CellKey, Decision, Evidence, Line, Record

KINDS: Final = ("cell", "link", "finding", "authority", "looked", "checked", "revoke")
AUTHORITY: Final = ("engines", "components", "designations", "fits", "events", "sources", "cards")

LOOKED_WANTED: Final = (
    "ENGINE_ID;COMPONENT_ID and a JSON object of texts with the time that was looked through, such as"
    ' {"covers": "1912/1919", "source": "S2", "when": "2026-03"}'
)
HEADING: Final = ("heading", "heading_name")
CHECKED: Final = (*CELL_FIELDS, "place", "remarks")
"""The cells of a line that are looked at where a card is checked."""

Verdict = Literal["believe", "set aside", "stands"]
R = TypeVar("R", bound=Record)


@dataclass(frozen=True, slots=True)
class Looked:
    """That somebody looked for one component on one engine, for a time, and found nothing."""

    engine_id: str
    component_id: str
    first: Day
    last: Day
    source: str
    when: str
    by: str
    decision_id: str


@dataclass(frozen=True, slots=True)
class Ruled:
    """Evidence with the standing rulings followed, and those that only a reconciler can follow.

    `believed` and `set_aside` name cells that a person holds to be true or false; `links` names who is
    meant in a cell (None: nobody in the tables); `settled` maps a finding's id to the decision on it.
    `by_cell` maps a cell to the decision that speaks of it, for the explanation; `looked` an engine and a
    component to who looked for the one on the other and found nothing; `checked` a card to the decision that
    its cells stand as they were read.
    """

    evidence: Evidence
    links: Mapping[CellKey, str | None]
    believed: frozenset[CellKey]
    set_aside: frozenset[CellKey]
    settled: Mapping[str, str]
    by_cell: Mapping[CellKey, str]
    looked: Mapping[tuple[str, str], tuple[Looked, ...]] = field(default_factory=dict)
    checked: Mapping[str, str] = field(default_factory=dict)


def standing(decisions: Iterable[Decision]) -> tuple[Decision, ...]:
    """The decisions that nobody took back, in the order of the log.

    A taking-back can itself be taken back: it is a decision like any other.
    """
    log = tuple(decisions)
    fallen: set[str] = set()
    for decision in reversed(log):
        if decision.revokes and decision.decision_id not in fallen:
            fallen.add(decision.revokes)
    return tuple(d for d in log if d.decision_id not in fallen and d.kind != "revoke")


def verdicts(ruling: str) -> tuple[tuple[Verdict, CellKey | None], ...]:
    """The parts of a ruling on a finding: what it says, and of which cell.

    >>> verdicts("believe S1-52-3/miles; set aside S2-208-7/miles")[1][0]
    'set aside'
    """
    parts: list[tuple[Verdict, CellKey | None]] = []
    for part in filter(None, (p.strip() for p in ruling.split(";"))):
        if part == "stands":
            parts.append(("stands", None))
        elif part.startswith("believe "):
            parts.append(("believe", CellKey.parse(part.removeprefix("believe ").strip())))
        elif part.startswith("set aside "):
            parts.append(("set aside", CellKey.parse(part.removeprefix("set aside ").strip())))
        else:
            raise ValueError(
                f"'{part}' is no ruling on a finding: expected 'believe', 'set aside' or 'stands'."
            )
    return tuple(parts)


def follow(evidence: Evidence) -> Ruled:
    """Lay the standing decisions of the evidence over its rows."""
    log = _Log()
    for decision in standing(evidence.decisions):
        log.add(decision)
    checked = _still_checked(evidence.lines, log.checked)
    lines = _reread(
        tuple(_certain(line) if line.card_id in checked else line for line in evidence.lines),
        {mate: text for cell, text in log.texts.items() for mate in told_with(evidence.lines, cell)},
    )
    return Ruled(
        evidence=_amended(replace(evidence, lines=lines), log.amendments),
        links=log.links,
        believed=frozenset(log.believed),
        set_aside=frozenset(log.set_aside),
        settled=log.settled,
        by_cell=log.by_cell,
        looked={pair: tuple(looks) for pair, looks in log.looked.items()},
        checked={card: said.decision_id for card, said in checked.items()},
    )


@dataclass(slots=True)
class _Log:
    """The standing rulings sorted by what they speak of, the later one over the earlier."""

    texts: dict[CellKey, str] = field(default_factory=dict)
    links: dict[CellKey, str | None] = field(default_factory=dict)
    believed: set[CellKey] = field(default_factory=set)
    set_aside: set[CellKey] = field(default_factory=set)
    settled: dict[str, str] = field(default_factory=dict)
    by_cell: dict[CellKey, str] = field(default_factory=dict)
    amendments: dict[str, dict[str, dict[str, str]]] = field(default_factory=dict)
    looked: dict[tuple[str, str], list[Looked]] = field(default_factory=dict)
    checked: dict[str, Decision] = field(default_factory=dict)

    def add(self, decision: Decision) -> None:
        if decision.kind == "cell":
            cell = CellKey.parse(decision.target)
            self.texts[cell] = decision.ruling
            self.by_cell[cell] = decision.decision_id
        elif decision.kind == "link":
            cell = CellKey.parse(decision.target)
            self.links[cell] = None if decision.ruling == "none" else decision.ruling
            self.by_cell[cell] = decision.decision_id
        elif decision.kind == "finding":
            self._add_verdicts(decision)
        elif decision.kind == "authority":
            table, _, key = decision.target.partition(":")
            self.amendments.setdefault(table, {}).setdefault(key, {}).update(json.loads(decision.ruling))
        elif decision.kind == "checked":
            self.checked[decision.target] = decision
        elif decision.kind == "looked":
            told = looked_of(decision)
            if told is not None:
                self.looked.setdefault((told.engine_id, told.component_id), []).append(told)

    def _add_verdicts(self, decision: Decision) -> None:
        self.settled[decision.target] = decision.decision_id
        for verdict, cell in verdicts(decision.ruling):
            if cell is None:
                continue
            held, dropped = self.believed, self.set_aside
            if verdict == "set aside":
                held, dropped = dropped, held
            held.add(cell)
            dropped.discard(cell)
            self.by_cell[cell] = decision.decision_id


def looked_of(decision: Decision) -> Looked | None:
    """What a decision of kind `looked` says; None where its target or its interval can't be understood."""
    engine, mark, component = (part.strip() for part in decision.target.partition(";"))
    try:
        told = json.loads(decision.ruling)
        interval = parse_edtf(str(told["covers"])).hull if isinstance(told, dict) else None
    except (ValueError, KeyError, BadDate):
        return None
    if not (mark and engine and component) or interval is None:
        return None
    if interval.first is None or interval.last is None:
        return None
    source, when = str(told.get("source", "")), str(told.get("when", ""))
    return Looked(
        engine, component, interval.first, interval.last, source, when, decision.by, decision.decision_id
    )


def checked_as(lines: Iterable[Line]) -> str:
    """The ruling that the lines of a card stand as they were read: `stands`, and a digest of their cells.

    Where the card is read again and anything in it is read otherwise, the digest is another, and what was
    checked no longer holds. Ids are no part of it, so that a package may give them a beginning of their own.
    """
    stated = [[line.row_, line.marks, *(line.text(field) for field in CHECKED)] for line in lines]
    whole = hashlib.sha256(json.dumps(stated, ensure_ascii=False).encode()).hexdigest()
    return f"stands {whole[:16]}"


def _still_checked(lines: Iterable[Line], checked: Mapping[str, Decision]) -> dict[str, Decision]:
    """The cards that were checked and not read otherwise since."""
    of_card: dict[str, list[Line]] = {}
    for line in lines if checked else ():
        if line.card_id in checked:
            of_card.setdefault(line.card_id, []).append(line)
    return {card: said for card, said in checked.items() if said.ruling == checked_as(of_card.get(card, ()))}


def _certain(line: Line) -> Line:
    """A line that a person looked through: what was read counts as read for certain."""
    known = (column for column, _ in line.extra if column.startswith("reading_"))
    return Line.from_row(line.row() | dict.fromkeys(("reading", *known), "1")) if line.reading else line


def told_with(lines: Iterable[Line], cell: CellKey) -> tuple[CellKey, ...]:
    """The cells that one correction speaks of: a heading stands once on a card, over all its lines."""
    if cell.field not in HEADING:
        return (cell,)
    known = {line.line_id: line for line in lines}
    told = known.get(cell.line_id)
    if told is None or not told.card_id:
        return (cell,)
    written = told.text(cell.field)
    return tuple(
        CellKey(line.line_id, cell.field)
        for line in known.values()
        if (line.source_id, line.card_id, line.text(cell.field)) == (told.source_id, told.card_id, written)
    )


def _reread(lines: tuple[Line, ...], texts: Mapping[CellKey, str]) -> tuple[Line, ...]:
    """The lines with the corrected cells; a cell that a person typed counts as read for certain."""
    by_line: dict[str, dict[str, str]] = {}
    for cell, text in texts.items():
        by_line.setdefault(cell.line_id, {})[cell.field] = text
    if not by_line:
        return lines
    return tuple(
        _corrected(line, by_line[line.line_id]) if line.line_id in by_line else line for line in lines
    )


def _corrected(line: Line, texts: Mapping[str, str]) -> Line:
    row = line.row() | dict(texts)
    row |= {f"reading_{column}": "1" for column in texts}
    kept = (mark for mark in line.marks.split(";") if mark.partition("=")[0].strip() not in texts)
    row["marks"] = ";".join(kept)
    return Line.from_row(row)


def _amended(evidence: Evidence, amendments: Mapping[str, Mapping[str, Mapping[str, str]]]) -> Evidence:
    changes: dict[str, tuple[Record, ...]] = {}
    for table, rows in amendments.items():
        if table in AUTHORITY:
            changes[table] = _with_rows(getattr(evidence, table), rows, _record_of(table))
    return replace(evidence, **changes)  # type: ignore[arg-type]


def _record_of(table: str) -> type[Record]:
    return next(record for record in RECORDS if table == record.TABLE)


def _with_rows(
    kept: tuple[R, ...], rows: Mapping[str, Mapping[str, str]], record: type[Record]
) -> tuple[Record, ...]:
    """Mend the rows whose key is named; what is new comes last."""
    left = dict(rows)
    mended: list[Record] = []
    for row in kept:
        change = left.pop(row.key, None)
        mended.append(row if change is None else record.from_row(row.row() | dict(change)))
    return (*mended, *(record.from_row(dict(change)) for change in left.values()))
