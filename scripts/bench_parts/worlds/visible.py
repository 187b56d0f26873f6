"""Whether anything that survives contradicts a fault: the honest limit of what can be found.

A fault is visible if another surviving line tells the same event otherwise, or if the order of the stays, the
life of an engine or component, the miles that can be run in the time or a sum of figures is broken by it.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from itertools import pairwise
from typing import Any

from .clerks import month_span
from .losses import lines_by_fitment
from .values import Fault, Fitment, Line, World

MILES_A_DAY = (4, 240)  # outside these a figure and its dates don't agree


class Witnesses:
    """The surviving evidence, arranged for asking what contradicts a line."""

    def __init__(self, world: World) -> None:
        self.world, self.about = world, lines_by_fitment(world)
        self.alive = set(map(id, world.lines))
        self.before: dict[str, list[str]] = defaultdict(list)
        self.after: dict[str, list[str]] = defaultdict(list)
        self.usual = _usual_gap(world)
        for chain in self._chains():
            for one, two in pairwise(chain):
                self.before[two.id].append(one.id)
                self.after[one.id].append(two.id)

    def _chains(self) -> list[list[Fitment]]:
        chains: dict[tuple[str, ...], list[Fitment]] = defaultdict(list)
        for stay in sorted(self.world.fitments.values(), key=lambda f: (f.fitted, f.id)):
            chains["c", stay.component].append(stay)
            chains["e", stay.engine, self.world.components[stay.component].kind].append(stay)
        return list(chains.values())

    def shows(self, fault: Fault) -> bool:
        """Whether anything contradicts the fault."""
        if fault.kind in ("double-entry", "two-hands", "reused-number"):
            return True
        if fault.kind == "lost-line":
            return self._line_missed(fault)
        if fault.kind == "lost-card":
            return self._gap(fault)
        if fault.kind == "heading-misread":
            return any(self._others(line) for line in fault.lines)
        return any(self._contradicted(line, field) for line in fault.lines for field in fault.fields)

    def _others(self, line: Line) -> list[Line]:
        return [o for o in self.about.get(line.fitment or "", []) if o is not line]

    def _contradicted(self, line: Line, field: str) -> bool:
        if field not in line.cells:
            return False
        if field in ("fitted", "removed"):
            return self._date_contradicted(line, field)
        if field in ("miles", "total_miles"):
            return self._figure_contradicted(line, field)
        return self._named_otherwise(line, field)

    def _date_contradicted(self, line: Line, field: str) -> bool:
        span = line.cells[field].literal
        if line.says == "spare":
            return self._spare_contradicted(line, field, span)
        if line.fitment is None:
            return self._end_contradicted(line, field, span)
        if line.says == "carried":
            return self._sighting_contradicted(line, span)
        others = [
            o.cells[field].literal for o in self._others(line) if field in o.cells and o.says != "carried"
        ]
        if any(o[1] < span[0] or o[0] > span[1] for o in others):
            return True
        return (
            self._out_of_order(line, field, span)
            or self._outside_life(line, span)
            or self._unlikely_rate(line)
        )

    def _end_contradicted(self, line: Line, field: str, span: tuple[date, date]) -> bool:
        """Whether the authority tables, which give engines' months and components' years, say otherwise."""
        true: date = line.cells[field].value
        first, last = (true.replace(month=1, day=1), true.replace(month=12, day=31))
        if line.component is None:
            first, last = month_span(true)
        return span[1] < first or span[0] > last

    def _spare_contradicted(self, line: Line, field: str, span: tuple[date, date]) -> bool:
        """Whether it would have lain spare while it was on an engine, or backwards."""
        own = line.cells.get("removed" if field == "fitted" else "fitted")
        if own and (span[0] > own.literal[1] if field == "fitted" else span[1] < own.literal[0]):
            return True
        true: date = line.cells[field].value
        stays = [s for s in self.world.fitments.values() if s.component == line.component]
        if field == "fitted":
            before = [o for s in stays if s.removed == true for o in self.about.get(s.id, [])]
            return any(span[1] < at[0] for o in before if (at := _span(o, "removed")))
        after = [o for s in stays if s.fitted == true for o in self.about.get(s.id, [])]
        return any(span[0] > at[1] for o in after if (at := _span(o, "fitted")))

    def _sighting_contradicted(self, line: Line, span: tuple[date, date]) -> bool:
        """Whether it lies outside its fitment as told of, and the two were not together then once more."""
        stay = self.world.fitments[line.fitment or ""]
        if any(
            (one.engine, one.component) == (stay.engine, stay.component)
            and one.fitted <= span[1]
            and span[0] <= one.removed
            for one in self.world.fitments.values()
        ):
            return False
        for other in self._others(line):
            if (
                "fitted" in other.cells
                and other.says != "carried"
                and span[1] < other.cells["fitted"].literal[0]
            ):
                return True
            if "removed" in other.cells and span[0] > other.cells["removed"].literal[1]:
                return True
        return self._outside_life(line, span)

    def _out_of_order(self, line: Line, field: str, span: tuple[date, date]) -> bool:
        own = line.cells.get("removed" if field == "fitted" else "fitted")
        stay = line.fitment or ""
        starts = [s for o in self._others(line) if (s := _span(o, "fitted"))] + ([own.literal] if own else [])
        if field == "removed":
            later = [s for n in self.after[stay] for o in self.about.get(n, []) if (s := _span(o, "fitted"))]
            return any(span[1] < s[0] for s in starts) or any(s[1] < span[0] for s in later)
        ends = [s for o in self._others(line) if (s := _span(o, "removed"))] + ([own.literal] if own else [])
        earlier = [s for n in self.before[stay] for o in self.about.get(n, []) if (s := _span(o, "removed"))]
        return any(s[1] < span[0] for s in ends) or any(s[0] > span[1] for s in earlier)

    def _outside_life(self, line: Line, span: tuple[date, date]) -> bool:
        stay = self.world.fitments[line.fitment or ""]
        engine, component = self.world.engines[stay.engine], self.world.components[stay.component]
        late = min(engine.withdrawn, (component.condemned or engine.withdrawn).replace(month=12, day=31))
        early = max(engine.built.replace(day=1), component.built.replace(month=1, day=1))
        return span[1] < early or (span[0] > late.replace(day=28) and (span[0] - late).days > 31)

    def _unlikely_rate(self, line: Line) -> bool:
        cells = line.cells
        if not {"fitted", "removed", "miles"} <= set(cells):
            return False
        least = max(1, (cells["removed"].literal[0] - cells["fitted"].literal[1]).days)
        most = max(1, (cells["removed"].literal[1] - cells["fitted"].literal[0]).days)
        return bool(
            cells["miles"].literal / most > MILES_A_DAY[1] or cells["miles"].literal / least < MILES_A_DAY[0]
        )

    def _figure_contradicted(self, line: Line, field: str) -> bool:
        figure = line.cells[field].literal
        if any(field in o.cells and o.cells[field].literal != figure for o in self._others(line)):
            return True
        return self._sum_broken(line) or (field == "miles" and self._unlikely_rate(line))

    def _sum_broken(self, line: Line) -> bool:
        """Whether the figures of the line's card don't add up at it."""
        lines = [o for o in line.card.lines if o.fitment or o.says == "total"]
        so_far: int | None = 0
        for other in lines:
            total = other.cells.get("total_miles")
            miles = other.cells.get("miles")
            if so_far is not None and other.says in ("fitment", "removed"):
                so_far = so_far + miles.literal if miles else None
            if total is None:
                continue
            if so_far is not None and total.literal != so_far:
                return True
            so_far = total.literal
        return False

    def _named_otherwise(self, line: Line, field: str) -> bool:
        cell = line.cells[field]
        if cell.literal is None or cell.literal == cell.value:  # known to none, or not borne then
            return True
        return bool(self._others(line)) or self._wrong_type(line, cell.literal)

    def _wrong_type(self, line: Line, other: Any) -> bool:
        stay = self.world.fitments[line.fitment or ""]
        engine = other if other in self.world.engines else stay.engine
        component = other if other in self.world.components else stay.component
        type_ = self.world.components[component].type
        found, day = self.world.engines[engine], stay.fitted
        fits = (type_, found.class_at(day)) in self.world.fits
        return not fits or not found.built <= day <= found.withdrawn

    def _line_missed(self, fault: Fault) -> bool:
        """Another source has the stay that the card, which goes on after it, has not; or the sums break."""
        lost = fault.sought[0]
        card = [line for line in lost.card.lines if line.fitment]
        stay = self.world.fitments[lost.fitment or ""]
        around = [self.world.fitments[line.fitment or ""] for line in card]
        within = any(a.fitted < stay.fitted for a in around) and any(a.fitted > stay.fitted for a in around)
        if self.about.get(stay.id):
            return within or bool(self.world.has_cards_table)
        return self._sum_broken(lost) or self._gap(fault)

    def _gap(self, fault: Fault) -> bool:
        """The stays on either side of what is lost stand too far apart."""
        stays = [self.world.fitments[line.fitment] for line in fault.lines if line.fitment]
        ends = sorted((s.fitted, s.removed) for s in stays)
        return any((two[0] - one[1]).days > self.usual + 90 for one, two in pairwise(ends))


def _usual_gap(world: World) -> int:
    """How long all but one in twenty components lay between two engines, in days."""
    stays: dict[str, list[Fitment]] = defaultdict(list)
    for stay in sorted(world.fitments.values(), key=lambda f: f.fitted):
        stays[stay.component].append(stay)
    gaps = sorted((two.fitted - one.removed).days for chain in stays.values() for one, two in pairwise(chain))
    return gaps[int(len(gaps) * 0.95)] if gaps else 0


def _span(line: Line, field: str) -> tuple[date, date] | None:
    cell = line.cells.get(field)
    if cell is None or line.says == "carried":
        return None
    return cell.literal  # type: ignore[no-any-return]
