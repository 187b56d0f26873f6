"""Uploaded files, laid down in a folder for as long as a use case wants them."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path, PureWindowsPath

from fastapi import UploadFile

from numbertaker.evidence.errors import BadInput

_UNSAFE = re.compile(r"[\x00-\x1f\x7f<>:\"|?*/\\]")
_LONGEST = 150


@contextmanager
def laid_down(uploads: Sequence[UploadFile]) -> Iterator[list[Path]]:
    """The files under their own names, each in a folder of its own; all are gone when the block ends."""
    with tempfile.TemporaryDirectory(prefix="numbertaker-") as folder:
        yield [_lay(upload, Path(folder) / str(n)) for n, upload in enumerate(uploads, start=1)]


def _lay(upload: UploadFile, folder: Path) -> Path:
    folder.mkdir()
    place = folder / safe_name(upload.filename or "")
    with place.open("wb") as file:
        shutil.copyfileobj(upload.file, file)
    return place


def safe_name(told: str) -> str:
    """The last part of a name that a browser gave, without what no system allows in a name of a file.

    >>> safe_name("..\\\\cards/../card 52.jpg")
    'card 52.jpg'
    """
    name = _UNSAFE.sub("_", PureWindowsPath(told).name).strip(" .")
    if not name:
        raise BadInput(column="files", expected="files with names", found=told)
    stem, dot, ending = name.rpartition(".")
    return name if len(name) <= _LONGEST else f"{stem[: _LONGEST - len(ending) - 1]}{dot}{ending}"[-_LONGEST:]
