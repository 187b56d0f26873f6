"""The running total of a card and all figures on it, judged together: an exact sum over what may have gone
wrong, line by line, forwards and backwards (L. Rabiner, Proceedings of the IEEE 77, 1989).

What is not known is the true miles of each line, and so the true total below it. A state after a line is that
total, by how much the totals as written are off since a slip was carried forward, and whose miles are open:
known only when a later total is believed. A line then leads on in one of a few ways: a figure that is written
is right, or what the totals want in its place; its total is right, wrong by itself, or wrong and carried
forward; a line above it was lost. Every way has its probability, and none is ruled out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from numbertaker.reconciling.miles.rungs import Rung
from numbertaker.reconciling.miles.slips import BY_CHANCE, Slips, cast

CARRIED: Final = 0.006
"""How often a slip in a total goes on down the card."""
CAST: Final = 0.01
"""How often a total is added up wrongly by itself."""
_AGAIN: Final = 0.003
_AFRESH: Final = 0.05
_MISREAD_PART: Final = 0.6
_LEAST_LOST: Final = 300
_LIKELY_ENOUGH: Final = 0.02
_ALL_AGREE: Final = 0.99995
_KEPT: Final = 48
_NEGLIGIBLE: Final = 1e-9
_CLOSED: Final = -1
SEVERAL: Final = -2


class State(NamedTuple):
    """The true total so far, what totals are off by, and the rung whose miles are open (or none, or more)."""

    miles: int
    off: int
    open: int


class Edge(NamedTuple):
    """One way over a rung, with its probability: the figure taken, the open one found, what befell."""

    start: State
    end: State
    weight: float
    figure: int | None
    found: int | None
    what: str


@dataclass(slots=True)
class Judged:
    """What came out for one rung, every number a probability.

    Its miles, its true total, and what befell; that its total is right, by what stands above it alone
    (`before`) and altogether; and that all that is written on it is right (`sound`).
    """

    figures: dict[int, float] = field(default_factory=dict)
    totals: dict[int, float] = field(default_factory=dict)
    what: dict[str, float] = field(default_factory=dict)
    before: float = 0.0
    right: float = 0.0
    sound: float = 0.0


@dataclass(slots=True)
class Column:
    """A card's running total: its rungs, what was judged of each, the true total at its end, whose it is."""

    rungs: list[Rung]
    judged: list[Judged]
    end: dict[int | None, float]
    component: str = ""

    @property
    def reach(self) -> float:
        """Until when its lines go, as a day."""
        return max((r.stay.rough[1] for r in self.rungs if r.stay is not None and r.stay.rough), default=0.0)


def judge(rungs: list[Rung], slips: Slips) -> Column:
    """Every way down the column, weighed and added up; where all of it adds up there is but one."""
    agreed = _agreed(rungs)
    if agreed is not None:
        return agreed
    edges: list[list[Edge]] = []
    forward: list[dict[State, float]] = [{State(_begin(rungs), 0, _CLOSED): 1.0}]
    begun = False
    for place, rung in enumerate(rungs):
        states = dict(forward[-1])
        if rung.entry is not None and not begun:
            begun = True
            if place:
                # The total may count from the first line of this card only.
                zero = State(0, 0, _CLOSED)
                states[zero] = states.get(zero, 0.0) + _AFRESH
                forward[-1] = states
        found = list(ways(states, place, rung, rungs, slips))
        kept = _kept(found, states)
        edges.append([way for way in found if way.end in kept])
        forward.append(kept)
    return Column(rungs, *_gathered(rungs, edges, forward))


def _begin(rungs: list[Rung]) -> int:
    """What the column counts from: nothing, or what was brought forward from where nothing is told of."""
    first = rungs[0] if rungs else None
    return first.total.value if first is not None and first.begins and first.total is not None else 0


def _agreed(rungs: list[Rung]) -> Column | None:
    """A column that adds up line by line; two slips that hide each other are not looked for."""
    at, judged = _begin(rungs), []
    for rung in rungs:
        if rung.total is None or rung.entry is None:
            return None
        figures, _ = _figures(rung)
        step, at = rung.total.value - at, rung.total.value
        if figures.get(step, 0.0) < _LIKELY_ENOUGH:
            return None
        mine = Judged({step: _ALL_AGREE}, {at: _ALL_AGREE}, {"right": _ALL_AGREE}, _ALL_AGREE, _ALL_AGREE)
        mine.sound = _ALL_AGREE if rung.as_written(step) else 0.0
        judged.append(mine)
    return Column(rungs, judged, {at: _ALL_AGREE, None: 1 - _ALL_AGREE})


def _kept(ways: list[Edge], states: dict[State, float]) -> dict[State, float]:
    """The states after a rung, as shares; what is less likely than one in 10^9 is let go."""
    found: dict[State, float] = defaultdict(float)
    for way in ways:
        found[way.end] += states[way.start] * way.weight
    top = max(found.values(), default=0.0)
    ranked = sorted(((p, s) for s, p in found.items() if p > top * _NEGLIGIBLE), reverse=True)[:_KEPT]
    whole = sum(p for p, _ in ranked)
    return {s: p / whole for p, s in ranked}


def ways(
    states: dict[State, float], place: int, rung: Rung, rungs: list[Rung], slips: Slips
) -> Iterator[Edge]:
    """Every way over a rung, from each of the states before it."""
    figures, none = _figures(rung)
    if rung.total is None:
        for state in states:
            yield from _unsaid(state, place, rung, figures, none)
        return
    # A ruling that the total is right leaves next to nothing for slips.
    firm = rung.total.slip < 0.001
    slip = rung.total.slip if firm else _MISREAD_PART * rung.total.slip + CAST
    total = _Total(rung.total.value, slip, slip / 10 if firm else CARRIED)
    for state in states:
        if state.open == _CLOSED:
            yield from _closed(state, place, rung, total, slips=slips, figures=figures, none=none)
        else:
            opened = rungs[state.open] if state.open >= 0 else None
            yield from _open(state, rung, total, opened, slips=slips, figures=figures, none=none)


class _Total(NamedTuple):
    value: int
    slip: float
    carried: float


def _figures(rung: Rung) -> tuple[dict[int, float], float]:
    """The miles that a rung may add, and the share of those that nobody wrote."""
    if rung.weighed is None:
        own = rung.entry.miles if rung.entry is not None and rung.entry.says == "fitment" else None
        return ({own.value: 0.97} if own else {0: 1.0}), (0.03 if own else 0.0)
    return rung.weighed.shares, rung.weighed.none


def _unsaid(state: State, place: int, rung: Rung, figures: dict[int, float], none: float) -> Iterator[Edge]:
    """Over a rung that gives no total."""
    miles, off, opened = state
    there = rung.there * (1 - rung.lost)
    for value, share in figures.items():
        yield Edge(state, State(miles + value, off, opened), share * there, value, None, "")
        if rung.lost > 0.001:
            lost = State(miles + value, off, SEVERAL)
            yield Edge(state, lost, share * rung.there * rung.lost, value, None, "lost")
    if none > 0:
        now = State(miles, off, place if opened == _CLOSED else SEVERAL)
        yield Edge(state, now, none * rung.there, None, None, "")
    if rung.there < 1:
        yield Edge(state, state, 1 - rung.there, None, None, "absent")


def _closed(
    state: State,
    place: int,
    rung: Rung,
    total: _Total,
    *,
    slips: Slips,
    figures: dict[int, float],
    none: float,
) -> Iterator[Edge]:
    """Over a rung with a total, from a true total that is known."""
    miles, off, _ = state
    right, kept = 1 - total.slip - total.carried, 1 - rung.lost
    wanted = total.value - off
    for value, share in figures.items():
        now = miles + value
        if now == wanted:
            yield Edge(state, State(now, off, _CLOSED), share * kept * right, value, None, "right")
            continue
        wrong = share * kept * total.slip * slips.total_share(now + off, total.value)
        yield Edge(state, State(now, off, _CLOSED), wrong, value, None, "wrong")
        carried = share * kept * total.carried * _goes_on(total.value - now - off, rung, value)
        yield Edge(state, State(now, total.value - now, _CLOSED), carried, value, None, "carried")
        if rung.lost and wanted - now > _LEAST_LOST:
            lost = share * rung.lost * right * _missed(rung, wanted - now)
            yield Edge(state, State(wanted, off, _CLOSED), lost, value, None, "lost")
    rest = wanted - miles
    if rest > 0 and rest not in figures and rung.weighed is not None:
        weight = rung.weighed.at(rest) * kept * right
        yield Edge(state, State(wanted, off, _CLOSED), weight, rest, None, "right")
    if none:
        weight = none * total.slip * BY_CHANCE
        yield Edge(state, State(miles, off, place), weight, None, None, "wrong")
    if rest == 0 and rung.stay is not None:
        yield Edge(state, state, _AGAIN, None, None, "again")


def _open(
    state: State,
    rung: Rung,
    total: _Total,
    opened: Rung | None,
    *,
    slips: Slips,
    figures: dict[int, float],
    none: float,
) -> Iterator[Edge]:
    """Over a rung with a total, where the miles of one line above are open: the total finds them."""
    miles, off, where = state
    wanted = total.value - off
    right = 1 - total.slip - total.carried
    held = opened.weighed if opened is not None else None
    for value, share in figures.items():
        rest = wanted - miles - value
        now = State(wanted, off, _CLOSED)
        if rest > 0:
            if held is not None and held.none > 0:
                yield Edge(state, now, share * right * held.at(rest) / held.none, value, rest, "right")
            else:
                yield Edge(state, now, share * right * BY_CHANCE / 2, value, None, "right")
        again = share * total.slip * BY_CHANCE / 2
        yield Edge(state, State(miles + value, off, where), again, value, None, "wrong")
    if none and wanted > miles:
        yield Edge(state, State(wanted, off, _CLOSED), none * right * BY_CHANCE / 2, None, None, "right")


def _missed(rung: Rung, miles: int) -> float:
    """The probability that lost lines above had just so many miles."""
    return 0.9 * rung.hole.density(miles) + 0.1 * BY_CHANCE / 2


def _goes_on(off: int, rung: Rung, value: int) -> float:
    """The probability that a slip carried forward is just this: cast wrongly, or a wrong figure added."""
    own = rung.entry.miles if rung.entry is not None else None
    added = 0.2 if own is not None and own.value - value == off else 0.0
    return 0.8 * cast(off) + added


def _gathered(
    rungs: list[Rung], edges: list[list[Edge]], forward: list[dict[State, float]]
) -> tuple[list[Judged], dict[int | None, float]]:
    """Go back up the column, and add up what each rung's ways say."""
    judged = [Judged() for _ in rungs]
    back = dict.fromkeys(forward[-1], 1.0)
    for place in range(len(rungs) - 1, -1, -1):
        rung, mine, states = rungs[place], judged[place], forward[place]
        passed = [(way, states[way.start] * way.weight) for way in edges[place]]
        whole, ahead = sum(w * back[way.end] for way, w in passed), sum(w for _, w in passed)
        above: dict[State, float] = defaultdict(float)
        written = rung.total.value if rung.total is not None else None
        for way, weight in passed:
            share = weight * back[way.end] / whole
            if way.end.off == 0 and way.end.miles == written and way.end.open == _CLOSED:
                mine.before += weight / ahead
                mine.right += share
            if way.what == "right" and way.start.open != SEVERAL and rung.as_written(way.figure):
                mine.sound += share
            _note(judged, place, way, share)
            above[way.start] += way.weight * back[way.end]
        top = max(above.values())
        back = {state: above[state] / top for state in states}
    return judged, _end(forward[-1])


def _note(judged: list[Judged], place: int, way: Edge, share: float) -> None:
    mine = judged[place]
    if way.figure is not None:
        mine.figures[way.figure] = mine.figures.get(way.figure, 0.0) + share
    if way.found is not None and way.start.open >= 0:
        opened = judged[way.start.open].figures
        opened[way.found] = opened.get(way.found, 0.0) + share
    if way.end.open == _CLOSED:
        mine.totals[way.end.miles] = mine.totals.get(way.end.miles, 0.0) + share
    what = "several" if way.what == "right" and way.start.open == SEVERAL else way.what
    if what:
        mine.what[what] = mine.what.get(what, 0.0) + share


def _end(states: dict[State, float]) -> dict[int | None, float]:
    found: dict[int | None, float] = defaultdict(float)
    for state, share in states.items():
        found[state.miles if state.open == _CLOSED else None] += share
    return dict(found)
