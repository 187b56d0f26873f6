"""The verbs for learnt forms: list, learn, export, import."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from numbertaker.cli.options import HERE, ArchiveDir, AsJson, opened, print_json, print_table, say

_forms = typer.Typer(help="Forms of cards, learnt from one card each.", no_args_is_help=True)


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the command."""
    app.add_typer(_forms, name="forms")


@_forms.command("list")
def list_(archive: ArchiveDir = HERE, as_json: AsJson = False) -> None:
    """The archive's learnt forms and their columns.

    \b
    Example:
      numbertaker forms list --archive my-archive
    """
    from numbertaker.usecases.forms import forms

    with opened(archive) as kept:
        known = forms(kept)
    if as_json:
        print_json({"forms": [form.to_json() for form in known]})
        return
    rows = (
        (f.name, f.side, ", ".join(x or t for x, t in zip(f.fields, f.titles, strict=True))) for f in known
    )
    print_table(("form", "side", "columns"), rows)


@_forms.command()
def learn(
    card: Annotated[str, typer.Argument(help="The card whose columns are right.")],
    name: Annotated[str, typer.Argument(help="What to call the form.")],
    *,
    archive: ArchiveDir = HERE,
    column: Annotated[
        list[str] | None, typer.Option(metavar="TITLE=FIELD", help="What the column of a title holds.")
    ] = None,
    side: Annotated[str, typer.Option(help="Whose card it is: component, engine or statement.")] = "",
) -> None:
    """Learn a form from one card: its columns, titles and paper. Cards that are read from then on are held
    to it.

    \b
    Examples:
      numbertaker forms learn S7-1 brackwith-ledger
      numbertaker forms learn S7-1 brackwith-ledger --column "Where=place" --column "Class="
    """
    from numbertaker.evidence.errors import BadInput
    from numbertaker.usecases.forms import learn_form

    if any("=" not in one for one in column or ()):
        raise BadInput("Say what a column holds as --column TITLE=FIELD, such as --column 'Where=place'.")
    meanings = dict(one.rsplit("=", 1) for one in column or ())
    with opened(archive) as kept:
        form = learn_form(kept, card, name, meanings, side)
    say(f"Learnt: {form.name}, with {len(form.fields)} columns.")


@_forms.command()
def choose(
    source: Annotated[str, typer.Argument(help="The source whose cards have the form.")],
    name: Annotated[str, typer.Argument(help="The form; left out, the program chooses card by card.")] = "",
    archive: ArchiveDir = HERE,
) -> None:
    """Say which learnt form the cards of a source have. It holds for cards that are read from then on.

    \b
    Examples:
      numbertaker forms choose S7 brackwith-ledger
      numbertaker forms choose S7
    """
    from numbertaker.usecases.forms import choose_form

    with opened(archive) as kept:
        choose_form(kept, source, name)
    say(f"Chosen for {source}: {name}." if name else f"The form of {source}'s cards is left to the program.")


@_forms.command()
def forget(name: Annotated[str, typer.Argument(help="The form.")], archive: ArchiveDir = HERE) -> None:
    """Forget a learnt form. Cards stay as they were read.

    \b
    Example:
      numbertaker forms forget brackwith-ledger
    """
    from numbertaker.usecases.forms import drop_form

    with opened(archive) as kept:
        drop_form(kept, name)
    say(f"Forgotten: {name}.")


@_forms.command()
def export(
    name: Annotated[str, typer.Argument(help="The form.")],
    out: Annotated[Path, typer.Argument(help="The file to write.")],
    archive: ArchiveDir = HERE,
) -> None:
    """Write a form to a file, for somebody who has cards of it too.

    \b
    Example:
      numbertaker forms export brackwith-ledger ledger.json
    """
    from numbertaker.evidence.errors import NotFound
    from numbertaker.usecases.forms import forms

    with opened(archive) as kept:
        known = {form.name: form for form in forms(kept)}
    if name not in known:
        raise NotFound("form", name, near=list(known)[:5])
    text = json.dumps(known[name].to_json(), ensure_ascii=False, indent=1) + "\n"
    out.write_text(text, encoding="utf-8", newline="\n")
    say(f"Written: {out}")


@_forms.command("import")
def import_(
    file: Annotated[Path, typer.Argument(help="A form that was exported.")], archive: ArchiveDir = HERE
) -> None:
    """Take in a form that somebody shared.

    \b
    Example:
      numbertaker forms import ledger.json --archive my-archive
    """
    from numbertaker.usecases.forms import take_form

    with opened(archive) as kept:
        form = take_form(kept, file)
    say(f"Taken in: {form.name}, with {len(form.fields)} columns.")
