"""What the verbs have in common: where the archive is, who is working, and how data are printed."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

import typer

if TYPE_CHECKING:
    from numbertaker.archive import Archive, Job

INCOMPLETE: Final = 1
"""The exit code where a command went through and left something undone."""
REFUSED: Final = 2
"""The exit code where nothing was done, because what was asked for can't be."""
DATABASE: Final = "NUMBERTAKER_DATABASE"
"""The variable with the SQLAlchemy address of the rows, where they don't lie in the archive's folder."""

ArchiveDir = Annotated[
    Path,
    typer.Option("--archive", envvar="NUMBERTAKER_ARCHIVE", help="The archive's folder; made if absent."),
]
"""Where the archive is."""
HERE: Final = Path("archive")
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON, for programs.")]
Worker = Annotated[
    str, typer.Option("--as", metavar="NAME", help="Who is working; it is kept with what is done.")
]
Who = Annotated[str, typer.Option("--as", metavar="NAME", help="Who decides; it is kept with the decision.")]
Why = Annotated[str, typer.Option("--reason", help="Why, for those who come after.")]


@contextmanager
def opened(folder: Path) -> Iterator[Archive]:
    """The archive in a folder, its rows where the environment says, closed at the end."""
    from numbertaker.archive import open_archive

    archive = open_archive(folder, database=os.environ.get(DATABASE))
    try:
        yield archive
    finally:
        archive.close()


def say(*lines: str) -> None:
    """Tell a person something that is not the data asked for."""
    for line in lines:
        print(line, file=sys.stderr)


def print_json(data: Any) -> None:
    """Print data as JSON."""
    print(json.dumps(data, ensure_ascii=False, indent=1))


def print_table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print columns as wide as they must be; the last one runs on."""
    body = [tuple(head), *(tuple(row) for row in rows)]
    widths = [max(len(row[n]) for row in body) for n in range(len(head))]
    for row in body:
        cells = [cell.ljust(width) for cell, width in zip(row[:-1], widths, strict=False)]
        print("  ".join([*cells, row[-1]]).rstrip())


@contextmanager
def reading_bar() -> Iterator[Any]:
    """A progress bar on the terminal's error stream; what it gives is called with the job as it goes on."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("Reading cards")

        def moved(job: Job) -> None:
            over = job.counts["done"] + job.counts["failed"]
            bar.update(task, completed=over, total=len(job.items))

        yield moved
