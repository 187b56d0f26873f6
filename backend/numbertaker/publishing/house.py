"""House styles as data: how a source is named at first, again, and in the bibliography.

A style is a TOML file (`styles/` has three; docs/publishing.md says how to add one). Each part of a note has
one `{field}`; a part whose field is not stated is left out, so that nothing is ever filled in.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from numbertaker.evidence.errors import BadInput
from numbertaker.publishing.document import Inlines, Run, words

FIELDS: Final = frozenset(
    (
        *("repository", "collection", "reference", "title", "item", "locator"),
        *("seen", "author", "surname", "made"),
    )
)
_PART: Final = re.compile(r"([^{}]*)\{([a-z]+)\}([^{}]*)")
_NOTES: Final = ("archival", "published", "short_reference", "short_archival", "short_published")
_HERE: Final = Path(__file__).with_name("styles")


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a note: words before, the field, words after."""

    before: str
    field: str
    after: str


@dataclass(frozen=True, slots=True)
class HouseStyle:
    """How one house names its sources."""

    name: str
    title: str
    notes: Mapping[str, tuple[Part, ...]]
    bibliography: Mapping[str, tuple[Part, ...]]
    elsewhere: str
    italic: bool
    quotes: tuple[str, str]
    as_written: bool

    def set_title(self, title: str, *, published: bool) -> tuple[Run, ...]:
        """A title as the house sets it; never recased."""
        if published and self.italic:
            return (Run(title, italic=True),)
        return (Run(f"{self.quotes[0]}{title}{self.quotes[1]}"),)


def set_parts(parts: Sequence[Part], fields: Mapping[str, Inlines]) -> Inlines:
    """The parts whose fields are stated, one after the other; the first without the comma before it."""
    said: list[Inlines] = []
    kept = [part for part in parts if fields.get(part.field)]
    for n, part in enumerate(kept):
        before = part.before.lstrip(" ,;:") if n == 0 else part.before
        after = part.after.rstrip(" ,;:") if n == len(kept) - 1 else part.after
        said.append((*words(before), *fields[part.field], *words(after)))
    return tuple(inline for inlines in said for inline in inlines)


def style_of(text: str, where: str = "the style") -> HouseStyle:
    """A style from the text of its file; BadInput with the place of what is wrong."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(f"{where}: expected TOML; {error}.") from error
    notes, books = _table(data, "notes", where), _table(data, "bibliography", where)
    titles = _table(data, "titles", where)
    quotes = titles.get("other", ["‘", "’"])
    if not (isinstance(quotes, list) and len(quotes) == 2 and all(isinstance(q, str) for q in quotes)):
        raise BadInput(f"{where}, titles.other: expected two texts, the signs before and after a title.")
    return HouseStyle(
        _text(data, "name", where),
        _text(data, "title", where),
        {name: _parts(notes, name, f"{where}, notes") for name in _NOTES},
        {name: _parts(books, name, f"{where}, bibliography") for name in _NOTES[:2]},
        _text(books, "elsewhere", f"{where}, bibliography"),
        titles.get("published") == "italic",
        (quotes[0], quotes[1]),
        bool(notes.get("as_written", True)),
    )


def _table(data: Mapping[str, Any], name: str, where: str) -> Mapping[str, Any]:
    table = data.get(name)
    if not isinstance(table, dict):
        raise BadInput(f"{where}: expected a table [{name}], found none.")
    return table


def _text(data: Mapping[str, Any], name: str, where: str) -> str:
    value = data.get(name)
    if not isinstance(value, str) or not value:
        raise BadInput(f"{where}: expected {name} to be a text, found {value!r}.")
    return value


def _parts(data: Mapping[str, Any], name: str, where: str) -> tuple[Part, ...]:
    listed = data.get(name)
    if not isinstance(listed, list) or not listed:
        raise BadInput(f"{where}: expected {name} to be a list of parts, found {listed!r}.")
    return tuple(_part(part, f"{where}.{name}") for part in listed)


def _part(text: object, where: str) -> Part:
    found = _PART.fullmatch(text) if isinstance(text, str) else None
    if found is None or found[2] not in FIELDS:
        known = ", ".join(sorted(FIELDS))
        raise BadInput(f"{where}: expected a part with one field of {known} in braces, found {text!r}.")
    return Part(found[1], found[2], found[3])


def style_text(name: str) -> str:
    """The text of a style that comes with the program."""
    return (_HERE / f"{name}.toml").read_text(encoding="utf-8")


STYLES: Final[Mapping[str, HouseStyle]] = {
    file.stem: style_of(style_text(file.stem), file.name) for file in sorted(_HERE.glob("*.toml"))
}
"""The styles that come with the program, by name."""
