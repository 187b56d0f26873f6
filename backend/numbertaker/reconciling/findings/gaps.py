"""What is missing: fitments that one card has and the other has not, and time that nobody accounts for."""

from __future__ import annotations

from itertools import pairwise
from typing import Any, NamedTuple

from numbertaker.linking.index import hull
from numbertaker.reconciling.entries import Draft, Entry, Stay
from numbertaker.reconciling.findings.due import Due
from numbertaker.reconciling.findings.notes import Notes
from numbertaker.reconciling.wording import card, component, day, engine, sentence, spell

_LOOSE = 62


class Missing(NamedTuple):
    """That a partner is missing: what is to be written of it, and the lines that may be it, miswritten."""

    written: dict[str, Any]
    maybe: tuple[str, ...]


def missing_partners(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look for missing partners; whoever may be one, miswritten, needs no finding of his own."""
    chains = (chain for sort in ("component", "engine") for _, chain in due.chains(sort))
    changed: dict[Stay, None] = {}
    for stay in dict.fromkeys((*due.stays, *(stay for chain in chains for stay in chain))):
        found = _one_sided(draft, stay) if stay.sure > 0.5 else None
        if found != draft.missing.get(stay):
            changed[stay] = None
            draft.missing.pop(stay, None)
            if found is not None:
                draft.missing[stay] = found
    for stay in [stay for stay in draft.missing if stay not in draft.stays]:
        del draft.missing[stay]
    if changed or due.stays:
        _write_missing(family, draft, notes, changed)


def _write_missing(family: int, draft: Draft, notes: Notes, changed: dict[Stay, None]) -> None:
    """Write of every missing partner but those that are miswritten ones of earlier fitments."""
    told: set[str] = set()
    for stay in changed:
        notes.gone((family, stay))
    for stay in sorted(draft.missing, key=lambda s: s.rank):
        with notes.at((family, stay), stay.rank):
            if stay.lead.id not in told:
                told.update(draft.missing[stay].maybe)
                notes.add("one-sided", **draft.missing[stay].written)


def of_components(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look for time between the fitments of each component."""
    for slot, chain in due.chains("component"):
        with notes.at((family, slot), slot):
            _gaps(draft, notes, chain)


def of_engines(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look for time in which an engine had nothing."""
    longest = draft.learnt.in_works.longest + draft.settings.gap_days
    beside = (e.stay for _, entries in due.entries() for e in entries if e.side == "engine" and e.stay)
    due.slots.update((("engine", stay.engine_id), None) for stay in beside if stay.engine_id)
    for slot, chain in due.chains("engine"):
        with notes.at((family, slot), slot):
            _bare(draft, notes, chain, longest)


def _one_sided(draft: Draft, stay: Stay) -> Missing | None:
    """Whether a partner is missing."""
    if stay.rough is None or (stay.own and stay.mirror) or stay.lead.says == "carried":
        return None
    for sort in ("engine", "component"):
        if (stay.mirror if sort == "engine" else stay.own) is not None:
            continue
        found = _around(draft, stay, sort)
        if found is None:
            continue
        other = (
            engine(draft, stay.engine_id, stay) if sort == "engine" else component(draft, stay.component_id)
        )
        what = (
            component(draft, stay.component_id) if sort == "engine" else engine(draft, stay.engine_id, stay)
        )
        maybe = _miswritten(draft, stay, sort)
        rest = f" {sentence(card(draft, maybe[0]))} may be meant for it." if maybe else ""
        written = {
            "message": sentence(
                f"{card(draft, stay.lead)} has {what} with {other} from about {day(int(stay.rough[0]))};"
                f" the card of"
                f" {other} survives for that time and has no such line."
            )
            + rest,
            "entries": (stay.lead, *found, *maybe),
            "components": (stay.component_id,),
            "confidence": 0.8 if stay.witnesses and not stay.lead.copy else 0.6,
            "span": (int(stay.rough[0]), int(stay.rough[1])),
        }
        return Missing(written, tuple(entry.id for entry in maybe))
    return None


def _miswritten(draft: Draft, stay: Stay, sort: str) -> list[Entry]:
    """Lines of the card that should have the partner which have none themselves and are of the same time."""
    subject = (stay.engine_id if sort == "engine" else stay.component_id) or ""
    chain = (draft.on_engine if sort == "engine" else draft.on_component).get(subject, [])
    found = []
    for other in chain:
        entry = other.mirror if sort == "engine" else other.own
        alone = other.own is None or other.mirror is None
        if entry is not None and alone and other is not stay and _much_shared(stay, other):
            found.append(entry)
    return found[:2]


def _much_shared(one: Stay, other: Stay) -> bool:
    """Whether two stays have more than half of the time of the shorter in common."""
    if one.rough is None or other.rough is None:
        return False
    shared = min(one.rough[1], other.rough[1]) - max(one.rough[0], other.rough[0])
    return shared > 0.5 * max(60.0, min(one.rough[1] - one.rough[0], other.rough[1] - other.rough[0]))


def _around(draft: Draft, stay: Stay, sort: str) -> tuple[Entry, ...] | None:
    """The lines before and after on the card that should have it; None where no such card survives for the
    time.
    """
    if stay.rough is None:
        return None
    chain = (
        draft.on_engine.get(stay.engine_id or "", [])
        if sort == "engine"
        else draft.on_component.get(stay.component_id or "", [])
    )
    facing = [
        e
        for s in chain
        if s is not stay
        for e in [s.mirror if sort == "engine" else s.own]
        if e is not None and _kind(draft, s) == _kind(draft, stay)
    ]
    before = [e for e in facing if e.stay and e.stay.rough and e.stay.rough[0] <= stay.rough[0]]
    after = [e for e in facing if e.stay and e.stay.rough and e.stay.rough[0] > stay.rough[0]]
    if (before and after) or ((before or after) and _within_card(draft, stay, sort)):
        return (*before[-1:], *after[:1])
    return None


def _kind(draft: Draft, stay: Stay) -> str:
    row = draft.index.components.get(stay.component_id or "")
    return row.kind if row else ""


def _within_card(draft: Draft, stay: Stay, sort: str) -> bool:
    """Whether a card that starts later, or ends earlier, should have had a stay all the same.

    A table of cards may say what time it covers. Where it says nothing, a card is kept for a whole life.
    """
    subject = (stay.engine_id if sort == "engine" else stay.component_id) or ""
    told = [row for row in draft.ruled.evidence.cards if row.subject_id == subject and row.covers]
    if told:
        return _stated_cover(draft, stay, sort)
    life = draft.index.life(subject)
    return (
        stay.rough is not None
        and life.first - _LOOSE <= stay.rough[0]
        and stay.rough[1] <= life.last + _LOOSE
    )


def _stated_cover(draft: Draft, stay: Stay, sort: str) -> bool:
    subject = stay.engine_id if sort == "engine" else stay.component_id
    if stay.rough is None:
        return False
    for row in draft.ruled.evidence.cards:
        if row.subject_id == subject and row.state in {"", "seen"} and row.covers:
            span = hull(row.covers)
            if (
                span.first is not None
                and span.last is not None
                and span.first <= stay.rough[0]
                and stay.rough[1] <= span.last
            ):
                return True
    return False


def unaccounted(one: Stay, other: Stay) -> int | None:
    """The least number of days between the end of one stay and the start of the next; None if not known."""
    end, start = one.dates.get("removed"), other.dates.get("fitted")
    if end is None or start is None or end.sure < 0.5 or start.sure < 0.5:
        return None
    return start.likeliest[0] - end.likeliest[1]


def spare_between(draft: Draft, one: Stay, other: Stay) -> bool:
    """Whether anything says that a component lay spare between two stays that follow each other."""
    end, start = one.dates.get("removed"), other.dates.get("fitted")
    if end is None or start is None:
        return False
    told = (e for e in draft.spare.get(one.component_id or "", ()) if e.fitted or e.removed)
    return any(_told(e)[0] <= start.likeliest[1] and end.likeliest[0] <= _told(e)[1] for e in told)


def _gaps(draft: Draft, notes: Notes, chain: list[Stay]) -> None:
    longest, works = draft.learnt.usual_longest(draft.settings.gap_days)
    spare = _spare(draft, chain)
    for one, other in pairwise(chain):
        length = unaccounted(one, other)
        if length is None or length <= longest or one.lead.says == "carried" or other.lead.says == "carried":
            continue
        end, start = one.dates["removed"].likeliest, other.dates["fitted"].likeliest
        told = [e for e in spare if _told(e)[0] <= start[1] and end[0] <= _told(e)[1]]
        hole = _longest_hole(end[1], start[0], [_told(e) for e in told])
        if hole[1] - hole[0] <= longest:
            continue
        ends, starts = _latest(one, "removed"), _latest(other, "fitted")
        if any(e.key(cell) in notes.explained for e, cell in ((ends, "removed"), (starts, "fitted"))):
            continue
        notes.add(
            "gap",
            sentence(
                f"{component(draft, one.component_id)} is unaccounted for from {day(hole[0])} to"
                f" {day(hole[1])}: at least {spell(hole[1] - hole[0])}, where"
                f" {spell(longest - draft.settings.gap_days)} {'in works' if works else 'away'} would be long"
                " here."
                f" Before it stands {card(draft, ends)}, after it {card(draft, starts)}."
            ),
            entries=(ends, starts),
            claims=tuple(e.key(cell) for e, cell in ((ends, "removed"), (starts, "fitted")) if e.date(cell)),
            components=(one.component_id,),
            confidence=min(0.95, 0.6 + 0.1 * length / longest),
            span=(max(end[0], hole[0] - 366), min(start[1], hole[1] + 366)) if told else (end[0], start[1]),
            more_lines=[e.id for e in told],
        )


def _bare(draft: Draft, notes: Notes, chain: list[Stay], longest: float) -> None:
    """Time in which an engine would have had no component of a kind: what it carried is lost on both sides.

    The two lines stand one below the other on the engine's card; a misdated line between is another fault.
    """
    below = _below(draft, chain)
    for one in chain:
        other = below.get(one.mirror.id) if one.mirror else None
        if one.mirror is None or other is None or other.mirror is None or unaccounted(one, other) is None:
            continue
        end, start = _hull(one, "removed"), _hull(other, "fitted")
        length = start[0] - end[1]
        between = (s for s in chain if s is not one and s is not other and s.rough)
        if length <= longest or any(s.rough and end[1] - 31 < s.rough[0] < start[0] for s in between):
            continue
        kind = _kind(draft, one)
        notes.add(
            "gap",
            sentence(
                f"{engine(draft, one.engine_id, one)} has no {kind} from {day(end[1])} to {day(start[0])}: at"
                f" least {spell(length)}. Before it stands {card(draft, one.mirror)}, after it"
                f" {card(draft, other.mirror)}. Whichever {kind} it had then is unaccounted for."
            ),
            entries=(one.mirror, other.mirror),
            components=(one.component_id, other.component_id),
            confidence=0.75,
            span=(end[0], start[1]),
        )


def _hull(stay: Stay, event: str) -> tuple[int, int]:
    """The days that anybody gives an event, or that it most likely lies in."""
    days = [stay.dates[event].likeliest, *((c.first, c.last) for e in stay.entries if (c := e.date(event)))]
    return min(first for first, _ in days), max(last for _, last in days)


def _below(draft: Draft, chain: list[Stay]) -> dict[str, Stay]:
    """For each line of an engine's card, the fitment of the next line for a component of the same kind."""
    on_chain = {id(stay) for stay in chain}
    below: dict[str, Stay] = {}
    for card_key in dict.fromkeys(stay.mirror.card for stay in chain if stay.mirror):
        last: dict[str, Entry] = {}
        for entry in draft.cards[card_key]:
            if entry.says != "fitment" or entry.twin is not None or entry.stay is None:
                continue
            kind = _kind(draft, entry.stay)
            above, last[kind] = last.get(kind), entry
            if above is not None and id(entry.stay) in on_chain:
                below[above.id] = entry.stay
    return below


def _latest(stay: Stay, event: str) -> Entry:
    return next((e for e in stay.entries if e.date(event)), stay.lead)


def _spare(draft: Draft, chain: list[Stay]) -> list[Entry]:
    """The entries that say that the component lay spare."""
    names = {stay.component_id for stay in chain}
    return [
        entry
        for name in sorted(n for n in names if n)
        for entry in draft.spare.get(name, [])
        if entry.fitted or entry.removed
    ]


def _told(entry: Entry) -> tuple[int, int]:
    """The days for which an entry says so; one date alone says it of that date."""
    dates = [claim for claim in (entry.fitted, entry.removed) if claim]
    return dates[0].first, dates[-1].last


def _longest_hole(first: int, last: int, told: list[tuple[int, int]]) -> tuple[int, int]:
    """The longest run of days between two that no entry accounts for."""
    holes, at = [], first
    for start, end in sorted(told):
        holes.append((at, min(start, last)))
        at = max(at, end)
    holes.append((at, last))
    return max(holes, key=lambda hole: (hole[1] - hole[0], -hole[0]))
