"""Where a stay belongs that only one side speaks of: a probability for each candidate.

Added up in natural log: how well the text fits the candidate (linking), whether the component fits the
engine, whether the stay falls within its life, whether the slot was taken by another stay then, and whether
the candidate's own card survives, since a card that survives should have had the line.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from math import exp, inf, log, log2
from typing import NamedTuple

from numbertaker.linking import Candidate, Sort
from numbertaker.linking.candidates import NOBODY
from numbertaker.reconciling.entries import Draft, Entry, Stay
from numbertaker.reconciling.pairing import references
from numbertaker.reconciling.weighing.witnesses import echoes

_LN2 = log(2)
_NO_FIT = 4.0
_NOT_ALIVE = 5.0
_TAKEN = 3.5
_LONG_BEFORE = 500
_PAIRED = 0.995
_NOBODY = -5.0
_CLASH = 0.3
_HEARSAY = 0.15
_FIRST = 5.0
_FIRST_IS_DITTO = 3.0
_OTHERS = 4.0


class Covered(NamedTuple):
    """The days from the first line of a card to its last, and the source that the card is of."""

    first: float
    last: float
    source: str


def place_stays(draft: Draft) -> None:
    """Give every stay its component and its engine, each with a probability."""
    for stay in draft.stays:
        stay.rough = _rough(stay)
        _from_headings(draft, stay)
    taken = _slots(draft)
    cards = _surviving(draft)
    for stay in sorted(draft.stays, key=lambda s: s.rank):
        if stay.engine_id is None:
            stay.engine_posterior = _posterior(draft, stay, "engine", taken["engine"], cards["engine"])
            stay.engine_id, stay.engine_sure = _top(stay.engine_posterior)
        if stay.component_id is None:
            stay.component_posterior = _posterior(
                draft, stay, "component", taken["component"], cards["component"]
            )
            stay.component_id, stay.component_sure = _top(stay.component_posterior)
    for stay in draft.stays:
        if stay.hearsay:
            _doubt(draft, stay, taken)
    _chain(draft)
    for entry in draft.entries:
        if entry.component_id and (entry.says == "spare" or (entry.engine and entry.engine.state == "stock")):
            draft.spare.setdefault(entry.component_id, []).append(entry)


def _doubt(draft: Draft, stay: Stay, taken: dict[Sort, dict[str, list[Stay]]]) -> None:
    """A copy or a sighting that no original bears out hardly stands against a card that has something else
    then.
    """
    kind = _kind(draft, stay)
    clashes = clash(taken["component"].get(stay.component_id or "", []), stay, None, draft) > _CLASH
    seen = any(e.says == "carried" for e in stay.entries)
    if clashes or (seen and _elsewhere(stay, taken["component"])):
        stay.component_sure *= _HEARSAY
    if clash(taken["engine"].get(stay.engine_id or "", []), stay, kind, draft) > _CLASH:
        stay.engine_sure *= _HEARSAY * 2


def _elsewhere(stay: Stay, taken: dict[str, list[Stay]]) -> bool:
    """Whether the component was certainly on something else on the day of a sighting."""
    day = stay.rough[0] if stay.rough else 0.0
    others = [s for s in taken.get(stay.component_id or "", []) if not s.hearsay and s.rough]
    return any(s.rough is not None and s.rough[0] + 31 < day < s.rough[1] - 31 for s in others)


def _rough(stay: Stay) -> tuple[float, float] | None:
    """The likely start and end as day numbers, from the narrowest dates; a missing end is 900 days off."""
    starts = sorted((e.fitted for e in stay.entries if e.fitted), key=lambda d: (d.days, d.first))
    ends = sorted((e.removed for e in stay.entries if e.removed), key=lambda d: (d.days, d.first))
    seen = [e.seen.middle for e in stay.entries if e.seen]
    if not starts and not ends:
        return (min(seen), max(seen)) if seen else None
    start = starts[0].middle if starts else ends[0].middle - 900
    end = ends[0].middle if ends else start + 900
    return start, max(end, start)


def _from_headings(draft: Draft, stay: Stay) -> None:
    if stay.own is not None:
        stay.component_id, stay.component_sure = stay.own.component_id, _PAIRED
    if stay.mirror is not None:
        stay.engine_id, stay.engine_sure = stay.mirror.engine_id, _PAIRED
    if stay.own is not None and stay.mirror is not None:
        sure = 1 / (1 + exp(-min(30.0, stay.score * _LN2) * 0.5))
        stay.component_sure = stay.engine_sure = sure
    for entry in stay.entries:
        _from_heading(stay, entry)
    if stay.component_id is None:
        stay.component_sure = 0.0
    if stay.engine_id is None:
        stay.engine_sure = 0.0
    lead = stay.lead
    for column, sort in (("engine", "engine"), ("component", "component")):
        key = lead.key(column)
        if draft.ruled.links.get(key):
            setattr(stay, f"{sort}_id", draft.ruled.links[key])
            setattr(stay, f"{sort}_sure", 0.999)


def _from_heading(stay: Stay, entry: Entry) -> None:
    """A photograph on a card has a heading too."""
    if entry.side == "component" and stay.component_id is None:
        stay.component_id, stay.component_sure = entry.component_id, _PAIRED
    if entry.side == "engine" and stay.engine_id is None:
        stay.engine_id, stay.engine_sure = entry.engine_id, _PAIRED


def _slots(draft: Draft) -> dict[Sort, dict[str, list[Stay]]]:
    found: dict[Sort, dict[str, list[Stay]]] = {"engine": defaultdict(list), "component": defaultdict(list)}
    for stay in sorted(draft.stays, key=lambda s: s.rank):
        if stay.engine_id:
            found["engine"][stay.engine_id].append(stay)
        if stay.component_id:
            found["component"][stay.component_id].append(stay)
    return found


def _surviving(draft: Draft) -> dict[Sort, dict[str, list[Covered]]]:
    """The time that the cards of each engine and component are known to cover: from their first line to their
    last.
    """
    found: dict[Sort, dict[str, list[Covered]]] = {"engine": {}, "component": {}}
    for entries in draft.cards.values():
        side, source = entries[0].side, entries[0].line.source_id
        days = [d.middle for e in entries if e.says == "fitment" for d in (e.fitted, e.removed) if d]
        subject = entries[0].engine_id if side == "engine" else entries[0].component_id
        if side == "engine" and subject and len(days) > 1:
            found["engine"].setdefault(subject, []).append(Covered(min(days), max(days), source))
        elif side == "component" and subject and len(days) > 1:
            found["component"].setdefault(subject, []).append(Covered(min(days), max(days), source))
    return found


def clash(stays: list[Stay], stay: Stay, kind: str | None, draft: Draft) -> float:
    """The largest share of time that a stay has in common with another in the same slot, 0 to 1."""
    if stay.rough is None:
        return 0.0
    worst = 0.0
    for other in stays:
        if other is stay or other.rough is None:
            continue
        if kind is not None and _kind(draft, other) != kind:
            continue
        shared = min(other.rough[1], stay.rough[1]) - max(other.rough[0], stay.rough[0])
        if shared > 100:
            shorter = min(other.rough[1] - other.rough[0], stay.rough[1] - stay.rough[0])
            worst = max(worst, shared / max(100.0, shorter))
    return min(1.0, worst)


def _kind(draft: Draft, stay: Stay) -> str | None:
    component = draft.index.components.get(stay.component_id or "")
    return component.kind if component else None


def _posterior(
    draft: Draft,
    stay: Stay,
    sort: Sort,
    taken: dict[str, list[Stay]],
    cards: dict[str, list[Covered]],
) -> tuple[Candidate, ...]:
    told = _texts(draft, stay, sort)
    scored = {
        subject: text * _LN2
        + _plausible(draft, stay, sort, subject, taken, charged=not then)
        + _kept(draft, stay, sort, subject, cards.get(subject, ()))
        + _looked_for(draft, stay, sort, subject)
        for subject, (text, _, then) in told.items()
    }
    nobody = exp(_NOBODY)
    whole = nobody + sum(exp(score) for score in scored.values())
    found = [
        Candidate(subject, exp(score) / whole, score / _LN2, told[subject][1], told[subject][2])
        for subject, score in scored.items()
    ]
    found.sort(key=lambda c: (-c.weight, c.subject_id))
    return (*found, Candidate(NOBODY, nobody / whole, _NOBODY / _LN2, False, False))


def _texts(draft: Draft, stay: Stay, sort: Sort) -> dict[str, tuple[float, bool, bool]]:
    """The weight of every candidate from what is written: of the first entry, and of those that say
    otherwise.

    Where one entry names somebody and another somebody else, one of the two is wrong, and each candidate pays
    for the entry that does not name him: for a ditto mark less, since it names the wrong line once the one
    above it is lost, and a little less for what others say than for the first.
    """
    every = stay.entries
    entries = [e for e in every if e.side != sort and not (e.copy and echoes(every, e))][:3]
    voices = [e for e in entries if e is entries[0] or _bare(e, sort) != _bare(entries[0], sort)]
    ditto = bool(entries) and sort in entries[0].heads
    pays = [_FIRST_IS_DITTO if ditto else _FIRST, *(_OTHERS for _ in voices[1:])]
    rarity = log2(draft.index.size(sort))
    heard = [references(draft, entry, sort) for entry in voices]
    told: dict[str, tuple[float, bool, bool]] = {}
    for subject in dict.fromkeys(name for refs in heard for name in refs):
        found = [refs.get(subject) for refs in heard]
        paid = [max(-pay, _likeness(c, rarity)) for pay, c in zip(pays, found, strict=True)]
        weight, then = max(
            (c.weight + sum(paid) - own, c.then) for c, own in zip(found, paid, strict=True) if c is not None
        )
        told[subject] = (weight, found[0] is not None and found[0].exact, then)
    return told


def _likeness(candidate: Candidate | None, rarity: float) -> float:
    """How much less likely a text is where this candidate is meant than where it is his own, in log2."""
    if candidate is None:
        return -inf
    return candidate.text - rarity if candidate.borne is not None else 0.0


def _bare(entry: Entry, sort: Sort) -> str:
    written = entry.engine if sort == "engine" else entry.component
    return written.bare if written is not None else ""


def _plausible(
    draft: Draft, stay: Stay, sort: Sort, subject: str, taken: dict[str, list[Stay]], *, charged: bool
) -> float:
    """Fit, life and free slot. Who did not bear the number then is `charged` already: the life is no second
    witness.
    """
    engine = subject if sort == "engine" else stay.engine_id
    component = subject if sort == "component" else stay.component_id
    first, last = stay.lead.between
    score = 0.0
    if engine and component and not draft.index.fits(component, engine, first, last):
        score -= _NO_FIT
    life = draft.index.life(subject)
    if charged:
        pass
    elif (
        last < life.first - 40
        or first > life.last + 40
        or (
            stay.rough
            and (stay.rough[0] < life.first - _LONG_BEFORE or stay.rough[1] > life.last + _LONG_BEFORE)
        )
    ):
        score -= _NOT_ALIVE
    component_row = draft.index.components.get(component or "")
    kind = component_row.kind if component_row and sort == "engine" else None
    return score - _TAKEN * clash(taken.get(subject, []), stay, kind, draft)


def _kept(draft: Draft, stay: Stay, sort: Sort, subject: str, cards: Iterable[Covered]) -> float:
    """A card that survives for the time and has no such line speaks against the candidate, unless what was
    copied from it names the candidate and so shows that it once had the line.
    """
    if stay.rough is None or not (stay.own or stay.mirror):
        return 0.0
    start, end = stay.rough
    lacking = {card.source for card in cards if card.first <= start and end <= card.last}
    for entry in stay.entries if lacking else ():
        named = references(draft, entry, sort).get(subject) if entry.copy else None
        if named is not None and named.exact:
            lacking -= set(entry.source.parents)
    return log(draft.settings.mirror_kept) if lacking else 0.0


def _looked_for(draft: Draft, stay: Stay, sort: Sort, subject: str) -> float:
    """Whoever looked for it there at that time and found nothing speaks against the candidate."""
    engine = subject if sort == "engine" else stay.engine_id
    component = subject if sort == "component" else stay.component_id
    if stay.rough is None:
        return 0.0
    start, end = stay.rough
    looks = draft.ruled.looked.get((engine or "", component or ""), ())
    covered = any(look.first <= start and end <= look.last for look in looks)
    return log(draft.settings.looked_missed) if covered else 0.0


def _top(posterior: tuple[Candidate, ...]) -> tuple[str | None, float]:
    named = [c for c in posterior if c.subject_id]
    return (named[0].subject_id, named[0].probability) if named else (None, 0.0)


def _chain(draft: Draft) -> None:
    """Put the stays of each component, and of each engine, in the order in which they happened."""
    for table, sure, subject in (
        (draft.on_component, "component_sure", "component_id"),
        (draft.on_engine, "engine_sure", "engine_id"),
    ):
        table.clear()
        for stay in sorted(draft.stays, key=lambda s: s.rank):
            name = getattr(stay, subject)
            if name and getattr(stay, sure) > 0.4 and stay.rough is not None:
                table.setdefault(name, []).append(stay)
