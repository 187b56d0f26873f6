"""Zip files in and out: nothing that leads outside or swells beyond measure, the same bytes each time."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from pathlib import PurePosixPath, PureWindowsPath
from typing import Final

from numbertaker.evidence.errors import BadInput

MOST_FILES: Final = 2_000
MOST_BYTES: Final = 500_000_000
"""What the files of a zip may have together, unpacked."""
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
"""The earliest time that a zip can hold; one for all exports, so that the same rows give the same zip."""


def check_zip(data: bytes, name: str) -> zipfile.ZipFile:
    """Open a zip, unless it is damaged, locked, larger than is taken, or has a path that leads outside."""
    try:
        opened = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, OSError, ValueError) as error:
        raise BadInput(f"{name} can't be opened: it breaks off or is no zip file.") from error
    members = opened.infolist()
    total = sum(member.file_size for member in members)
    if len(members) > MOST_FILES or total > MOST_BYTES:
        raise BadInput(
            f"{name} would unpack to {len(members):,} files of {total:,} bytes; at most "
            f"{MOST_FILES:,} files of {MOST_BYTES:,} bytes are taken."
        )
    names = [member.filename for member in members]
    twice = next((filename for filename in names if names.count(filename) > 1), None)
    if twice is not None:
        raise BadInput(f"{name} has the file '{twice}' twice; expected each once. Nothing was taken.")
    for member in members:
        if _leads_outside(member.filename):
            raise BadInput(
                f"{name} has a path that leads outside it: '{member.filename}'. Nothing was taken."
            )
        if member.flag_bits & 1:
            raise BadInput(f"{name} has a password. Make it again without one.")
    return opened


def unzip(data: bytes, name: str) -> dict[str, bytes]:
    """The files of a zip by their paths in it."""
    with check_zip(data, name) as opened:
        members = [m for m in opened.infolist() if not m.is_dir() and not _is_clutter(m.filename)]
        try:
            return {m.filename: opened.read(m) for m in members}
        except (zipfile.BadZipFile, EOFError, OSError, NotImplementedError, ValueError) as error:
            raise BadInput(f"{name} can't be unpacked: {error}.") from error


def _leads_outside(path: str) -> bool:
    parts = PurePosixPath(path.replace("\\", "/")).parts
    return ".." in parts or path.startswith(("/", "\\")) or bool(PureWindowsPath(path).drive)


def _is_clutter(path: str) -> bool:
    """Whether a file is one that an operating system puts beside every other."""
    return path.startswith("__MACOSX/") or PurePosixPath(path).name in (
        ".DS_Store",
        "Thumbs.db",
        "desktop.ini",
    )


def zipped(files: Mapping[str, bytes]) -> bytes:
    """A zip of files; the same files give the same bytes, whenever and wherever."""
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as out:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, _EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3
            entry.external_attr = 0o644 << 16
            out.writestr(entry, data)
    return kept.getvalue()
