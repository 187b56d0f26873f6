"""A package whose ids are all given a prefix, so that it can stand beside rows of the same ids."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Final, TypeAlias

from numbertaker.evidence.package.values import RECORD_OF, Package, Row
from numbertaker.evidence.records import CellKey, Decision, Record, Source

_Rename: TypeAlias = Callable[[str, str], str]

_REFERENCES: Final[Mapping[str, Mapping[str, str]]] = {
    "cards": {"source_id": "sources", "subject_id": "subjects"},
    "designations": {"subject_id": "subjects"},
    "events": {"source_id": "sources", "subject_id": "subjects"},
    "lines": {"source_id": "sources", "card_id": "cards"},
    "decisions": {"revokes": "decisions"},
    "readings": {"line_id": "lines", "superseded_by": "decisions"},
}
"""By table: the columns that hold an id, and of which table."""


def prefixed(package: Package, prefix: str) -> Package:
    """The package with `prefix` before each of its ids, wherever they stand; ids of other rows stay.

    The id of a finding follows from its claims, so a ruling on one can't be carried over; that is said.
    """
    rename = _renaming(package, prefix)
    tables = {
        name: replace(table, rows=tuple(Row(row.number, _renamed(row.record, rename)) for row in table.rows))
        for name, table in package.tables.items()
    }
    lost = sum(getattr(row.record, "kind", "") == "finding" for row in package.rows("decisions"))
    said = (f"{lost} rulings on findings wait for findings that now have other ids.",) if lost else ()
    return Package(tables, (*package.notices, *said))


def _renaming(package: Package, prefix: str) -> _Rename:
    ids = {table: {row.record.key for row in package.rows(table)} for table in RECORD_OF}
    ids["subjects"] = ids["engines"] | ids["components"]
    return lambda table, text: prefix + text if text in ids.get(table, ()) else text


def _renamed(record: Record, rename: _Rename) -> Record:
    row = record.row()
    table = record.TABLE
    if len(record.KEY) == 1:
        row[record.KEY[0]] = rename(table, row[record.KEY[0]])
    for column, of in _REFERENCES.get(table, {}).items():
        if column in row:
            row[column] = rename(of, row[column])
    if isinstance(record, Source):
        row["compiled_from"] = ";".join(rename("sources", parent) for parent in record.parents)
    if isinstance(record, Decision):
        row |= _ruling(record, rename)
    return type(record).from_row(row)


def _ruling(decision: Decision, rename: _Rename) -> dict[str, str]:
    """Target and ruling of a decision, with the ids in them renamed."""
    target, ruling = decision.target, decision.ruling
    if decision.kind in ("cell", "link"):
        target = _cell(target, rename)
    if decision.kind == "link":
        ruling = rename("subjects", ruling)
    if decision.kind == "revoke":
        target = rename("decisions", target)
    if decision.kind == "finding":
        ruling = re.sub(
            r"(believe|set aside) ([^;]*[^;\s])", lambda m: f"{m[1]} {_cell(m[2], rename)}", ruling
        )
    if decision.kind == "checked":
        target = rename("cards", target)
    if decision.kind == "looked":
        target, ruling = _looked(target, ruling, rename)
    if decision.kind == "authority":
        target, ruling = _authority(target, ruling, rename)
    return {"target": target, "ruling": ruling}


def _cell(text: str, rename: _Rename) -> str:
    cell = CellKey.parse(text)
    return str(CellKey(rename("lines", cell.line_id), cell.field))


def _looked(target: str, ruling: str, rename: _Rename) -> tuple[str, str]:
    engine, mark, component = target.partition(";")
    row = json.loads(ruling)
    if row.get("source"):
        row["source"] = rename("sources", row["source"])
    pair = f"{rename('subjects', engine.strip())}{mark}{rename('subjects', component.strip())}"
    return pair, json.dumps(row, ensure_ascii=False)


def _authority(target: str, ruling: str, rename: _Rename) -> tuple[str, str]:
    table, _, key = target.partition(":")
    head, slash, rest = key.partition("/")
    renamed = rename("subjects" if slash else table, head)
    row = {
        column: rename(_REFERENCES.get(table, {}).get(column, table), text)
        if column.endswith("_id") and isinstance(text, str)
        else text
        for column, text in json.loads(ruling).items()
    }
    return f"{table}:{renamed}{slash}{rest}", json.dumps(row, ensure_ascii=False)
