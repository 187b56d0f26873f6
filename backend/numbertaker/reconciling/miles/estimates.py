"""Miles that nobody wrote: estimated from time, and adjusted to the totals that hold several of them.

Where two totals of a card stand and the lines between them give no figures, what these lines ran is known
together: their estimates are adjusted to it, the less certain ones more (`adjustment`).
"""

from __future__ import annotations

from math import exp
from typing import Final

from numbertaker.reconciling.adjustment import Adjusted, adjust
from numbertaker.reconciling.entries import Draft, Stay
from numbertaker.reconciling.history import Miles, Reason
from numbertaker.reconciling.miles.column import Column
from numbertaker.reconciling.miles.rates import days_run, expected
from numbertaker.reconciling.wording import miles as say

_BELIEVED: Final = 0.5
_LEAST_SPREAD: Final = 1.0
_TWO_SIDED: Final = 1.959964


def estimated(draft: Draft, stay: Stay) -> Miles | None:
    """Time in traffic at the usual rate of the class, with its spread: two standard deviations of the log
    each way.
    """
    run = days_run(stay)
    if run is None or run[0] <= 0:
        return None
    may = expected(draft, stay)
    spread = exp(_TWO_SIDED * may.spread)
    return Miles(
        None, round(may.median / spread), round(may.median * spread), "estimated", draft.settings.level
    )


def adjust_estimates(draft: Draft, column: Column) -> None:
    """Adjust the estimates between each two totals that are believed, where there are several."""
    open_: list[Stay] = []
    start: int | None = 0
    known = 0
    for rung, judged in zip(column.rungs, column.judged, strict=True):
        stay = rung.stay
        counted = stay is not None and stay.miles is not None and judged.what.get("absent", 0.0) < _BELIEVED
        if counted and stay is not None and stay.miles is not None:
            if stay.miles.value is None:
                open_.append(stay)
            else:
                known += stay.miles.value
        elif rung.there == 1 and stay is not None:
            start = None  # a fitment of which not even the time is known
        if rung.total is None or rung.entry is None:
            continue
        right = judged.right > _BELIEVED
        if right and start is not None and len(open_) > 1:
            told = _adjust(draft, open_, rung.total.value - start - known)
            if told is not None:
                reason = Reason("adjustment", 0.0, _says(open_, told, rung.total.value - start - known))
                rung.entry.total_why = (*rung.entry.total_why, reason)
        start, known, open_ = (rung.total.value if right else None), 0, []


def _adjust(draft: Draft, stays: list[Stay], together: int) -> Adjusted | None:
    """Lay the adjusted ranges to the stays; None where what is left for them can't be."""
    if together <= 0:
        return None
    may = [expected(draft, stay) for stay in stays]
    told = adjust(
        [*(m.median for m in may), float(together)],
        [*(m.median * m.spread for m in may), _LEAST_SPREAD],
        [[*(1.0 for _ in may), -1.0]],
    )
    for stay, value, spread in zip(stays, told.values, told.spreads, strict=False):
        low, high = value - _TWO_SIDED * spread, value + _TWO_SIDED * spread
        stay.miles = Miles(None, max(0, round(low)), max(0, round(high)), "estimated", draft.settings.level)
    return told


def _says(stays: list[Stay], told: Adjusted, together: int) -> str:
    return (
        f"{len(stays)} fitments under it have no figure, and it leaves {say(together)} miles for them: what"
        f" their time lets expect misses that by a chi-square of {told.chi_square:.2f} on one degree of"
        f" freedom, as right ones do {told.probability:.0%} of the time"
    )
