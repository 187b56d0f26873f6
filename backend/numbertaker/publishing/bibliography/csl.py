"""Sources as CSL-JSON, by the schema csl-data.json of the Citation Style Language (1.0.2).

The schema takes no fields but its own. What has none (rights, what a source was compiled from, its dates as
EDTF, columns of the source's own) stands in `custom`, cell by cell as it is.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, Final, TypeAlias

from numbertaker.evidence.records import Source
from numbertaker.publishing.bibliography.parts import Kind, Name, authors, in_words, kind_of, plain_dates, url

Json: TypeAlias = dict[str, Any]

_TYPES: Final[dict[Kind, str]] = {
    "book": "book",
    "manuscript": "manuscript",
    "letter": "personal_communication",
    "picture": "graphic",
    "recollection": "interview",
    "document": "document",
}
_ALSO: Final = ("kind", "created", "seen", "rights", "address", "compiled_from", "reliability")


def csl_json(sources: Iterable[Source]) -> str:
    """The sources as a JSON list."""
    return json.dumps([entry(source) for source in sources], ensure_ascii=False, indent=1) + "\n"


def entry(source: Source) -> Json:
    """One source; what is not stated is left out."""
    filled: Json = {
        "title": source.title,
        "author": [_name(name) for name in authors(source)],
        "publisher": source.publisher,
        "issued": _date(source.created),
        "accessed": _date(source.seen),
        "archive": source.repository,
        "archive_collection": source.collection,
        "archive_location": source.reference,
        "part": source.item,
        "genre": source.kind.replace("-", " "),
        "URL": url(source),
        "note": source.note,
        "custom": _custom(source),
    }
    plain: Json = {"id": source.source_id, "type": _TYPES[kind_of(source)]}
    return plain | {key: value for key, value in filled.items() if value}


def _name(name: Name) -> dict[str, str]:
    return {"family": name.family, "given": name.given} if name.given else {"literal": name.family}


def _date(edtf: str) -> Json:
    """A date as numbers where it is a plain one or runs from one to another, else in words."""
    if not edtf:
        return {}
    dates = plain_dates(edtf)
    if dates is None:
        return {"literal": in_words(edtf)}
    made: Json = {"date-parts": [one.parts for one in dates]}
    if len(dates) == 1 and dates[0].season:
        made["season"] = dates[0].season
    if any(one.doubtful for one in dates):
        made["circa"] = True
    return made


def _custom(source: Source) -> Json:
    row = source.row()
    known = {column: row[column] for column in _ALSO if row[column]}
    own = {column: text for column, text in source.extra if text}
    return known | ({"columns": own} if own else {})
