"""The world as files: the evidence package's tables and `truth.json`."""

from __future__ import annotations

import csv
import json
from collections import Counter
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

from .values import Bearing, Card, Cell, Line, World
from .world import cards_of

LINE_COLUMNS = [
    *("line_id", "source_id", "card_id", "locator", "side", "heading", "heading_name", "row", "says"),
    *("engine", "engine_name", "component", "fitted", "removed", "miles", "total_miles", "place", "remarks"),
    *("marks", "reading", "reading_engine", "reading_component", "reading_fitted", "reading_removed"),
    *("reading_miles", "reading_total_miles", "region"),
]
FIELDS = ("engine", "component", "fitted", "removed", "miles", "total_miles")


def write_world(world: World, out: Path) -> None:
    """Write `out/package/*.csv` and `out/truth.json`."""
    package = out / "package"
    package.mkdir(parents=True, exist_ok=True)
    _identify(world)
    for name, (columns, rows) in tables(world).items():
        with (package / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, columns, restval="", lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
    (out / "truth.json").write_text(json.dumps(truth(world)), encoding="utf-8")


def _identify(world: World) -> None:
    """Give each card its id; a list is one card, a photograph one each."""
    counts: Counter[str] = Counter()
    for card in world.cards:
        if card.source in ("S3", "S6"):
            card.id = f"{card.source}-1"
            continue
        counts[card.source] += 1
        card.id = f"{card.source}-{counts[card.source]}"


def tables(world: World) -> dict[str, tuple[list[str], list[dict[str, str]]]]:
    """Each table of the package: its columns and its rows."""
    made = {
        "sources": [
            {"source_id": s.id, "kind": s.kind, "title": s.title, "compiled_from": s.compiled_from}
            for s in world.sources
        ],
        "engines": [
            {"engine_id": e.id, "class": e.class_, "built": _month(e.built), "withdrawn": _month(e.withdrawn)}
            for e in world.engines.values()
        ],
        "components": [
            {
                "component_id": c.id,
                "kind": c.kind,
                "type": c.type,
                "built": str(c.built.year),
                "condemned": str(c.condemned.year) if c.condemned else "",
            }
            for c in world.components.values()
        ],
        "designations": _designations(world),
        "fits": [{"component_type": t, "engine_class": c} for t, c in sorted(world.fits)],
        "lines": list(_line_rows(world)),
    }
    if world.has_cards_table:
        made["cards"] = _card_rows(world)
    return {
        name: (LINE_COLUMNS if name == "lines" else list(rows[0]), rows)
        for name, rows in made.items()
        if rows
    }


def _month(day: date | None) -> str:
    return day.isoformat()[:7] if day else ""


def _designations(world: World) -> list[dict[str, str]]:
    bearings = [b for e in world.engines.values() for b in e.bearings]
    shared = Counter(c.number for c in world.components.values())
    stated = Random(world.seed).random() < 0.5
    for component in world.components.values():
        dated = stated or shared[component.number] > 1
        first, last = (component.built, component.condemned) if dated else (None, None)
        bearings.append(Bearing(component.id, "number", component.number, first, last))
    return [
        {
            "subject_id": b.subject,
            "scheme": b.scheme,
            "value": b.value,
            "from": _month(b.first),
            "to": _month(b.last),
        }
        for b in bearings
    ]


def _card_rows(world: World) -> list[dict[str, str]]:
    return [
        {
            "card_id": card.id,
            "source_id": card.source,
            "subject_id": card.subject,
            "covers": card.covers,
            "state": "lost" if card.lost else "seen",
            "locator": f"card {card.id}",
        }
        for card in cards_of(world)
    ]


def _line_rows(world: World) -> Iterable[dict[str, str]]:
    rows: Counter[str] = Counter()
    for line in world.lines:
        card = line.card
        rows[card.id] += 1
        yield _line_row(line, card, rows[card.id])


def _line_row(line: Line, card: Card, row: int) -> dict[str, str]:
    texts = {name: cell.text for name, cell in line.cells.items()}
    sure = {f"reading_{name}": f"{value:.2f}" for name, value in line.reading_of.items()}
    dittos = ";".join(f"{name}=ditto" for name, cell in line.cells.items() if cell.ditto)
    return {
        "line_id": line.id,
        "source_id": card.source,
        "card_id": card.id,
        "locator": f"{card.id}, line {row}",
        "side": card.side,
        "heading": card.misheaded or card.heading,
        "heading_name": card.heading_name,
        "row": str(row),
        "says": line.says,
        "place": line.place,
        "remarks": line.remarks,
        "marks": dittos,
        "reading": "" if line.reading is None else f"{line.reading:.2f}",
        **texts,
        **line.extra,
        **sure,
    }


def truth(world: World) -> dict[str, Any]:
    """The truth in the form that the scorer reads."""
    return {
        "seed": world.seed,
        "components": len(world.components),
        "profile": world.profile,
        "fitments": [
            {
                "id": f.id,
                "component": f.component,
                "engine": f.engine,
                "fitted": f.fitted.isoformat(),
                "removed": f.removed.isoformat(),
                "miles": f.miles,
            }
            for f in world.fitments.values()
        ],
        "lines": {line.id: [line.component, int(line.touched), line.fitment] for line in world.lines},
        "cells": {
            line.id: {name: _cell(line.cells[name]) for name in FIELDS if name in line.cells}
            for line in world.lines
        },
        "faults": [
            {
                "id": f"X{k:05d}",
                "kind": fault.kind,
                "lines": [line.id for line in fault.lines],
                "fields": fault.fields,
                "accept": list(fault.accept),
                "visible": fault.visible,
            }
            for k, fault in enumerate(world.faults, start=1)
        ],
    }


def _cell(cell: Cell) -> list[Any]:
    value = cell.value.isoformat() if isinstance(cell.value, date) else cell.value
    literal = [d.isoformat() for d in cell.literal] if isinstance(cell.literal, tuple) else cell.literal
    return [value, int(cell.holds()), literal]
