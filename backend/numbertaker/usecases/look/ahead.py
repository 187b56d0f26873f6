"""What is not yet so: leads for the gaps of a component, what would settle a finding, and what a ruling would
change. All of it is computed when it is asked for, and nothing is stored.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from numbertaker.archive import Archive
from numbertaker.evidence.days import iso
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Decision
from numbertaker.reconciling.history import Finding
from numbertaker.reconciling.leads import Gap, Lead, Leads, Place, leads_of, settling
from numbertaker.reconciling.what_if import Change, Outcome, what_if
from numbertaker.usecases.learn import in_force
from numbertaker.usecases.look.findings import rulings
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.reconcile import worked_out

_TOO_MANY: Final = 40
_FIRST: Final = 3


@dataclass(frozen=True, slots=True)
class PlaceView:
    """Where to look: a card or a source with its state (`seen`, `known`, `lost`, `unknown`), and why."""

    card_id: str | None
    source_id: str | None
    state: str
    says: str


@dataclass(frozen=True, slots=True)
class LeadView:
    """An engine that could have carried a component in a gap: how likely, when, why, and where to look."""

    engine_id: str
    label: str
    probability: float
    earliest: str
    latest: str
    reasons: list[str]
    places: list[PlaceView]


@dataclass(frozen=True, slots=True)
class GapView:
    """A time for which a component is unaccounted for, the fitments on either side, and the leads in it."""

    earliest: str
    latest: str
    before: str
    after: str
    leads: list[LeadView]


@dataclass(frozen=True, slots=True)
class LeadsView:
    """The leads of one component."""

    component_id: str
    label: str
    gaps: list[GapView]


@dataclass(frozen=True, slots=True)
class ChangeView:
    """One thing that a ruling would change, before and after, and as a sentence."""

    component_id: str
    engine_id: str | None
    what: str
    before: str | None
    after: str | None
    says: str


@dataclass(frozen=True, slots=True)
class FindingRef:
    """A finding by its id, with what it says."""

    id: str
    kind: str
    message: str


@dataclass(frozen=True, slots=True)
class OutcomeView:
    """A ruling that is offered, and what it would change."""

    ruling: str
    label: str
    changes: list[ChangeView]
    more_changes: int
    findings_gone: list[FindingRef]
    findings_come: list[FindingRef]


@dataclass(frozen=True, slots=True)
class WhatIfView:
    """Every ruling that can be given on a finding with what it would change, and what would settle it."""

    id: str
    kind: str
    message: str
    outcomes: list[OutcomeView]
    places: list[PlaceView]


def leads(archive: Archive, component_id: str) -> LeadsView:
    """The leads of one component; `NotFound` where the tables have none of that id."""
    made = index(archive)
    if all(row.component_id != component_id for row in made.evidence.components):
        raise NotFound("component", component_id)
    found = leads_of(_leads(archive, made), component_id)
    return LeadsView(component_id, made.label(component_id), [_gap(made, *one) for one in found])


def _leads(archive: Archive, made: Index) -> Leads:
    return archive.memo("leads", lambda: Leads(made.history, made.ruled, in_force(archive)))


def _gap(made: Index, gap: Gap, found: list[Lead]) -> GapView:
    return GapView(
        iso(int(gap.first)),
        iso(int(gap.last)),
        made.label(gap.before.engine_id),
        made.label(gap.after.engine_id),
        [_lead(made, lead) for lead in found],
    )


def _lead(made: Index, lead: Lead) -> LeadView:
    return LeadView(
        lead.engine_id,
        made.label(lead.engine_id),
        round(lead.probability, 4),
        iso(lead.first),
        iso(lead.last),
        list(lead.reasons),
        _places(lead.places),
    )


def _places(places: Iterable[Place]) -> list[PlaceView]:
    return [PlaceView(p.card_id, p.source_id, p.state, p.says) for p in places]


def finding_ahead(archive: Archive, finding_id: str) -> WhatIfView:
    """What each ruling on a finding would change; `NotFound` where the history has none of that id."""
    made = index(archive)
    known = made.findings.get(finding_id)
    if known is None:
        raise NotFound("finding", finding_id)
    told: dict[str, WhatIfView] = archive.memo("what if", dict)
    if finding_id not in told:
        told[finding_id] = _ahead(archive, made, known)
    return told[finding_id]


def _ahead(archive: Archive, made: Index, known: Finding) -> WhatIfView:
    outcomes = []
    for offered in rulings(made, known) if known.settled_by is None else ():
        decision = Decision(
            decision_id="", kind="finding", target=known.id, ruling=offered.ruling, reason="", by="", at=""
        )
        told = what_if(made.raw, made.history, decision, lambda ruled: worked_out(archive, ruled))
        outcomes.append(_outcome(made, known, offered.label, told))
    return WhatIfView(known.id, known.kind, known.message, outcomes, _settling(archive, made, known))


def _settling(archive: Archive, made: Index, known: Finding) -> list[PlaceView]:
    """What would settle a finding; for a gap the cards of the likeliest engines come first."""
    found = _leads(archive, made)
    places = list(settling(made.history, made.ruled, found.slots, known))
    if known.kind == "gap" and known.earliest is not None and known.latest is not None:
        gaps = [gap for name in made.components_of.get(known.id, ()) for gap in found.gaps.get(name, [])]
        at = [gap for gap in gaps if gap.first <= known.latest and known.earliest <= gap.last]
        leads_there = [lead for gap in at for lead in found.engines(gap)[:_FIRST]]
        places = [place for lead in leads_there for place in lead.places] + places
    return _places(dict.fromkeys(places))


def _outcome(made: Index, known: Finding, label: str, told: Outcome) -> OutcomeView:
    changes = [_change(made, change) for change in told.changes]
    return OutcomeView(
        told.ruling,
        label,
        changes[:_TOO_MANY],
        max(0, len(changes) - _TOO_MANY),
        [FindingRef(f.id, f.kind, f.message) for f in told.gone if f.id != known.id],
        [FindingRef(f.id, f.kind, f.message) for f in told.come],
    )


def _change(made: Index, change: Change) -> ChangeView:
    return ChangeView(
        change.component_id, change.engine_id, change.what, change.before, change.after, _says(made, change)
    )


def _says(made: Index, change: Change) -> str:
    who = made.label(change.component_id)
    before, after = change.before or "not known", change.after or "not known"
    if change.engine_id is None:
        return f"{who}: its miles altogether would be {after} instead of {before}."
    where = f"{who} on {made.label(change.engine_id)}"
    if change.what == "gone":
        return f"{where}, from {before}: no longer in the history."
    if change.what == "come":
        return f"{where}, from {after}: new in the history."
    return f"{where}: {change.what} {after} instead of {before}."
