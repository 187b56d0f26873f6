"""Dates that can't all be true: against themselves, the tables, one another and their neighbours."""

from __future__ import annotations

from itertools import combinations, pairwise

from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.chronology import mass_in
from numbertaker.reconciling.entries import EVENTS, DateClaim, Draft, Entry, Stay
from numbertaker.reconciling.findings.notes import Notes
from numbertaker.reconciling.wording import card, component, day, engine, sentence, spell

_VERB = {"fitted": "fitted", "removed": "removed"}
_LOOSE = 31
_UNLIKELY = 0.45


def find(draft: Draft, notes: Notes) -> None:
    """Look at single lines first, then at each stay, then at what stands before and after it."""
    stays = sorted(draft.stays, key=lambda s: s.rank)
    for stay in stays:
        for entry in stay.entries:
            _backwards(draft, notes, stay, entry)
    for stay in stays:
        for entry in stay.entries:
            _outside(draft, notes, stay, entry)
    _alone(draft, notes)
    for stay in stays:
        for event in EVENTS:
            _disagree(draft, notes, stay, event)
    _in_turn(draft, notes)
    for stay in stays:
        for entry in stay.entries:
            if entry.seen is not None:
                _sighting(draft, notes, stay, entry, entry.seen)
    for stay in stays:
        _alone_and_unlikely(draft, notes, stay)


def right(stay: Stay, event: str, claim: DateClaim) -> float:
    """The probability that a date claim is true, given everything."""
    known = stay.dates.get(event)
    return 0.97 if known is None else mass_in(known.regions, claim.spans)


def _backwards(draft: Draft, notes: Notes, stay: Stay, entry: Entry) -> None:
    fitted, removed = entry.fitted, entry.removed
    if entry.copy or fitted is None or removed is None or fitted.first <= removed.last:
        return
    notes.add(
        "overlap",
        sentence(
            f"{card(draft, entry)} has it removed '{removed.text}' and fitted '{fitted.text}':"
            f" the removal is at least {spell(fitted.first - removed.last)} before the fitting."
        ),
        claims=(fitted.key, removed.key),
        components=(stay.component_id,),
        confidence=0.97,
        span=(removed.first, fitted.last),
    )


def _outside(draft: Draft, notes: Notes, stay: Stay, entry: Entry) -> None:
    """A stay that began after the engine or the component was gone, or ended before it was built."""
    if entry.copy:
        return
    for event in EVENTS:
        claim = entry.date(event)
        if claim is None or claim.key in notes.explained:
            continue
        for subject, sure, table in (
            (stay.engine_id, stay.engine_sure, "engines"),
            (stay.component_id, stay.component_sure, "components"),
        ):
            if subject is None or sure < 0.5:
                continue
            life = draft.index.life(subject)
            what = engine(draft, subject, stay) if table == "engines" else component(draft, subject)
            off = max(life.first - claim.last, claim.first - life.last)
            if off <= 0:
                continue
            after = claim.first > life.last
            gone = "withdrawn" if table == "engines" else "condemned"
            word = (
                f"{what} was {gone} by {day(life.last)}"
                if after
                else f"{what} was not built before {day(life.first)}"
            )
            notes.add(
                "outside-lifetime",
                sentence(
                    f"{card(draft, entry)} has it {_VERB[event]} '{claim.text}',"
                    f" but {word}: {spell(off)} off."
                ),
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


def _alone(draft: Draft, notes: Notes) -> None:
    """Lines that state one date of an engine or a component against the tables."""
    for entry in draft.entries:
        if entry.says not in {"built", "withdrawn", "condemned"} or entry.copy:
            continue
        subject = entry.engine_id if entry.side == "engine" else entry.component_id
        claim = entry.fitted if entry.says == "built" else entry.removed
        if subject is None or claim is None:
            continue
        life = draft.index.life(subject)
        known = life.start if entry.says == "built" else life.end
        if known.first is None or known.last is None:
            continue
        off = max(known.first - claim.last, claim.first - known.last)
        if off <= _LOOSE:
            continue
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


def _disagree(draft: Draft, notes: Notes, stay: Stay, event: str) -> None:
    """One finding for each claim that has no day in common with the likeliest, unless it repeats one named
    already.
    """
    claims = [(e, c) for e in stay.entries if (c := e.date(event)) is not None]
    free = [(e, c) for e, c in claims if c.key not in notes.explained]
    if len(free) < 2 or all(c.meets(d) for (_, c), (_, d) in combinations(free, 2)):
        return
    place = {entry.id: n for n, entry in enumerate(stay.entries)}
    best, likeliest = max(
        free, key=lambda p: (round(right(stay, event, p[1]), 3), not p[0].copy, -place[p[0].id])
    )
    named: list[DateClaim] = []
    for entry, claim in free:
        if claim.meets(likeliest) or any(claim.meets(other) for other in named):
            continue
        named.append(claim)
        pair = sorted(((best, likeliest), (entry, claim)), key=lambda p: place[p[0].id])
        _say_apart(draft, notes, stay, event, one=pair[0], other=pair[1])
    notes.explained.update(c.key for _, c in free)


def _say_apart(
    draft: Draft,
    notes: Notes,
    stay: Stay,
    event: str,
    *,
    one: tuple[Entry, DateClaim],
    other: tuple[Entry, DateClaim],
) -> None:
    claim, against = one[1], other[1]
    notes.add(
        "date-conflict",
        sentence(
            f"{card(draft, one[0])} has it {_VERB[event]} '{claim.text}',"
            f" {card(draft, other[0])} '{against.text}':"
            f" the two are at least {spell(_gap(claim, against))} apart."
        ),
        claims=(claim.key, against.key),
        components=(stay.component_id,),
        confidence=0.93,
        span=(min(claim.first, against.first), max(claim.last, against.last)),
    )


def _gap(one: DateClaim, other: DateClaim) -> int:
    return max(one.first - other.last, other.first - one.last)


def _in_turn(draft: Draft, notes: Notes) -> None:
    """Neighbours on one card whose dates run into each other."""
    for entries in draft.cards.values():
        side = entries[0].side
        if side == "statement":
            continue
        line = [e for e in entries if e.says == "fitment" and e.twin is None and e.stay is not None]
        for above, below in pairwise(line):
            _order(draft, notes, side, above, below)


def _order(draft: Draft, notes: Notes, side: str, above: Entry, below: Entry) -> None:
    if above.stay is None or below.stay is None:
        return
    pairs = [(above.removed, below.fitted), (above.fitted, below.fitted), (above.removed, below.removed)]
    for one, other in pairs:
        if one is None or other is None or one.first <= other.last:
            continue
        if {one.key, other.key} & notes.explained:
            continue
        off = one.first - other.last
        kind = "overlap" if side == "component" else "double-occupancy"
        first, second = _event(one.key.field), _event(other.key.field)
        what = (
            f"on two engines at once for {spell(off)} or more"
            if kind == "overlap"
            else f"an engine with two at once for {spell(off)} or more"
        )
        notes.add(
            kind,
            sentence(
                f"{card(draft, above)} has it {first} '{one.text}', but the next entry has it {second}"
                f" '{other.text}': that would be {what}."
            ),
            claims=(one.key, other.key),
            components=(above.stay.component_id, below.stay.component_id),
            confidence=0.92,
            span=(other.first, one.last),
        )
        return


def _event(field: str) -> str:
    return "fitted" if field == "fitted" else "removed"


def _sighting(draft: Draft, notes: Notes, stay: Stay, entry: Entry, seen: DateClaim) -> None:
    """Whoever saw it on the engine against the dates of that fitment, or another fitment of that day."""
    against = stay if any(e.seen is None for e in stay.entries) else _other_that_day(draft, stay, seen)
    if against is None:
        return
    start, end = against.dates.get("fitted"), against.dates.get("removed")
    if start is None or end is None:
        return
    told = [c for e in against.entries for c in (e.fitted, e.removed) if c]
    first = min([start.first, *(c.first for c in told)]) - _LOOSE
    last = max([end.last, *(c.last for c in told)]) + _LOOSE
    inside = first <= seen.last and seen.first <= last
    if inside == (against is stay):
        return
    other = next(e for e in against.entries if e.seen is None)
    notes.add(
        "date-conflict" if against is stay else "overlap",
        sentence(
            f"{card(draft, entry)} has it on {engine(draft, stay.engine_id, stay)} on '{seen.text}', but"
            f" {card(draft, other)} has it on {engine(draft, against.engine_id, against)} from about"
            f" {day(start.first)} to {day(end.last)}."
        ),
        claims=(seen.key,),
        entries=(entry, other),
        components=(stay.component_id,),
        confidence=0.85,
        span=(seen.first, seen.last),
    )


def _other_that_day(draft: Draft, stay: Stay, seen: DateClaim) -> Stay | None:
    """The fitment of the same component that a card has for the whole of that time, if any."""
    for other in draft.on_component.get(stay.component_id or "", []):
        if other.hearsay or other.component_sure < 0.5:
            continue
        start, end = other.dates.get("fitted"), other.dates.get("removed")
        if start and end and start.last <= seen.first and seen.last <= end.first:
            return other
    return None


def _alone_and_unlikely(draft: Draft, notes: Notes, stay: Stay) -> None:
    """A date that nobody contradicts, but that its neighbours or its miles make improbable."""
    for event in EVENTS:
        known = stay.dates.get(event)
        claims = [(e, c) for e in stay.witnesses if (c := draft.trusted(e, event)) is not None and not e.copy]
        if known is None or len(claims) != 1:
            continue
        entry, claim = claims[0]
        sure = right(stay, event, claim)
        if sure >= _UNLIKELY or claim.key in notes.explained:
            continue
        notes.add(
            "date-conflict",
            sentence(
                f"{card(draft, entry)} has it {_VERB[event]} '{claim.text}';"
                f" what stands before and after it, and"
                f" the miles, want a day between {day(known.first)} and {day(known.last)}."
            ),
            claims=(claim.key,),
            components=(stay.component_id,),
            confidence=1 - sure,
            span=(min(known.first, claim.first), max(known.last, claim.last)),
        )
