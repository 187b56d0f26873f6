"""A program run in a process of its own, watched while it runs, and ended where nobody waits any more."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryFile
from typing import Final

EVERY_S: Final = 0.1
"""How often whoever waits is told that it still runs, in seconds."""
_SAID: Final = 2_000


class EndedError(RuntimeError):
    """A program ended otherwise than well; the message has the last of what it said."""


def apart(
    words: Sequence[str], folder: Path, going_on: Callable[[], None], environment: Mapping[str, str] | None
) -> None:
    """Run a program in a folder until it is done; `EndedError` where it fails.

    `going_on` is called ever and again meanwhile; what it raises ends the program.
    """
    with (
        TemporaryFile() as said,
        subprocess.Popen(
            words, cwd=folder, env=environment, stdin=subprocess.DEVNULL, stdout=said, stderr=said
        ) as running,
    ):
        try:
            while not _over(running):
                going_on()
        except BaseException:
            running.kill()
            raise
        if running.returncode != 0:
            said.seek(0)
            told = said.read().decode(errors="replace").strip()[-_SAID:]
            raise EndedError(f"It ended with {running.returncode}: {told}")


def _over(running: subprocess.Popen[bytes]) -> bool:
    try:
        running.wait(EVERY_S)
    except subprocess.TimeoutExpired:
        return False
    return True
