"""The verbs of the log: decide, take-back, decisions."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated

import typer

from numbertaker.cli.options import HERE, ArchiveDir, AsJson, Who, Why, opened, print_json, print_table

if TYPE_CHECKING:
    from numbertaker.usecases.decide import Decided


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the command."""
    app.command()(decide)
    app.command("take-back")(take_back)
    app.command()(decisions)


def decide(
    kind: Annotated[str, typer.Argument(help="cell, link, finding, authority, looked or checked.")],
    target: Annotated[
        str,
        typer.Argument(help="LINE_ID/column, a finding's id, TABLE:KEY, ENGINE_ID;COMPONENT_ID, or CARD_ID."),
    ],
    ruling: Annotated[str, typer.Argument(help="See below.")],
    *,
    reason: Why,
    by: Who,
    archive: ArchiveDir = HERE,
    as_json: AsJson = False,
) -> None:
    """Rule on something. The evidence stays as it is, and the ruling can be taken back.

    \b
    Of a cell      the text as it should have been read
    Of a link      the id of the engine or component that is meant, or none
    Of a finding   'believe LINE_ID/column', 'set aside LINE_ID/column' (';' between), or 'stands'
    Of authority   the columns to add or mend, as a JSON object of texts
    Of checked     'stands': the card's cells but those corrected stand as they were read
    Of looked      that nothing was found: {"covers": "1912/1919", "source": "S2", "when": "2026-03"}

    \b
    Examples:
      numbertaker decide cell S1-52-3/miles 68,310 --reason "The 8 is plain on the scan." --as "A. Reader"
      numbertaker decide link S1-52-3/engine E07 --reason "Only E07 was in traffic then." --as "A. Reader"
      numbertaker decide authority engines:E07 '{"built": "1911-04"}' --reason "Works list." --as "A. Reader"
    """
    from numbertaker.usecases.decide import decide as rule

    with opened(archive) as kept:
        _tell(rule(kept, kind, target, ruling, reason, by), as_json)


def take_back(
    decision: Annotated[str, typer.Argument(help="The id of the decision.")],
    reason: Why,
    by: Who,
    archive: ArchiveDir = HERE,
    as_json: AsJson = False,
) -> None:
    """Take a decision back; everything is then as before it. The log keeps both.

    \b
    Example:
      numbertaker take-back D4 --reason "The other card has turned up." --as "A. Reader"
    """
    from numbertaker.usecases.decide import take_back as undo

    with opened(archive) as kept:
        _tell(undo(kept, decision, reason, by), as_json)


def _tell(decided: Decided, as_json: bool) -> None:
    changed = decided.changed
    if as_json:
        parts = {
            "components": list(changed.components),
            "findings_closed": list(changed.findings_closed),
            "findings_opened": list(changed.findings_opened),
        }
        proposed = [asdict(cell) | {"cell": str(cell.cell)} for cell in changed.proposed]
        print_json({"decision": decided.decision.row(), "changed": parts | {"proposed": proposed}})
        return
    print(f"{decided.decision.decision_id} is in the log.")
    told = (
        ("Another history now", changed.components),
        ("Findings closed", changed.findings_closed),
        ("Findings opened", changed.findings_opened),
    )
    for label, ids in told:
        if ids:
            print(f"{label}: {', '.join(ids)}.")
    for cell in changed.proposed:
        if cell.now:
            print(f"Proposed anew: {cell.cell}: {cell.text} -> {cell.now.text} ({cell.now.why}).")
        else:
            print(f"No longer proposed: {cell.cell}: {cell.text} -> {cell.before}.")


def decisions(archive: ArchiveDir = HERE, as_json: AsJson = False) -> None:
    """The log of decisions, oldest first.

    \b
    Example:
      numbertaker decisions --archive my-archive
    """
    from numbertaker.evidence.decisions import standing

    with opened(archive) as kept:
        log = kept.evidence().decisions
    stand = {decision.decision_id for decision in standing(log)}
    if as_json:
        print_json({"decisions": [d.row() | {"stands": d.decision_id in stand} for d in log]})
        return
    rows = (
        (
            d.decision_id,
            d.kind,
            d.target,
            d.ruling,
            "stands" if d.decision_id in stand or d.kind == "revoke" else "taken back",
            d.by,
            d.at,
            d.reason,
        )
        for d in log
    )
    print_table(("id", "kind", "target", "ruling", "state", "by", "at", "reason"), rows)
