"""The verbs that say what has been found: reconcile, components, findings."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated, Any

import typer

from numbertaker.cli.options import HERE, ArchiveDir, AsJson, opened, print_json, print_table

if TYPE_CHECKING:
    from numbertaker.evidence.records import Evidence
    from numbertaker.reconciling.history import ComponentHistory, Finding


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the command."""
    app.command()(reconcile)
    app.command()(components)
    app.command()(findings)


def reconcile(archive: ArchiveDir = HERE, as_json: AsJson = False) -> None:
    """Link every claim and reconcile them all anew. (Other verbs do it by themselves after a change.)

    \b
    Example:
      numbertaker reconcile --archive my-archive
    """
    from numbertaker.usecases.reconcile import reconcile as make

    with opened(archive) as kept:
        made = make(kept)
    if as_json:
        print_json(asdict(made))
    else:
        print(
            f"{made.components} components, {made.fitments} fitments, {made.findings_open} findings are open."
        )


def components(archive: ArchiveDir = HERE, as_json: AsJson = False) -> None:
    """The components with their numbers, fitments, miles and open findings.

    \b
    Example:
      numbertaker components --archive my-archive
    """
    from numbertaker.usecases.reconcile import current

    with opened(archive) as kept:
        evidence, made = kept.ruled().evidence, current(kept)
    rows = [_component(evidence, one) for one in made.components]
    if as_json:
        print_json({"components": rows})
        return
    head = ("component_id", "number", "kind", "type", "fitments", "supported_miles", "findings_open")
    print_table(
        [name.replace("_", " ") for name in head], ([str(row[name]) for name in head] for row in rows)
    )


def _component(evidence: Evidence, one: ComponentHistory) -> dict[str, Any]:
    row = next(c for c in evidence.components if c.component_id == one.component_id)
    numbers = [
        d.value for d in evidence.designations if d.subject_id == one.component_id and d.scheme == "number"
    ]
    return {
        "component_id": one.component_id,
        "number": ", ".join(numbers),
        "kind": row.kind,
        "type": row.type,
        "fitments": len(one.fitments),
        "supported_miles": one.miles.supported,
        "findings_open": sum(f.settled_by is None for f in one.findings),
    }


def findings(
    archive: ArchiveDir = HERE,
    settled: Annotated[bool, typer.Option("--settled", help="Those that were ruled on too.")] = False,
    kind: Annotated[str, typer.Option(help="Of this kind only.")] = "",
    as_json: AsJson = False,
) -> None:
    """What the evidence leaves open or what can't all be true.

    \b
    Examples:
      numbertaker findings --archive my-archive
      numbertaker findings --kind gap --json
    """
    from numbertaker.usecases.reconcile import current

    with opened(archive) as kept:
        found = current(kept).all_findings()
    wanted = [f for f in found if (settled or f.settled_by is None) and kind in ("", f.kind)]
    if as_json:
        print_json({"findings": [finding.to_json(explained=True) for finding in wanted]})
        return
    print_table(("id", "kind", "sure", "message"), (_finding(finding) for finding in wanted))


def _finding(finding: Finding) -> tuple[str, str, str, str]:
    settled = f" (settled by {finding.settled_by})" if finding.settled_by else ""
    return finding.id, finding.kind, f"{finding.confidence:.2f}", finding.message + settled
