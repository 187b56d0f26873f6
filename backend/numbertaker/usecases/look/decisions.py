"""The log of decisions in plain words."""

from __future__ import annotations

import json
from typing import Final

from numbertaker.archive import Archive
from numbertaker.evidence.days import iso
from numbertaker.evidence.decisions import HEADING, looked_of, verdicts
from numbertaker.evidence.records import CellKey, Decision
from numbertaker.publishing.questions import FIELDS, KINDS
from numbertaker.usecases import decide
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.views import Changed, Decided, DecisionView

_TOLD: Final = {"believe": "believed", "set aside": "set aside", "stands": "left as it stands"}


def decisions(archive: Archive) -> list[DecisionView]:
    """Every decision, the latest first."""
    made = index(archive)
    return [decision_view(made, decision) for decision in reversed(made.raw.decisions)]


def decided(archive: Archive, done: decide.Decided) -> Decided:
    """What a decision did, as the screens show it."""
    changed = done.changed
    return Decided(
        decision_view(index(archive), done.decision),
        Changed(list(changed.components), list(changed.findings_closed), list(changed.findings_opened)),
    )


def decision_view(made: Index, decision: Decision) -> DecisionView:
    """One decision, and whether it still stands."""
    return DecisionView(
        decision_id=decision.decision_id,
        kind=decision.kind,
        target=decision.target,
        ruling=decision.ruling,
        reason=decision.reason,
        by=decision.by,
        at=decision.at,
        revokes=decision.revokes,
        stands=decision.decision_id in made.stands or _is_last_word(made, decision),
        says=says(made, decision),
    )


def _is_last_word(made: Index, decision: Decision) -> bool:
    """Whether a taking-back is itself not taken back."""
    if decision.kind != "revoke":
        return False
    later = made.raw.decisions[made.raw.decisions.index(decision) + 1 :]
    return not any(other.revokes == decision.decision_id for other in later)


def says(made: Index, decision: Decision) -> str:
    """What a decision was about, as a sentence."""
    if decision.kind == "cell":
        return f"{_cell(made, decision.target, capital=True)} reads ‘{decision.ruling}’."
    if decision.kind == "link":
        meant = "nobody in the tables" if decision.ruling == "none" else made.label(decision.ruling)
        return f"{_cell(made, decision.target, capital=True)} means {meant}."
    if decision.kind == "finding":
        return _of_finding(made, decision)
    if decision.kind == "authority":
        return _of_table(decision)
    if decision.kind == "looked":
        return _of_look(made, decision)
    return f"Decision {decision.revokes} no longer stands."


def _cell(made: Index, target: str, *, capital: bool = False) -> str:
    key = CellKey.parse(target)
    line = made.lines.get(key.line_id)
    where = made.matter.citations.locator(line) if line is not None else f"line {key.line_id}"
    if key.field in HEADING and line is not None and line.card_id in made.cards:
        where = made.cards[line.card_id].locator or where
    what = FIELDS.get(key.field, f"the {key.field}")
    said = f"{what} ({where})"
    return said[0].upper() + said[1:] if capital else said


def _of_finding(made: Index, decision: Decision) -> str:
    known = made.findings.get(decision.target)
    kind = KINDS.get(known.kind, known.kind).rstrip(".") if known else f"Finding {decision.target}"
    try:
        parts = verdicts(decision.ruling)
    except ValueError:
        return f"{kind}: {decision.ruling}."
    told = [
        "it stands" if key is None else f"{_cell(made, str(key))} is {_TOLD[said]}" for said, key in parts
    ]
    return f"{kind}: {'; '.join(told)}."


def _of_look(made: Index, decision: Decision) -> str:
    told = looked_of(decision)
    if told is None:
        return f"{decision.target}: {decision.ruling}."
    where = f" in {told.source}" if told.source else ""
    when = f" on {told.when}" if told.when else ""
    who, whom = made.label(told.component_id), made.label(told.engine_id)
    between = f"from {iso(told.first)} to {iso(told.last)}"
    return f"{who} was looked for on {whom}{where}{when}, {between}: nothing."


def _of_table(decision: Decision) -> str:
    table, _, key = decision.target.partition(":")
    try:
        cells = json.loads(decision.ruling).items()
    except (ValueError, AttributeError):
        return f"{key} in the table of {table}: {decision.ruling}."
    return f"{key} in the table of {table}: {', '.join(f'{column} is ‘{text}’' for column, text in cells)}."
