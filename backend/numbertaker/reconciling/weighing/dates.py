"""The terms of a date."""

from __future__ import annotations

from math import log2
from typing import Final

from numbertaker.reconciling.entries import DateClaim, Dated, Draft, Entry, Stay
from numbertaker.reconciling.weighing.lines import Whole
from numbertaker.reconciling.weighing.terms import Row, Term, odds
from numbertaker.reconciling.weighing.witnesses import read_alike, voice_terms, voices

_STAGES: Final[dict[str, tuple[str, Row, str]]] = {
    "agreement": ("agreement of dates", "agreement", ""),
    "life": ("life of dates", "order", "the lives of the engine and the component"),
    "order": ("order of dates", "order", "what stands before and after it"),
    "rate": ("rate of dates", "rate", "the miles, at the usual rate"),
}
_AS_WRITTEN: Final = "a date as written, of a source of this kind, read so surely"
_VAGUE: Final = 62
"""Two months: what leaves more open meets most dates that are wrong by a month or two."""
_BACKWARDS: Final = Term("backwards", 1.0, "order", "it was removed before it was fitted")


def date_terms(draft: Draft, whole: Whole, stay: Stay, entry: Entry, claim: DateClaim) -> list[Term]:
    """What speaks for and against a date: its reading, its source, its fellows, order, and miles."""
    event = claim.key.field

    def said(other: Entry) -> DateClaim | None:
        return draft.trusted(other, event)

    told = voices(whole.fellows, claim, said, DateClaim.meets, _loose)
    alike, apart = read_alike(whole.made, claim, said, DateClaim.meets)
    counted = told.but_for(len(alike), len(apart))
    found = [*read_terms(claim), *whole.terms(event), *voice_terms(told, "the date", counted)]
    rightly = bool(alike) - bool(apart)
    if rightly:
        found.append(Term("read alike", rightly * draft.learnt.rightly_read, "agreement"))
    found += _stages(stay.dates.get(event), claim)
    if entry.fitted and entry.removed and entry.fitted.first > entry.removed.last:
        found.append(_BACKWARDS)
    return found


def _loose(mine: DateClaim, theirs: DateClaim) -> bool:
    """Whether another date leaves open so much more that it would hardly have contradicted a wrong one."""
    return theirs.days > _VAGUE and theirs.days > 2 * mine.days


def read_terms(claim: DateClaim) -> list[Term]:
    """The date as read, and how much it leaves open: the vaguer, the likelier true."""
    read = Term("read", odds(1 - claim.slip), "read", _AS_WRITTEN)
    return [read] if claim.days == 1 else [read, Term("days", log2(claim.days), "read")]


def _stages(known: Dated | None, claim: DateClaim) -> list[Term]:
    """What each kind of evidence adds as it is let in, one after another."""
    found, before = [], odds(1 - claim.slip)
    for name, sure in known.stages_of(claim.spans) if known is not None else ():
        now = odds(sure)
        if now != before:
            term, row, says = _STAGES[name]
            found.append(Term(term, now - before, row, says))
        before = now
    return found


def lone_terms(whole: Whole, entry: Entry, event: str, claim: DateClaim) -> list[Term]:
    """What speaks for and against a day that a line states of something, but of no fitment."""
    found = [*read_terms(claim), *whole.terms(event), *_stages(entry.dates.get(event), claim)]
    return [*found, Term(f"says {entry.says}", 1.0, "source")]


def sighting_terms(whole: Whole, entry: Entry, claim: DateClaim) -> list[Term]:
    """What speaks for and against a day on which it was seen: whether the fitment leaves room for it."""
    return [*read_terms(claim), *whole.terms("fitted"), *_stages(entry.dates.get("seen"), claim)]
