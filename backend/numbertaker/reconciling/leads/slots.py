"""What engines and components are known to have been joined to, as plain spans of days in order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from numbertaker.evidence.days import Day, Span
from numbertaker.evidence.records import Evidence
from numbertaker.linking import Index
from numbertaker.linking.index import hull
from numbertaker.reconciling.history import ComponentHistory, Fitment, History, When

_LIKELY = 0.5


@dataclass(frozen=True, slots=True)
class Known:
    """One likely fitment: who with whom, and the middles of its two days; an open end is where it is open."""

    component_id: str
    engine_id: str
    start: float | None
    end: float | None


@dataclass(frozen=True, slots=True)
class Hole:
    """Time in which nothing is known to be joined: from the end of one fitment to the start of the next.

    An end is None where no fitment stands there: before the first, or after the last.
    """

    before: Known | None
    after: Known | None
    first: float
    last: float

    @property
    def days(self) -> float:
        """How long it is."""
        return self.last - self.first


@dataclass(slots=True)
class Slots:
    """The known fitments of every component, and of every engine by kind of component, in order of time."""

    index: Index
    of_component: dict[str, list[Known]] = field(default_factory=lambda: defaultdict(list))
    of_engine: dict[tuple[str, str], list[Known]] = field(default_factory=lambda: defaultdict(list))
    spare: dict[str, list[tuple[Day, Day]]] = field(default_factory=lambda: defaultdict(list))

    def kind(self, component_id: str) -> str:
        """Its kind; a slot takes one component of a kind."""
        row = self.index.components.get(component_id)
        return row.kind if row is not None else ""

    def holes(self, engine_id: str, kind: str) -> list[Hole]:
        """The times of an engine's life for which nothing is known to be in its slot."""
        life = self.index.life(engine_id)
        first = life.start.first if life.start.first is not None else life.start.last
        last = life.end.last if life.end.last is not None else life.end.first
        return _holes(self.of_engine.get((engine_id, kind), []), first, last)


def slots_of(history: History, evidence: Evidence) -> Slots:
    """The likely fitments of a history, by whom they join."""
    found = Slots(Index(evidence))
    spare = {line.line_id for line in evidence.lines if line.says == "spare"}
    for component in history.components:
        for fitment in component.fitments:
            if fitment.confidence >= _LIKELY:
                known = _known(component.component_id, fitment)
                found.of_component[known.component_id].append(known)
                found.of_engine[known.engine_id, found.kind(known.component_id)].append(known)
        _note_spare(found, component, spare)
    for row in (*found.of_component.values(), *found.of_engine.values()):
        row.sort(key=_order)
    return found


def _order(known: Known) -> tuple[float, str, str]:
    start = known.start if known.start is not None else known.end
    return (start or 0.0, known.component_id, known.engine_id)


def _note_spare(found: Slots, component: ComponentHistory, lines: set[str]) -> None:
    """The times for which a line says that it lay off any engine."""
    told: dict[str, dict[str, Span]] = defaultdict(dict)
    for cell in component.cells:
        if cell.line_id in lines and cell.field in {"fitted", "removed"} and cell.meaning:
            told[cell.line_id][cell.field] = hull(str(cell.meaning))
    for ends in told.values():
        first, last = ends.get("fitted", Span(None, None)).first, ends.get("removed", Span(None, None)).last
        if first is not None and last is not None and first <= last:
            found.spare[component.component_id].append((first, last))


def _known(component_id: str, fitment: Fitment) -> Known:
    return Known(component_id, fitment.engine_id, _middle(fitment.fitted), _middle(fitment.removed))


def _middle(when: When | None) -> float | None:
    if when is None or when.earliest is None or when.latest is None:
        return None
    return (when.earliest + when.latest) / 2


def _holes(known: list[Known], first: Day | None, last: Day | None) -> list[Hole]:
    """The spans between fitments that follow each other; with the ends of a life where these are known."""
    found: list[Hole] = []
    before: Known | None = None
    at = float(first) if first is not None else None
    for one in known:
        start = one.start if one.start is not None else one.end
        if at is not None and start is not None and start > at:
            found.append(Hole(before, one, at, start))
        end = one.end if one.end is not None else one.start
        if end is not None and (at is None or end > at):
            before, at = one, end
    if at is not None and last is not None and last > at:
        found.append(Hole(before, None, at, float(last)))
    return found


def overlapping(holes: Iterable[Hole], first: float, last: float) -> list[Hole]:
    """The holes that share time with a span."""
    return [hole for hole in holes if hole.first < last and first < hole.last]
