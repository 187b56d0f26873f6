"""The verb by which an archive's papers teach how often they are wrong: learn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from numbertaker.cli.options import HERE, ArchiveDir, AsJson, Worker, opened, print_json, print_table

if TYPE_CHECKING:
    from numbertaker.usecases.look.views import LearntView


def add_to(app: typer.Typer) -> None:
    """Add this verb to the command."""
    app.command()(learn)


def learn(
    archive: ArchiveDir = HERE,
    show: Annotated[bool, typer.Option("--show", help="Tell what is in force, and learn nothing.")] = False,
    by: Worker = "",
    as_json: AsJson = False,
) -> None:
    """Learn from the archive how often its papers are wrong, and how far its engines run.

    Histories are weighed with it from then on; a correction or a ruling never changes it. It is done by
    itself when an archive first gets lines.

    \b
    Examples:
      numbertaker learn --archive my-archive
      numbertaker learn --show --json
    """
    from numbertaker.usecases import learn as learning
    from numbertaker.usecases.calibrating import READING, curves_in_force
    from numbertaker.usecases.look.learnt import learnt_view

    with opened(archive) as kept:
        if not show:
            learning.learn(kept, by)
        view, body = learnt_view(kept), learning.in_force(kept).to_json()
        body |= {READING: kept.lessons()[-1].body[READING]} if curves_in_force(kept) else {}
    if as_json:
        print_json({"version": view.version, "at": view.at, "by": view.by, "learnt": body})
        return
    print(view.says)
    _tell(view)


def _tell(view: LearntView) -> None:
    rows = ((row.what, f"{row.share:.1%}", f"{row.cases:,.0f}") for row in view.rows)
    print_table(("what", "how often", "cases here"), rows)
