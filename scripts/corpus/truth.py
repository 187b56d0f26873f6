"""The truth beside the papers: every fitment to the day, what each cell means, and the planted faults."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from .papers import Line, Paper
from .plantings import Slip, World
from .railway import Stay

SCORED: Final = ("engine", "component", "fitted", "removed", "miles", "total_miles")


@dataclass(frozen=True, slots=True)
class Fault:
    """One planted fault as the papers show it."""

    key: str
    expected: str  # the kind of finding that should say it
    lines: tuple[str, ...]
    fields: tuple[str, ...]
    accept: tuple[str, ...]
    note: str


class _Index:
    """Lines by the stay they speak of."""

    def __init__(self, papers: list[Paper]) -> None:
        self.at: dict[tuple[str, Stay], tuple[Paper, Line]] = {}
        for paper in papers:
            for line in paper.lines:
                if line.stay is not None:
                    self.at[paper.form, line.stay] = (paper, line)
        self.papers = papers

    def line_id(self, form: str, stay: Stay) -> str | None:
        found = self.at.get((form, stay))
        return found and found[0].line_id(found[1])

    def ids(self, stay: Stay, *forms: str) -> tuple[str, ...]:
        return tuple(i for form in forms if (i := self.line_id(form, stay)) is not None)


def faults(world: World, papers: list[Paper]) -> list[Fault]:
    """Every planted fault, in the order of the README."""
    index = _Index(papers)
    found = [_fault(world, index, slip) for slip in world.slips]
    miles = world.slip("miles")
    copied = index.ids(miles.stay, "component-card", "printed-list")
    found.append(
        Fault(
            "copy",
            "mileage-conflict",
            copied,
            ("miles",),
            ("mileage-conflict",),
            "The printed list repeats the wrong mileage of the boiler card: a copy, no second witness.",
        )
    )
    return found


def _fault(world: World, index: _Index, slip: Slip) -> Fault:
    stays = world.railway.stays_of(slip.stay.component_id)
    at = stays.index(slip.stay)
    number = next(p.number for p in world.railway.parts if p.component_id == slip.stay.component_id)
    own = index.ids(slip.stay, "component-card")
    if slip.key == "gap":
        sides = index.ids(stays[at - 1], "component-card") + index.ids(stays[at + 1], "component-card")
        return Fault("gap", "gap", sides, (), ("gap",), f"Boiler {number} has no record for four years.")
    after = () if slip.key in ("total", "miles") else index.ids(stays[at + 1], "component-card")
    if slip.key == "overlap":
        note = f"Boiler {number} would have been on two engines at once: a removal is entered a year late."
        return Fault("overlap", "overlap", own + after, ("removed",), ("overlap",), note)
    if slip.key == "reversed":
        return Fault(
            "reversed",
            "overlap",
            own,
            ("removed",),
            ("overlap", "date-conflict"),
            f"Boiler {number} is removed before it is fitted.",
        )
    if slip.key == "withdrawn":
        note = f"Boiler {number} is put on an engine that had been withdrawn."
        return Fault("withdrawn", "outside-lifetime", own, ("engine",), ("outside-lifetime",), note)
    if slip.key == "total":
        paper = next(
            p for p in index.papers if p.subject_id == slip.stay.component_id and p.form == "component-card"
        )
        foot = next(line for line in paper.lines if line.says == "total")
        note = f"The total at the foot of the card of boiler {number} is not the sum of its lines."
        return Fault(
            "total", "total-mismatch", (paper.line_id(foot),), ("total_miles",), ("total-mismatch",), note
        )
    both = own + index.ids(slip.stay, "engine-card")
    note = f"The boiler's card and the engine's card differ on what boiler {number} ran."
    return Fault(
        "miles",
        "mileage-conflict",
        own,
        ("miles",),
        ("mileage-conflict",),
        f"{note} Both lines: {', '.join(both)}.",
    )


def cards_with_slips(world: World, papers: list[Paper]) -> set[str]:
    """The cards on which a planted fault stands, and the engine's card that has the right mileage."""
    slips = {line_id.rsplit("-", 1)[0] for fault in faults(world, papers) for line_id in fault.lines}
    facing = _Index(papers).ids(world.slip("miles").stay, "engine-card")
    return slips | {line_id.rsplit("-", 1)[0] for line_id in facing}


def truth_json(world: World, papers: list[Paper], seed: int) -> dict[str, Any]:
    """The truth in the form that the scorer reads."""
    stays = [s for s in world.railway.stays if s.engine_id is not None]
    names = {stay: f"F{n:04d}" for n, stay in enumerate(stays, start=1)}
    planted = faults(world, papers)
    touched = {line_id for fault in planted for line_id in fault.lines}
    return {
        "seed": seed,
        "components": len(world.railway.parts),
        "profile": "demo",
        "fitments": [
            {
                "id": names[s],
                "component": s.component_id,
                "engine": s.engine_id,
                "fitted": s.fitted.isoformat(),
                "removed": s.removed.isoformat(),
                "miles": s.miles,
            }
            for s in stays
        ],
        "lines": {
            p.line_id(line): [
                line.component_id,
                int(p.line_id(line) in touched),
                names.get(line.stay) if line.stay else None,
            ]
            for p in papers
            for line in p.lines
        },
        "cells": {p.line_id(line): _cells(line) for p in papers for line in p.lines},
        "faults": [
            {
                "id": f"X{n}",
                "kind": f.key,
                "expected": f.expected,
                "lines": list(f.lines),
                "fields": list(f.fields),
                "accept": list(f.accept),
                "visible": True,
                "note": f.note,
            }
            for n, f in enumerate(planted, start=1)
        ],
    }


def _cells(line: Line) -> dict[str, list[object]]:
    """The cells that the scorer asks for: what is true, whether what is written is, and what is written."""
    return {
        name: [true, int(held), written]
        for name, (true, held, written) in line.meant.items()
        if name in SCORED
    }
