"""The evidence package, the truth and the cells, written to disk."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from pathlib import Path
from typing import Any, Final

from . import tables
from .papers import COLUMNS, FORM_OF, SIDE, Line, Paper
from .plantings import World
from .scans import Page, ScanFile
from .tables import Row

LINE_COLUMNS: Final = (
    "line_id",
    "source_id",
    "card_id",
    "locator",
    "side",
    "heading",
    "heading_name",
    "row",
    "says",
    "engine",
    "engine_name",
    "component",
    "fitted",
    "removed",
    "miles",
    "total_miles",
    "place",
    "remarks",
    "marks",
    "reading",
    "region",
)
TABLE_COLUMNS: Final = {
    "sources": (
        "source_id",
        "kind",
        "title",
        "author",
        "publisher",
        "repository",
        "collection",
        "reference",
        "item",
        "created",
        "seen",
        "rights",
        "address",
        "compiled_from",
        "reliability",
        "note",
    ),
    "cards": (
        "card_id",
        "source_id",
        "form",
        "subject_id",
        "covers",
        "state",
        "scans",
        "sha256",
        "locator",
        "note",
    ),
    "engines": ("engine_id", "class", "built", "withdrawn", "works", "note"),
    "components": ("component_id", "kind", "type", "built", "condemned", "note"),
    "designations": ("subject_id", "scheme", "value", "from", "to"),
    "fits": ("component_type", "engine_class"),
    "events": ("event_id", "subject_id", "date", "statement", "source_id", "locator"),
    "lines": LINE_COLUMNS,
}


def digests(scans: list[ScanFile], folder: Path) -> dict[str, str]:
    """The SHA-256 of every scan file, by its name."""
    return {file.name: hashlib.sha256((folder / file.name).read_bytes()).hexdigest() for file in scans}


def line_rows(scans: list[ScanFile], papers: list[Paper]) -> list[Row]:
    """Every line of every card, as a perfect transcriber would type it, in the order of the papers."""
    pages = {page.paper.card_id: (file, page) for file in scans for page in file.pages}
    return [_line_row(*pages[paper.card_id], paper, line) for paper in papers for line in paper.lines]


def _line_row(file: ScanFile, page: Page, paper: Paper, line: Line) -> Row:
    inked = [c.box for c in page.sheet.cells if c.row == line.row and c.text]
    left, top = min(b[0] for b in inked), min(b[1] for b in inked)
    right, bottom = max(b[0] + b[2] for b in inked), max(b[1] + b[3] for b in inked)
    xywh = ",".join(str(v) for v in page.box((left, top, right - left, bottom - top)))
    reference = file.reference(page)
    return {
        "line_id": paper.line_id(line),
        "source_id": paper.source_id,
        "card_id": paper.card_id,
        "locator": f"{paper.locator}, line {line.row}",
        "side": SIDE[paper.form],
        "heading": paper.heading,
        "heading_name": paper.heading_name,
        "row": str(line.row),
        "says": line.says,
        **line.cells,
        "marks": ";".join(f"{name}={mark}" for name, mark in line.marks.items()),
        "region": f"{reference}{'&' if '#' in reference else '#'}xywh={xywh}",
    }


def package_tables(
    world: World, papers: list[Paper], scans: list[ScanFile], sums: dict[str, str]
) -> dict[str, list[Row]]:
    """Every table of the package, by its name."""
    return {
        "sources": tables.sources(),
        "cards": tables.cards(world, papers, scans, sums),
        "engines": tables.engines(world),
        "components": tables.components(world),
        "designations": tables.designations(world),
        "fits": tables.fits(),
        "events": tables.events(world),
        "lines": line_rows(scans, papers),
    }


def write_package(folder: Path, name: str, rows: dict[str, list[Row]]) -> None:
    """Write tables as CSV files with a data package descriptor beside them."""
    folder.mkdir(parents=True, exist_ok=True)
    for table, content in rows.items():
        text = io.StringIO(newline="")
        writer = csv.DictWriter(text, TABLE_COLUMNS[table], restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(content)
        (folder / f"{table}.csv").write_text(text.getvalue(), encoding="utf-8", newline="\n")
    write_json(folder / "datapackage.json", _descriptor(name, list(rows)))


def _descriptor(name: str, names: list[str]) -> dict[str, Any]:
    resources = [
        {
            "name": table,
            "path": f"{table}.csv",
            "profile": "tabular-data-resource",
            "encoding": "utf-8",
            "schema": {"fields": [{"name": column, "type": "string"} for column in TABLE_COLUMNS[table]]},
        }
        for table in names
    ]
    return {
        "name": name,
        "profile": "tabular-data-package",
        "licenses": [{"name": "CC0-1.0"}],
        "resources": resources,
    }


def cells_json(scans: list[ScanFile]) -> list[dict[str, Any]]:
    """For every page of every scan: its card, its turn and outline, and each cell's text, box and mark."""
    return [
        {
            "scan": file.name,
            "page": file.number(page) or 1,
            **({"place": place} if file.camera else {}),
            "source_id": page.paper.source_id,
            "card_id": page.paper.card_id,
            "form": FORM_OF.get(page.paper.form, page.paper.form),
            "kind": page.paper.form,
            "width": page.size[0],
            "height": page.size[1],
            "turned": round(page.look.skew, 3),
            "outline": page.outline(),
            "columns": [list(c) for c in COLUMNS[page.paper.form]],
            "cells": _cells(page),
        }
        for file in scans
        for place, page in enumerate(file.pages)
    ]


def _cells(page: Page) -> list[dict[str, Any]]:
    cells = []
    for cell in page.sheet.cells:
        entry: dict[str, Any] = {
            "row": cell.row,
            "field": cell.name,
            "text": cell.text,
            "box": page.box(cell.box),
        }
        if cell.marks:
            kind, _, struck = cell.marks.partition(":")
            entry["mark"] = kind
            if cell.struck_box is not None:
                entry |= {"struck": struck, "struck_box": page.box(cell.struck_box)}
        cells.append(entry)
    return cells


def write_json(path: Path, content: object) -> None:
    """Write a value as UTF-8 JSON, one entry of a list or mapping of the top two levels a line."""
    path.write_text(json.dumps(content, ensure_ascii=False, indent=1) + "\n", encoding="utf-8", newline="\n")
