"""The verbs by which evidence comes in and goes out: import, export, template, take-in, read, cards."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from numbertaker.cli.options import (
    HERE,
    INCOMPLETE,
    ArchiveDir,
    AsJson,
    Worker,
    opened,
    print_json,
    print_table,
    reading_bar,
    say,
)

if TYPE_CHECKING:
    from numbertaker.archive import Job
    from numbertaker.evidence.records import Source


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the command."""
    app.command("import")(import_)
    app.command()(imports)
    app.command()(export)
    app.command()(template)
    app.command("take-in")(take_in)
    app.command()(read)
    app.command()(cards)


def import_(
    package: Annotated[Path, typer.Argument(help="A folder, a .zip or an .xlsx.")],
    *,
    archive: ArchiveDir = HERE,
    prefix: Annotated[str, typer.Option(help="Put this before each incoming id.")] = "",
    learn: Annotated[bool, typer.Option("--learn", help="Learn from the archive anew afterwards.")] = False,
    by: Worker = "",
    as_json: AsJson = False,
) -> None:
    """Take in an evidence package: all of it, or nothing. The first lines of an archive are learnt from.

    \b
    Examples:
      numbertaker import my-package --archive my-archive
      numbertaker import from-a-friend.zip --prefix W-
      numbertaker import typed.xlsx
    """
    from numbertaker.usecases.packages import import_package

    with opened(archive) as kept:
        came = import_package(kept, package, by, prefix or None, learning=learn)
    say(*came.notices)
    if as_json:
        print_json(
            {"new": dict(came.counts), "unchanged": dict(came.unchanged), "notices": list(came.notices)}
        )
        return
    rows = ((table, str(n), str(came.unchanged[table])) for table, n in came.counts.items())
    print_table(("table", "new", "there already"), rows)


def imports(archive: ArchiveDir = HERE, as_json: AsJson = False) -> None:
    """The packages that brought something new: which, when, and who brought them.

    \b
    Example:
      numbertaker imports --archive my-archive
    """
    with opened(archive) as kept:
        notes = kept.imports()
    if as_json:
        print_json({"imports": [asdict(note) for note in notes]})
        return
    rows = ((note.at, note.by or "(not said)", str(note.rows), note.name, note.prefix) for note in notes)
    print_table(("at", "by", "new rows", "package", "prefix"), rows)


def export(
    out: Annotated[Path, typer.Argument(help="A folder, or a file that ends in .zip or .xlsx.")],
    archive: ArchiveDir = HERE,
) -> None:
    """Write everything as an evidence package.

    \b
    Examples:
      numbertaker export backup.zip --archive my-archive
      numbertaker export my-package
    """
    from numbertaker.usecases.packages import export_package

    with opened(archive) as kept:
        say(f"Written: {export_package(kept, out)}")


def template(out: Annotated[Path, typer.Argument(help="The .xlsx file to write.")]) -> None:
    """Write an empty workbook to type evidence into: a sheet a table, every column formatted as text.

    \b
    Example:
      numbertaker template mine.xlsx
    """
    from numbertaker.usecases.packages import write_template

    say(f"Written: {write_template(out)}")


def take_in(
    files: Annotated[list[Path], typer.Argument(help="Scans (JPEG, PNG, TIFF, HEIC, PDF), or folders.")],
    *,
    archive: ArchiveDir = HERE,
    source: Annotated[str, typer.Option(metavar="SOURCE_ID", help="The source that they belong to.")] = "",
    card: Annotated[str, typer.Option(metavar="CARD_ID", help="The one card that they all show.")] = "",
    kind: Annotated[str, typer.Option(help="With --title: make the source, of this kind.")] = "",
    title: Annotated[str, typer.Option(help="With --kind: make the source, of this title.")] = "",
    by: Worker = "",
    as_json: AsJson = False,
) -> None:
    """Take in scans of a source, byte for byte. Pages that cards name fall to them; others make new cards.

    \b
    Examples:
      numbertaker take-in scans --source S1
      numbertaker take-in front.jpg back.jpg --source S1 --card S1-52
      numbertaker take-in card.jpg --source S9 --kind component-card --title "Boiler cards, Brackwith"
    """
    from numbertaker.usecases.take_in import take_in as take

    with opened(archive) as kept:
        came = take(
            kept, files, source or None, by, card or None, new_source=_new_source(source, kind, title)
        )
    if as_json:
        scans = [{"sha256": s.sha256, "name": s.name, "pages": s.pages} for s in came.scans]
        known, problems = list(came.known_already), list(came.problems)
        print_json({"cards": list(came.cards), "scans": scans, "known_already": known, "problems": problems})
        return
    say(*came.problems)
    say(*(f"{name} is there already." for name in came.known_already))
    print(f"{len(came.scans)} new scans, {len(came.cards)} cards.")


def _new_source(source_id: str, kind: str, title: str) -> Source | None:
    """The source to be made, where its kind and title are given."""
    from numbertaker.evidence.errors import BadInput
    from numbertaker.evidence.records import Source

    if not kind and not title:
        return None
    if not (source_id and kind and title):
        raise BadInput("To make a source give all of --source, --kind and --title.")
    return Source(source_id=source_id, kind=kind, title=title)


def read(
    cards: Annotated[list[str] | None, typer.Argument(help="Ids of cards; all where none is given.")] = None,
    *,
    archive: ArchiveDir = HERE,
    again: Annotated[bool, typer.Option("--again", help="Read those too that were read already.")] = False,
    workers: Annotated[int, typer.Option(min=0, help="Processes; 0 for as many as there are cores.")] = 0,
    by: Worker = "",
    as_json: AsJson = False,
) -> None:
    """Read the cards that were not read yet. Exit code 1 where a card could not be read. The first lines of
    an archive are learnt from.

    \b
    Examples:
      numbertaker read --archive my-archive
      numbertaker read S1-52 S1-53 --again
    """
    from numbertaker.usecases.learn import learn_first
    from numbertaker.usecases.read import read as read_cards

    with opened(archive) as kept:
        with reading_bar() as moved:
            job = read_cards(kept, cards, workers or None, moved, again, by=by)
        learn_first(kept, by)
    _tell(job, as_json)
    if job.counts["failed"]:
        raise typer.Exit(INCOMPLETE)


def _tell(job: Job, as_json: bool) -> None:
    if as_json:
        failed = [{"card_id": i.card_id, "why": i.why} for i in job.items if i.state == "failed"]
        print_json({"job": job.job_id, "state": job.state, **job.counts, "failures": failed})
        return
    for item in job.items:
        if item.state == "failed":
            say(f"{item.card_id}: {item.why}")
    failed_too = f", {job.counts['failed']} could not be read" if job.counts["failed"] else ""
    print(f"{job.counts['done']} pages read{failed_too}.")


def cards(archive: ArchiveDir = HERE, as_json: AsJson = False) -> None:
    """What was read from the scans, before any linking.

    \b
    Examples:
      numbertaker cards --archive my-archive
      numbertaker cards --json > cards.json
    """
    from numbertaker.usecases.cards import cards_json

    with opened(archive) as kept:
        read_so_far = cards_json(kept)
    if as_json:
        print_json(read_so_far)
        return
    rows = (
        (c["card_id"], c["form"], str(len(c["lines"])), f"{c['scan']}, page {c['page']}")
        for c in read_so_far["cards"]
    )
    print_table(("card", "form", "lines", "scan"), rows)
    say(*(f"{c['card_id']}: {problem}" for c in read_so_far["cards"] for problem in c.get("problems", ())))
