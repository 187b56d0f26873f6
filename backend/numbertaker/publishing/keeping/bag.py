"""The parts of a bag (BagIt 1.0, RFC 8493) that are text: declaration, manifests, bag-info, and its paths.

Section numbers below are those of RFC 8493. Nothing here writes to a disk.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from pathlib import PureWindowsPath
from typing import Final

from numbertaker.evidence.errors import BadInput, Problem
from numbertaker.publishing.keeping.values import ScanFile

DECLARATION: Final = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
"""`bagit.txt`, section 2.1.1: exactly these two lines."""
BAGIT: Final = "bagit.txt"
BAG_INFO: Final = "bag-info.txt"
FETCH: Final = "fetch.txt"
PAYLOAD: Final = "data/"
ALGORITHM: Final = "sha512"
"""Section 2.4: the one to use for new bags."""
ALGORITHMS: Final = ("sha512", "sha256")
"""Those that can be checked, the stronger one first."""

_MANIFEST_LINE: Final = re.compile(r"([0-9A-Fa-f]+)[ \t]+\*?(.+)")
_SAFE: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}")
_UNSAFE_RUN: Final = re.compile(r"[^A-Za-z0-9_-]+")
_ENDING: Final = re.compile(r"\.[A-Za-z0-9]{1,8}$")
_RESERVED: Final = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?", re.IGNORECASE)
_STEM: Final = 60
_SHOWN: Final = 12
_BREAKS: Final = re.compile(r"[\r\n\v\f\x1c-\x1e\x85\u2028\u2029]+")


def encoded(path: str) -> str:
    """A path as a manifest has it (2.1.3): CR, LF and % in it are percent-encoded."""
    return path.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def decoded(text: str) -> str:
    """Read back what `encoded` writes; any other percent sign stands for itself."""
    found = re.sub(r"%0[Dd]", "\r", text)
    return re.sub(r"%0[Aa]", "\n", found).replace("%25", "%")


def leads_astray(path: str) -> bool:
    """Whether a path is none that a bag may name (section 5): absolute, upward, or of another system."""
    parts = path.split("/")
    return (
        not path
        or "\0" in path
        or "\\" in path
        or path.startswith(("/", "~"))
        or bool(PureWindowsPath(path).drive)
        or any(part in ("", ".", "..") for part in parts)
    )


def manifest(digests: Mapping[str, str]) -> str:
    """A manifest (2.1.3, 2.2.1): one file a line, ordered by path."""
    return "".join(f"{digest}  {encoded(path)}\n" for path, digest in sorted(digests.items()))


def read_manifest(text: str, name: str, *, payload: bool) -> dict[str, str]:
    """The digests by path; `BadInput` names each line that is none, leads astray, or names a file twice."""
    found: dict[str, str] = {}
    problems: list[Problem] = []
    for number, line in enumerate(re.split(r"\r\n|\r|\n", text.rstrip("\r\n")), start=1):
        match = _MANIFEST_LINE.fullmatch(line)
        path = decoded(match[2]).removeprefix("./") if match else ""
        if match is None:
            problems.append(Problem(file=name, row=number, expected="a checksum and a path", found=line))
        elif leads_astray(path) or payload != path.startswith(PAYLOAD):
            below = "below data/" if payload else "outside data/"
            problems.append(Problem(file=name, row=number, expected=f"a path {below}", found=path))
        elif path in found:
            problems.append(Problem(file=name, row=number, expected="each file once", found=path))
        else:
            found[path] = match[1].lower()
    if problems:
        raise BadInput(problems=problems)
    return found


def info(fields: Iterable[tuple[str, str]]) -> str:
    """`bag-info.txt` (2.2.2): a label and a text a line; a line break within a text becomes a space."""
    return "".join(f"{label}: {_BREAKS.sub(' ', text).strip()}\n" for label, text in fields if text)


def read_info(text: str) -> list[tuple[str, str]]:
    """The labels and texts of `bag-info.txt`; a line that begins with a blank goes on with the one before."""
    found: list[tuple[str, str]] = []
    for line in text.splitlines():
        if line[:1] in (" ", "\t") and found:
            found[-1] = (found[-1][0], f"{found[-1][1]} {line.strip()}")
        elif ":" in line:
            label, _, said = line.partition(":")
            found.append((label.strip(), said.strip()))
    return found


def check_label(label: str) -> str:
    """A label that a person adds to `bag-info.txt`, or `BadInput`."""
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9-]{0,80}", label):
        raise BadInput(expected="a label of letters, digits and hyphens, such as Contact-Name", found=label)
    return label


def scan_paths(scans: Sequence[ScanFile]) -> dict[str, str]:
    """A path in the bag for each scan, by digest: its own name where that is safe and used once.

    Safe are letters, digits, dot, hyphen and underscore, and no name that a system keeps for itself; names
    that differ only in capitals count as one. Any other name is made safe and told apart by the digest:
    a bag's names must survive every disk that it is ever copied to.
    """
    used = Counter(scan.name.casefold() for scan in scans)
    names = {scan.sha256: scan.name for scan in scans if _keeps(scan.name, used)}
    taken = {name.casefold() for name in names.values()}
    for scan in sorted(scans, key=lambda one: one.sha256):
        if scan.sha256 not in names:
            names[scan.sha256] = _told_apart(scan, taken)
            taken.add(names[scan.sha256].casefold())
    return {scan.sha256: f"{PAYLOAD}scans/{names[scan.sha256]}" for scan in scans}


def _keeps(name: str, used: Mapping[str, int]) -> bool:
    return (
        _SAFE.fullmatch(name) is not None
        and not name.endswith(".")
        and _RESERVED.fullmatch(name) is None
        and used[name.casefold()] == 1
    )


def _told_apart(scan: ScanFile, taken: Collection[str]) -> str:
    """A safe name with so much of the digest that no other scan has it."""
    ending = _ENDING.search(scan.name)
    stem = scan.name.removesuffix(ending[0]) if ending else scan.name
    plain = _UNSAFE_RUN.sub("-", stem).strip("-")[:_STEM] or "scan"
    for shown in range(_SHOWN, len(scan.sha256) + 1):
        name = f"{plain}-{scan.sha256[:shown]}{ending[0].lower() if ending else ''}"
        if name.casefold() not in taken:
            return name
    return f"{plain}-{scan.sha256}-itself{ending[0].lower() if ending else ''}"


def file_name(text: str, number: int) -> str:
    """A safe name for a file made from an id, told apart by its number in the order of its kind."""
    plain = _UNSAFE_RUN.sub("-", text).strip("-")[:_STEM]
    return f"{number:05d}-{plain}" if plain else f"{number:05d}"
