"""The data dictionary: `datapackage.json` with a Table Schema for each table (Frictionless, version 1)."""

from __future__ import annotations

import json
from typing import Any, Final, TypeAlias

from numbertaker.publishing.analysis.columns import TABLES, Column, Table
from numbertaker.publishing.compose import CAUTION

Json: TypeAlias = dict[str, Any]
PARQUET: Final = "application/vnd.apache.parquet"
_ABOUT: Final = (
    "Fitments, lines, claims and findings of an archive. Empty cells are not stated. Confidences are the "
    "probability that a statement is true. Miles are statute miles of 1,609.344 m; days are of the "
    "Gregorian calendar."
)


def dictionary(program: str, state: str, *, parquet: bool = True) -> str:
    """The descriptor; `state` names the evidence and decisions that the tables rest on."""
    resources = [_csv(table) for table in TABLES]
    if parquet:
        resources += [_parquet(table) for table in TABLES]
    whole = {
        "name": "analysis",
        "profile": "data-package",
        "title": "Tables for analysis",
        "description": f"{_ABOUT} {CAUTION}",
        "version": state,
        "sources": [{"title": program}],
        "resources": resources,
    }
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def _csv(table: Table) -> Json:
    return {
        "name": table.name,
        "path": f"{table.name}.csv",
        "profile": "tabular-data-resource",
        "title": table.name.capitalize(),
        "description": table.says,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": {"lineTerminator": "\r\n"},
        "schema": {"fields": [_field(column) for column in table.columns], "missingValues": [""]},
    }


def _field(column: Column) -> Json:
    made: Json = {"name": column.name, "type": column.type, "description": column.says}
    return made | ({"constraints": column.constraints} if column.constraints else {})


def _parquet(table: Table) -> Json:
    return {
        "name": f"{table.name}-parquet",
        "path": f"{table.name}.parquet",
        "profile": "data-resource",
        "title": f"{table.name.capitalize()}, the same as Parquet",
        "description": table.says,
        "format": "parquet",
        "mediatype": PARQUET,
    }
