"""A second world as an evidence package with its truth."""

from __future__ import annotations

import csv
import json
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

from .faults import Spoiler
from .life import Life, live
from .papers import Card, Row, copy, write

SOURCES = (
    ("S1", "component-card", "Boiler cards, Brackwith Works", ""),
    ("S2", "engine-card", "Engine cards, Brackwith Works", ""),
    ("S3", "works-list", "Engines built and withdrawn", ""),
    ("S4", "published", "A list of boilers, made from the cards", "S1"),
    ("S5", "published", "A pocket book of boilers", "S4"),
)
HEADS = (
    *("line_id", "source_id", "card_id", "locator", "side", "heading", "row", "says"),
    *("engine", "component", "fitted", "removed", "miles", "total_miles", "place", "remarks", "reading"),
)


def make(components: int, profile: str, seed: int, folder: Path) -> str:
    """Write `package/` and `truth.json` of one world; a line about it."""
    rng = Random(f"second {profile} {seed}")
    life = live(rng, components)
    spoiler = Spoiler(rng, life, profile)
    cards = write(rng, life, spoiler.vague)
    spoiler.spoil(cards)
    lists = copy(rng, life, cards)
    spoiler.spoil_copies(lists)
    cards = [*cards, *lists]
    spoiler.lose(cards)
    spoiler.settle(cards)
    _number(cards)
    package = folder / "package"
    package.mkdir(parents=True, exist_ok=True)
    _tables(package, life, cards)
    truth = _truth(life, cards, spoiler, components=components, profile=profile, seed=seed)
    (folder / "truth.json").write_text(json.dumps(truth), encoding="utf-8")
    kept = [r for c in cards for r in c.rows if not r.lost]
    clean = sum(not r.touched for r in kept) / len(kept)
    counts = f"{len(life.components)} components, {len(kept)} lines, {len(spoiler.faults)} faults"
    return f"{folder}: {counts}, {clean:.1%} clean"


def _number(cards: list[Card]) -> None:
    count = 0
    for card in cards:
        for row in card.rows:
            if not row.lost:
                count += 1
                row.id = f"L{count:06d}"


def _table(file: Path, head: tuple[str, ...], rows: list[tuple[Any, ...]]) -> None:
    with file.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(head)
        writer.writerows(rows)


def _tables(package: Path, life: Life, cards: list[Card]) -> None:
    _table(package / "sources.csv", ("source_id", "kind", "title", "compiled_from"), list(SOURCES))
    engines: list[tuple[Any, ...]] = [
        (e.id, e.kind, f"{e.built:%Y-%m}", f"{e.withdrawn:%Y-%m}") for e in life.engines
    ]
    _table(package / "engines.csv", ("engine_id", "class", "built", "withdrawn"), engines)
    parts: list[tuple[Any, ...]] = [
        (c.id, "boiler", c.type, f"{c.built:%Y}", f"{c.condemned:%Y}" if c.condemned else "")
        for c in life.components
    ]
    _table(package / "components.csv", ("component_id", "kind", "type", "built", "condemned"), parts)
    marks: list[tuple[Any, ...]] = [
        (e.id, s, v, f"{a:%Y-%m}", f"{b:%Y-%m}") for e in life.engines for s, v, a, b in e.marks
    ]
    marks += [(c.id, "number", c.number, "", "") for c in life.components]
    _table(package / "designations.csv", ("subject_id", "scheme", "value", "from", "to"), marks)
    _table(package / "fits.csv", ("component_type", "engine_class"), list(life.pairs))
    rows = [
        _row(card, row, place, n)
        for n, card in enumerate(cards, 1)
        for place, row in enumerate((r for r in card.rows if not r.lost), 1)
    ]
    _table(package / "lines.csv", HEADS, rows)


def _row(card: Card, row: Row, place: int, n: int) -> tuple[Any, ...]:
    head = row.cells["heading"].text if "heading" in row.cells else card.misheaded or card.heading
    side = "engine" if card.side == "list" else card.side
    text = {name: cell.text for name, cell in row.cells.items()}
    values = [
        text.get(name, "") for name in ("engine", "component", "fitted", "removed", "miles", "total_miles")
    ]
    reading = "" if row.reading is None else f"{row.reading:.2f}"
    where = (row.id, card.source, f"{card.source}-{n}", f"card {n}, line {place}", side, head, place)
    return (*where, row.says, *values, "", "", reading)


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [day.isoformat() for day in value]
    return value.isoformat() if isinstance(value, date) else value


def _truth(life: Life, cards: list[Card], spoiler: Spoiler, **world: Any) -> dict[str, Any]:
    lines, cells = {}, {}
    for row in (r for card in cards for r in card.rows if not r.lost):
        lines[row.id] = [row.component, int(row.touched), row.stay.id if row.stay else None]
        cells[row.id] = {
            name: [_plain(c.value), int(c.true), _plain(c.literal)]
            for name, c in row.cells.items()
            if name != "heading"
        }
    return {
        **world,
        "fitments": [
            {
                "id": s.id, "component": s.component.id, "engine": s.engine.id,
                "fitted": s.fitted.isoformat(), "removed": s.removed.isoformat(), "miles": s.miles,
            }
            for s in life.stays
        ],
        "lines": lines,
        "cells": cells,
        "faults": [
            {
                "id": f"X{n:05d}", "kind": f.kind, "lines": [r.id for r in f.rows], "fields": f.fields,
                "accept": list(f.accept), "visible": bool(f.visible),
            }
            for n, f in enumerate(spoiler.faults, 1)
        ],
    }  # fmt: skip
