"""The command `numbertaker`: verbs over the use cases, and nothing but the terminal.

Exit codes: 0 done; 1 went through, but something is left undone (a card that could not be read); 2 refused,
and nothing was changed. Every failure is one message on the error stream.
"""

from __future__ import annotations

import os
import sys
from typing import Final

import typer

from numbertaker.cli import (
    ahead,
    coming_in,
    deciding,
    forming,
    histories,
    keeping,
    learning,
    publishing,
    readings,
    serving,
)
from numbertaker.cli.options import INCOMPLETE, REFUSED
from numbertaker.evidence.errors import NumbertakerError

_ABOUT: Final = """Traces one interchangeable component through every engine that carried it.

From scans of register cards, or from tables typed by hand, to a history with a footnote for each statement.

\b
Examples:
  numbertaker demo
  numbertaker import my-package --archive my-archive
  numbertaker take-in cards/*.jpg --source S1 --archive my-archive
  numbertaker read --archive my-archive
  numbertaker history 52 --format md -o boiler-52.md --archive my-archive

\b
Exit codes:
  0  done
  1  it went through, but something is left undone (a card that could not be read, say)
  2  refused; nothing was changed

A mileage or a date in a history is no evidence that a boiler or a vehicle is fit for use. That is for the
examination by a competent person that the law requires.
"""
_EVERYTHING: Final = "NUMBERTAKER_TRACEBACK"
"""Set to anything, this variable shows what happened inside when something unexpected does."""

app: Final = typer.Typer(
    help=_ABOUT,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["--help", "-h"]},
)
for _room in (
    coming_in,
    forming,
    readings,
    learning,
    histories,
    ahead,
    publishing,
    keeping,
    deciding,
    serving,
):
    _room.add_to(app)


def run() -> None:
    """Run a command and end the process with its exit code."""
    try:
        app()
    except NumbertakerError as error:
        sys.exit(_said(error.message, REFUSED))
    except KeyboardInterrupt:
        sys.exit(_said("Stopped. What was finished before is kept.", INCOMPLETE))
    except OSError as error:
        sys.exit(_said(f"{error.filename or 'The system'}: {error.strerror or error}.", REFUSED))
    except Exception as error:
        if os.environ.get(_EVERYTHING):
            raise
        what = f"Something unexpected happened: {type(error).__name__}: {error}."
        sys.exit(_said(f"{what} Set {_EVERYTHING}=1 to see where.", INCOMPLETE))


def _said(message: str, code: int) -> int:
    print(message, file=sys.stderr)
    return code
