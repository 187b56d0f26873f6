"""Sources as RIS, a field a line; read by every reference manager.

RIS knows no line breaks within a field: they become blanks. It has no fields for rights, for what a source
was compiled from, or for dates that say more than a day, month or year: those stand in its custom fields.

| tag | what |
| --- | --- |
| TY, ID | the type, and the source's id |
| AU, TI, PB, PY, DA | author, title, publisher, year, and the day as far as it is a plain one |
| AV, C5, CN, M1 | repository, collection, reference and item |
| M3, UR, Y2, N1 | the kind of source, its address, when it was seen, and the note |
| C1, C2, C3, C4 | rights, what it was compiled from, and both dates as EDTF |
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Final

from numbertaker.evidence.records import Source
from numbertaker.publishing.bibliography.parts import Kind, Name, authors, kind_of, plain_dates, url

_TYPES: Final[dict[Kind, str]] = {
    "book": "BOOK",
    "manuscript": "MANSCPT",
    "letter": "PCOMM",
    "picture": "FIGURE",
    "recollection": "PCOMM",
    "document": "GEN",
}
# Whatever some program takes for the end of a line, and controls, which none expects.
_NO_LINE: Final = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")


def ris(sources: Iterable[Source]) -> str:
    """The sources as records; lines end as the format has it, with CR and LF."""
    return "".join(f"{line}\r\n" for source in sources for line in _record(source))


def _record(source: Source) -> Iterator[str]:
    yield f"TY  - {_TYPES[kind_of(source)]}"
    for tag, value in _fields(source):
        plain = _NO_LINE.sub(" ", value).strip()
        if plain:
            yield f"{tag}  - {plain}"
    yield "ER  - "
    yield ""


def _fields(source: Source) -> Iterator[tuple[str, str]]:
    yield "ID", source.source_id
    yield from (("AU", _author(name)) for name in authors(source))
    yield "TI", source.title
    yield "PB", source.publisher
    dates = plain_dates(source.created)
    yield "PY", f"{dates[0].year:04d}" if dates and len(dates) == 1 else ""
    yield "DA", _day(source.created)
    yield "AV", source.repository
    yield "C5", source.collection
    yield "CN", source.reference
    yield "M1", source.item
    yield "M3", source.kind
    yield "UR", url(source)
    yield "Y2", _day(source.seen)
    yield "N1", source.note
    yield "C1", source.rights
    yield "C2", source.compiled_from
    yield "C3", source.created
    yield "C4", source.seen


def _author(name: Name) -> str:
    return f"{name.family}, {name.given}" if name.given else name.family


def _day(edtf: str) -> str:
    """A date as `YYYY/MM/DD/`; empty where it is none, or more than one."""
    dates = plain_dates(edtf)
    if dates is None or len(dates) != 1 or dates[0].season:
        return ""
    one = dates[0]
    return f"{one.year:04d}/{one.month:02d}/{one.day:02d}/".replace("/00", "/")
