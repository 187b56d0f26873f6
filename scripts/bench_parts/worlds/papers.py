"""How an invented world is written down: component cards, engine cards, a list of engines, and two lists that copy."""

from __future__ import annotations

import calendar
from dataclasses import dataclass, field
from datetime import date
from random import Random

from bench_parts.worlds.life import Fitment, World

MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()


@dataclass
class Row:
    """One line as written, with what is true of it."""

    source: str
    card: str
    side: str
    heading: str
    says: str = "fitment"
    fitment: Fitment | None = None
    component: str | None = None
    cells: dict[str, str] = field(default_factory=dict)
    true: dict[str, object] = field(default_factory=dict)
    literal: dict[str, tuple[int, int]] = field(default_factory=dict)
    wrong: set[str] = field(default_factory=set)
    touched: bool = False
    reading: float | None = None
    origin: Row | None = None
    id: str = ""


@dataclass(frozen=True)
class Hand:
    """How one clerk writes: the form of a date, ditto marks, half-lines, totals."""

    style: str
    precise: float
    ditto: float
    halves: bool
    totals: bool


def hand(rng: Random) -> Hand:
    """A clerk."""
    return Hand(
        rng.choice(("dot", "slash", "word", "long")),
        rng.choice((0.1, 0.4, 0.9)),
        rng.choice((0.0, 0.5, 0.9)),
        rng.random() < 0.12,
        rng.random() < 0.4,
    )


def write_date(rng: Random, day: int, by: Hand) -> tuple[str, tuple[int, int]]:
    """A day as this clerk would write it, and the first and last day that the text means."""
    d = date.fromordinal(day)
    year = str(d.year) if by.style in {"word", "long"} else f"{d.year % 100:02d}"
    mark = {"dot": ".", "slash": "/", "word": " ", "long": "."}[by.style]
    month = MONTHS[d.month - 1] if by.style == "word" else str(d.month)
    chance = rng.random()
    if chance < 0.04:
        return str(d.year), (date(d.year, 1, 1).toordinal(), date(d.year, 12, 31).toordinal())
    if chance < 0.05:
        return f"c.{d.year}", (date(d.year - 1, 1, 1).toordinal(), date(d.year + 1, 12, 31).toordinal())
    if rng.random() < by.precise:
        return f"{d.day}{mark}{month}{mark}{year}", (day, day)
    last = calendar.monthrange(d.year, d.month)[1]
    return f"{month}{mark}{year}", (date(d.year, d.month, 1).toordinal(), date(d.year, d.month, last).toordinal())


def put_date(rng: Random, row: Row, column: str, day: int, by: Hand, true: int) -> None:
    """Write one date into a row; `true` is the day on which it really happened."""
    row.cells[column], row.literal[column] = write_date(rng, day, by)
    row.true[column] = date.fromordinal(true).isoformat()


def write_world(rng: Random, world: World, lost_cards: float) -> list[Row]:
    """Every paper that survives, without a fault so far."""
    rows: list[Row] = []
    by_boiler: dict[str, list[Fitment]] = {}
    by_engine: dict[str, list[Fitment]] = {}
    for f in world.fitments:
        by_boiler.setdefault(f.boiler.component_id, []).append(f)
        by_engine.setdefault(f.engine.engine_id, []).append(f)
    for name, fitments in by_boiler.items():
        if rng.random() >= lost_cards / 2:
            rows += _component_card(rng, name, fitments)
    for name, fitments in by_engine.items():
        if rng.random() >= lost_cards:
            fitments.sort(key=lambda f: f.fitted)
            rows += _engine_card(rng, name, fitments)
    return rows


def _component_card(rng: Random, name: str, fitments: list[Fitment]) -> list[Row]:
    by, rows, total = hand(rng), [], 0
    heading = rng.choice(("{}", "Boiler {}", "No. {}")).format(fitments[0].boiler.number)
    for f in fitments:
        total += f.miles
        row = Row("S1", f"S1-{name}", "component", heading, fitment=f, component=name)
        row.cells["engine"], row.true["engine"] = f.engine.number_at(f.fitted), f.engine.engine_id
        put_date(rng, row, "fitted", f.fitted, by, f.fitted)
        put_date(rng, row, "removed", f.removed, by, f.removed)
        row.cells["miles"], row.true["miles"] = f"{f.miles:,}", f.miles
        if by.totals:
            row.cells["total_miles"], row.true["total_miles"] = str(total), total
        rows.append(row)
    if not by.totals and rng.random() < 0.25:
        foot = Row("S1", f"S1-{name}", "component", heading, "total", component=name)
        foot.cells["total_miles"], foot.true["total_miles"] = str(total), total
        rows.append(foot)
    if rng.random() < 0.5:
        end = Row("S1", f"S1-{name}", "component", heading, "condemned", component=name)
        put_date(rng, end, "removed", fitments[0].boiler.condemned, by, fitments[0].boiler.condemned)
        rows.append(end)
    return rows


def _engine_card(rng: Random, name: str, fitments: list[Fitment]) -> list[Row]:
    by, rows = hand(rng), []
    for f in fitments:
        row = Row("S2", f"S2-{name}", "engine", f.engine.numbers[-1][0], fitment=f, component=f.boiler.component_id)
        row.cells["component"], row.true["component"] = f.boiler.number, f.boiler.component_id
        put_date(rng, row, "fitted", f.fitted, by, f.fitted)
        put_date(rng, row, "removed", f.removed, by, f.removed)
        if rng.random() < 0.9:
            row.cells["miles"], row.true["miles"] = f"{f.miles:,}", f.miles
        rows.append(row)
    return rows


def copy_list(rng: Random, rows: list[Row], source: str, share: float) -> list[Row]:
    """A list compiled from another source: its lines again, errors and all, in one hand."""
    by, out = hand(rng), []
    for row in rows:
        if row.fitment is None or row.says != "fitment" or rng.random() > share:
            continue
        copy = Row(source, f"{source}-1", "statement", "", fitment=row.fitment, component=row.component, origin=row)
        copy.cells = {c: t for c, t in row.cells.items() if c in {"engine", "fitted", "removed", "miles", "component"}}
        copy.true = {c: v for c, v in row.true.items() if c in copy.cells}
        copy.literal, copy.wrong, copy.touched = dict(row.literal), set(row.wrong), row.touched
        for column in ("fitted", "removed"):
            if column in copy.cells and row.literal[column][0] == row.literal[column][1]:
                copy.cells[column], copy.literal[column] = write_date(rng, row.literal[column][0], by)
        if row.fitment is not None and "component" not in copy.cells:
            copy.cells["component"] = row.fitment.boiler.number
        copy.true["component"] = row.fitment.boiler.component_id
        out.append(copy)
    return out
