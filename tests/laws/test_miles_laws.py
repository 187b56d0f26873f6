"""What holds of every column of totals and of every sum, whatever stands on the card."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.railways import MIRROR, OWN, railway

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import Line
from numbertaker.reconciling import DEFAULT, SHIPPED, settled
from numbertaker.reconciling.miles import column
from numbertaker.reconciling.miles.column import State, judge
from numbertaker.reconciling.miles.mixture import Mixture, Part
from numbertaker.reconciling.miles.rungs import Rung
from numbertaker.reconciling.miles.slips import Slips

TRUE = (95_154, 182_331, 252_840, 363_716)
WRITTEN = st.sampled_from(["", "same", "digit", "hundred", "carried"])


@st.composite
def totalled(draw: st.DrawFn) -> tuple[Line, ...]:
    """The boiler's card with running totals, some of them wrong, lines lost and figures misread."""
    lines, off = [], 0
    for line, total in zip(OWN, TRUE, strict=True):
        how = draw(WRITTEN)
        off += 9_000 if how == "carried" else 0
        said = {"": "", "digit": str(total + off).replace("3", "8", 1), "hundred": str(total + off + 100)}
        text = said.get(how, str(total + off))
        miles = draw(st.sampled_from([line.miles, line.miles, line.miles, "", "87,117"]))
        if draw(st.integers(0, 5)):
            lines.append(replace(line, total_miles=text, miles=miles))
    return tuple(lines)


def columns(*lines: Line) -> list[list[Rung]]:
    """The ladders of the small railway with these lines, judged already."""
    draft = settled(follow(railway(*lines)), DEFAULT, SHIPPED)
    return [found.rungs for found in draft.columns.values()]


def by_hand(rungs: list[Rung], slips: Slips) -> tuple[list[dict[int, float]], list[float]]:
    """Every way down a column one by one: the shares of figures and that each total is right."""
    figures: list[dict[int, float]] = [defaultdict(float) for _ in rungs]
    right = [0.0] * len(rungs)
    whole = 0.0

    def walk(place: int, state: State, weight: float, passed: list[column.Edge]) -> None:
        nonlocal whole
        if place == len(rungs):
            whole += weight
            for k, way in enumerate(passed):
                if way.figure is not None:
                    figures[k][way.figure] += weight
                if way.found is not None and way.start.open >= 0:
                    figures[way.start.open][way.found] += weight
                total = rungs[k].total
                right[k] += weight * (
                    total is not None
                    and way.end.off == 0
                    and way.end.open == -1
                    and way.end.miles == total.value
                )
            return
        for way in column.ways({state: 1.0}, place, rungs[place], rungs, slips):
            if way.weight > 0:
                walk(place + 1, way.end, weight * way.weight, [*passed, way])

    walk(0, State(0, 0, -1), 1.0, [])
    return [{v: p / whole for v, p in told.items()} for told in figures], [p / whole for p in right]


@settings(max_examples=25, deadline=None)
@given(totalled())
def test_what_is_summed_up_going_down_and_up_is_what_every_way_adds_up_to(lines: tuple[Line, ...]):
    """Forwards and backwards give the shares that enumerating all ways one by one gives."""
    slips = Slips(SHIPPED)
    for rungs in columns(*lines):
        if len(rungs) > 3 or rungs[0].entry is None:
            continue
        figures, right = by_hand(rungs, slips)
        judged = judge(rungs, slips).judged
        for k, found in enumerate(judged):
            assert found.right == pytest.approx(right[k], abs=2e-4)
            for value, share in figures[k].items():
                assert found.figures.get(value, 0.0) == pytest.approx(share, abs=2e-4)


@settings(max_examples=25, deadline=None)
@given(totalled())
def test_every_share_of_a_column_is_a_probability(lines: tuple[Line, ...]):
    """What is said of figures, of totals and of what befell lies within 0 to 1 and adds up to no more."""
    draft = settled(follow(railway(*lines, *MIRROR)), DEFAULT, SHIPPED)
    for found in draft.columns.values():
        for judged in found.judged:
            assert sum(judged.figures.values()) < 1 + 1e-6
            assert sum(judged.totals.values()) < 1 + 1e-6
            assert 0 <= judged.sound <= 1 + 1e-6
            assert 0 <= judged.right <= 1 + 1e-6
    for stay in draft.stays:
        assert sum(stay.figures.values()) < 1 + 1e-6


@settings(max_examples=25, deadline=None)
@given(totalled())
def test_a_facing_card_that_agrees_never_lowers_a_figure(lines: tuple[Line, ...]):
    """The engine's card with the true miles makes a true figure no less sure, by more than .005."""
    alone = settled(follow(railway(*lines)), DEFAULT, SHIPPED)
    both = settled(follow(railway(*lines, *MIRROR)), DEFAULT, SHIPPED)
    true = {line.line_id: int(line.miles.replace(",", "")) for line in OWN}
    before = {e.id: e.stay.figures.get(true[e.id], 0.0) for e in alone.entries if e.miles and e.stay}
    for entry in both.entries:
        if entry.id in before and entry.miles is not None and entry.miles.value == true[entry.id]:
            assert entry.stay.figures.get(true[entry.id], 0.0) > before[entry.id] - 0.005


PARTS = st.lists(
    st.tuples(st.floats(0.05, 1), st.integers(0, 200_000), st.sampled_from([0.0, 4e6, 1e8])),
    min_size=1,
    max_size=4,
)


@settings(max_examples=50, deadline=None)
@given(PARTS, PARTS, st.sampled_from([0.5, 0.8, 0.95]))
def test_an_interval_holds_what_it_says(one: list, other: list, level: float):
    """The interval of a sum has at least its level, and one for a higher level is no narrower."""
    made = [
        Mixture(tuple(Part(p / sum(q for q, *_ in told), float(m), v) for p, m, v in told))
        for told in (one, other)
    ]
    whole = made[0].plus(made[1])
    low, high = whole.interval(level)
    assert whole.below(high) - whole.below(low - 1) >= level - 0.002
    wider = whole.interval(0.99)
    assert wider[1] - wider[0] >= high - low - 8
