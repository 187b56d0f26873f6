"""What clerks, typists and copyists get wrong, and what a reader of worn cards misreads."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from random import Random

from bench_parts.worlds.life import World
from bench_parts.worlds.papers import Hand, Row, write_date

ALIKE = {"0": "86", "1": "74", "2": "13", "3": "85", "4": "91", "5": "63", "6": "58", "7": "19", "8": "36", "9": "47"}
DATES = ["date-conflict", "overlap", "double-occupancy", "outside-lifetime", "rate-outlier", "doubtful-reading"]
NUMBERS = [
    "misnamed", "unlinked", "ambiguous-link", "one-sided", "does-not-fit",
    "double-occupancy", "overlap", "outside-lifetime", "doubtful-reading",
]  # fmt: skip
FIGURES = ["mileage-conflict", "total-mismatch", "rate-outlier", "doubtful-reading"]
MISSING = ["gap", "one-sided", "total-mismatch"]

SHARES = {
    "clean": {},
    "typical": {
        "date-slip": 0.01, "miles-misread": 0.012, "number-misread": 0.008, "lost-line": 0.008,
        "double-entry": 0.003, "wrong-name": 0.002, "bad-total": 0.008, "swapped-dates": 0.001,
    },
    "hard": {
        "date-slip": 0.035, "miles-misread": 0.04, "number-misread": 0.03, "lost-line": 0.025,
        "double-entry": 0.006, "wrong-name": 0.006, "bad-total": 0.02, "swapped-dates": 0.003,
    },
}  # fmt: skip


@dataclass
class Fault:
    """One fault planted: its kind, the rows it touches, and the kinds of finding that say so."""

    kind: str
    rows: list[Row]
    accept: list[str]
    visible: bool = True


def spoil(rng: Random, world: World, rows: list[Row], profile: str) -> tuple[list[Row], list[Fault]]:
    """Plant faults at the shares of a profile; gives the rows that are left and what was planted."""
    faults: list[Fault] = []
    left: list[Row] = []
    for row in rows:
        kind = _pick(rng, SHARES[profile])
        out = _plant(rng, world, row, kind, faults) if kind else [row]
        left += out
    for fault in faults:
        if fault.kind == "lost-line":
            _name_neighbours(fault, left)
        for row in fault.rows:
            row.touched = True
    for row in left:
        row.reading = round(rng.uniform(0.5, 0.9) if row.wrong and rng.random() < 0.4 else rng.uniform(0.93, 1), 2)
    return left, [f for f in faults if f.rows]


def _pick(rng: Random, shares: dict[str, float]) -> str | None:
    chance = rng.random()
    for kind, share in shares.items():
        chance -= share
        if chance < 0:
            return kind
    return None


def _plant(rng: Random, world: World, row: Row, kind: str, faults: list[Fault]) -> list[Row]:
    if row.fitment is None:
        return [row]
    if kind == "lost-line":
        faults.append(Fault("lost-line", [row], MISSING))
        return []
    if kind == "double-entry":
        twin = Row(**{**row.__dict__, "cells": dict(row.cells), "true": dict(row.true), "wrong": set()})
        faults.append(Fault(kind, [row, twin], ["repeated-line", "overlap", "double-occupancy"]))
        return [row, twin]
    done = {
        "date-slip": _slip_date, "miles-misread": _misread_miles, "number-misread": _misread_number,
        "wrong-name": _wrong_engine, "bad-total": _bad_total, "swapped-dates": _swap,
    }[kind](rng, world, row)  # fmt: skip
    if done:
        faults.append(Fault(kind, [row], done))
    return [row]


def _slip_date(rng: Random, world: World, row: Row) -> list[str] | None:
    column = rng.choice(("fitted", "removed"))
    assert row.fitment is not None
    day = date.fromordinal(getattr(row.fitment, column))
    months = rng.choice((12, -12, 12, -12, 1, -1, 2, -3, 6, 120))
    index = day.year * 12 + day.month - 1 + months
    moved = date(index // 12, index % 12 + 1, min(day.day, 28)).toordinal()
    row.cells[column], row.literal[column] = write_date(rng, moved, Hand("long", 0.4, 0, halves=False, totals=False))
    first, last = row.literal[column]
    if first <= getattr(row.fitment, column) <= last:
        return None
    row.wrong.add(column)
    return DATES


def misread(rng: Random, text: str) -> str:
    """One digit taken for another, or two that changed places."""
    places = [i for i, c in enumerate(text) if c.isdigit()]
    at = rng.choice(places)
    if rng.random() < 0.25 and at + 1 < len(text) and text[at + 1].isdigit() and text[at] != text[at + 1]:
        return text[:at] + text[at + 1] + text[at] + text[at + 2 :]
    digit = rng.choice(ALIKE[text[at]]) if rng.random() < 0.7 else rng.choice([d for d in "123456789" if d != text[at]])
    return text[:at] + digit + text[at + 1 :]


def _misread_miles(rng: Random, world: World, row: Row) -> list[str] | None:
    if "miles" not in row.cells:
        return None
    row.cells["miles"] = misread(rng, row.cells["miles"])
    row.wrong.add("miles")
    return FIGURES


def _misread_number(rng: Random, world: World, row: Row) -> list[str] | None:
    column = "engine" if "engine" in row.cells else "component"
    row.cells[column] = misread(rng, row.cells[column])
    row.wrong.add(column)
    return NUMBERS


def _wrong_engine(rng: Random, world: World, row: Row) -> list[str] | None:
    if "engine" not in row.cells or row.fitment is None:
        return None
    others = [e for e in world.engines if e.class_ == row.fitment.engine.class_ and e is not row.fitment.engine]
    row.cells["engine"] = rng.choice(others).numbers[0][0]
    row.wrong.add("engine")
    return NUMBERS


def _bad_total(rng: Random, world: World, row: Row) -> list[str] | None:
    if "total_miles" not in row.cells:
        return None
    row.cells["total_miles"] = str(int(row.cells["total_miles"]) + rng.choice((-10000, -1000, -90, 100, 1000, 9000)))
    row.wrong.add("total_miles")
    return ["total-mismatch", "mileage-conflict"]


def _swap(rng: Random, world: World, row: Row) -> list[str] | None:
    row.cells["fitted"], row.cells["removed"] = row.cells["removed"], row.cells["fitted"]
    row.literal["fitted"], row.literal["removed"] = row.literal["removed"], row.literal["fitted"]
    row.wrong |= {"fitted", "removed"}
    return DATES


def _name_neighbours(fault: Fault, rows: list[Row]) -> None:
    """A line that is not there touches the lines around it and those that still speak of the fitment."""
    gone = fault.rows[0]
    card = [r for r in rows if r.card == gone.card and r.fitment is not None]
    before = [r for r in card if r.fitment and gone.fitment and r.fitment.fitted < gone.fitment.fitted]
    after = [r for r in card if r.fitment and gone.fitment and r.fitment.fitted > gone.fitment.fitted]
    same = [r for r in rows if r.fitment is gone.fitment]
    fault.rows = [*before[-1:], *after[:1], *same]
    fault.visible = bool(same) and bool(before) and bool(after)
