"""Both sides of one fitment found: component cards joined with engine cards, one to one.

The score of a pair is a sum of log2 odds, each the probability that two lines of one fitment would show this
over the probability that two lines of different fitments would: the reference each way, both dates, and the
miles. Equal miles are the strongest tie of all. Pairs are taken best first. What is left over on either side
stands alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from math import log2

from numbertaker.linking import Candidate, Sort, link_candidates
from numbertaker.linking.similarity import slip_share
from numbertaker.reconciling.entries import DateClaim, Draft, Entry, FigureClaim, Stay

_PAIR_AT_LEAST = 6.0
_CAREER = 4000.0
_EXCHANGED = 3.0
_Edge = tuple[float, Entry, Entry]


def pair_sides(draft: Draft) -> None:
    """Fold double entries, then make a stay of every pair and of every entry that has no partner."""
    fold_doubles(draft)
    entries = [e for e in draft.entries if e.says == "fitment" and e.twin is None and _names_somebody(e)]
    own = [e for e in entries if e.side == "component"]
    mirror = [e for e in entries if e.side == "engine"]
    for score, one, other in sorted(_edges(draft, own, mirror), key=lambda x: (-x[0], x[1].rank, x[2].rank)):
        if one.stay is None and other.stay is None:
            _make(draft, Stay(own=one, mirror=other, score=score))
    for entry in own:
        if entry.stay is None:
            _make(draft, Stay(own=entry))
    for entry in mirror:
        if entry.stay is None:
            _make(draft, Stay(mirror=entry))


def _names_somebody(entry: Entry) -> bool:
    written = entry.engine if entry.side == "component" else entry.component
    return written is None or not written.state


def _make(draft: Draft, stay: Stay) -> None:
    for entry in stay.entries:
        entry.stay = stay
    draft.stays.append(stay)


def fold_doubles(draft: Draft) -> None:
    """Mark an entry that says again what the one above it says, dates and miles and all."""
    for entries in draft.cards.values():
        above: Entry | None = None
        for entry in entries:
            if entry.says != "fitment":
                continue
            if above is not None and _doubles(above, entry):
                entry.twin = above.twin or above
            else:
                above = entry


def _doubles(one: Entry, other: Entry) -> bool:
    """Whether the lower of two entries says the upper's fitment again, perhaps in another hand.

    Both ends and the miles are compared; what both state must agree in two of them, and may differ in one. In
    a copy nothing may differ: a compiler enters one line at a time, and a difference there is a slip of his.
    """
    for a, b in ((one.engine, other.engine), (one.component, other.component)):
        if not (b and b.is_ditto) and (a.bare if a else "") != (b.bare if b else ""):
            return False
    agree = differ = 0
    for a_date, b_date in ((one.fitted, other.fitted), (one.removed, other.removed)):
        if a_date and b_date:
            agree, differ = (agree + 1, differ) if a_date.meets(b_date) else (agree, differ + 1)
    if one.miles and other.miles:
        alike = one.miles.value == other.miles.value
        agree, differ = (agree + 1, differ) if alike else (agree, differ + 1)
    return agree >= 2 and differ <= (0 if one.copy else 1)


def references(draft: Draft, entry: Entry, sort: Sort) -> dict[str, Candidate]:
    """Whom an entry may mean on the other side, by id; a ruling leaves only the one it names."""
    if sort not in entry.refs:
        entry.refs[sort] = {c.subject_id: c for c in _candidates(draft, entry, sort) if c.subject_id}
    return entry.refs[sort]


def _candidates(draft: Draft, entry: Entry, sort: Sort) -> Iterable[Candidate]:
    key = entry.key(sort)
    if key in draft.ruled.links:
        subject = draft.ruled.links[key]
        return [Candidate(subject, 0.9999, 13.0, True, True)] if subject else []
    written = entry.engine if sort == "engine" else entry.component
    if written is None or not written.bare or draft.refused(key):
        return []
    read = entry.line.sureness(sort)
    misread = 0.02 if read is None else min(0.4, max(0.01, 0.4 * (1 - read)))
    found = link_candidates(draft.index, written, sort, *entry.between, misread=misread)
    return [c for c in found if c.exact] if key in draft.ruled.believed else found


def _edges(draft: Draft, own: list[Entry], mirror: list[Entry]) -> Iterator[_Edge]:
    by_engine: dict[str | None, list[Entry]] = defaultdict(list)
    by_miles: dict[int, list[Entry]] = defaultdict(list)
    by_component: dict[str, list[Entry]] = defaultdict(list)
    for entry in mirror:
        by_engine[entry.engine_id].append(entry)
        if entry.miles:
            by_miles[entry.miles.value].append(entry)
        for subject, candidate in references(draft, entry, "component").items():
            if candidate.exact:
                by_component[subject].append(entry)
    for entry in own:
        pool: dict[str, Entry] = {}
        for engine, candidate in references(draft, entry, "engine").items():
            if candidate.exact:
                pool |= {e.id: e for e in by_engine.get(engine, ())}
        pool |= {e.id: e for e in by_component.get(entry.component_id or "", ())}
        if entry.miles:
            pool |= {e.id: e for e in by_miles[entry.miles.value]}
        for other in pool.values():
            score = _pair_score(draft, entry, other)
            if score >= _PAIR_AT_LEAST:
                yield score, entry, other


def _pair_score(draft: Draft, own: Entry, mirror: Entry) -> float:
    rest = dates_weight(own, mirror) + miles_weight(own.miles, mirror.miles)
    if rest < -12:
        return rest
    return (
        rest
        + reference_weight(references(draft, own, "engine"), mirror.engine_id, draft.index.size("engine"))
        + reference_weight(
            references(draft, mirror, "component"), own.component_id, draft.index.size("component")
        )
    )


def reference_weight(refs: dict[str, Candidate], subject: str | None, size: int) -> float:
    """log2 of how much likelier the text is if it means this subject than if it means any other.

    The prior of the candidates is one in `size`, so it is left out again here.
    """
    candidate = refs.get(subject or "")
    if candidate is None:
        return -7.0
    chance = log2(1 / size)
    prior = log2(0.98 / 0.02) + chance
    return max(-7.0, candidate.weight - prior)


def dates_weight(one: Entry, other: Entry) -> float:
    """log2 odds of both dates of two entries; where one's dates run backwards, they may be exchanged."""
    straight = date_weight(one.fitted, other.fitted) + date_weight(one.removed, other.removed)
    if not (_backwards(one) or _backwards(other)):
        return straight
    crossed = date_weight(one.fitted, other.removed) + date_weight(one.removed, other.fitted)
    return max(straight, crossed - _EXCHANGED)


def _backwards(entry: Entry) -> bool:
    return entry.fitted is not None and entry.removed is not None and entry.fitted.first > entry.removed.last


def date_weight(one: DateClaim | None, other: DateClaim | None) -> float:
    """log2 odds of two dates of one event: high where they meet, and higher the narrower both are."""
    if one is None or other is None:
        return 0.0
    gap = max(one.first - other.last, other.first - one.last)
    if gap <= 0:
        return log2(0.97 * _CAREER / (min(one.days, 2000) + min(other.days, 2000) + 20))
    return -4.8 - min(10.0, gap / 100) if gap < 420 else -8.7 - min(11.5, gap / 350)


def miles_weight(one: FigureClaim | None, other: FigureClaim | None) -> float:
    """log2 odds of two figures of one fitment; one misread digit is weak evidence for it."""
    if one is None or other is None:
        return 0.0
    if one.value == other.value:
        return 14.4
    return 3.6 if slip_share(str(one.value), str(other.value)) else -5.0
