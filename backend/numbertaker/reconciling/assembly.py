"""From settled stays to the history that is given out, in a fixed order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from numbertaker.evidence.days import Span
from numbertaker.evidence.decisions import standing
from numbertaker.evidence.edtf import span_edtf
from numbertaker.evidence.records import CELL_FIELDS, CellKey
from numbertaker.reconciling.cells import cells_of, heading_cell
from numbertaker.reconciling.chronology import claims_of, mass_in
from numbertaker.reconciling.confidence import Rows
from numbertaker.reconciling.entries import Dated, Draft, Entry, Stay
from numbertaker.reconciling.history import CellMeaning, ComponentHistory, Finding, Fitment, History, When
from numbertaker.reconciling.miles.wholes import whole_of
from numbertaker.reconciling.pairing import references
from numbertaker.reconciling.weighing.conflicts import Conflicts
from numbertaker.reconciling.weighing.findings import weighed
from numbertaker.reconciling.weighing.fitments import fitment_rows

_STANDS_ABOVE = 0.5


def assemble(draft: Draft) -> History:
    """The history of every component of the tables, and what belongs to none of them."""
    conflicts = Conflicts(draft)
    given = given_stays(draft, conflicts)
    cells, unplaced, engine_cells = _cells(draft, conflicts, given)
    stays: dict[str, list[Stay]] = defaultdict(list)
    for stay in sorted(draft.stays, key=lambda s: s.rank):
        if id(stay) in given and stay.component_id:
            stays[stay.component_id].append(stay)
    by_component, general = _findings(draft)
    components = tuple(
        _component(draft, name, stays[name], given, cells[name], by_component[name])
        for name in sorted(draft.index.components)
    )
    evidence = draft.ruled.evidence
    return History(
        components=components,
        unplaced=tuple(unplaced),
        findings=general,
        decisions=tuple(d.decision_id for d in standing(evidence.decisions)),
        events=tuple(sorted(evidence.events, key=lambda e: (e.date, e.event_id))),
        engine_cells=tuple(engine_cells),
    )


def given_stays(draft: Draft, conflicts: Conflicts) -> dict[int, Rows]:
    """The stays that are likely enough to be given as fitments, by `id`, each with its reasons."""
    found = {}
    for stay in draft.stays:
        if stay.rough is not None and stay.engine_id is not None and stay.component_id is not None:
            rows = fitment_rows(draft, stay, conflicts)
            if rows.probability > draft.settings.given_above:
                found[id(stay)] = rows
    return found


def _component(  # noqa: PLR0917 - everything that is known of one component
    draft: Draft,
    name: str,
    stays: list[Stay],
    given: Mapping[int, Rows],
    cells: list[CellMeaning],
    findings: list[Finding],
) -> ComponentHistory:
    lines = {cell.line_id for cell in cells}
    spoken = {d for key, d in draft.ruled.by_cell.items() if key.line_id in lines}
    spoken |= {f.settled_by for f in findings if f.settled_by}
    looks = [look for (_, of), told in draft.ruled.looked.items() if of == name for look in told]
    spoken |= {look.decision_id for look in looks}
    order = [d.decision_id for d in draft.ruled.evidence.decisions]
    return ComponentHistory(
        component_id=name,
        fitments=tuple(_fitment(draft, stay, given[id(stay)]) for stay in stays),
        miles=whole_of(draft, name, stays),
        cells=tuple(cells),
        findings=tuple(findings),
        decisions=tuple(d for d in order if d in spoken),
    )


def _fitment(draft: Draft, stay: Stay, rows: Rows) -> Fitment:
    lines = [line.line_id for entry in stay.entries for line in entry.lines]
    copies = [line.line_id for entry in stay.entries if entry.copy for line in entry.lines]
    return Fitment(
        engine_id=stay.engine_id or "",
        fitted=_when(draft, stay, "fitted"),
        removed=_when(draft, stay, "removed"),
        miles=stay.miles,
        confidence=rows.probability,
        evidence=tuple(dict.fromkeys(lines)),
        copies=tuple(dict.fromkeys(copies)),
        claims=_rests_on(draft, stay),
        reasons=rows.reasons,
    )


def _rests_on(draft: Draft, stay: Stay) -> tuple[CellKey, ...]:
    """The cells that the parts of a fitment rest on: references, likely dates, the chosen figure."""
    keys: list[CellKey] = []
    for entry in stay.witnesses:
        keys += [entry.key(c) for c in ("engine", "component") if entry.line.text(c).strip()]
    for event, known in stay.dates.items():
        keys += [
            c.key for _, c in claims_of(draft, stay, event) if mass_in(known.regions, c.spans) > _STANDS_ABOVE
        ]
    value = stay.miles.value if stay.miles else None
    keys += [e.miles.key for e in stay.witnesses if e.miles and e.miles.value == value]
    if value is not None and stay.miles and stay.miles.basis == "derived" and stay.derived:
        keys.append(stay.derived.key)
    return tuple(dict.fromkeys(keys))


def _when(draft: Draft, stay: Stay, event: str) -> When | None:
    known = stay.dates.get(event)
    if known is None:
        return None
    claims = [c for _, c in claims_of(draft, stay, event)]
    best = max(claims, key=lambda c: (mass_in(known.regions, c.spans), -c.days, -c.first), default=None)
    likely = best is not None and mass_in(known.regions, best.spans) > _STANDS_ABOVE
    return When(
        _narrowest(known, best.edtf) if likely and best else None,
        known.first,
        known.last,
        draft.settings.level,
    )


def _narrowest(known: Dated, edtf: str) -> str:
    """The likeliest written claim; where claims overlap, the days that they have in common."""
    first, last = known.likeliest
    if known.first >= first and known.last <= last and (known.first, known.last) != (first, last):
        return span_edtf(Span(known.first, known.last), one_of=True)
    return edtf


def _findings(draft: Draft) -> tuple[dict[str, list[Finding]], tuple[Finding, ...]]:
    by_component: dict[str, list[Finding]] = defaultdict(list)
    general = []
    ordered = sorted(
        ((weighed(finding), names) for finding, names in draft.findings.values()),
        key=lambda pair: (pair[0].earliest or 0, pair[0].kind, pair[0].lines, pair[0].id),
    )
    for finding, names in ordered:
        known = [name for name in names if name in draft.index.components]
        for name in known:
            by_component[name].append(finding)
        if not known:
            general.append(finding)
    return by_component, tuple(general)


def _cells(
    draft: Draft, conflicts: Conflicts, given: Mapping[int, Rows]
) -> tuple[dict[str, list[CellMeaning]], list[CellMeaning], list[CellMeaning]]:
    """Every cell under its line's most probable component, in `unplaced`, or among those of engines alone."""
    placed: dict[str, list[CellMeaning]] = defaultdict(list)
    unplaced: list[CellMeaning] = []
    engines: list[CellMeaning] = []
    for entries in draft.cards.values():
        heading = heading_cell(draft, entries)
        for entry in entries:
            stay = entry.stay
            cells = [*heading, *cells_of(draft, entry, id(stay) in given, conflicts)]
            heading = []
            cells.sort(key=lambda c: (c.line_id != entry.id, CELL_FIELDS.index(c.field)))
            name = belongs(draft, entry)
            if name is not None:
                placed[name] += cells
            elif entry.side == "engine" and stay is None:
                engines += cells
            else:
                unplaced += cells
    return placed, unplaced, engines


def belongs(draft: Draft, entry: Entry) -> str | None:
    """The component that a line is most probably about, if any is likely."""
    stay = entry.stay
    if stay is None:
        return entry.component_id
    if stay.component_sure >= _STANDS_ABOVE:
        return stay.component_id
    return entry.component_id if entry.side == "component" else _named(draft, entry)


def _named(draft: Draft, entry: Entry) -> str | None:
    """The component that a statement names by the number it bore, whether or not it was on that engine."""
    if entry.side != "statement":
        return None
    exact = [c for c in references(draft, entry, "component").values() if c.exact]
    return exact[0].subject_id if len(exact) == 1 else None
