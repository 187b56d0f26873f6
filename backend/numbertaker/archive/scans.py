"""Scans byte for byte, each in a file named by its SHA-256."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Final

from numbertaker.evidence.errors import NotFound

CHUNK: Final = 1 << 20
"""How many bytes of a file are in memory at once where it is passed on."""


@dataclass(frozen=True, slots=True)
class ScanStore:
    """A folder of files; a file is there wholly or not at all, and never changes."""

    folder: Path

    def path(self, sha256: str) -> Path:
        """Where the file of that digest lies, whether or not it is there."""
        return self.folder / sha256[:2] / sha256[2:]

    def put(self, data: bytes) -> tuple[str, bool]:
        """Keep the bytes; gives their digest, and whether they are new."""
        sha256 = hashlib.sha256(data).hexdigest()
        place = self.path(sha256)
        if place.exists():
            return sha256, False
        place.parent.mkdir(parents=True, exist_ok=True)
        write_whole(place, data)
        return sha256, True

    def put_stream(self, chunks: Iterable[bytes], sha256: str) -> bool:
        """Keep bytes that come piece by piece; False, and nothing kept, where they have another digest."""
        place = self.path(sha256)
        place.parent.mkdir(parents=True, exist_ok=True)
        found = hashlib.sha256()
        with writing_whole(place) as file:
            for chunk in chunks:
                found.update(chunk)
                file.write(chunk)
        if found.hexdigest() != sha256:
            place.unlink()
        return found.hexdigest() == sha256

    def chunks(self, sha256: str) -> Iterator[bytes]:
        """The bytes of that digest piece by piece; `NotFound` where they are not there."""
        try:
            file = self.path(sha256).open("rb")
        except FileNotFoundError:
            raise NotFound("scan", sha256) from None
        with file:
            while chunk := file.read(CHUNK):
                yield chunk

    def get(self, sha256: str) -> bytes:
        """The bytes of that digest; `NotFound` where they are not there."""
        try:
            return self.path(sha256).read_bytes()
        except FileNotFoundError:
            raise NotFound("scan", sha256) from None

    def drop(self, sha256: str) -> None:
        """Forget a file that was kept in vain, because what belonged to it was refused."""
        self.path(sha256).unlink(missing_ok=True)


def write_whole(place: Path, data: bytes) -> None:
    """Write a file so that it is never seen half written, even where the power fails."""
    with writing_whole(place) as file:
        file.write(data)


@contextlib.contextmanager
def writing_whole(place: Path) -> Iterator[IO[bytes]]:
    """Write a file beside its place; it comes there at the end of the block, unless that is an exception."""
    handle, name = tempfile.mkstemp(dir=place.parent, prefix=".coming-")
    try:
        with os.fdopen(handle, "wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(place)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise
    _sync_folder(place.parent)


def _sync_folder(folder: Path) -> None:
    """Make the new name durable, on systems where a folder can be opened."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
