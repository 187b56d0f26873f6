"""Who is meant: numbers that nobody bore, or not then; entries made twice; what a class could not carry."""

from __future__ import annotations

from numbertaker.evidence.designations import WrittenNumber, read_number
from numbertaker.evidence.records import CellKey
from numbertaker.linking import Bearer, Sort
from numbertaker.linking.index import MEETING
from numbertaker.reconciling.entries import DateClaim, Draft, Entry, Stay
from numbertaker.reconciling.findings.due import Due
from numbertaker.reconciling.findings.notes import Notes
from numbertaker.reconciling.headings import stated_subject
from numbertaker.reconciling.network.designations import out_of_span, row_of
from numbertaker.reconciling.pairing import references
from numbertaker.reconciling.wording import card, component, day, engine, sentence, spell

_AMBIGUOUS = 0.6


def of_headings(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look at the heading of every card."""
    for key, entries in due.entries():
        with notes.at((family, key), key):
            if entries and entries[0].repaired:
                _heading(draft, notes, entries)


def of_stays(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look at every reference of every stay."""
    for stay in dict.fromkeys((*due.stays, *due.below())):
        with notes.at((family, stay), stay.rank):
            _of_stay(draft, notes, stay)


def _of_stay(draft: Draft, notes: Notes, stay: Stay) -> None:
    for entry in stay.twins:
        if entry.twin is not None:
            _repeated(draft, notes, stay, entry)
    for entry in stay.entries:
        if entry.side != "engine":
            _reference(draft, notes, stay, entry, "engine")
        if entry.side != "component":
            _reference(draft, notes, stay, entry, "component")
        _lower_half(draft, notes, stay, entry)
    if stay.sure > 0.5:
        _unfit(draft, notes, stay)


def _heading(draft: Draft, notes: Notes, entries: list[Entry]) -> None:
    entry = entries[0]
    sort: Sort = "component" if entry.side == "component" else "engine"
    meant = component(draft, entry.component_id) if sort == "component" else engine(draft, entry.engine_id)
    why = (
        f"is in the table of cards as that of {meant}, which never bore that."
        if stated_subject(draft, entries) is not None
        else f"agrees with the cards facing it only if it is that of {meant}."
    )
    notes.add(
        "misnamed",
        f"The card headed '{entry.line.heading or entry.line.heading_name}' {why}",
        claims=(entry.key("heading"),),
        components=(entry.component_id or (entry.stay.component_id if entry.stay else None),),
        confidence=0.9,
    )


def _repeated(draft: Draft, notes: Notes, stay: Stay, entry: Entry) -> None:
    if entry.twin is None:
        return
    notes.add(
        "repeated-line",
        sentence(f"{card(draft, entry)} says again what the entry above it says: one fitment entered twice."),
        entries=(entry.twin, entry),
        claims=(),
        components=(stay.component_id,),
        confidence=0.9,
    )
    notes.explained.update(entry.key(cell) for cell in ("engine", "component", "fitted", "removed", "miles"))


def _reference(draft: Draft, notes: Notes, stay: Stay, entry: Entry, sort: Sort) -> None:
    written = entry.engine if sort == "engine" else entry.component
    if entry.key(sort) in draft.ruled.links:
        return
    if sort in entry.heads and entry.heads[sort] is None:
        _repeats_nothing(draft, notes, stay, entry, sort)
    if written is None or not written.bare:
        return
    head = entry.heads.get(sort)
    if head is not None and head.stay is not None and _same_answer(stay, head.stay, sort):
        return
    subject = stay.engine_id if sort == "engine" else stay.component_id
    sure = stay.engine_sure if sort == "engine" else stay.component_sure
    refs = references(draft, entry, sort)
    found = refs.get(subject)
    if not any(c.exact for c in refs.bearers) and (found is None or sure < 0.5):
        _unlinked(draft, notes, stay, entry, sort=sort, text=written.bare)
    elif found is not None and found.exact and not found.then and _outlived(draft, entry, subject):
        return
    elif found is None or not found.exact or not found.then:
        _misnamed(draft, notes, stay, entry, sort=sort, found=found)
    elif sure < _AMBIGUOUS and entry is stay.lead and not stay.hearsay:
        _ambiguous(draft, notes, stay, entry, sort)


def _outlived(draft: Draft, entry: Entry, subject: str | None) -> bool:
    """Whether it bore nothing then because it was not there: that is for the lives to say."""
    life = draft.index.life(subject or "")
    first, last = entry.between
    return last < life.first or first > life.last


def _lower_half(draft: Draft, notes: Notes, stay: Stay, entry: Entry) -> None:
    """The lower of two half-lines, where it names what was not borne then; or the upper, where the entry was
    taken to mean what the lower names.
    """
    if entry.tail is None or entry.side == "statement":
        return
    sort: Sort = "engine" if entry.side == "component" else "component"
    lower, upper = read_number(entry.tail.text(sort)), read_number(entry.line.text(sort))
    if not lower.bare or lower.is_ditto or lower.bare == upper.bare:
        return
    subject = stay.engine_id if sort == "engine" else stay.component_id
    taken = entry.engine if sort == "engine" else entry.component
    if not _bore(draft, lower, sort, subject, entry.removed or entry.fitted):
        line, half, wrong, right = entry.tail, "lower", lower, upper
    elif taken is not None and taken.bare == lower.bare and upper.bare and not upper.is_ditto:
        line, half, wrong, right = entry.line, "upper", upper, lower
    else:
        return
    what = engine(draft, subject, stay) if sort == "engine" else component(draft, subject)
    notes.add(
        "misnamed",
        sentence(
            f"the {half} half of a line on {card(draft, entry)} names {sort} '{wrong.bare}', the other half"
            f" '{right.bare or 'nothing'}'; what is meant is most likely {what}."
        ),
        entries=(entry,),
        claims=(CellKey(line.line_id, sort),),
        components=(stay.component_id,),
        confidence=0.85,
    )


def _bore(
    draft: Draft, written: WrittenNumber, sort: Sort, subject: str | None, when: DateClaim | None
) -> bool:
    """Whether a subject bore what is written, at the time of a date."""
    bearers = [*draft.index.bearers(written.number, sort), *draft.index.named(written.name, sort)]
    return any(b.subject_id == subject and (when is None or b.at(when.first, when.last)) for b in bearers)


def _same_answer(stay: Stay, head: Stay, sort: Sort) -> bool:
    """Whether a ditto repeats what its head says of the same subject: then the head's finding is enough."""
    return (
        (stay.engine_id == head.engine_id) if sort == "engine" else (stay.component_id == head.component_id)
    )


def _claims(entry: Entry, sort: Sort) -> tuple[Entry, ...]:
    head = entry.heads.get(sort)
    return (entry,) if head is None else (head, entry)


def _unlinked(draft: Draft, notes: Notes, stay: Stay, entry: Entry, *, sort: Sort, text: str) -> None:
    notes.add(
        "unlinked",
        sentence(f"{card(draft, entry)} names {sort} '{text}', which nothing in the tables bore."),
        entries=_claims(entry, sort),
        claims=(entry.key(sort),),
        components=(stay.component_id,),
        confidence=0.9,
    )


def _repeats_nothing(draft: Draft, notes: Notes, stay: Stay, entry: Entry, sort: Sort) -> None:
    subject = stay.engine_id if sort == "engine" else stay.component_id
    sure = stay.engine_sure if sort == "engine" else stay.component_sure
    meant = engine(draft, subject, stay) if sort == "engine" else component(draft, subject)
    rest = f" What is meant is most likely {meant}." if subject is not None and sure > 0.5 else ""
    notes.add(
        "unlinked",
        sentence(
            f"{card(draft, entry)} has a ditto mark for the {sort}, and nothing stands above it that it could"
            f" repeat: a line above it is lost.{rest}"
        ),
        entries=(entry,),
        claims=(entry.key(sort),),
        components=(stay.component_id,),
        confidence=0.85,
    )


def _misnamed(
    draft: Draft, notes: Notes, stay: Stay, entry: Entry, *, sort: Sort, found: Bearer | None
) -> None:
    written = entry.engine if sort == "engine" else entry.component
    meant = engine(draft, stay.engine_id, stay) if sort == "engine" else component(draft, stay.component_id)
    bare = written.bare if written else ""
    why = _why_not(entry, found)
    facing = stay.mirror if entry is not stay.mirror else stay.own
    others = (facing,) if facing is not None and not (found is not None and found.exact) else ()
    notes.add(
        "misnamed",
        sentence(
            f"{card(draft, entry)} names {sort} '{bare}'; what is meant is most likely {meant}, which {why}."
        ),
        entries=(*_claims(entry, sort), *others),
        claims=(entry.key(sort),),
        components=(stay.component_id,),
        confidence=0.85,
        authority=tuple(
            row_of(b)
            for b in draft.index.borne_by((stay.engine_id if sort == "engine" else stay.component_id) or "")
            if found is not None and found.exact and b.value == bare
        ),
    )


def _why_not(entry: Entry, found: Bearer | None) -> str:
    """Why somebody is named by what was not his: never, or not then, with the date that shows it."""
    if found is None or not found.exact:
        return "never bore that"
    missed = out_of_span(entry, found.borne) if found.borne is not None else None
    if missed is None:
        return "bore that at another time"
    when, what = ("after", "fitted") if missed.claim.key.field == "fitted" else ("before", "removed")
    edge = missed.borne.last if when == "after" else missed.borne.first
    only = "only until" if when == "after" else "only from"
    return (
        f"bore that {only} {day(edge)}: the line has it {what} '{missed.claim.text}', at least"
        f" {spell(missed.days + MEETING)} {when} that"
    )


def _ambiguous(draft: Draft, notes: Notes, stay: Stay, entry: Entry, sort: Sort) -> None:
    posterior = stay.engine_posterior if sort == "engine" else stay.component_posterior
    likely = [c for c in posterior if c.subject_id and c.probability > 0.1][:3]
    named = " or ".join(
        f"{engine(draft, c.subject_id, stay) if sort == 'engine' else component(draft, c.subject_id)}"
        f" ({c.probability:.0%})"
        for c in likely
    )
    notes.add(
        "ambiguous-link",
        sentence(f"{card(draft, entry)} may mean {named or 'nobody in the tables'}."),
        entries=_claims(entry, sort),
        claims=(entry.key(sort),),
        components=(stay.component_id,),
        confidence=0.7,
    )


def _unfit(draft: Draft, notes: Notes, stay: Stay) -> None:
    if stay.component_id is None or stay.engine_id is None or stay.rough is None:
        return
    first, last = int(stay.rough[0]), int(stay.rough[1])
    if draft.index.fits(stay.component_id, stay.engine_id, first, last):
        return
    entry = stay.lead
    if any(entry.key(cell) in notes.explained for cell in ("engine", "component")):
        return
    row = draft.index.components[stay.component_id]
    classes = " or ".join(draft.index.classes_at(stay.engine_id, first, last))
    notes.add(
        "does-not-fit",
        sentence(
            f"{card(draft, entry)} puts {component(draft, stay.component_id)}, of type {row.type}, on"
            f" {engine(draft, stay.engine_id, stay)}; class {classes} could not carry that type."
        ),
        claims=(entry.key("engine" if entry.side != "engine" else "component"),),
        components=(stay.component_id,),
        confidence=0.85,
        authority=(f"engines:{stay.engine_id}", f"components:{stay.component_id}"),
    )
