"""What every stated cell says, how sure that is, and why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from numbertaker.evidence.designations import read_number
from numbertaker.evidence.records import CellKey
from numbertaker.linking import Ranked, Sort
from numbertaker.linking.candidates import IN_TABLES
from numbertaker.reconciling.chronology import claims_of, mass_in
from numbertaker.reconciling.confidence import LEAST, Rows, held
from numbertaker.reconciling.entries import EVENTS, DateClaim, Draft, Entry, FigureClaim, Stay
from numbertaker.reconciling.headings import literal
from numbertaker.reconciling.history import Alternative, CellMeaning, Instead, Meaning
from numbertaker.reconciling.mileage import best_figure
from numbertaker.reconciling.pairing import references
from numbertaker.reconciling.weighing import Term, rows_of
from numbertaker.reconciling.weighing.conflicts import Conflicts
from numbertaker.reconciling.weighing.dates import date_terms, lone_terms, sighting_terms
from numbertaker.reconciling.weighing.figures import miles_terms, total_terms
from numbertaker.reconciling.weighing.lines import Whole
from numbertaker.reconciling.weighing.links import link_terms
from numbertaker.reconciling.wording import component, engine, miles

_ALTERNATIVES = 5
_LIKELY: Final = 0.5
_ANOTHER_HEADING: Final = "the cards facing it, or the table of cards, say that it is another's"
_NOBODY: Final = 1 - IN_TABLES
"""How likely nobody in the tables is meant, where none of them bore what stands there."""


@dataclass(slots=True)
class Stated:
    """What a cell says, and what is weighed for and against it.

    `kind` names the weights; `rows` stands in their place where nothing is weighed, because a person ruled or
    nothing was read. `rests` says whether the history could rest on it; `instead` is what would be likelier,
    given where the cell itself is improbable (`always`: in any case).
    """

    key: CellKey
    meaning: Meaning
    kind: str
    terms: list[Term] = field(default_factory=list)
    rows: Rows | None = None
    rests: bool = False
    instead: Instead | None = None
    always: bool = False
    alternatives: tuple[Alternative, ...] = ()

    def cell(self, rests_above: float) -> CellMeaning:
        """The cell with its confidence; a history rests on it where it is likelier true than this."""
        rows = self.rows if self.rows is not None else rows_of(self.kind, self.terms)
        sure, reasons = rows.whole()
        instead = self.instead if self.always or sure < _LIKELY else None
        used = self.rests and sure > rests_above
        where = self.key
        return CellMeaning(
            where.line_id, where.field, self.meaning, sure, used, instead, self.alternatives, reasons
        )


def cells_of(draft: Draft, entry: Entry, accepted: bool, conflicts: Conflicts) -> list[CellMeaning]:
    """The meanings of one entry's cells; `accepted` says whether its stay is part of the history."""
    return [
        stated.cell(draft.settings.rests_above) for stated in stated_of(draft, entry, accepted, conflicts)
    ]


def stated_of(draft: Draft, entry: Entry, accepted: bool, conflicts: Conflicts) -> Iterator[Stated]:
    """Everything that an entry states, with the terms of each cell."""
    whole, beside = Whole(entry), conflicts.beside(entry)
    for stated in _all_of(draft, whole, entry, accepted):
        if stated.key in draft.ruled.set_aside:
            stated.rows = Rows.of("ruling", 0.001, "a person set it aside, with a reason")
            stated.rests = False
        elif stated.key in draft.ruled.believed:
            stated.rows = Rows.of("ruling", 0.9995, "a person ruled that it is true, with a reason")
        if stated.rows is None:
            stated.terms += conflicts.terms(beside, stated.key)
        yield stated


def _all_of(draft: Draft, whole: Whole, entry: Entry, accepted: bool) -> Iterator[Stated]:
    yield from _references(draft, whole, entry, accepted)
    for event in EVENTS:
        yield from _date(draft, whole, entry, event, accepted)
    yield from _figures(draft, whole, entry, accepted)


def _kind(entry: Entry, kind: str) -> str:
    """Copies are weighed with weights of their own."""
    return f"copied {kind}" if entry.copy else kind


def _unread(key: CellKey) -> Stated:
    """A cell of which nothing could be made."""
    return Stated(key, None, "unread", rows=Rows.of("read", 0.03, "nothing can be made of what stands there"))


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
        rows.to(0.05, "agreement", _ANOTHER_HEADING)
    meaning = None if first.repaired else subject
    instead = (
        Instead(subject, 0.9, "the cards facing it, or the table of cards, say so")
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


def _references(draft: Draft, whole: Whole, entry: Entry, accepted: bool) -> Iterator[Stated]:
    for line in entry.lines:
        for column in ("engine", "engine_name", "component"):
            if line.text(column).strip():
                yield _reference(draft, whole, entry, CellKey(line.line_id, column), accepted)


def _reference(draft: Draft, whole: Whole, entry: Entry, key: CellKey, accepted: bool) -> Stated:
    sort: Sort = "component" if key.field == "component" else "engine"
    stay = entry.stay
    written = entry.engine if sort == "engine" else entry.component
    if key.field == "engine_name" and entry.line.engine:
        named = read_number(entry.line.engine_name)
        written = None if named.is_ditto else named
    if written is not None and written.state:
        says = "it lay off any engine, as it stands there"
        return Stated(key, f"state:{written.state}", "state", rows=Rows.of("read", 0.98, says), rests=True)
    if stay is not None and key.line_id != entry.id and key.field != "engine_name":
        other = _lower_half(draft, entry, sort, accepted)
        if other is not None:
            return other
    if stay is None:
        meaning = literal(draft, entry, sort)
        says = "it is who bore it" if meaning else "nothing in the tables bore what stands there"
        rows = Rows.of("read", 0.97 if meaning else 0.05, says)
        return Stated(key, meaning, "plain link", rows=rows, rests=meaning is not None)
    return _linked(draft, whole, entry, stay, key, accepted=accepted)


def _linked(draft: Draft, whole: Whole, entry: Entry, stay: Stay, key: CellKey, *, accepted: bool) -> Stated:
    """Whom a number or name of a fitment's line means as it stands; who bore one like it is told as what is
    meant instead.
    """
    sort: Sort = "component" if key.field == "component" else "engine"
    subject = stay.engine_id if sort == "engine" else stay.component_id
    refs = references(draft, entry, sort)
    chosen = refs.get(subject)
    meaning = subject if chosen is not None and chosen.exact else literal(draft, entry, sort)
    instead = None
    if subject is not None and meaning != subject:
        instead = Instead(subject, held(_subject_sure(stay, sort)), "the facing card and the dates want it")
    terms, rows = [], None
    if meaning is None:
        rows = Rows.of("read", _NOBODY, "nothing in the tables bore what stands there")
    else:
        terms = link_terms(whole, stay, sort, entry, meaning=meaning, chosen=chosen, refs=refs)
    return Stated(
        key,
        meaning,
        _kind(entry, sort),
        terms,
        rows,
        rests=accepted and meaning is not None and meaning == subject,
        instead=instead,
        always=True,
        alternatives=_alternatives(draft, stay, sort, refs),
    )


def _lower_half(draft: Draft, entry: Entry, sort: Sort, accepted: bool) -> Stated | None:
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
    sure = _subject_sure(stay, sort)
    bearers = {b.subject_id for b in draft.index.bearers(read.number, sort)}
    meaning = subject if subject in bearers else min(bearers, default=None)
    if meaning is None:
        rows = Rows.of("read", _NOBODY, "nothing in the tables bore what stands there")
    else:
        rows = Rows.of("linked", held(sure), "it bore what stands there")
        if meaning != subject:
            rows.to(0.05, "conflict", "the upper half of the line names another")
    instead = Instead(subject, held(sure), "the upper half names it") if meaning != subject else None
    key = CellKey(line.line_id, sort)
    rests = accepted and meaning is not None and meaning == subject
    return Stated(key, meaning, "lower half", rows=rows, rests=rests, instead=instead, always=True)


def _subject_sure(stay: Stay, sort: Sort) -> float:
    return stay.engine_sure if sort == "engine" else stay.component_sure


def _alternatives(draft: Draft, stay: Stay, sort: Sort, refs: Ranked) -> tuple[Alternative, ...]:
    """Whom else a cell may mean, the likeliest first."""
    posterior = stay.engine_posterior if sort == "engine" else stay.component_posterior
    likely = [c for c in (posterior or refs.candidates()) if c.subject_id and c.probability > LEAST]
    likely.sort(key=lambda c: (-c.probability, c.subject_id))
    return tuple(
        Alternative(
            c.subject_id,
            c.probability,
            engine(draft, c.subject_id, stay) if sort == "engine" else component(draft, c.subject_id),
            c.exact,
            c.then,
        )
        for c in likely[:_ALTERNATIVES]
    )


def _date(draft: Draft, whole: Whole, entry: Entry, event: str, accepted: bool) -> Iterator[Stated]:
    claim, stay = entry.date(event), entry.stay
    if entry.seen is not None:
        key = entry.seen.key
        if key == entry.key(event):
            terms = sighting_terms(whole, entry, entry.seen)
            yield Stated(key, entry.seen.edtf, "sighting", terms, rests=accepted)
        return
    if claim is None:
        if entry.unread and entry.key(event) in entry.unread:
            yield _unread(entry.key(event))
        return
    key = claim.key
    if stay is None:
        yield Stated(key, claim.edtf, "plain date", lone_terms(whole, entry, event, claim), rests=True)
        return
    terms = date_terms(draft, whole, stay, entry, claim)
    instead = _likelier(draft, stay, event, claim)
    yield Stated(key, claim.edtf, _kind(entry, "date"), terms, rests=accepted, instead=instead)


def _likelier(draft: Draft, stay: Stay, event: str, claim: DateClaim) -> Instead | None:
    """The likeliest other claim of an event, where this one is not it."""
    known = stay.dates.get(event)
    if known is None or known.sure <= _LIKELY or mass_in(known.regions, claim.spans) >= known.sure:
        return None
    others = (c for _, c in claims_of(draft, stay, event))
    other = next((c for c in others if mass_in(known.regions, c.spans) == known.sure), None)
    if other is None:
        return None
    why = "other claims of the same event, the order and the miles want it"
    return Instead(other.edtf, held(known.sure), why)


def _figures(draft: Draft, whole: Whole, entry: Entry, accepted: bool) -> Iterator[Stated]:
    for column, claim in (("miles", entry.miles), ("total_miles", entry.total)):
        if claim is None:
            if entry.unread and entry.key(column) in entry.unread:
                yield _unread(entry.key(column))
        elif column == "total_miles":
            likelier = None
            if entry.total_instead is not None:
                best, sure = entry.total_instead
                likelier = Instead(best, held(sure), f"the lines above and below want {miles(best)}")
            terms = total_terms(whole, entry, claim)
            yield Stated(claim.key, claim.value, "total", terms, rests=True, instead=likelier)
        else:
            yield _miles(draft, whole, entry, claim, accepted)


def _miles(draft: Draft, whole: Whole, entry: Entry, claim: FigureClaim, accepted: bool) -> Stated:
    stay, key = entry.stay, claim.key
    if stay is None:
        rows = Rows.of(
            "read", 1 - claim.slip, "a figure as written, of a source of this kind, read so surely"
        )
        return Stated(key, claim.value, "plain miles", rows=rows)
    best, sure = best_figure(stay)
    instead = None
    if best is not None and best != claim.value and sure > _LIKELY:
        instead = Instead(best, held(sure), f"the other figures and totals want {miles(best)}")
    terms = miles_terms(draft, whole, stay, entry, claim)
    rests = accepted and best == claim.value
    return Stated(key, claim.value, _kind(entry, "miles"), terms, rests=rests, instead=instead, always=True)
