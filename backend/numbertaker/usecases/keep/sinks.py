"""Where a bag is written to, a folder or a zip: all of it comes into place at one stroke, or nothing does."""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Final, Protocol

from numbertaker.archive.scans import writing_whole
from numbertaker.publishing.keeping.bag import PAYLOAD

_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
"""The earliest time that a zip can hold; one for all, so that the same bag gives the same zip."""


class Sink(Protocol):
    """Takes files by their paths."""

    def file(self, path: str) -> contextlib.AbstractContextManager[IO[bytes]]:
        """Open a file that is not there yet, to be written from its start to its end."""


@dataclass(slots=True)
class Counted:
    """A sink that keeps the digest of each file, and how many bytes the payload has."""

    sink: Sink
    digests: dict[str, str] = field(default_factory=dict)
    octets: int = 0

    def put(self, path: str, chunks: Iterable[bytes]) -> None:
        """Write a file piece by piece."""
        with self.writing(path) as file:
            for chunk in chunks:
                file.write(chunk)

    @contextmanager
    def writing(self, path: str) -> Iterator[_Hashed]:
        """Write a file by hand."""
        with self.sink.file(path) as file:
            hashed = _Hashed(file)
            yield hashed
        self.digests[path] = hashed.digest.hexdigest()
        self.octets += hashed.size if path.startswith(PAYLOAD) else 0


class _Hashed:
    """A file that is only written to; it knows the digest of what went in."""

    def __init__(self, file: IO[bytes]) -> None:
        self.file = file
        self.digest = hashlib.sha512()
        self.size = 0
        self.closed = False

    def write(self, data: bytes) -> int:
        """Write on."""
        self.digest.update(data)
        self.size += len(data)
        return self.file.write(data)

    def flush(self) -> None:
        """Nothing waits here."""

    def tell(self) -> int:
        """How much was written."""
        return self.size

    def close(self) -> None:
        """Its owner closes the file."""


@dataclass(frozen=True, slots=True)
class FolderSink:
    """Files in a folder."""

    folder: Path

    @contextmanager
    def file(self, path: str) -> Iterator[IO[bytes]]:
        """Write a file through to the disk."""
        place = self.folder / path
        place.parent.mkdir(parents=True, exist_ok=True)
        with place.open("xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())


@dataclass(frozen=True, slots=True)
class ZipSink:
    """Files in a zip, below one folder; pictures are kept as they are, since nothing makes them smaller."""

    out: zipfile.ZipFile
    folder: str

    @contextmanager
    def file(self, path: str) -> Iterator[IO[bytes]]:
        """Write a member of the zip."""
        entry = zipfile.ZipInfo(f"{self.folder}/{path}", _EPOCH)
        entry.compress_type = zipfile.ZIP_STORED if "/scans/" in path else zipfile.ZIP_DEFLATED
        entry.create_system = 3
        entry.external_attr = 0o644 << 16
        with self.out.open(entry, "w", force_zip64=True) as file:
            yield file


@contextmanager
def whole(out: Path) -> Iterator[Sink]:
    """A sink for a folder, or for a file that ends in .zip; it stands at its place only after the block."""
    out.parent.mkdir(parents=True, exist_ok=True)
    if out.suffix.lower() == ".zip":
        with writing_whole(out) as file, zipfile.ZipFile(file, "w") as opened:
            yield ZipSink(opened, out.stem)
        return
    coming = Path(tempfile.mkdtemp(dir=out.parent, prefix=".coming-"))
    try:
        yield FolderSink(coming)
        coming.chmod(0o755)
        put_in_place(coming, out)
    finally:
        shutil.rmtree(coming, ignore_errors=True)


def put_in_place(coming: Path, out: Path) -> None:
    """Give a folder its place; one that is there goes only once the new one stands."""
    if not out.exists():
        coming.replace(out)
        return
    gone = Path(tempfile.mkdtemp(dir=out.parent, prefix=".going-"))
    out.replace(gone / "was")
    try:
        coming.replace(out)
    except BaseException:
        (gone / "was").replace(out)
        raise
    finally:
        shutil.rmtree(gone, ignore_errors=True)
