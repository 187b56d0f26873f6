"""What findings about dates say: who says what, by how much the two miss, and where."""

from __future__ import annotations

from numbertaker.evidence.allen import NAMES, relation
from numbertaker.evidence.days import Span
from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.dating.events import Event
from numbertaker.reconciling.entries import DateClaim, Draft, Entry, Stay
from numbertaker.reconciling.findings.notes import Notes
from numbertaker.reconciling.network.around import Against
from numbertaker.reconciling.wording import card, component, day, engine, sentence, spell

_SAYS = {"built": "built", "withdrawn": "withdrawn", "condemned": "condemned"}
_TOLD = tuple[Entry, DateClaim]


def _component(event: Event) -> str | None:
    return event.owner.component_id


def _what(entry: Entry, claim: DateClaim) -> str:
    """What a line says happened on its date."""
    first = claim.key.field == "fitted"
    if entry.says == "spare" or (entry.engine is not None and entry.engine.state == "stock"):
        return f"spare from '{claim.text}'" if first else f"spare until '{claim.text}'"
    if entry.seen is not None:
        return f"seen on '{claim.text}'"
    if entry.says in _SAYS:
        return f"{entry.says} '{claim.text}'"
    return f"fitted '{claim.text}'" if first else f"removed '{claim.text}'"


def backwards(draft: Draft, notes: Notes, entry: Entry) -> None:
    """A line that is removed before it is fitted, or spare until before it is spare."""
    fitted, removed = entry.fitted, entry.removed
    if fitted is None or removed is None or fitted.first <= removed.last:
        return
    stay = entry.stay
    notes.add(
        "overlap",
        sentence(
            f"{card(draft, entry)} has it {_what(entry, removed)} and {_what(entry, fitted)}:"
            f" its end is at least {spell(fitted.first - removed.last)} before its beginning."
        ),
        claims=(fitted.key, removed.key),
        components=(stay.component_id if stay else entry.component_id,),
        confidence=0.97,
        span=(removed.first, fitted.last),
    )


def against_tables(draft: Draft, notes: Notes, entry: Entry, claim: DateClaim) -> bool:
    """A line that states one date of an engine or a component against the tables; whether it does."""
    subject = entry.engine_id if entry.side == "engine" else entry.component_id
    life = draft.index.life(subject or "")
    known = life.start if entry.says == "built" else life.end
    if subject is None or known.first is None or known.last is None:
        return False
    off = max(known.first - claim.last, claim.first - known.last)
    if off <= 0:
        return False
    table = "engines" if entry.side == "engine" else "components"
    what = engine(draft, subject) if table == "engines" else component(draft, subject)
    notes.add(
        "date-conflict",
        sentence(
            f"{card(draft, entry)} has {what} {entry.says} '{claim.text}', the tables have between"
            f" {day(known.first)} and {day(known.last)}: {spell(off)} apart."
        ),
        claims=(claim.key,),
        components=(entry.component_id,),
        confidence=0.9,
        span=(min(claim.first, known.first), max(claim.last, known.last)),
        authority=(f"{table}:{subject}",),
    )
    return True


def apart(draft: Draft, notes: Notes, event: Event, one: _TOLD, other: _TOLD) -> None:
    """Two claims of one event that have no day in common."""
    place = {id(entry): n for n, (entry, _) in enumerate(event.claims)}
    (entry, claim), (entry2, claim2) = sorted((one, other), key=lambda told: place[id(told[0])])
    gap = max(claim.first - claim2.last, claim2.first - claim.last, 1)
    notes.add(
        "date-conflict",
        sentence(
            f"{card(draft, entry)} has it {_what(entry, claim)}, {card(draft, entry2)} '{claim2.text}':"
            f" the two are at least {spell(gap)} apart."
        ),
        claims=(claim.key, claim2.key),
        components=(_component(event),),
        confidence=0.93,
        span=(min(claim.first, claim2.first), max(claim.last, claim2.last)),
    )


def outside_life(draft: Draft, notes: Notes, stay: Stay, entry: Entry, claim: DateClaim) -> None:
    """A stay that began after the engine or the component was gone, or ended before it was built."""
    for subject, sure, table in (
        (stay.engine_id, stay.engine_sure, "engines"),
        (stay.component_id, stay.component_sure, "components"),
    ):
        life = draft.index.life(subject or "")
        off = max(life.first - claim.last, claim.first - life.last)
        if subject is None or sure < 0.5 or off <= 0:
            continue
        what = engine(draft, subject, stay) if table == "engines" else component(draft, subject)
        gone = "withdrawn" if table == "engines" else "condemned"
        word = (
            f"{what} was {gone} by {day(life.last)}"
            if claim.first > life.last
            else f"{what} was not built before {day(life.first)}"
        )
        notes.add(
            "outside-lifetime",
            sentence(f"{card(draft, entry)} has it {_what(entry, claim)}, but {word}: {spell(off)} off."),
            claims=_both(entry),
            components=(stay.component_id,),
            confidence=min(0.95, 0.6 + off / 400),
            span=(claim.first, claim.last),
            authority=(f"{table}:{subject}",),
        )
        return


def _both(entry: Entry) -> tuple[CellKey, ...]:
    """Both dates of an entry: a stay outside a life is one fault."""
    return tuple(claim.key for claim in (entry.fitted, entry.removed) if claim)


def out_of_order(draft: Draft, notes: Notes, event: Event, one: _TOLD, rival: Against) -> None:
    """Two claims of events that follow one another, in the wrong order."""
    kind, would = _order(rival)
    claim = one[1]
    late, early = (one, (rival.entry, rival.claim))
    if claim.first < rival.claim.first:
        late, early = early, late
    notes.add(
        kind,
        sentence(
            f"{card(draft, late[0])} has it {_what(*late)}, but {card(draft, early[0])} has"
            f" {_whom(draft, event, rival)} {_what(*early)}: {would} for {spell(rival.days)} or more."
            f"{_lie(late[0], early[0])}"
        ),
        claims=(claim.key, rival.claim.key),
        components=(_component(event), _component(rival.event)),
        confidence=0.92,
        span=(early[1].first, late[1].last),
    )


def _order(rival: Against) -> tuple[str, str]:
    """The kind of finding that the links between two events make, and what would have been."""
    kinds = [link.kind for link in rival.path if link.kind != "own"]
    if not kinds:
        return "overlap", "its end would be before its beginning"
    if kinds[0] == "component":
        return "overlap", "it would have been on two engines at once"
    if kinds[0] == "engine":
        return "double-occupancy", "an engine would have carried two at once"
    if kinds[0] == "spare":
        return "date-conflict", "it would have lain spare and been on an engine"
    return "date-conflict", "it would have been seen where it was not"


def _lie(one: Entry, other: Entry) -> str:
    """How the two fitments would lie to each other as written, where each line has both its dates."""
    spans = [
        Span(entry.fitted.first, entry.removed.last)
        for entry in (one, other)
        if entry.fitted and entry.removed and entry.fitted.first <= entry.removed.last
    ]
    if one is other or len(spans) < 2:
        return ""
    return f" As written, the first fitment {NAMES[relation(*spans)]} the second."


def _whom(draft: Draft, event: Event, rival: Against) -> str:
    """'it', or the component that took its place on the engine."""
    mine, other = _component(event), _component(rival.event)
    if mine == other or other is None:
        return "it"
    return component(draft, other)


def unlikely(draft: Draft, notes: Notes, event: Event, told: _TOLD, right: float) -> None:
    """A date that nobody contradicts, but that its neighbours or its miles make improbable."""
    entry, claim = told
    elsewhere = [r for r in event.without(None) if not any(a <= r[0] and r[1] <= b for a, b in claim.spans)]
    first, last, _ = max(elsewhere, key=lambda region: region[2], default=(claim.first, claim.last, 0.0))
    wanted = f"on {day(first)}" if first == last else f"between {day(first)} and {day(last)}"
    notes.add(
        "date-conflict",
        sentence(
            f"{card(draft, entry)} has it {_what(entry, claim)};"
            f" what stands before and after it, and the miles, want it {wanted}."
        ),
        claims=(claim.key,),
        components=(_component(event),),
        confidence=1 - right,
        span=(min(first, claim.first), max(last, claim.last)),
    )


def seen_elsewhere(draft: Draft, notes: Notes, stay: Stay, other: Stay, told: _TOLD) -> None:
    """A sighting on one engine while a card has the component on another."""
    entry, seen = told
    start, end = other.dates["fitted"], other.dates["removed"]
    notes.add(
        "overlap",
        sentence(
            f"{card(draft, entry)} has it on {engine(draft, stay.engine_id, stay)} on '{seen.text}', but"
            f" {card(draft, other.lead)} has it on {engine(draft, other.engine_id, other)} from about"
            f" {day(start.first)} to {day(end.last)}."
        ),
        claims=(seen.key,),
        entries=(entry, other.lead),
        components=(stay.component_id,),
        confidence=0.85,
        span=(seen.first, seen.last),
    )
