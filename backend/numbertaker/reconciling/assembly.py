"""From settled stays to the history that is given out, in a fixed order."""

from __future__ import annotations

from dataclasses import replace

from numbertaker.evidence.days import Span
from numbertaker.evidence.decisions import standing
from numbertaker.evidence.edtf import span_edtf
from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.chronology import claims_of, mass_in
from numbertaker.reconciling.entries import Dated, Draft, Stay
from numbertaker.reconciling.gathering import ENGINES, GENERAL, UNPLACED, Gathered
from numbertaker.reconciling.history import ComponentHistory, Fitment, History, Reasons, When
from numbertaker.reconciling.miles.wholes import whole_of

_STANDS_ABOVE = 0.5


def assemble(draft: Draft) -> History:
    """The history of every component of the tables, and what belongs to none of them."""
    gathered = draft.gathered = draft.gathered or Gathered()
    for name in gathered.renew(draft):
        if name in draft.index.components:
            gathered.components[name] = component_of(draft, name, gathered)
    components = tuple(gathered.components[name] for name in sorted(draft.index.components))
    return replace(rest_of(draft, gathered), components=components)


def rest_of(draft: Draft, gathered: Gathered) -> History:
    """What belongs to no component of the tables."""
    evidence = draft.ruled.evidence
    return History(
        components=(),
        unplaced=gathered.cells(UNPLACED),
        findings=gathered.findings(GENERAL),
        decisions=tuple(d.decision_id for d in standing(evidence.decisions)),
        events=tuple(sorted(evidence.events, key=lambda e: (e.date, e.event_id))),
        engine_cells=gathered.cells(ENGINES),
    )


def component_of(draft: Draft, name: str, gathered: Gathered) -> ComponentHistory:
    """Everything that is known of one component."""
    stays, cells, findings = gathered.stays(name), gathered.cells(name), gathered.findings(name)
    lines = {cell.line_id for cell in cells}
    spoken = {d for key, d in draft.ruled.by_cell.items() if key.line_id in lines}
    spoken |= {f.settled_by for f in findings if f.settled_by}
    looks = [look for (_, of), told in draft.ruled.looked.items() if of == name for look in told]
    spoken |= {look.decision_id for look in looks}
    order = [d.decision_id for d in draft.ruled.evidence.decisions]
    return ComponentHistory(
        component_id=name,
        fitments=tuple(_fitment(draft, stay, gathered.given[stay]) for stay in stays),
        miles=whole_of(draft, name, stays),
        cells=cells,
        findings=findings,
        decisions=tuple(d for d in order if d in spoken),
    )


def _fitment(draft: Draft, stay: Stay, given: tuple[float, Reasons]) -> Fitment:
    lines = [line.line_id for entry in stay.entries for line in entry.lines]
    copies = [line.line_id for entry in stay.entries if entry.copy for line in entry.lines]
    return Fitment(
        engine_id=stay.engine_id or "",
        fitted=_when(draft, stay, "fitted"),
        removed=_when(draft, stay, "removed"),
        miles=stay.miles,
        confidence=given[0],
        evidence=tuple(dict.fromkeys(lines)),
        copies=tuple(dict.fromkeys(copies)),
        claims=_rests_on(draft, stay),
        reasons=given[1],
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
