"""What every stated cell says, how sure that is, and why."""

from __future__ import annotations

from numbertaker.evidence.designations import read_number
from numbertaker.linking import Candidate, Sort
from numbertaker.reconciling.chronology import claims_of, mass_in
from numbertaker.reconciling.confidence import Rows, held
from numbertaker.reconciling.entries import DateClaim, Draft, Entry, FigureClaim, Stay
from numbertaker.reconciling.headings import literal
from numbertaker.reconciling.history import Alternative, CellMeaning, Instead, Meaning
from numbertaker.reconciling.mileage import best_figure
from numbertaker.reconciling.pairing import references
from numbertaker.reconciling.wording import component, engine, miles

_ALTERNATIVES = 5
_USED_ABOVE = 0.5
_STAGES = {
    "life": "the lives of the engine and the component",
    "order": "what stands before and after it",
    "rate": "the miles, at the usual rate",
}


def cells_of(draft: Draft, entry: Entry, accepted: bool) -> list[CellMeaning]:
    """The meanings of one entry's cells; `accepted` says whether its stay is part of the history."""
    found = [*_references(draft, entry, accepted)]
    for event in ("fitted", "removed"):
        cell = _date(draft, entry, event, accepted)
        if cell is not None:
            found.append(cell)
    return [*found, *_figures(draft, entry, accepted)]


def heading_cell(draft: Draft, entries: list[Entry]) -> list[CellMeaning]:
    """What the heading of a card means, on its first line."""
    first = entries[0]
    if first.side == "statement" or not (first.line.heading or first.line.heading_name):
        return []
    subject = first.component_id if first.side == "component" else first.engine_id
    column = "heading" if first.line.heading else "heading_name"
    rows = Rows.of("heading", 0.97, "a heading as written means whom it names")
    if subject is None:
        rows = Rows.of("heading", 0.03, "nothing in the tables bore what the heading says")
    if first.repaired:
        rows.to(0.05, "agreement", "the card's lines agree with the other side only under another heading")
    meaning = None if first.repaired else subject
    instead = (
        Instead(subject, 0.9, "the lines of the card agree with the cards facing it")
        if first.repaired
        else None
    )
    return [
        CellMeaning(
            first.id,
            column,
            meaning,
            rows.probability,
            not first.repaired and subject is not None,
            instead,
            (),
            rows.reasons,
        )
    ]


def _references(draft: Draft, entry: Entry, accepted: bool) -> list[CellMeaning]:
    found = []
    for line in entry.lines:
        for column in ("engine", "engine_name", "component"):
            text = line.text(column)
            if text.strip():
                found.append(_reference(draft, entry, line.line_id, column, accepted))
    return found


def _reference(draft: Draft, entry: Entry, line_id: str, column: str, accepted: bool) -> CellMeaning:
    sort: Sort = "component" if column == "component" else "engine"
    stay = entry.stay
    written = entry.engine if sort == "engine" else entry.component
    if column == "engine_name" and entry.line.engine:
        named = read_number(entry.line.engine_name)
        written = None if named.is_ditto else named
    if written is not None and written.state:
        return CellMeaning(line_id, column, f"state:{written.state}", 0.98, True)
    if stay is not None and line_id != entry.id and column != "engine_name":
        other = _lower_half(draft, entry, sort, accepted)
        if other is not None:
            return other
    if draft.refused(entry.key(sort)) and line_id == entry.id:
        rows = Rows.of("ruling", 0.001, "a person set it aside, with a reason")
        return CellMeaning(
            line_id, column, literal(draft, entry, sort), rows.probability, False, None, (), rows.reasons
        )
    if stay is None:
        meaning = literal(draft, entry, sort)
        return CellMeaning(line_id, column, meaning, 0.97 if meaning else 0.05, meaning is not None)
    subject = stay.engine_id if sort == "engine" else stay.component_id
    refs = references(draft, entry, sort)
    exact = [c for c in refs.values() if c.exact]
    chosen = refs.get(subject or "")
    meaning = subject if chosen is not None and (chosen.exact or not exact) else literal(draft, entry, sort)
    rows = _link_rows(draft, stay, sort, entry, meaning=meaning, chosen=chosen)
    instead = None
    if subject is not None and meaning != subject:
        instead = Instead(subject, held(_subject_sure(stay, sort)), "the facing card and the dates want it")
    return CellMeaning(
        line_id,
        column,
        meaning,
        rows.probability,
        accepted and meaning == subject,
        instead,
        _alternatives(draft, stay, sort, refs),
        rows.reasons,
    )


def _lower_half(draft: Draft, entry: Entry, sort: Sort, accepted: bool) -> CellMeaning | None:
    """What the lower of two half-lines names, where it has a text of its own; None where it repeats the
    upper.
    """
    stay, line = entry.stay, entry.tail
    if stay is None or line is None:
        return None
    read, upper = read_number(line.text(sort)), read_number(entry.line.text(sort))
    if read.is_ditto or read.bare == upper.bare:
        return None
    subject = stay.engine_id if sort == "engine" else stay.component_id
    bearers = {b.subject_id for b in draft.index.bearers(read.number, sort)}
    meaning = subject if subject in bearers or not bearers else min(bearers)
    if not bearers:
        rows = Rows.of("link", 0.9 * _subject_sure(stay, sort), "the upper half of the line names it")
    else:
        rows = Rows.of("link", _subject_sure(stay, sort), "it bore what stands there")
        if meaning != subject:
            rows.to(0.05, "upper half", "the upper half of the line names another")
    instead = (
        Instead(subject, held(_subject_sure(stay, sort)), "the upper half names it")
        if meaning != subject
        else None
    )
    return CellMeaning(
        line.line_id,
        sort,
        meaning,
        rows.probability,
        accepted and meaning == subject,
        instead,
        (),
        rows.reasons,
    )


def _subject_sure(stay: Stay, sort: Sort) -> float:
    return stay.engine_sure if sort == "engine" else stay.component_sure


def _link_rows(
    draft: Draft, stay: Stay, sort: Sort, entry: Entry, *, meaning: Meaning, chosen: Candidate | None
) -> Rows:
    subject = stay.engine_id if sort == "engine" else stay.component_id
    if meaning is None:
        return Rows.of("link", 0.03, "nothing in the tables bore what stands there")
    if meaning != subject:
        rows = Rows.of("link", 0.9, "it is what stands there")
        rows.to(0.04, "facing card", "the facing card, the dates and the miles say somebody else is meant")
        return rows
    base = chosen.probability if chosen is not None else 0.9
    rows = Rows.of("link", min(0.995, base), "number or name, and when it was borne")
    why = (
        "the facing card says so too"
        if stay.own and stay.mirror
        else "fit, life, free slot and surviving cards"
    )
    rows.to(_subject_sure(stay, sort), "facing card" if stay.own and stay.mirror else "place", why)
    if entry.twin is not None:
        rows.add("repeated", 0.0, "it repeats the entry above it")
    return rows


def _alternatives(
    draft: Draft, stay: Stay, sort: Sort, refs: dict[str, Candidate]
) -> tuple[Alternative, ...]:
    posterior = stay.engine_posterior if sort == "engine" else stay.component_posterior
    ranked = [c for c in (posterior or refs.values()) if c.subject_id]
    ranked.sort(key=lambda c: (-c.probability, c.subject_id))
    return tuple(
        Alternative(
            c.subject_id,
            c.probability,
            f"{engine(draft, c.subject_id, stay) if sort == 'engine' else component(draft, c.subject_id)}:"
            f" {'bore it letter for letter' if c.exact else 'bore something like it'}"
            f"{'' if c.then else ', but not then'}",
        )
        for c in ranked[:_ALTERNATIVES]
    )


def _date(draft: Draft, entry: Entry, event: str, accepted: bool) -> CellMeaning | None:
    claim, key = entry.date(event), entry.key(event)
    if entry.seen is not None:
        return _sighting(draft, entry, entry.seen, accepted) if entry.seen.key == key else None
    if claim is None:
        if key in entry.unread:
            return CellMeaning(key.line_id, event, None, 0.03, False)
        return None
    stay = entry.stay
    if stay is None:
        rows = _lone_rows(draft, entry, event, claim)
        return CellMeaning(
            key.line_id, event, claim.edtf, rows.probability, rows.probability > _USED_ABOVE, None, (), rows.reasons
        )
    rows = _date_rows(draft, stay, event, entry, claim)
    known = stay.dates.get(event)
    instead = None
    if rows.probability < _USED_ABOVE and known is not None and known.sure > _USED_ABOVE:
        other = next(
            (c for _, c in claims_of(draft, stay, event) if mass_in(known.regions, c.spans) == known.sure),
            None,
        )
        if other is not None:
            instead = Instead(
                other.edtf,
                held(known.sure),
                "other claims of the same event, the order and the miles want it",
            )
    used = accepted and rows.probability > _USED_ABOVE
    return CellMeaning(key.line_id, event, claim.edtf, rows.probability, used, instead, (), rows.reasons)


def _sighting(draft: Draft, entry: Entry, claim: DateClaim, accepted: bool) -> CellMeaning:
    """That it was on the engine that day: as sure as the stay leaves room for it."""
    rows = Rows.of("read", 1 - claim.slip, "a date as written, of a source of this kind, read so surely")
    known = entry.dates.get("seen")
    for stage, posterior in known.stages if known else ():
        if stage != "agreement":
            rows.to(mass_in(posterior, claim.spans), stage, "the dates of the fitment, and who else had it then")
    return CellMeaning(
        claim.key.line_id,
        claim.key.field,
        claim.edtf,
        rows.probability,
        accepted and rows.probability > _USED_ABOVE,
        None,
        (),
        rows.reasons,
    )


def _lone_rows(draft: Draft, entry: Entry, event: str, claim: DateClaim) -> Rows:
    """A day that a line states of a component or an engine, but of no fitment."""
    if draft.refused(claim.key):
        return Rows.of("ruling", 0.001, "a person set it aside, with a reason")
    rows = Rows.of("read", 1 - claim.slip, "a date as written, of a source of this kind, read so surely")
    known = entry.dates.get(event)
    for stage, posterior in known.stages if known else ():
        says = "the tables, and other lines" if stage == "agreement" else _STAGES[stage]
        rows.to(mass_in(posterior, claim.spans), stage, says)
    return rows


def _date_rows(draft: Draft, stay: Stay, event: str, entry: Entry, claim: DateClaim) -> Rows:
    if draft.refused(claim.key):
        return Rows.of("ruling", 0.001, "a person set it aside, with a reason")
    rows = Rows.of("read", 1 - claim.slip, "a date as written, of a source of this kind, read so surely")
    known = stay.dates.get(event)
    if known is None or not known.regions:
        return rows
    claims = [c for _, c in claims_of(draft, stay, event)]
    agreeing = sum(c.meets(claim) for c in claims if c.key != claim.key)
    against = sum(not c.meets(claim) for c in claims if c.key != claim.key)
    says = f"{agreeing} other independent claim(s) agree, {against} contradict"
    for stage, posterior in known.stages:
        rows.to(mass_in(posterior, claim.spans), stage, says if stage == "agreement" else _STAGES[stage])
    return rows


def _figures(draft: Draft, entry: Entry, accepted: bool) -> list[CellMeaning]:
    found = []
    for column, claim in (("miles", entry.miles), ("total_miles", entry.total)):
        key = entry.key(column)
        if claim is None:
            if key in entry.unread:
                found.append(CellMeaning(key.line_id, column, None, 0.03, False))
            continue
        if column == "total_miles":
            sure = entry.total_right if entry.total_right is not None else 0.96
            rows = (
                Rows(list(entry.total_why))
                if entry.total_why
                else Rows.of("read", sure, "a total as written")
            )
            if draft.refused(key):
                rows = Rows.of("ruling", 0.001, "a person set it aside, with a reason")
            found.append(
                CellMeaning(
                    key.line_id,
                    column,
                    claim.value,
                    rows.probability,
                    rows.probability > _USED_ABOVE,
                    None,
                    (),
                    rows.reasons,
                )
            )
            continue
        found.append(_miles(draft, entry, claim, accepted))
    return found


def _miles(draft: Draft, entry: Entry, claim: FigureClaim, accepted: bool) -> CellMeaning:
    stay = entry.stay
    key = entry.key("miles")
    rows = Rows.of("read", 1 - claim.slip, "a figure as written, of a source of this kind, read so surely")
    if draft.refused(key):
        rows = Rows.of("ruling", 0.001, "a person set it aside, with a reason")
    elif stay is not None:
        others = [e.miles for e in stay.witnesses if e.miles and e is not entry]
        agree = sum(o.value == claim.value for o in others)
        rows.to(
            stay.figures.get(claim.value, 0.04),
            "agreement",
            f"{agree} other independent figure(s) agree, {len(others) - agree} differ; totals and rate too",
        )
    best, sure = best_figure(stay) if stay is not None else (None, 0.0)
    instead = None
    if best is not None and best != claim.value and sure > _USED_ABOVE:
        instead = Instead(best, held(sure), f"the other figures and totals want {miles(best)}")
    used = accepted and best == claim.value and rows.probability > _USED_ABOVE
    return CellMeaning(key.line_id, "miles", claim.value, rows.probability, used, instead, (), rows.reasons)
