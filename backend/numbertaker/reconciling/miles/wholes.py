"""The miles of a component altogether, as the distribution of a sum.

Each fitment adds the figures that it may have, with their probabilities, or an estimate with its spread, or
nothing as far as it may not be the component's. Two stays that would have been at one time are one, or one of
them is wrong. Time that nothing accounts for may hide a fitment. Where a running total stands on the card,
what it says at its end takes the place of all that it sums up, lost lines included.
"""

from __future__ import annotations

from itertools import pairwise
from math import exp
from typing import Final

from numbertaker.reconciling.entries import EVENTS, Draft, Stay
from numbertaker.reconciling.history import TotalMiles
from numbertaker.reconciling.miles.mixture import NOTHING, Mixture, Part, either, point
from numbertaker.reconciling.miles.rates import Expected, expected
from numbertaker.reconciling.miles.rungs import hidden_in

_NEAR_MISS: Final = 0.2
"""The spread of what was run, as a part of the figure, where every figure written is wrong."""
_SAME_ENGINE: Final = 0.3
_OTHER_ENGINE: Final = 0.5
_ONE_OF_THEM: Final = 0.97
_FIRM: Final = 0.5


def whole_of(draft: Draft, component: str, stays: list[Stay]) -> TotalMiles:
    """Supported miles (stated and derived figures), and the range that holds the true sum with the level."""
    supported = sum(s.miles.value for s in stays if s.miles is not None and s.miles.value is not None)
    told = distribution(draft, component, stays)
    low, high = told.interval(draft.settings.level)
    return TotalMiles(supported, max(0, low), max(0, high), draft.settings.level)


def distribution(draft: Draft, component: str, stays: list[Stay]) -> Mixture:
    """The distribution of a component's miles."""
    column = draft.furthest.get(component)
    if column is None:
        return _sum(draft, component, stays, None)
    on_card = {id(rung.stay) for rung in column.rungs if rung.stay is not None}
    last = max((k for k, stay in enumerate(stays) if id(stay) in on_card), default=-1)
    after = _sum(draft, component, stays[last + 1 :], stays[last] if last >= 0 else None)
    known = [(p, point(miles)) for miles, p in column.end.items() if miles is not None]
    open_ = column.end.get(None, 0.0)
    before = [(open_, _sum(draft, component, stays[: last + 1], None, ends=False))] if open_ > 1e-6 else []
    return either([*known, *before]).plus(after)


def _sum(
    draft: Draft, component: str, stays: list[Stay], before: Stay | None, *, ends: bool = True
) -> Mixture:
    """The sum over stays in their order, and over what the time between them may hide."""
    whole = NOTHING
    groups = _at_one_time(draft, stays)
    for group in groups:
        whole = whole.plus(_of_group(draft, group))
    life = draft.index.life(component)
    spans = [_span(group) for group in groups]
    edges: list[tuple[float, float]] = []
    known = sorted(span for span in spans if span is not None)
    since = _when(before) if before is not None else None
    if since is not None:
        known.insert(0, since)
    elif known and life.start.last is not None:
        edges.append((float(life.start.last), known[0][0]))
    edges += [(one[1], other[0]) for one, other in pairwise(known)]
    if known and ends and life.end.first is not None:
        edges.append((known[-1][1], float(life.end.first)))
    for start, end in edges:
        whole = whole.plus(_hidden(draft, component, start, end))
    return whole


def _hidden(draft: Draft, component: str, start: float, end: float) -> Mixture:
    """What a time that nothing accounts for may hide: mostly nothing."""
    spare = sum(
        max(0.0, min(end, e.removed.last) - max(start, e.fitted.first))
        for e in draft.spare.get(component, ())
        if e.fitted and e.removed
    )
    probability, miles = hidden_in(draft, component, end - start - spare)
    if probability < 1e-4:
        return NOTHING
    return either([(1 - probability, NOTHING), (probability, _spread(miles))])


def _of_group(draft: Draft, group: list[Stay]) -> Mixture:
    """Of stays that would have been at one time, one; that all are true, with other dates, is hardly so."""
    if len(group) == 1:
        return _of_stay(draft, group[0])
    shares = [(_weight(stay), _of_figures(draft, stay)) for stay in group]
    every = NOTHING
    for _, figures in shares:
        every = every.plus(figures)
    return either([(_ONE_OF_THEM, either(shares)), (1 - _ONE_OF_THEM, every)])


def _weight(stay: Stay) -> float:
    """How much a stay counts among those of one time: both cards' word more than one card's."""
    return stay.sure * (1.0 if stay.own and stay.mirror else 0.3 if not stay.hearsay else 0.05)


def _of_stay(draft: Draft, stay: Stay) -> Mixture:
    there = 1.0 if stay.own is not None and stay.mirror is not None and stay.sure > _FIRM else stay.sure
    figures = _of_figures(draft, stay)
    return figures if there > 0.9999 else either([(there, figures), (1 - there, NOTHING)])


def _of_figures(draft: Draft, stay: Stay) -> Mixture:
    """The figures that a stay may have; that it is none of them, as an estimate near to them."""
    if not stay.figures:
        return _spread(expected(draft, stay))
    known = [(p, point(value)) for value, p in stay.figures.items()]
    left = max(0.0, 1 - sum(p for p, _ in known))
    value = max(sorted(stay.figures), key=lambda v: stay.figures[v])
    near = Mixture((Part(1.0, value, (_NEAR_MISS * value) ** 2),))
    return either([*known, (left, near)]) if left > 1e-6 else either(known)


def _spread(miles: Expected) -> Mixture:
    """An estimate as three points of its logarithm, each a little spread (Gauss and Hermite)."""
    step = 1.7320508 * miles.spread
    parts = [(1 / 6, -step), (2 / 3, 0.0), (1 / 6, step)]
    return Mixture(
        tuple(
            Part(share, miles.median * exp(off), (0.45 * miles.spread * miles.median * exp(off)) ** 2)
            for share, off in parts
        )
    )


def _at_one_time(draft: Draft, stays: list[Stay]) -> list[list[Stay]]:
    """Stays in their order, those put together of which only one can be."""
    groups: list[list[Stay]] = []
    for stay in stays:
        for group in reversed(groups[-3:]):
            if any(_same_time(stay, other) for other in group):
                group.append(stay)
                break
        else:
            groups.append([stay])
    return groups


def _same_time(one: Stay, other: Stay) -> bool:
    same = one.engine_id == other.engine_id
    if same and (_figure(one) is not None and _figure(one) == _figure(other)):
        return True
    mine, theirs = _when(one), _when(other)
    if mine is None or theirs is None:
        return False
    shared = min(mine[1], theirs[1]) - max(mine[0], theirs[0])
    if same and (_seen_only(one) or _seen_only(other)):
        return shared > -400
    shorter = min(mine[1] - mine[0], theirs[1] - theirs[0])
    return shared > (_SAME_ENGINE if same else _OTHER_ENGINE) * max(60.0, shorter)


def _seen_only(stay: Stay) -> bool:
    return all(entry.says == "carried" for entry in stay.entries)


def _figure(stay: Stay) -> int | None:
    return stay.miles.value if stay.miles is not None else None


def _when(stay: Stay) -> tuple[float, float] | None:
    """From when to when it most probably was: a date that is most likely wrong is not gone by."""
    if stay.rough is None:
        return None
    first, last = (
        sum(known.likeliest) / 2 if known is not None and known.likeliest != (0, 0) else rough
        for known, rough in zip((stay.dates.get(event) for event in EVENTS), stay.rough, strict=True)
    )
    return first, max(first, last)


def _span(group: list[Stay]) -> tuple[float, float] | None:
    told = [when for stay in group if (when := _when(stay)) is not None]
    return (min(a for a, _ in told), max(b for _, b in told)) if told else None
