"""The verbs about how cards were read: proposals, reliability."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated

import typer

from numbertaker.cli.options import HERE, ArchiveDir, AsJson, opened, print_json, print_table

if TYPE_CHECKING:
    from numbertaker.usecases.look.views import ReliabilityView


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the command."""
    app.command()(proposals)
    app.command()(reliability)


def proposals(
    source: Annotated[str, typer.Argument(help="The id of a source; all where none is given.")] = "",
    archive: ArchiveDir = HERE,
    as_json: AsJson = False,
) -> None:
    """The cells of which another text is likelier than what was read, each with the reason: the card's sums,
    the order of its dates, the archive's lists, and what corrections taught of the hand.

    None is taken by itself; take one with `numbertaker decide cell`.

    \b
    Examples:
      numbertaker proposals --archive my-archive
      numbertaker proposals S1 --json
    """
    from numbertaker.usecases.look.readings import all_proposed

    with opened(archive) as kept:
        found = all_proposed(kept, source or None)
    if as_json:
        print_json({"proposals": [asdict(cell) for cell in found]})
        return
    rows = ((f"{c.line_id}/{c.field}", c.text, c.proposed, f"{c.confidence:.2f}", c.why) for c in found)
    print_table(("cell", "as read", "likelier", "how sure", "why"), rows)


def reliability(
    source: Annotated[str, typer.Argument(help="The id of a source.")],
    archive: ArchiveDir = HERE,
    as_json: AsJson = False,
) -> None:
    """How far the confidence of a source's cells can be trusted, by its checked cards; and what its
    corrections taught of its hand.

    \b
    Example:
      numbertaker reliability S1 --archive my-archive
    """
    from numbertaker.usecases.look.readings import source_reading

    with opened(archive) as kept:
        told = source_reading(kept, source)
    if as_json:
        print_json(asdict(told))
        return
    print(told.says)
    if told.reliability.cells:
        print_table(("read with", "cells", "right", "of 100", "at least", "at most"), _rows(told.reliability))
    if told.learnt:
        print(f"By what was learnt of them it is off by {100 * told.learnt.error:.1f} in a hundred.")
    for confusion in told.confusions:
        print(f"{confusion.says}.")


def _rows(told: ReliabilityView) -> list[tuple[str, ...]]:
    return [
        (
            f"{g.low:.2f} to {g.high:.2f}",
            str(g.cells),
            str(g.right),
            *(f"{100 * share:.1f}" for share in (g.share, g.at_least, g.at_most)),
        )
        for g in told.groups
    ]
