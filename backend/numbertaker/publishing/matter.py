"""What a document is made from, looked up once: a history, its evidence, and whom each cell means."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from numbertaker.evidence.days import Day, Span
from numbertaker.evidence.decisions import Ruled
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import CellKey, Decision, Event
from numbertaker.publishing.citations import Citations
from numbertaker.publishing.dates import has_name, text_span, when_span
from numbertaker.publishing.degrees import Degree, contradicted_cells, degree_of
from numbertaker.publishing.manner import USUAL, Manner
from numbertaker.publishing.names import Called, Names
from numbertaker.reconciling.history import CellMeaning, ComponentHistory, Fitment, History, When


@dataclass(frozen=True, slots=True)
class Stay:
    """A fitment with the component it is of: what an engine's history is a row of."""

    component_id: str
    fitment: Fitment


class Matter:
    """A history beside the evidence it rests on, with everything that sentences ask for looked up once."""

    def __init__(self, history: History, ruled: Ruled, manner: Manner = USUAL) -> None:
        """Index the history by component, by engine and by cell; `manner` says how it is to be told."""
        self.manner, self.usage = manner, manner.usage
        self.history = history
        self.evidence = ruled.evidence
        self.names = Names(ruled.evidence)
        self.citations = Citations(ruled.evidence, manner)
        self.contradicted = contradicted_cells(history.all_findings())
        self.component_ids = frozenset(row.component_id for row in ruled.evidence.components)
        self._components = {component.component_id: component for component in history.components}
        self._decisions = {decision.decision_id: decision for decision in ruled.evidence.decisions}
        self._cells = {cell.key: cell for component in history.components for cell in component.cells}
        self._by_line: dict[str, list[CellMeaning]] = {}
        for cell in self._cells.values():
            self._by_line.setdefault(cell.line_id, []).append(cell)
        self._stays: dict[str, list[Stay]] = {}
        for component in history.components:
            for fitment in component.fitments:
                self._stays.setdefault(fitment.engine_id, []).append(Stay(component.component_id, fitment))

    def component(self, component_id: str) -> ComponentHistory:
        """The history of a component; NotFound where there is none."""
        found = self._components.get(component_id)
        if found is None:
            raise NotFound("component", component_id)
        return found

    def decision(self, decision_id: str) -> Decision | None:
        """A decision by its id; None where the log has none."""
        return self._decisions.get(decision_id)

    def cell(self, key: CellKey) -> CellMeaning | None:
        """What a cell means; None where the history does not say."""
        return self._cells.get(key)

    def stays_on(self, engine_id: str) -> tuple[Stay, ...]:
        """Every stay of any component on an engine, in order."""
        return tuple(sorted(self._stays.get(engine_id, ()), key=_stay_order))

    def events_of(self, subject_ids: Iterable[str]) -> tuple[Event, ...]:
        """The events of some engines or components, in the order of the table."""
        wanted = frozenset(subject_ids)
        return tuple(event for event in self.evidence.events if event.subject_id in wanted)

    def cells_of(self, line_id: str) -> tuple[CellMeaning, ...]:
        """What the cells of a line mean."""
        return tuple(self._by_line.get(line_id, ()))

    def called(self, fitment: Fitment) -> Called:
        """What the engine of a fitment was called when it was fitted, else at some time of the stay."""
        fitted, removed = when_span(fitment.fitted), when_span(fitment.removed)
        if fitted.first is not None and fitted.last is not None:
            return self.names.then(fitment.engine_id, fitted)
        return self.names.then(fitment.engine_id, Span(fitted.first, _latest(fitted, removed)))

    def when(self, fitment: Fitment, field: str) -> When | None:
        """A date of a fitment as the most exact claim has it that the fitment rests on.

        One card may say 'week ending 20.7.40', the other '17.7.40'; and what was narrowed by its neighbours
        is no claim of anybody's. Where no claim covers the days that are left, it is told as it is.
        """
        when = fitment.fitted if field == "fitted" else fitment.removed
        if when is None or when.earliest is None or when.latest is None:
            return when
        left = when_span(when)
        said = [str(self._cells[key].meaning) for key in self._dates_of(fitment, field)]
        said += [when.edtf] if when.edtf is not None and has_name(text_span(when.edtf)) else []
        spans = [(span.days, n) for n, text in enumerate(said) if (span := text_span(text)).contains(left)]
        exact = min(((days, n) for days, n in spans if days is not None), default=None)
        return when if exact is None else replace(when, edtf=said[exact[1]])

    def _dates_of(self, fitment: Fitment, field: str) -> list[CellKey]:
        """The cells with a date that the fitment rests on, those of its lines too, none in question."""
        keys = dict.fromkeys(
            (*self.claims_of(fitment), *(CellKey(line_id, field) for line_id in fitment.evidence))
        )
        return [
            key
            for key in keys
            if key.field == field
            and key not in self.contradicted
            and (cell := self._cells.get(key)) is not None
            and cell.used
            and isinstance(cell.meaning, str)
        ]

    def degree_of(self, fitment: Fitment, field: str) -> Degree:
        """How sure one part of a fitment is, by the surest cell that the history rests on for it.

        A part that no cell is known for takes the fitment's own confidence.
        """
        keys = [key for key in self.claims_of(fitment) if key.field == field]
        spoken_of = (*keys, *(CellKey(line_id, field) for line_id in fitment.evidence))
        if any(key in self.contradicted for key in spoken_of):
            return "contradicted"
        sure = [self._cells[key].confidence for key in keys if key in self._cells and self._cells[key].used]
        return degree_of(max(sure, default=fitment.confidence))

    def claims_of(self, fitment: Fitment) -> tuple[CellKey, ...]:
        """The cells that a fitment rests on: those it names, else those of its lines that are used."""
        if fitment.claims:
            return fitment.claims
        return tuple(
            cell.key for line_id in fitment.evidence for cell in self._by_line.get(line_id, ()) if cell.used
        )


def _latest(fitted: Span, removed: Span) -> Day | None:
    latest = removed.last if fitted.last is None else fitted.last
    if latest is not None and fitted.first is not None and latest < fitted.first:
        return None
    return latest


def _stay_order(stay: Stay) -> tuple[float, float, str]:
    fitted, removed = when_span(stay.fitment.fitted), when_span(stay.fitment.removed)
    start = fitted.first if fitted.first is not None else removed.last
    end = removed.last if removed.last is not None else fitted.last
    return (
        float("inf") if start is None else start,
        float("inf") if end is None else end,
        stay.component_id,
    )
