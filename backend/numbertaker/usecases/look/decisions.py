"""The log of decisions in plain words."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Final

from numbertaker.archive import Archive
from numbertaker.evidence.days import iso
from numbertaker.evidence.decisions import HEADING, looked_of, verdicts
from numbertaker.evidence.records import CellKey, Decision
from numbertaker.publishing.questions import FIELDS, KINDS
from numbertaker.usecases import decide
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.readings import anew
from numbertaker.usecases.look.summaries import card_summary
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
        Changed(
            list(changed.components),
            list(changed.findings_closed),
            list(changed.findings_opened),
            [anew(index(archive), cell) for cell in changed.proposed],
        ),
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
    told = _SAYS.get(decision.kind)
    return told(made, decision) if told else f"Decision {decision.revokes} no longer stands."


def _of_cell(made: Index, decision: Decision) -> str:
    return f"{_cell(made, decision.target, capital=True)} reads ‘{decision.ruling}’."


def _of_link(made: Index, decision: Decision) -> str:
    meant = "nobody in the tables" if decision.ruling == "none" else made.label(decision.ruling)
    return f"{_cell(made, decision.target, capital=True)} means {meant}."


def _of_card(made: Index, decision: Decision) -> str:
    return f"{_card(made, decision.target)} was looked through: what is not corrected stands as read."


def _cell(made: Index, target: str, *, capital: bool = False) -> str:
    key = CellKey.parse(target)
    line = made.lines.get(key.line_id)
    where = made.matter.citations.locator(line) if line is not None else f"line {key.line_id}"
    if key.field in HEADING and line is not None and line.card_id in made.cards:
        where = made.cards[line.card_id].locator or where
    what = FIELDS.get(key.field, f"the {key.field}")
    said = f"{what} ({where})"
    return said[0].upper() + said[1:] if capital else said


def _card(made: Index, card_id: str) -> str:
    """A card as a sentence begins with it."""
    said = card_summary(made, made.cards[card_id]).label if card_id in made.cards else f"card {card_id}"
    return said[0].upper() + said[1:]


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


def _of_table(_: Index, decision: Decision) -> str:
    table, _colon, key = decision.target.partition(":")
    try:
        cells = json.loads(decision.ruling).items()
    except (ValueError, AttributeError):
        return f"{key} in the table of {table}: {decision.ruling}."
    return f"{key} in the table of {table}: {', '.join(f'{column} is ‘{text}’' for column, text in cells)}."


_SAYS: Final[Mapping[str, Callable[[Index, Decision], str]]] = {
    "cell": _of_cell,
    "link": _of_link,
    "finding": _of_finding,
    "authority": _of_table,
    "looked": _of_look,
    "checked": _of_card,
}
"""What each kind of decision was about, as a sentence; a taking-back is told by itself."""
