"""A lock that its holder can't take to the grave: the system lets go of it when the process ends."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from numbertaker.evidence.errors import Conflict


@contextmanager
def holding(place: Path, busy: str) -> Iterator[None]:
    """Hold a lock file for the length of a block; `Conflict`, saying `busy`, where another one holds it."""
    with place.open("a+b") as file:
        try:
            _lock(file)
        except OSError as error:
            raise Conflict(busy) from error
        yield


def _lock(file: IO[bytes]) -> None:
    """Take the lock or raise OSError at once."""
    if sys.platform == "win32":
        import msvcrt

        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
