"""Which other line or card would settle a finding: what speaks of the same thing and is not in it yet."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from numbertaker.evidence.decisions import Ruled
from numbertaker.evidence.records import Line
from numbertaker.linking.index import EVER_FIRST, EVER_LAST
from numbertaker.reconciling.history import ComponentHistory, Finding, Fitment, History
from numbertaker.reconciling.leads.places import Place, places_of
from numbertaker.reconciling.leads.slots import Slots

_MOST: Final = 6
_MILES: Final = frozenset({"mileage-conflict", "total-mismatch", "rate-outlier"})


def settling(history: History, ruled: Ruled, slots: Slots, finding: Finding) -> tuple[Place, ...]:
    """Where to look for what decides a finding, what is nearest first.

    Other lines of the same fitment that are in the archive; the lines beside those at odds on their cards;
    then the card that should mirror it, where that was not seen.
    """
    lines = {line.line_id: line for line in ruled.evidence.lines}
    mine = [lines[line_id] for line_id in finding.lines if line_id in lines]
    told = set(finding.lines)
    found: dict[str, Place] = {}
    for component, fitment in _concerned(history, told):
        for line_id in (*fitment.evidence, *fitment.copies):
            if line_id in lines and line_id not in told:
                found.setdefault(line_id, _other(lines[line_id], fitment))
        for subject in (fitment.engine_id, component.component_id):
            for place in _unseen(ruled, slots, subject, fitment):
                found.setdefault(place.card_id or place.says, place)
    for line in _beside(ruled.evidence.lines, mine) if finding.kind in _MILES else ():
        if line.line_id not in told:
            found.setdefault(line.line_id, _neighbour(line))
    found |= {
        f"scan {line.line_id}": _again(line) for line in mine if line.region and _doubtful(line, finding)
    }
    return tuple(found.values())[:_MOST]


def _concerned(history: History, told: set[str]) -> Iterable[tuple[ComponentHistory, Fitment]]:
    for component in history.components:
        for fitment in component.fitments:
            if told & {*fitment.evidence, *fitment.copies}:
                yield component, fitment


def _other(line: Line, fitment: Fitment) -> Place:
    where = line.locator or f"line {line.line_id}"
    kind = "repeats" if line.line_id in fitment.copies else "tells of"
    return Place(
        line.card_id or None, line.source_id, "seen", f"{where} {kind} the same fitment: compare it."
    )


def _neighbour(line: Line) -> Place:
    where = line.locator or f"line {line.line_id}"
    return Place(
        line.card_id or None, line.source_id, "seen", f"{where} stands next to it: do the sum with its total."
    )


def _again(line: Line) -> Place:
    where = line.locator or f"line {line.line_id}"
    return Place(
        line.card_id or None, line.source_id, "seen", f"{where} was read from a scan: look at the slip."
    )


def _doubtful(line: Line, finding: Finding) -> bool:
    """Whether one of the cells at odds was not read for certain."""
    cells = [key.field for key in finding.claims if key.line_id == line.line_id]
    return any((sure := line.sureness(field)) is not None and sure < 0.98 for field in cells)


def _unseen(ruled: Ruled, slots: Slots, subject: str, fitment: Fitment) -> Iterable[Place]:
    """The cards of one side, where no line of that side tells of the fitment."""
    sides = {line.side for line in ruled.evidence.lines if line.line_id in fitment.evidence}
    side = "engine" if subject in slots.index.engines else "component"
    if side in sides:
        return ()
    first = fitment.fitted.earliest if fitment.fitted and fitment.fitted.earliest else EVER_FIRST
    last = fitment.removed.latest if fitment.removed and fitment.removed.latest else EVER_LAST
    return places_of(ruled.evidence, slots.index, subject, first, last)


def _beside(lines: Iterable[Line], mine: list[Line]) -> list[Line]:
    """The lines right above and below those named, on the same card, that give a total."""
    wanted = {
        (line.source_id, line.card_id, line.heading, int(line.row_) + step)
        for line in mine
        if line.row_.isdigit()
        for step in (-1, 1)
    }
    return [
        line
        for line in lines
        if line.row_.isdigit()
        and (line.source_id, line.card_id, line.heading, int(line.row_)) in wanted
        and line.text("total_miles").strip()
    ]
