"""Rule on a cell, a link, a finding or a row of the authority tables, and take a ruling back."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from typing import Final

from numbertaker.archive import Archive
from numbertaker.evidence.decisions import (
    AUTHORITY,
    KINDS,
    LOOKED_WANTED,
    checked_as,
    looked_of,
    standing,
    verdicts,
)
from numbertaker.evidence.errors import BadInput, Conflict, NotFound
from numbertaker.evidence.package.checking import faults, is_row
from numbertaker.evidence.package.values import RECORD_OF
from numbertaker.evidence.records import CELL_FIELDS, CellKey, Decision, Evidence
from numbertaker.reconciling.history import ComponentHistory, History
from numbertaker.usecases.proposing import ProposedAnew, proposals, proposed_anew
from numbertaker.usecases.reconcile import current

_MACHINE_MADE: Final = re.compile(r"D(\d+)")
CORRECTABLE: Final = (*CELL_FIELDS, "place", "remarks")
"""The cells of a line that a correction may speak of."""
LINKABLE: Final = ("heading", "heading_name", "engine", "engine_name", "component")
"""The cells that name an engine or a component."""
NOBODY: Final = "none"
STANDS: Final = "stands"
"""What is said of a card that was looked through: what is not corrected on it stands as it was read."""
_WANTED: Final = {"reason": "a reason, for those who come after", "by": "the name of who decides"}


@dataclass(frozen=True, slots=True)
class Changed:
    """What a decision did: components whose history is another now, findings that went and that came, and
    other cells for which another text is proposed than before, or none any more."""

    components: tuple[str, ...]
    findings_closed: tuple[str, ...]
    findings_opened: tuple[str, ...]
    proposed: tuple[ProposedAnew, ...] = ()


@dataclass(frozen=True, slots=True)
class Decided:
    """The decision as it stands in the log, and what it changed."""

    decision: Decision
    changed: Changed


@dataclass(frozen=True, slots=True)
class _Said:
    """What a person hands over: a decision without its id and time."""

    kind: str
    target: str
    ruling: str
    reason: str
    by: str
    revokes: str = ""


def decide(  # noqa: PLR0917 - the contract names a decision by these, in this order
    archive: Archive, kind: str, target: str, ruling: str, reason: str, by: str
) -> Decided:
    """Put a ruling into the log; kinds, targets and rulings are those of `evidence.decisions`.

    `BadInput` where a part of it can't stand, `NotFound` where the target is not there.
    """
    if kind not in KINDS or kind == "revoke":
        expected = ", ".join(k for k in KINDS if k != "revoke")
        raise BadInput(table="decisions", column="kind", expected=f"one of {expected}", found=kind)
    before = current(archive)
    _check(archive.ruled().evidence, before, kind, target, ruling)
    if kind == "checked":
        ruling = checked_as(line for line in archive.evidence().lines if line.card_id == target)
    return _append(archive, before, _Said(kind, target, ruling, reason.strip(), by.strip()))


def take_back(archive: Archive, decision_id: str, reason: str, by: str) -> Decided:
    """Put into the log that a decision no longer stands; the evidence is as before it.

    `NotFound` for an id that is not in the log, `Conflict` for a decision that fell already.
    """
    log = archive.evidence().decisions
    wanted = next((d for d in log if d.decision_id == decision_id), None)
    if wanted is None:
        raise NotFound("decision", decision_id)
    if wanted.kind != "revoke" and wanted not in standing(log):
        raise Conflict(f"Decision {decision_id} was taken back already.")
    before = current(archive)
    return _append(archive, before, _Said("revoke", decision_id, "", reason.strip(), by.strip(), decision_id))


def _append(archive: Archive, before: History, said: _Said) -> Decided:
    for column, text in (("reason", said.reason), ("by", said.by)):
        if not text:
            raise BadInput(table="decisions", column=column, expected=_WANTED[column], found="")
    at = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    proposed = proposals(archive)
    decision = archive.append(lambda log: Decision(decision_id=next_id(log), at=at, **asdict(said)))
    return Decided(
        decision,
        replace(changes(before, current(archive)), proposed=proposed_anew(archive, proposed, said.target)),
    )


def next_id(log: Iterable[Decision]) -> str:
    """The id of the next decision: D and a number above those in use."""
    used = (_MACHINE_MADE.fullmatch(decision.decision_id) for decision in log)
    return f"D{max((int(match[1]) for match in used if match), default=0) + 1}"


def changes(before: History, after: History) -> Changed:
    """What differs between two histories; a finding that was ruled on counts as closed."""
    was = {c.component_id: c for c in before.components}
    now = {c.component_id: c for c in after.components}
    touched = [key for key in dict.fromkeys((*was, *now)) if _differ(was.get(key), now.get(key))]
    open_before = _open(before)
    open_now = _open(after)
    return Changed(
        tuple(touched),
        tuple(key for key in open_before if key not in open_now),
        tuple(key for key in open_now if key not in open_before),
    )


def _differ(one: ComponentHistory | None, other: ComponentHistory | None) -> bool:
    """Whether what is given out of a component is another now."""
    if one is other or one == other:
        return False
    return one is None or other is None or one.to_json() != other.to_json()


def _open(history: History) -> dict[str, str]:
    return {f.id: f.kind for f in history.all_findings() if f.settled_by is None}


def _check(evidence: Evidence, history: History, kind: str, target: str, ruling: str) -> None:
    if kind == "cell":
        _cell(evidence, target, CORRECTABLE)
    elif kind == "link":
        _cell(evidence, target, LINKABLE)
        _subject(evidence, ruling)
    elif kind == "finding":
        _finding(evidence, history, target, ruling)
    elif kind == "looked":
        _looked(evidence, target, ruling)
    elif kind == "checked":
        _checked(evidence, target, ruling)
    else:
        _authority(evidence, target, ruling)


def _cell(evidence: Evidence, target: str, fields: Iterable[str]) -> None:
    cell = CellKey.parse(target)
    if cell.field not in fields:
        expected = f"LINE_ID/column with a column of {', '.join(fields)}"
        raise BadInput(table="decisions", column="target", expected=expected, found=target)
    if not any(line.line_id == cell.line_id for line in evidence.lines):
        raise NotFound("line", cell.line_id)


def _subject(evidence: Evidence, ruling: str) -> None:
    known = {record.key for record in (*evidence.engines, *evidence.components)}
    if ruling != NOBODY and ruling not in known:
        raise NotFound("engine or component", ruling)


def _finding(evidence: Evidence, history: History, target: str, ruling: str) -> None:
    if not any(finding.id == target for finding in history.all_findings()):
        raise NotFound("finding", target)
    try:
        parts = verdicts(ruling)
    except ValueError as error:
        raise BadInput(str(error)) from error
    if not parts:
        expected = "'believe LINE_ID/column', 'set aside LINE_ID/column' or 'stands'"
        raise BadInput(table="decisions", column="ruling", expected=expected, found=ruling)
    for _, cell in parts:
        if cell is not None:
            _cell(evidence, str(cell), CELL_FIELDS)


def _checked(evidence: Evidence, target: str, ruling: str) -> None:
    """A card with lines, of which nothing else can be said than that it stands."""
    if all(card.card_id != target for card in evidence.cards):
        raise NotFound("card", target)
    if ruling.strip() != STANDS:
        raise BadInput(table="decisions", column="ruling", expected=f"'{STANDS}'", found=ruling)
    if all(line.card_id != target for line in evidence.lines):
        raise BadInput(f"Nothing of card {target} was read or typed yet, so nothing on it can be checked.")


def _looked(evidence: Evidence, target: str, ruling: str) -> None:
    """An engine, a component and, where one is named, a source must be there."""
    told = looked_of(
        Decision(decision_id="", kind="looked", target=target, ruling=ruling, reason="", by="", at="")
    )
    if told is None:
        raise BadInput(table="decisions", column="ruling", expected=LOOKED_WANTED, found=f"{target} {ruling}")
    if all(row.engine_id != told.engine_id for row in evidence.engines):
        raise NotFound("engine", told.engine_id)
    if all(row.component_id != told.component_id for row in evidence.components):
        raise NotFound("component", told.component_id)
    if told.source and all(row.source_id != told.source for row in evidence.sources):
        raise NotFound("source", told.source)


def _authority(evidence: Evidence, target: str, ruling: str) -> None:
    """A row to mend or to add must be one that an import would take."""
    table, colon, key = target.partition(":")
    if table not in AUTHORITY or not colon or not key:
        expected = f"TABLE:KEY with a table of {', '.join(AUTHORITY)}"
        raise BadInput(table="decisions", column="target", expected=expected, found=target)
    if not is_row(ruling):
        expected = 'a JSON object of texts, such as {"built": "1911-04"}'
        raise BadInput(table="decisions", column="ruling", expected=expected, found=ruling)
    known = {record.key: record.row() for record in getattr(evidence, table)}
    record = RECORD_OF[table].from_row(
        dict.fromkeys(RECORD_OF[table].REQUIRED, "") | known.get(key, {}) | json.loads(ruling)
    )
    if key not in known and record.key != key:
        raise BadInput(table=table, expected=f"a new row whose key is {key}", found=record.key)
    problems = faults(table, record)
    if problems:
        raise BadInput(problems=problems)
