"""The verbs by which documents come out: history, and changes since an earlier edition."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal

import typer

from numbertaker.cli.options import HERE, ArchiveDir, opened, say
from numbertaker.evidence.errors import BadInput

if TYPE_CHECKING:
    from numbertaker.publishing.watching import Stage, Watch
    from numbertaker.usecases.asked import Asked

Component = Annotated[str | None, typer.Argument(help="A component's id, else its number.")]
Everything = Annotated[bool, typer.Option("--all", help="The histories of all components, as one book.")]
Engine = Annotated[str | None, typer.Option(help="What one engine carried: its id, number or name.")]
Class = Annotated[str | None, typer.Option("--class", help="What the engines of a class carried.")]
Out = Annotated[Path | None, typer.Option("-o", "--out", help="The file; else text is printed.")]
Style = Annotated[
    str, typer.Option(help="The house style of the notes: archive, journal, plain, or one kept.")
]
StyleFile = Annotated[Path | None, typer.Option("--style-file", help="A house style of your own (TOML).")]
Dates = Annotated[Literal["british", "american", "iso"], typer.Option(help="How a day is written.")]
Distance = Annotated[Literal["miles", "kilometres", "both"], typer.Option(help="The unit of distances.")]
Compare = Annotated[
    list[str] | None,
    typer.Option("--compare", help="A comparison to recompute: 'SENTENCE :: miles 30 equator'."),
]
Workers = Annotated[int, typer.Option(min=1, help="In how many processes chapters are made.")]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the command."""
    app.command()(history)
    app.command()(changes)


def history(
    component: Component = None,
    *,
    archive: ArchiveDir = HERE,
    form: Annotated[
        Literal["json", "md", "html", "docx", "odt", "pdf", "tex", "txt", "edition", "site"],
        typer.Option("--format", help="What to write."),
    ] = "json",
    out: Out = None,
    everything: Everything = False,
    engine: Engine = None,
    class_: Class = None,
    style: Style = "archive",
    style_file: StyleFile = None,
    dates: Dates = "british",
    distance: Distance = "miles",
    plates: Annotated[bool, typer.Option("--plates", help="Show the slips behind the key claims.")] = False,
    with_slips: Annotated[
        bool, typer.Option("--with-slips", help="Hold the slips of the scans in the notes of HTML pages.")
    ] = False,
    with_evidence: Annotated[
        bool, typer.Option("--with-evidence", help="Attach the history as JSON to the PDF (PDF/A-3a).")
    ] = False,
    compare: Compare = None,
    edition: Annotated[
        Path | None, typer.Option("--edition", help="Write what this edition states to a file, too.")
    ] = None,
    workers: Workers = 1,
) -> None:
    """Write the history of a component, an engine, a class or everything, with its sources.

    Where several components bear the number, nothing is written; they are listed, and the exit code is 2. A
    slip that is not to be had or a source without rights is named before anything is made.

    \b
    Examples:
      numbertaker history 52 --format docx -o boiler-52.docx
      numbertaker history B52 --format pdf --plates --edition boiler-52.edition.json -o boiler-52.pdf
      numbertaker history B52 --format html --with-slips -o boiler-52.html
      numbertaker history --engine "Ostrey Belle" --format odt --style journal -o engine.odt
      numbertaker history --all --format pdf -o book.pdf
      numbertaker history --all --format site -o site.zip
      numbertaker history 52 --format md --compare "It ran 30 times round the Earth. :: miles 30 equator"
    """
    from numbertaker.usecases import publish
    from numbertaker.usecases.asked import What

    _refuse_binary(form, out)
    asked = _asked(
        style,
        style_file,
        dates,
        distance,
        plates=plates,
        slips=with_slips,
        evidence=with_evidence,
        compare=compare,
    )
    what = What(component=component, engine=engine, class_=class_, everything=everything)
    with opened(archive) as kept, _bar() as watch:
        if form not in ("json", "edition"):
            say(*publish.lacking(kept, what, asked))
        data = publish.export(kept, what, form, asked, workers=workers, watch=watch)
        stated = publish.export(kept, what, "edition", asked, workers=workers) if edition is not None else b""
    _give(data, out)
    if edition is not None:
        publish.write_whole(edition, stated)
        say(f"Written: {edition}")


def changes(
    earlier: Annotated[Path, typer.Argument(help="The file of the earlier edition.")],
    component: Component = None,
    *,
    archive: ArchiveDir = HERE,
    form: Annotated[
        Literal["md", "html", "docx", "odt", "pdf", "tex", "txt"],
        typer.Option("--format", help="What to write."),
    ] = "md",
    out: Out = None,
    everything: Everything = False,
    engine: Engine = None,
    class_: Class = None,
    style: Style = "archive",
    style_file: StyleFile = None,
    dates: Dates = "british",
    distance: Distance = "miles",
    compare: Compare = None,
) -> None:
    """Write what changed since an earlier edition: statements added, changed and dropped, each with why.

    Name the same component, engine or class in the same style and usage as the earlier edition has.

    \b
    Example:
      numbertaker changes boiler-52.edition.json 52 --format docx -o changes.docx
    """
    from numbertaker.usecases import publish
    from numbertaker.usecases.asked import What

    _refuse_binary(form, out)
    asked = _asked(style, style_file, dates, distance, compare=compare)
    what = What(component=component, engine=engine, class_=class_, everything=everything)
    text = _read(earlier)
    with opened(archive) as kept:
        data = publish.what_changed(kept, what, text, form, asked)
    _give(data, out)


def _asked(
    style: str,
    style_file: Path | None,
    dates: str,
    distance: str,
    *,
    plates: bool = False,
    slips: bool = False,
    evidence: bool = False,
    compare: list[str] | None = None,
) -> Asked:
    from numbertaker.usecases.asked import Asked

    return Asked(
        style=style,
        own_style=_read(style_file) if style_file is not None else "",
        dates=dates,
        distance=distance,
        plates=plates,
        slips=slips,
        evidence=evidence,
        comparisons=tuple(compare or ()),
    )


def _read(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise BadInput(f"{file}: expected text in UTF-8; byte {error.start} is none.") from error


def _refuse_binary(form: str, out: Path | None) -> None:
    """A document for a word processor is no text for a terminal."""
    if out is None and form in ("docx", "odt", "pdf", "tex", "site") and sys.stdout.isatty():
        raise BadInput(f"Expected a file for {form}, which is no text to print: name one with -o.")


def _give(data: bytes, out: Path | None) -> None:
    from numbertaker.usecases.publish import write_whole

    if out is None:
        sys.stdout.flush()
        stream = getattr(sys.stdout, "buffer", None)
        if stream is None:
            print(data.decode("utf-8"), end="")
        else:
            stream.write(data)
            stream.flush()
    else:
        write_whole(out, data)
        say(f"Written: {out}")


_STAGES: Final[dict[Stage, str]] = {
    "chapters": "Making chapters",
    "pictures": "Drawing pictures",
    "setting": "Setting pages",
}


@contextmanager
def _bar() -> Iterator[Watch]:
    """A progress bar on the terminal's error stream, shown once there is more than one chapter."""
    from rich.console import Console
    from rich.progress import Progress as Bar

    if not sys.stderr.isatty():
        from numbertaker.publishing.watching import unwatched

        yield unwatched
        return
    with Bar(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", visible=False)

        def moved(stage: Stage, done: int, of: int) -> None:
            bar.update(task, description=_STAGES[stage], completed=done, total=of if of > 1 else None)
            bar.update(task, visible=bar.tasks[0].visible or of > 1)

        yield moved
