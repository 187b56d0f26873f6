"""The verbs by which an archive goes out for keeping and for analysis, and comes back from a bag."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

from numbertaker.cli.options import DATABASE, HERE, ArchiveDir, AsJson, opened, print_json, print_table, say

Address = Annotated[
    str,
    typer.Option(metavar="URL", help="Where the archive's pages answer on the web; by default this machine."),
]
LOCAL = "http://127.0.0.1:8000/api"


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the command."""
    app.command()(bag)
    app.command()(restore)
    app.command()(keep)
    app.command()(bibliography)
    app.command()(analysis)


def bag(
    out: Annotated[Path, typer.Argument(help="A folder, or a file that ends in .zip.")],
    *,
    archive: ArchiveDir = HERE,
    day: Annotated[str, typer.Option("--date", metavar="YYYY-MM-DD", help="The Bagging-Date.")] = "",
    info: Annotated[
        list[str] | None, typer.Option(metavar="LABEL=TEXT", help="A line more in bag-info.txt.")
    ] = None,
    rights_not_stated: Annotated[
        bool, typer.Option("--rights-not-stated", help="Also where sources with scans state no rights.")
    ] = False,
    address: Address = LOCAL,
    as_json: AsJson = False,
) -> None:
    """Write everything for keeping: a bag by BagIt 1.0 with scans, evidence, readings and histories.

    \b
    Examples:
      numbertaker bag for-the-museum --archive my-archive
      numbertaker bag kept.zip --info "Source-Organization=Ostrey Town Museum"
    """
    from numbertaker.usecases.keep.bag import write_bag

    with opened(archive) as kept:
        made = write_bag(
            kept,
            out,
            day=day,
            info=[_label(one) for one in info or ()],
            address=address,
            rights_not_stated=rights_not_stated,
        )
    say(*made.notices)
    if as_json:
        print_json(
            {
                "bag": str(made.place),
                "files": made.files,
                "octets": made.octets,
                "notices": list(made.notices),
            }
        )
    else:
        say(f"Written: {made.place}, {made.files:,} files of {made.octets:,} bytes.")


def _label(said: str) -> tuple[str, str]:
    label, _, text = said.partition("=")
    return label.strip(), text


def restore(
    bag: Annotated[Path, typer.Argument(help="A bag: a folder or a .zip.")],
    archive: ArchiveDir = HERE,
    as_json: AsJson = False,
) -> None:
    """Make an archive of a bag again, in a folder that is not there yet. Every checksum is held first.

    \b
    Example:
      numbertaker restore for-the-museum --archive back-again
    """
    from numbertaker.usecases.keep.restore import restore as make

    made = make(bag, archive, database=os.environ.get(DATABASE))
    say(*made.notices)
    if as_json:
        rows, notices = dict(made.rows), list(made.notices)
        print_json({"rows": rows, "scans": made.scans, "readings": made.readings, "notices": notices})
        return
    print_table(("table", "rows"), ((table, str(n)) for table, n in made.rows.items()))
    print(f"{made.scans} scans, {made.readings} readings.")


def keep(
    what: Annotated[
        Literal["provenance", "annotations", "iiif", "alto", "hocr"], typer.Argument(help="What to write.")
    ],
    out: Annotated[
        Path, typer.Option("-o", "--out", help="The file; for iiif, alto and hocr a folder or a .zip.")
    ],
    archive: ArchiveDir = HERE,
    address: Address = LOCAL,
) -> None:
    """Write one of the formats for keeping: linked data, or what was read page by page.

    \b
    Examples:
      numbertaker keep provenance -o provenance.jsonld
      numbertaker keep alto -o pages --archive my-archive
    """
    from numbertaker.usecases.keep import exports

    with opened(archive) as kept:
        if what == "provenance" or what == "annotations":  # noqa: PLR1714 - the type checker sees it so
            exports.write_linked(kept, what, out, address)
            say(f"Written: {out}")
        else:
            files = exports.write_pages(kept, what, out, address)
            say(f"Written: {out}, {files:,} files.")


def bibliography(
    archive: ArchiveDir = HERE,
    style: Annotated[
        Literal["csl", "bibtex", "ris"], typer.Option("--format", help="What to write.")
    ] = "csl",
    out: Annotated[Path | None, typer.Option("-o", "--out", help="The file; else it is printed.")] = None,
) -> None:
    """The sources for other people's bibliographies: CSL-JSON, BibTeX or RIS.

    \b
    Example:
      numbertaker bibliography --format bibtex -o sources.bib
    """
    from numbertaker.usecases.keep import exports

    with opened(archive) as kept:
        text = exports.bibliography(kept, style)
    if out is None:
        sys.stdout.buffer.write(text.encode("utf-8"))
    else:
        exports.write_pieces(out, [text])
        say(f"Written: {out}")


def analysis(
    out: Annotated[Path, typer.Argument(help="A folder that is not there yet, or a file that ends in .zip.")],
    archive: ArchiveDir = HERE,
) -> None:
    """Write fitments, lines, claims and findings as CSV and Parquet, with a data dictionary.

    \b
    Example:
      numbertaker analysis tables --archive my-archive
    """
    from numbertaker.usecases.keep import exports

    with opened(archive) as kept:
        files = exports.write_analysis(kept, out)
    say(f"Written: {out}, {files:,} files.")
