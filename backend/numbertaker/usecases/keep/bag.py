"""Give an archive out for keeping: a bag by BagIt 1.0 (RFC 8493), with all that is known and how it came."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput, Conflict
from numbertaker.publishing.compose import CAUTION
from numbertaker.publishing.keeping import bag as text
from numbertaker.publishing.keeping.values import ADDRESS, Holding
from numbertaker.usecases.keep.holding import holding
from numbertaker.usecases.keep.lacking import Lacking, check, lacking
from numbertaker.usecases.keep.payload import payload
from numbertaker.usecases.keep.sinks import Counted, whole

_DAY: Final = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_OURS: Final = frozenset(
    ("bagging-date", "payload-oxum", "bag-software-agent", "external-identifier", "external-description")
)


@dataclass(frozen=True, slots=True)
class Bagged:
    """Where the bag is, how many files and bytes its payload has, and what a person should be told."""

    place: Path
    files: int
    octets: int
    notices: tuple[str, ...]


def write_bag(
    archive: Archive,
    out: Path,
    *,
    day: str = "",
    info: Sequence[tuple[str, str]] = (),
    address: str = ADDRESS,
    rights_not_stated: bool = False,
) -> Bagged:
    """Write a bag as a folder, or as a file that ends in .zip: all of it, or nothing.

    `day` is the Bagging-Date, by default the last day on which anything in the archive was done; `info` has
    labels and texts for `bag-info.txt`; `address` is where the archive's pages will be found on the web.
    `BadInput` names, before anything is written, each scan whose file is gone and, unless
    `rights_not_stated`, each source with scans that states no rights. `Conflict` where somebody wrote
    meanwhile. The same state, day, labels and address give the same bag to the byte.
    """
    _check_place(out)
    labels = [(_own_label(label), said) for label, said in info]
    found = lacking(archive)
    check(found, rights_not_stated=rights_not_stated)
    revision = archive.revision()
    held = holding(archive, address)
    when = _day(day) if day else last_day(archive)
    with whole(out) as sink:
        made = Counted(sink)
        for path, chunks in payload(archive, held):
            made.put(path, chunks)
        if archive.revision() != revision:
            raise Conflict("Something was written into the archive meanwhile. Make the bag again.")
        files = len(made.digests)
        _tag_files(made, [*labels, *_info(held, found, when, made.octets, files)])
    return Bagged(out, files, made.octets, tuple(_notices(found)))


def last_day(archive: Archive) -> str:
    """The last day on which anything was taken in, read, imported or decided; empty where nothing says."""
    times = [
        *(scan.at for scan in archive.scans()),
        *(reading.at for reading in archive.card_readings()),
        *(decision.at for decision in archive.evidence().decisions),
        *(note.at for note in archive.imports()),
        *(lesson.at for lesson in archive.lessons()),
    ]
    return max((at[:10] for at in times if _DAY.match(at)), default="")


def _check_place(out: Path) -> None:
    if out.suffix.lower() == ".zip":
        if out.is_dir():
            raise BadInput(f"{out} is a folder; expected the name of a file to write.")
    elif out.is_file() or (out.is_dir() and any(out.iterdir()) and not (out / text.BAGIT).is_file()):
        found = "a file" if out.is_file() else "other files in it"
        raise BadInput(f"{out}: expected no folder, an empty one or an earlier bag, found {found}.")


def _own_label(label: str) -> str:
    if text.check_label(label).lower() in _OURS:
        raise BadInput(expected="a label that the program doesn't write itself", found=label)
    return label


def _day(said: str) -> str:
    try:
        return date.fromisoformat(said).isoformat()
    except ValueError:
        raise BadInput(expected="a day as YYYY-MM-DD", found=said) from None


def _info(held: Holding, found: Lacking, day: str, octets: int, files: int) -> list[tuple[str, str]]:
    silent = "; ".join(source.source_id for source in found.no_rights)
    return [
        ("External-Description", f"Histories of components with the scans and lines they rest on. {CAUTION}"),
        ("External-Identifier", held.state),
        ("Rights-Not-Stated", silent),
        ("Bagging-Date", day),
        ("Payload-Oxum", f"{octets}.{files}"),
        ("Bag-Software-Agent", held.program),
    ]


def _tag_files(made: Counted, info: Iterable[tuple[str, str]]) -> None:
    """The declaration, the information, the manifest of the payload, and that of these files."""
    payload_manifest = text.manifest(made.digests)
    made.digests.clear()
    for path, said in (
        (text.BAGIT, text.DECLARATION),
        (text.BAG_INFO, text.info(info)),
        (f"manifest-{text.ALGORITHM}.txt", payload_manifest),
    ):
        made.put(path, [said.encode("utf-8")])
    tags = text.manifest(made.digests)
    made.put(f"tagmanifest-{text.ALGORITHM}.txt", [tags.encode("utf-8")])


def _notices(found: Lacking) -> Iterable[str]:
    for source in found.no_rights:
        yield f"Source {source.source_id}, ‘{source.title}’, states no rights; the bag says so."
    for named in found.not_taken_in:
        yield f"A scan is named that was never taken in, and is not in the bag: {named}."
