"""The verbs that run for a while: demo and serve."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from numbertaker.cli.options import HERE, ArchiveDir, opened, reading_bar, say


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the command."""
    app.command()(demo)
    app.command()(serve)


def demo(
    archive: ArchiveDir = HERE,
    corpus: Annotated[Path | None, typer.Option(help="The demo's folder; usually found by itself.")] = None,
) -> None:
    """Take in the invented railway from its scans, read it, and write the history of a boiler.

    Run again, it does only what is not done yet.

    \b
    Example:
      numbertaker demo --archive my-archive
    """
    from numbertaker.usecases.demo import EXPORTS, find_corpus, make

    with opened(archive) as kept, reading_bar() as moved:
        made = make(kept, corpus or find_corpus(), moved)
    say(*made.failed)
    say(
        f"The archive is in {archive}: {made.cards} cards, {made.lines} lines, {made.components} components, "
        f"{made.findings} open findings.",
        f"The history of boiler {made.number} is in {archive / EXPORTS}:",
        *(f"  {path.name}" for path in made.written),
    )


def serve(
    archive: ArchiveDir = HERE,
    port: Annotated[int, typer.Option(min=0, max=65535, help="0 for any that is free.")] = 8000,
    host: Annotated[
        str, typer.Option(help="The address to listen on; only this machine's is safe.")
    ] = "127.0.0.1",
) -> None:
    """Serve the pages to this machine.

    \b
    Example:
      numbertaker serve --archive my-archive --port 8080
    """
    import uvicorn

    from numbertaker.web.app import create_app
    from numbertaker.web.running import begin_ready

    with opened(archive) as kept:
        app = create_app(kept)
        begin_ready(kept)
        if port:
            say(f"The pages are at http://{host}:{port}/. Stop with Ctrl-C.")
        level = "info" if port == 0 else "warning"
        # A page that watches a job keeps its stream open; without a limit the server would never stop.
        uvicorn.run(app, host=host, port=port, log_level=level, timeout_graceful_shutdown=3)
