"""The truth beside the papers: every fitment to the day, what each cell means, and the planted faults."""

from __future__ import annotations

from typing import Any, Final

from .faults import Fault, faults
from .papers import Line, Paper
from .plantings import World
from .railway import Stay

SCORED: Final = ("engine", "component", "fitted", "removed", "miles", "total_miles")


def truth_json(world: World, papers: list[Paper], seed: int) -> dict[str, Any]:
    """The truth in the form that the scorer reads."""
    stays = [s for s in world.railway.stays if s.engine_id is not None]
    names = {stay: f"F{n:04d}" for n, stay in enumerate(stays, start=1)}
    planted = faults(world, papers)
    touched = {line_id for fault in planted for line_id in fault.lines}
    lines = [(p.line_id(line), line) for p in papers for line in p.lines]
    return {
        "seed": seed,
        "components": len(world.railway.parts),
        "profile": "demo",
        "fitments": [_fitment(name, stay) for stay, name in names.items()],
        "lines": {
            line_id: [line.component_id, int(line_id in touched), names.get(line.stay) if line.stay else None]
            for line_id, line in lines
        },
        "cells": {line_id: _cells(line) for line_id, line in lines},
        "faults": [_fault(f"X{n}", fault) for n, fault in enumerate(planted, start=1)],
    }


def _fitment(name: str, stay: Stay) -> dict[str, Any]:
    return {
        "id": name,
        "component": stay.component_id,
        "engine": stay.engine_id,
        "fitted": stay.fitted.isoformat(),
        "removed": stay.removed.isoformat(),
        "miles": stay.miles,
    }


def _fault(name: str, fault: Fault) -> dict[str, Any]:
    return {
        "id": name,
        "kind": fault.key,
        "expected": fault.expected,
        "lines": list(fault.lines),
        "fields": list(fault.fields),
        "accept": list(fault.accept),
        "visible": True,
        "note": fault.note,
    }


def _cells(line: Line) -> dict[str, list[object]]:
    """The cells that the scorer asks for: what is true, whether what is written is, and what is written."""
    return {
        name: [true, int(held), written]
        for name, (true, held, written) in line.meant.items()
        if name in SCORED
    }
