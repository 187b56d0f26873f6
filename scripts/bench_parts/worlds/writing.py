"""From rows to an evidence package in memory and to its truth, in the form that scorers read."""

from __future__ import annotations

import csv
import json
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

from bench_parts.worlds.faults import Fault, spoil
from bench_parts.worlds.life import World, make
from bench_parts.worlds.papers import Row, copy_list, write_world

from numbertaker.evidence.records import RECORDS, Component, Designation, Engine, Evidence, Fit, Line, Source

SOURCES = (
    Source(source_id="S1", kind="component-card", title="Boiler cards"),
    Source(source_id="S2", kind="engine-card", title="Engine cards"),
    Source(source_id="S4", kind="published", title="A list of boilers", compiled_from="S1"),
    Source(source_id="S5", kind="published", title="A pocket list", compiled_from="S4"),
)
LOST_CARDS = {"clean": 0.0, "typical": 0.04, "hard": 0.1}


def world(seed: int, components: int, profile: str) -> tuple[Evidence, dict[str, Any]]:
    """One world: its evidence and its truth."""
    rng = Random(seed)
    true = make(rng, components)
    rows, faults = spoil(rng, true, write_world(rng, true, LOST_CARDS[profile]), profile)
    first = [r for r in rows if r.source == "S1"]
    copied, more = spoil(rng, true, copy_list(rng, first, "S4", 0.5), profile)
    again, most = spoil(rng, true, copy_list(rng, copied, "S5", 0.4), profile)
    faults += [f for f in more + most if f.kind not in {"lost-line", "bad-total"}]
    everything = [*rows, *copied, *again]
    lines = _lines(rng, everything)
    return _evidence(true, lines), _truth(seed, len(true.boilers), profile, true, everything, faults)


def _lines(rng: Random, rows: list[Row]) -> tuple[Line, ...]:
    found: list[Line] = []
    place: dict[str, int] = {}
    last: dict[str, dict[str, str]] = {}
    for number, row in enumerate(rows):
        row.id = f"L{number + 1:06d}"
        place[row.card] = place.get(row.card, 0) + 1
        cells = dict(row.cells)
        for column in ("engine", "component"):
            same = cells.get(column) and last.get(row.card, {}).get(column) == cells[column]
            if same and row.source in {"S1", "S2"} and rng.random() < 0.3:
                cells[column] = '"'
        last[row.card] = row.cells
        found.append(
            Line(
                line_id=row.id, source_id=row.source, card_id=row.card, side=row.side, heading=row.heading,
                locator=f"card {row.card}, line {place[row.card]}", row_=str(place[row.card]), says=row.says,
                reading="" if row.reading is None else str(row.reading), **cells,
            )  # fmt: skip
        )
    return tuple(found)


def month(day: int) -> str:
    """A day as the tables have it: to the month."""
    return date.fromordinal(day).isoformat()[:7]


def _evidence(true: World, lines: tuple[Line, ...]) -> Evidence:
    engines = tuple(
        Engine(engine_id=e.engine_id, class_=e.class_, built=month(e.built), withdrawn=month(e.withdrawn))
        for e in true.engines
    )
    components = tuple(
        Component(
            component_id=b.component_id, kind="boiler", type=b.type_,
            built=str(date.fromordinal(b.built).year), condemned=str(date.fromordinal(b.condemned).year),
        )  # fmt: skip
        for b in true.boilers
    )
    borne = [
        Designation(subject_id=e.engine_id, scheme="number", value=n, from_=month(a), to=month(b))
        for e in true.engines
        for n, a, b in e.numbers
    ]
    borne += [Designation(subject_id=b.component_id, scheme="number", value=b.number) for b in true.boilers]
    fits = (Fit(component_type="P", engine_class="A"), Fit(component_type="Q", engine_class="B"))
    return Evidence(
        sources=SOURCES, engines=engines, components=components, designations=tuple(borne), fits=fits, lines=lines
    )


def _truth(
    seed: int, components: int, profile: str, true: World, rows: list[Row], faults: list[Fault]
) -> dict[str, Any]:
    def iso(day: int) -> str:
        return date.fromordinal(day).isoformat()

    cells: dict[str, Any] = {}
    for row in rows:
        cells[row.id] = {
            column: [value, int(column not in row.wrong), [iso(d) for d in row.literal[column]] if column in row.literal else value]
            for column, value in row.true.items()
            if column in row.cells
        }
    return {
        "seed": seed, "components": components, "profile": profile,
        "fitments": [
            {"id": f.id, "component": f.boiler.component_id, "engine": f.engine.engine_id,
             "fitted": iso(f.fitted), "removed": iso(f.removed), "miles": f.miles}
            for f in true.fitments
        ],
        "lines": {r.id: [r.component, int(r.touched), r.fitment.id if r.fitment else None] for r in rows},
        "cells": cells,
        "faults": [
            {"id": f"X{n:05d}", "kind": f.kind, "lines": [r.id for r in f.rows], "accept": f.accept, "visible": f.visible}
            for n, f in enumerate(faults)
        ],
    }  # fmt: skip


def write_package(evidence: Evidence, truth: dict[str, Any], folder: Path) -> None:
    """The same on disk, for scorers and other programs."""
    (folder / "package").mkdir(parents=True, exist_ok=True)
    for record in RECORDS:
        rows = [r.row() for r in getattr(evidence, record.TABLE, ())]
        if rows:
            with (folder / "package" / f"{record.TABLE}.csv").open("w", newline="", encoding="utf-8") as out:
                writer = csv.DictWriter(out, record.columns())
                writer.writeheader()
                writer.writerows(rows)
    (folder / "truth.json").write_text(json.dumps(truth), encoding="utf-8")
