"""What all formats of a bibliography need of a source: its authors, its dates, and its kind."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from numbertaker.evidence.errors import BadDate
from numbertaker.evidence.records import Source
from numbertaker.publishing.dates import date_words

Kind: TypeAlias = Literal["book", "manuscript", "letter", "picture", "recollection", "document"]

_KINDS: Final[dict[str, Kind]] = {
    "published": "book",
    "letter": "letter",
    "photograph": "picture",
    "recollection": "recollection",
    "other": "document",
}
_LISTS: Final = ("works-list", "withdrawal-list")
_PERSON: Final = re.compile(r"(?P<family>[^,;]+),\s*(?P<given>[^,;]*\b[^\W\d_]\.[^,;]*)")
_SIMPLE: Final = re.compile(
    r"(?P<year>\d{4})(?:-(?P<month>\d\d)(?:-(?P<day>\d\d))?)?(?P<doubt>[?~%])?", re.ASCII
)
_MONTHS: Final = 12
_SEASONS: Final = (21, 22, 23, 24)
_ADDRESS: Final = re.compile(r"https?://[!-~]+", re.IGNORECASE)


def kind_of(source: Source) -> Kind:
    """What a source is, as reference lists tell things apart; a list that has a publisher is a book."""
    if source.kind in _LISTS and source.publisher:
        return "book"
    return _KINDS.get(source.kind, "manuscript")


@dataclass(frozen=True, slots=True)
class Name:
    """An author: a person with a family name and what comes before it, or else a name as it stands."""

    family: str
    given: str = ""


def authors(source: Source) -> list[Name]:
    """The authors, `;` between. Only 'Oram, T. H.' is surely a person; 'Railway, Brackwith Works' is not."""
    found = []
    for part in filter(None, (part.strip() for part in source.author.split(";"))):
        match = _PERSON.fullmatch(part)
        found.append(Name(match["family"].strip(), match["given"].strip()) if match else Name(part))
    return found


@dataclass(frozen=True, slots=True)
class PlainDate:
    """A year, perhaps with month and day; or, with `season` from 1 (spring) to 4, a season."""

    year: int
    month: int = 0
    day: int = 0
    season: int = 0
    doubtful: bool = False

    @property
    def parts(self) -> list[int]:
        """Year, month and day as far as they are stated."""
        return [part for part in (self.year, self.month, self.day) if part]


def plain_dates(edtf: str) -> list[PlainDate] | None:
    """The one or two plain dates of an EDTF text; None where it is empty or says more than they can."""
    ends = [_plain(end) for end in edtf.split("/")]
    if not edtf or len(ends) > 2:
        return None
    found = [end for end in ends if end is not None]
    return found if len(found) == len(ends) else None


def _plain(text: str) -> PlainDate | None:
    match = _SIMPLE.fullmatch(text)
    if match is None or match["year"] == "0000":
        return None
    month, day = int(match["month"] or 0), int(match["day"] or 0)
    doubtful = match["doubt"] is not None
    if month in _SEASONS and not day:
        return PlainDate(int(match["year"]), season=month - _SEASONS[0] + 1, doubtful=doubtful)
    return PlainDate(int(match["year"]), month, day, doubtful=doubtful) if month <= _MONTHS else None


def in_words(edtf: str) -> str:
    """A date in words; as it stands where it is no EDTF."""
    try:
        return date_words(edtf)
    except BadDate:
        return edtf


def url(source: Source) -> str:
    """The address of a source if it is one of the web."""
    said = source.address.strip()
    return said if _ADDRESS.fullmatch(said) else ""
