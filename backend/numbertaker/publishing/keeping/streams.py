"""Long JSON and CSV texts piece by piece, so that an archive of any size needs no more memory than a row."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final

_COMPACT: Final = (",", ":")


def compact(value: Any) -> str:
    """A value as JSON on one line; what is not ASCII stands as itself."""
    return json.dumps(value, ensure_ascii=False, separators=_COMPACT)


def object_with_list(head: Mapping[str, Any], name: str, items: Iterable[Any]) -> Iterator[str]:
    """A JSON object whose last member is a list, each member of it on a line of its own."""
    yield "{"
    for key, value in head.items():
        yield f"\n {compact(key)}: {compact(value)},"
    yield f"\n {compact(name)}: ["
    between = "\n  "
    for item in items:
        yield between + compact(item)
        between = ",\n  "
    yield "\n ]\n}\n"


def json_lines(items: Iterable[Any]) -> Iterator[str]:
    """Values as JSON, one a line."""
    return (compact(item) + "\n" for item in items)


def csv_lines(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    """A CSV file by RFC 4180, the columns in its first row; quoted where a cell needs it."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        yield _taken(text)
        writer.writerow(row)
    yield _taken(text)


def _taken(text: io.StringIO) -> str:
    """What was written so far; nothing of it is left."""
    said = text.getvalue()
    text.seek(0)
    text.truncate()
    return said
