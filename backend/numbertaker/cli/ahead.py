"""The verbs that look ahead: leads, what-if."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated

import typer

from numbertaker.cli.options import HERE, ArchiveDir, AsJson, opened, print_json

if TYPE_CHECKING:
    from numbertaker.usecases.look.ahead import GapView, OutcomeView, PlaceView


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the command."""
    app.command()(leads)
    app.command("what-if")(what_if)


def leads(
    component: Annotated[str, typer.Argument(help="A component's id, or its number.")],
    archive: ArchiveDir = HERE,
    as_json: AsJson = False,
) -> None:
    """The engines that could have carried a component in its gaps, and which cards would show it.

    \b
    Example:
      numbertaker leads 52 --archive my-archive
    """
    from numbertaker.usecases.look.ahead import leads as look
    from numbertaker.usecases.naming import component_id_of

    with opened(archive) as kept:
        found = look(kept, component_id_of(kept.ruled().evidence, component))
    if as_json:
        print_json(asdict(found))
        return
    if not found.gaps:
        print(f"{found.label} is accounted for all the time between its first fitment and its last.")
    for gap in found.gaps:
        _tell_gap(found.label, gap)


def _tell_gap(label: str, gap: GapView) -> None:
    print(f"{label}, from {gap.earliest} to {gap.latest}, between {gap.before} and {gap.after}:")
    if not gap.leads:
        print("  No engine of the tables could have carried it then.")
    for lead in gap.leads:
        print(f"  {lead.probability:.2f}  {lead.label} ({lead.engine_id})")
        for text in lead.reasons:
            print(f"        {text}")
        _tell_places(lead.places)


def _tell_places(places: list[PlaceView]) -> None:
    for place in places:
        print(f"        Look: {place.says}")


def what_if(
    finding: Annotated[str, typer.Argument(help="The id of a finding.")],
    archive: ArchiveDir = HERE,
    as_json: AsJson = False,
) -> None:
    """What each ruling on a finding would change, and where to look for what settles it. Nothing is stored.

    \b
    Example:
      numbertaker what-if F31 --archive my-archive
    """
    from numbertaker.usecases.look.ahead import finding_ahead

    with opened(archive) as kept:
        found = finding_ahead(kept, finding)
    if as_json:
        print_json(asdict(found))
        return
    print(found.message)
    for outcome in found.outcomes:
        _tell_outcome(outcome)
    _tell_places(found.places)


def _tell_outcome(outcome: OutcomeView) -> None:
    print(f"\n{outcome.label}:")
    print(f"  ({outcome.ruling})")
    told = [
        *(change.says for change in outcome.changes),
        *(f"Finding {one.id} goes: {one.message}" for one in outcome.findings_gone),
        *(f"Finding {one.id} comes: {one.message}" for one in outcome.findings_come),
    ]
    if outcome.more_changes:
        told.append(f"{outcome.more_changes} further changes.")
    for text in told or ["Nothing else becomes otherwise."]:
        print(f"  {text}")
