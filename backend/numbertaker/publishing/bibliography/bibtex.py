"""Sources as BibTeX, for BibTeX and BibLaTeX alike.

What is published is a `@book`; all else is `@misc`, its place in the archive in `howpublished`, which every
style prints, and again cell by cell in fields of our own, which styles pass over. Signs that TeX would take
for its own are written as commands; runs of blanks count as one, as everywhere in TeX.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Final

from numbertaker.evidence.records import Source
from numbertaker.publishing.bibliography.parts import Name, authors, kind_of, plain_dates, url

COMMANDS: Final = {
    "\\": r"\textbackslash{}",
    "{": r"\{",
    "}": r"\}",
    "$": r"\$",
    "&": r"\&",
    "#": r"\#",
    "%": r"\%",
    "_": r"\_",
    "^": r"\textasciicircum{}",
    "~": r"\textasciitilde{}",
}
ALONE: Final = {"{": r"\textbraceleft{}", "}": r"\textbraceright{}"}
"""For braces that don't pair: BibTeX counts them even behind a backslash, and would lose its place."""
_NO_TEXT: Final = re.compile(r"[\x00-\x08\x0e-\x1b\x7f-\x84\x86-\x9f]")
_BLANKS: Final = re.compile(r"\s+")
_NO_KEY: Final = re.compile(r"[^A-Za-z0-9._:-]+")


def bibtex(sources: Iterable[Source]) -> str:
    """The sources as entries, a blank line between."""
    kept = list(sources)
    return "\n".join(_entry(source, key) for source, key in zip(kept, keys(kept), strict=True))


def keys(sources: Iterable[Source]) -> list[str]:
    """A key for each source: its id without what a key can't have, numbered where two fall together."""
    used: set[str] = set()
    made: list[str] = []
    for source in sources:
        plain = _NO_KEY.sub("-", source.source_id).strip("-") or "source"
        key, number = plain, 1
        while key.casefold() in used:
            number += 1
            key = f"{plain}-{number}"
        used.add(key.casefold())
        made.append(key)
    return made


def tex(text: str) -> str:
    """A text as TeX sets it; a control character, which it can't, becomes U+FFFD."""
    plain = _BLANKS.sub(" ", _NO_TEXT.sub("\ufffd", text)).strip()
    commands = COMMANDS if _paired(plain) else COMMANDS | ALONE
    return "".join(commands.get(sign, sign) for sign in plain)


def _paired(text: str) -> bool:
    """Whether every brace that opens is closed again, and none closes that was not opened."""
    deep = 0
    for sign in text:
        deep += (sign == "{") - (sign == "}")
        if deep < 0:
            return False
    return deep == 0


def _entry(source: Source, key: str) -> str:
    kind = "book" if kind_of(source) == "book" else "misc"
    fields = ",\n".join(f"  {name} = {{{value}}}" for name, value in _fields(source, kind) if value)
    return f"@{kind}{{{key},\n{fields}\n}}\n"


def _fields(source: Source, kind: str) -> Iterator[tuple[str, str]]:
    """The fields in the order in which they are written; empty ones are for the caller to leave out."""
    yield "author", " and ".join(_author(name) for name in authors(source))
    # Braces around the whole keep a style from changing its capitals: a title is quoted as it stands.
    yield "title", f"{{{tex(source.title)}}}"
    yield "publisher", tex(source.publisher)
    dates = plain_dates(source.created)
    yield "year", str(dates[0].year) if dates and len(dates) == 1 else ""
    yield "date", tex(source.created)
    place = (source.repository, source.collection, source.reference, source.item)
    yield "howpublished", "" if kind == "book" else tex(", ".join(part for part in place if part))
    yield "url", _address(url(source))
    yield "urldate", tex(source.seen) if url(source) else ""
    yield "note", tex(source.note)
    yield "sourceid", tex(source.source_id)
    yield "sourcekind", tex(source.kind)
    yield "repository", tex(source.repository)
    yield "collection", tex(source.collection)
    yield "reference", tex(source.reference)
    yield "item", tex(source.item)
    yield "seen", tex(source.seen)
    yield "rights", tex(source.rights)
    yield "compiledfrom", tex(source.compiled_from)


def _author(name: Name) -> str:
    """A person as 'family, given'; any other name in braces of its own, so that it is not taken apart."""
    return f"{tex(name.family)}, {tex(name.given)}" if name.given else f"{{{tex(name.family)}}}"


def _address(address: str) -> str:
    """An address stands as it is but for braces and backslashes, which it may have percent-encoded."""
    return address.replace("\\", "%5C").replace("{", "%7B").replace("}", "%7D")
