"""The data dictionary: `datapackage.json` with a Table Schema for each table (Frictionless, version 1)."""

from __future__ import annotations

import json
from typing import Any, Final, TypeAlias

from numbertaker.publishing.analysis.columns import TABLES, Column, Table
from numbertaker.publishing.compose import CAUTION

Json: TypeAlias = dict[str, Any]
_ABOUT: Final = (
    "Fitments, lines, claims and findings of an archive. Empty cells are not stated. Confidences are the "
    "probability that a statement is true. Miles are statute miles of 1,609.344 m; days are of the "
    "Gregorian calendar."
)


def dictionary(program: str, state: str, *, parquet: bool = True) -> str:
    """The descriptor; `state` names the evidence and decisions that the tables rest on."""
    whole = {
        "name": "analysis",
        "profile": "tabular-data-package",
        "title": "Tables for analysis",
        "description": f"{_ABOUT} {CAUTION}",
        "version": state,
        "sources": [{"title": program}],
        "resources": [_resource(table, parquet=parquet) for table in TABLES],
    }
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def _resource(table: Table, *, parquet: bool) -> Json:
    """A table as CSV; where the same lies beside it as Parquet, a property of our own says so."""
    made: Json = {
        "name": table.name,
        "path": f"{table.name}.csv",
        "profile": "tabular-data-resource",
        "title": table.name.capitalize(),
        "description": table.says,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": {
            "fields": [_field(column) for column in table.columns],
            "missingValues": [""],
            "primaryKey": list(table.key),
        },
    }
    return made | ({"parquet": f"{table.name}.parquet"} if parquet else {})


def _field(column: Column) -> Json:
    made: Json = {"name": column.name, "type": column.type, "description": column.says}
    return made | ({"constraints": column.constraints} if column.constraints else {})
