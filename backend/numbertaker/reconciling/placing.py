"""Where a stay belongs that only one side speaks of: a probability for each candidate.

Added up in natural log: how well the text fits the candidate (linking), whether the component fits the
engine, whether the stay falls within its life, whether the slot was taken by another stay then, and whether
the candidate's own card survives, since a card that survives should have had the line.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import exp, inf, log, log2

from numbertaker.linking import Bearer, Candidate, Sort
from numbertaker.linking.candidates import NOBODY
from numbertaker.reconciling.entries import Draft, Entry, Headed, Stay
from numbertaker.reconciling.pairing import references
from numbertaker.reconciling.slots import Covered, Slots, slots_of
from numbertaker.reconciling.weighing.witnesses import echoes

_LN2 = log(2)
_NO_FIT = 4.0
_NOT_ALIVE = 5.0
_TAKEN = 3.5
_LONG_BEFORE = 500
_PAIRED = 0.995
_RULED = 0.999
_NOBODY = -5.0
_CLASH = 0.3
_HEARSAY = 0.15
_FIRST = 5.0
_FIRST_IS_DITTO = 3.0
_OTHERS = 4.0


def place_stays(draft: Draft) -> None:
    """Give every stay that is new or that this concerns its component and engine, with probabilities."""
    slots, news = slots_of(draft), draft.news
    _lay_out(draft, slots)
    due = dict.fromkeys((*news.stays, *slots.asking()))
    slots.touched.clear()
    for stay in due:
        slots.forget(stay)
        before, sure = _placed(stay), stay.component_sure
        _place(draft, slots, stay)
        if _placed(stay) != before:
            news.stays[stay] = None
        elif stay not in news.stays:
            stay.component_sure = sure  # its dates may have made it less sure since
    _chain(draft, slots)


def _lay_out(draft: Draft, slots: Slots) -> None:
    """Bring what is new into the slots: stays as headed, cards, and who looked for something in vain."""
    news = draft.news
    for stay in news.left:
        slots.put(stay, there=False)
        slots.forget(stay)
    for stay in news.stays:
        stay.rough = _rough(stay)
        stay.headed = _headed(draft, stay)
        stay.kind = _kind_as_headed(draft, stay)
        slots.put(stay)
    for card in dict.fromkeys((*news.cards, *(entry.card for entry in news.entries))):
        slots.cover(card, draft.cards.get(card, ()))
    for engine, component in news.looked:
        slots.touched["engine", engine] = slots.touched["component", component] = None


def _placed(stay: Stay) -> tuple[object, ...]:
    return (stay.engine_id, stay.component_id, stay.engine_posterior, stay.component_posterior, stay.placed)


def _place(draft: Draft, slots: Slots, stay: Stay) -> None:
    """Its engine and component as headed; where a card is lost, whoever is likeliest of those named."""
    stay.engine_id, stay.engine_sure, stay.component_id, stay.component_sure = stay.headed
    stay.engine_posterior = stay.component_posterior = ()
    if stay.engine_id is None:
        stay.engine_posterior = _posterior(draft, slots, stay, "engine")
        stay.engine_id, stay.engine_sure = _top(stay.engine_posterior)
    if stay.component_id is None:
        stay.component_posterior = _posterior(draft, slots, stay, "component")
        stay.component_id, stay.component_sure = _top(stay.component_posterior)
    if stay.hearsay:
        _doubt(draft, slots, stay)
    stay.placed = stay.engine_sure, stay.component_sure


def _doubt(draft: Draft, slots: Slots, stay: Stay) -> None:
    """A copy or a sighting that no original bears out hardly stands against a card that has something else
    then.
    """
    mates = list(slots.stays("component", stay.component_id, stay))
    seen = any(e.says == "carried" for e in stay.entries)
    if clash(mates, stay) > _CLASH or (seen and _elsewhere(stay, mates)):
        stay.component_sure *= _HEARSAY
    row = draft.index.components.get(stay.component_id or "")
    if clash(slots.stays("engine", stay.engine_id, stay), stay, row.kind if row else None) > _CLASH:
        stay.engine_sure *= _HEARSAY * 2


def _elsewhere(stay: Stay, mates: Iterable[Stay]) -> bool:
    """Whether the component was certainly on something else on the day of a sighting."""
    day = stay.rough[0] if stay.rough else 0.0
    others = [s for s in mates if not s.hearsay and s.rough]
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


def _headed(draft: Draft, stay: Stay) -> Headed:
    """The engine and the component of its cards, where they are here, and how surely they go together."""
    own, mirror = stay.own, stay.mirror
    component, engine = own.component_id if own else None, mirror.engine_id if mirror else None
    sure = 1 / (1 + exp(-min(30.0, stay.score * _LN2) * 0.5)) if own and mirror else _PAIRED
    # A photograph on a card has a heading too.
    component = component or next((e.component_id for e in stay.entries if e.side == "component"), None)
    engine = engine or next((e.engine_id for e in stay.entries if e.side == "engine"), None)
    component_sure, engine_sure = sure if component else 0.0, sure if engine else 0.0
    links = draft.ruled.links
    if ruled := links.get(stay.lead.key("engine")):
        engine, engine_sure = ruled, _RULED
    if ruled := links.get(stay.lead.key("component")):
        component, component_sure = ruled, _RULED
    return Headed(engine, engine_sure, component, component_sure)


def _kind_as_headed(draft: Draft, stay: Stay) -> str | None:
    """The kind of its component: as headed, else of those whom its first entry names."""
    name = stay.headed.component_id
    if name is None and stay.lead.side != "component":
        name = next((c.subject_id for c in references(draft, stay.lead, "component").bearers), None)
    row = draft.index.components.get(name or "")
    return row.kind if row else None


def clash(stays: Iterable[Stay], stay: Stay, kind: str | None = None) -> float:
    """The largest share of time that a stay has in common with another in the same slot, 0 to 1; of one kind
    of component, where that is known.
    """
    if stay.rough is None:
        return 0.0
    worst = 0.0
    for other in stays:
        if other is stay or other.rough is None or (kind is not None and other.kind != kind):
            continue
        shared = min(other.rough[1], stay.rough[1]) - max(other.rough[0], stay.rough[0])
        if shared > 100:
            shorter = min(other.rough[1] - other.rough[0], stay.rough[1] - stay.rough[0])
            worst = max(worst, shared / max(100.0, shorter))
    return min(1.0, worst)


def _posterior(draft: Draft, slots: Slots, stay: Stay, sort: Sort) -> tuple[Candidate, ...]:
    """Whoever may be meant, the likeliest first, with nobody at the end."""
    told = _texts(draft, stay, sort)
    scored = {
        subject: text * _LN2
        + _plausible(draft, slots, stay, sort, subject, charged=not then)
        + _kept(draft, stay, sort, subject, slots.covered(sort, subject, stay))
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
    for subject in dict.fromkeys(bearer.subject_id for refs in heard for bearer in refs.bearers):
        found = [refs.get(subject) for refs in heard]
        paid = [max(-pay, _likeness(c, rarity)) for pay, c in zip(pays, found, strict=True)]
        weight, then = max(
            (c.weight + sum(paid) - own, c.then) for c, own in zip(found, paid, strict=True) if c is not None
        )
        told[subject] = (weight, found[0] is not None and found[0].exact, then)
    return told


def _likeness(candidate: Bearer | None, rarity: float) -> float:
    """How much less likely a text is where this candidate is meant than where it is his own, in log2."""
    if candidate is None:
        return -inf
    return candidate.text - rarity if candidate.borne is not None else 0.0


def _bare(entry: Entry, sort: Sort) -> str:
    written = entry.engine if sort == "engine" else entry.component
    return written.bare if written is not None else ""


def _plausible(draft: Draft, slots: Slots, stay: Stay, sort: Sort, subject: str, *, charged: bool) -> float:
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
    return score - _TAKEN * clash(slots.stays(sort, subject, stay), stay, kind)


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


def _chain(draft: Draft, slots: Slots) -> None:
    """Put the stays of each component, and of each engine, in the order in which they happened."""
    news = draft.news
    for stay in news.left:
        news.chains.update((slot, None) for slot in slots.chain(stay, there=False))
    for stay in news.stays:
        news.chains.update((slot, None) for slot in slots.chain(stay))
    for slot in news.chains:
        table = draft.on_engine if slot[0] == "engine" else draft.on_component
        table[slot[1]] = slots.in_order(slot)
        if not table[slot[1]]:
            del table[slot[1]]
    for entry in (*news.gone, *news.entries):
        slots.lay_spare(draft, entry)
