"""A bag that somebody hands over, as a folder or a zip: opened, and found to be whole, or refused."""

from __future__ import annotations

import hashlib
import re
import shutil
import zipfile
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Final, Protocol

from numbertaker.archive.scans import CHUNK
from numbertaker.evidence.errors import BadInput, Problem
from numbertaker.publishing.keeping import bag as text

_VERSION: Final = re.compile(
    r"BagIt-Version: (?P<version>\d+\.\d+)\r?\nTag-File-Character-Encoding: (?P<encoding>[^\s]+)\s*",
    re.IGNORECASE,
)
_VERSIONS: Final = ("1.0", "0.97")
"""1.0, and the draft before it, which many tools still write."""
_MANIFEST: Final = re.compile(r"(?P<tag>tag)?manifest-(?P<algorithm>[a-z0-9]+)\.txt")
_LARGEST_TAG_FILE: Final = 200_000_000


class Files(Protocol):
    """The files of a bag by their paths in it."""

    def names(self) -> list[str]:
        """Every file, in the order of the paths."""

    def size(self, path: str) -> int:
        """How many bytes a file has."""

    def open(self, path: str) -> AbstractContextManager[IO[bytes]]:
        """A file, to be read from its start."""


@dataclass(frozen=True, slots=True)
class FolderFiles:
    """A bag that is a folder. A link in it may lead anywhere, so none is followed."""

    folder: Path

    def names(self) -> list[str]:
        """Every file; `BadInput` where there is a link among them."""
        found = []
        for path in sorted(self.folder.rglob("*")):
            name = path.relative_to(self.folder).as_posix()
            if path.is_symlink():
                raise BadInput(f"{name} in the bag is a link; expected files and folders only.")
            if path.is_file():
                found.append(name)
        return found

    def size(self, path: str) -> int:
        """How many bytes a file has."""
        return (self.folder / path).stat().st_size

    def open(self, path: str) -> AbstractContextManager[IO[bytes]]:
        """A file, to be read from its start."""
        return (self.folder / path).open("rb")


@dataclass(frozen=True, slots=True)
class ZipFiles:
    """A bag in a zip, below the one folder that the zip holds (RFC 8493, section 4)."""

    zip: zipfile.ZipFile
    members: dict[str, zipfile.ZipInfo]

    def names(self) -> list[str]:
        """Every file."""
        return sorted(self.members)

    def size(self, path: str) -> int:
        """How many bytes a file says that it has."""
        return self.members[path].file_size

    def open(self, path: str) -> AbstractContextManager[IO[bytes]]:
        """A file, to be read from its start."""
        return self.zip.open(self.members[path])


@contextmanager
def opened_bag(place: Path, beside: Path) -> Iterator[Files]:
    """The files of a bag that was found whole; `BadInput` names every file that is not as it should be.

    `beside` is where it will be put: a zip that would unpack to more than the disk there can hold is refused.
    """
    if place.is_dir():
        files: Files = FolderFiles(place)
        validate(files, place.name)
        yield files
        return
    if not place.is_file():
        raise BadInput(f"{place}: expected a bag, a folder or a .zip, found nothing there.")
    try:
        with zipfile.ZipFile(place) as opened:
            files = _members(opened, place, shutil.disk_usage(beside).free)
            validate(files, place.name)
            yield files
    except (zipfile.BadZipFile, EOFError, NotImplementedError) as error:
        raise BadInput(f"{place.name} can't be opened: it breaks off or is no zip file ({error}).") from error


def _members(opened: zipfile.ZipFile, place: Path, room: int) -> ZipFiles:
    """The files below the folder that has `bagit.txt`."""
    members = [m for m in opened.infolist() if not m.is_dir()]
    astray = next((m.filename for m in members if text.leads_astray(m.filename)), None)
    if astray is not None:
        raise BadInput(f"{place.name} has a path that leads outside it: '{astray}'. Nothing was taken.")
    if any(m.flag_bits & 1 for m in members):
        raise BadInput(f"{place.name} has a password. Make it again without one.")
    total = sum(m.file_size for m in members)
    if total > room:
        raise BadInput(f"{place.name} would unpack to {total:,} bytes; there is room for {room:,}.")
    roots = [m.filename.removesuffix(text.BAGIT) for m in members if m.filename.endswith(text.BAGIT)]
    root = min(roots, key=len, default="")
    found = {m.filename.removeprefix(root): m for m in members if m.filename.startswith(root)}
    if len(found) != sum(m.filename.startswith(root) for m in members):
        raise BadInput(f"{place.name} has one file twice; expected each once. Nothing was taken.")
    return ZipFiles(opened, found)


def validate(files: Files, name: str) -> None:
    """Hold a bag to RFC 8493, section 3: complete, and every checksum right; `BadInput` names each fault."""
    names = set(files.names())
    _check_declaration(files, names, name)
    manifests = _manifests(files, names)
    problems = _incomplete(manifests, names)
    if text.BAG_INFO in names:
        problems += _miscounted(files, names)
    if not problems:
        problems = _changed(files, manifests)
    if problems:
        raise BadInput(problems=problems)


def read_text(files: Files, path: str) -> str:
    """A tag file as text."""
    if files.size(path) > _LARGEST_TAG_FILE:
        raise BadInput(f"{path} has {files.size(path):,} bytes; at most {_LARGEST_TAG_FILE:,} are taken.")
    try:
        with files.open(path) as file:
            return file.read().decode("utf-8")
    except UnicodeDecodeError:
        raise BadInput(file=path, expected="text in UTF-8", found="bytes that are none") from None


def _check_declaration(files: Files, names: set[str], name: str) -> None:
    if text.BAGIT not in names:
        raise BadInput(f"{name} is no bag: expected a file {text.BAGIT} in it, found none.")
    said = read_text(files, text.BAGIT)
    match = _VERSION.fullmatch(said)
    if match is None or match["version"] not in _VERSIONS or match["encoding"].upper() != "UTF-8":
        expected = f"BagIt version {' or '.join(_VERSIONS)} with tag files in UTF-8"
        raise BadInput(file=text.BAGIT, expected=expected, found=said)
    if text.FETCH in names and files.size(text.FETCH):
        raise BadInput(
            f"{name} leaves files to be fetched from elsewhere ({text.FETCH}). Nothing is fetched."
        )


@dataclass(frozen=True, slots=True)
class _Manifest:
    name: str
    algorithm: str
    payload: bool
    digests: dict[str, str]


def _manifests(files: Files, names: set[str]) -> list[_Manifest]:
    """The manifests whose algorithm is known; one of the payload at least must be among them."""
    found = []
    for name in sorted(names):
        match = _MANIFEST.fullmatch(name)
        if match is not None and match["algorithm"] in text.ALGORITHMS:
            payload = match["tag"] is None
            digests = text.read_manifest(read_text(files, name), name, payload=payload)
            found.append(_Manifest(name, match["algorithm"], payload, digests))
    if not any(one.payload for one in found):
        known = " or ".join(f"manifest-{one}.txt" for one in text.ALGORITHMS)
        raise BadInput(f"The bag can't be checked: expected a {known}, found none.")
    return found


def _incomplete(manifests: list[_Manifest], names: set[str]) -> list[Problem]:
    payload = {name for name in names if name.startswith(text.PAYLOAD)}
    problems = []
    for one in manifests:
        problems += [
            Problem(file=path, expected=f"the file that {one.name} lists", found="no file")
            for path in sorted(one.digests.keys() - names)
        ]
        if one.payload:
            problems += [
                Problem(file=path, expected=f"a line for it in {one.name}", found="none")
                for path in sorted(payload - one.digests.keys())
            ]
    return problems


def _miscounted(files: Files, names: set[str]) -> list[Problem]:
    """Whether Payload-Oxum, where it is given, says how many bytes and files there are."""
    payload = [name for name in names if name.startswith(text.PAYLOAD)]
    counted = f"{sum(map(files.size, payload))}.{len(payload)}"
    stated = [v for k, v in text.read_info(read_text(files, text.BAG_INFO)) if k.lower() == "payload-oxum"]
    return [
        Problem(file=text.BAG_INFO, column="Payload-Oxum", expected=one, found=counted)
        for one in stated
        if one != counted
    ]


def _changed(files: Files, manifests: list[_Manifest]) -> list[Problem]:
    """The files whose checksum is another than stated; each file is read once."""
    wanted: dict[str, dict[str, str]] = {}
    for one in manifests:
        for path, digest in one.digests.items():
            wanted.setdefault(path, {})[one.algorithm] = digest
    problems = []
    for path, digests in sorted(wanted.items()):
        found = _digests(files, path, digests)
        problems += [
            Problem(file=path, expected=f"{name} {digest[:16]}…", found=f"{found[name][:16]}…")
            for name, digest in digests.items()
            if found[name] != digest
        ]
    return problems


def _digests(files: Files, path: str, algorithms: dict[str, str]) -> dict[str, str]:
    hashes = {name: hashlib.new(name) for name in algorithms}
    try:
        with files.open(path) as file:
            while chunk := file.read(CHUNK):
                for one in hashes.values():
                    one.update(chunk)
    except zipfile.BadZipFile:
        return dict.fromkeys(algorithms, "bytes that the zip itself finds damaged")
    return {name: one.hexdigest() for name, one in hashes.items()}
