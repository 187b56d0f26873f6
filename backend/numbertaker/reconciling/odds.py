"""How likely two lines are to tell of one fitment: the weights of what they have in common, in log2 odds.

Each is the probability that two lines of one fitment would show this over the probability that two lines of
different fitments would (I. Fellegi and A. Sunter, "A theory for record linkage", JASA 64, 1969).
"""

from __future__ import annotations

from math import log2

from numbertaker.linking import Ranked
from numbertaker.linking.similarity import slip_share
from numbertaker.reconciling.entries import DateClaim, Entry, FigureClaim

_CAREER = 4000.0
_EXCHANGED = 3.0
_STRANGE = -7.0
_DANGLING = -4.5
_WRONG_YEAR = -6.5
_FEW_YEARS = (731, 1096)
_DECADE = 3653


def reference_weight(entry: Entry, refs: Ranked, subject: str | None, size: int) -> float:
    """log2 of how much likelier the text of an entry is if it means this subject than if it means any other.

    The prior of the candidates is one in `size`, so it is left out again here. A ditto mark may have lost the
    line that it repeats, which happens oftener than that a number can't be recognised at all.
    """
    candidate = refs.get(subject)
    least = _DANGLING if _repeats(entry) else _STRANGE
    if candidate is None:
        return least
    prior = log2(0.98 / 0.02) - log2(size)
    return max(least, candidate.weight - prior)


def _repeats(entry: Entry) -> bool:
    return ("engine" if entry.side == "component" else "component") in entry.heads


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
    if gap < 420:
        return -4.8 - gap / 100
    return _WRONG_YEAR if _years_apart(gap, one, other) else -8.7 - min(11.5, gap / 350)


def _years_apart(gap: int, one: DateClaim, other: DateClaim) -> bool:
    """Whether two dates are the same but for one digit of the year, as far as they say."""
    if gap > _DECADE:
        return False
    widest = gap + one.days + other.days
    return widest >= _DECADE or any(gap <= years <= widest for years in _FEW_YEARS)


def miles_weight(one: FigureClaim | None, other: FigureClaim | None) -> float:
    """log2 odds of two figures of one fitment; one misread digit is weak evidence for it."""
    if one is None or other is None:
        return 0.0
    if one.value == other.value:
        return 14.4
    return 3.6 if slip_share(str(one.value), str(other.value)) else -5.0
