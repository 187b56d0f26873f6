"""What holds of every reconciliation, whatever the evidence."""

from __future__ import annotations

import json
import random
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.railways import MIRROR, OWN, copied, railway

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import Decision, Evidence, Line
from numbertaker.reconciling import reconcile

DATES = st.sampled_from(["3.1907", "4.1907", "1907", "c.1908", "w/e 14.11.08", "11.1909", "6.1911", "", "?"])
FIGURES = st.sampled_from(["95,154", "96,154", "87,177", "", "[illegible]", "110876"])
NUMBERS = st.sampled_from(["201", "202", "203", "208", '"', "", "999", "In stock"])


@st.composite
def spoilt(draw: st.DrawFn) -> tuple[Line, ...]:
    """The cards of both sides with any of a few lines written otherwise."""
    lines = [*OWN, *MIRROR]
    for place in draw(st.lists(st.integers(0, len(lines) - 1), max_size=3, unique=True)):
        line = lines[place]
        change = {"fitted": draw(DATES), "removed": draw(DATES), "miles": draw(FIGURES)}
        change["engine" if line.side == "component" else "component"] = draw(NUMBERS)
        lines[place] = replace(line, **{k: v for k, v in change.items() if draw(st.booleans())})
    return tuple(lines)


def text(evidence: Evidence) -> str:
    """The whole history, explained, as it would be written."""
    return json.dumps(reconcile(follow(evidence)).to_json(explained=True))


@settings(max_examples=40, deadline=None)
@given(spoilt(), st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(lines: tuple[Line, ...], rng: random.Random):
    """Lines, engines and designations may come in any order."""
    straight = railway(*lines)
    mixed = {
        name: tuple(rng.sample(getattr(straight, name), len(getattr(straight, name))))
        for name in ("lines", "engines", "components", "designations", "sources")
    }
    assert text(straight) == text(replace(straight, **mixed))


@settings(max_examples=40, deadline=None)
@given(spoilt())
def test_a_copy_of_a_copy_changes_no_fitment(lines: tuple[Line, ...]):
    """Where the first copy is there, one made from it says nothing new of dates, miles or engine."""
    firsts = [copied("S4", n, line) for n, line in enumerate(OWN[:2], 1)]
    seconds = [copied("S5", n, line) for n, line in enumerate(OWN[:2], 1)]
    once = reconcile(follow(railway(*lines, *firsts))).components[0]
    twice = reconcile(follow(railway(*lines, *firsts, *seconds))).components[0]
    for before, after in zip(once.fitments, twice.fitments, strict=True):
        assert (before.engine_id, before.fitted, before.removed) == (
            after.engine_id,
            after.fitted,
            after.removed,
        )
        assert (before.miles, before.confidence) == (after.miles, after.confidence)
    assert once.miles == twice.miles


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_a_true_line_that_agrees_never_makes_a_true_fitment_less_sure(data: st.DataObject):
    """One more paper that says what was, a card's line or a copy, takes no more than .005 from the rest.

    Every number is written out here: a ditto mark whose line above is missing says something else.
    """
    plain = [replace(line, engine="202") if line.engine == '"' else line for line in OWN]
    every = [*plain, *MIRROR, *(copied("S4", n, line) for n, line in enumerate(plain, 1))]
    added = data.draw(st.sampled_from(every))
    others = [line for line in every if line is not added]
    kept = data.draw(st.lists(st.sampled_from(others), min_size=1, unique_by=lambda line: line.line_id))
    lines = [line for line in every if line in kept]
    more = [line for line in every if line in kept or line is added]
    before, after = (reconcile(follow(railway(*some))).components[0].fitments for some in (lines, more))
    for fitment in after:
        if added.line_id in fitment.evidence:
            same = [f.confidence for f in before if set(f.evidence) <= set(fitment.evidence)]
            assert fitment.confidence >= max(same, default=0.0) - 0.005


def test_a_facing_line_makes_what_a_copy_says_no_less_sure():
    """The card survives and lacks the line; a copy of it shows that it was there once."""
    copy = copied("S4", 2, OWN[1])
    kept = [OWN[0], OWN[3], copy, MIRROR[3]]
    before, after = (
        next(f for f in reconcile(follow(railway(*lines))).components[0].fitments if "S4-2" in f.evidence)
        for lines in (kept, [*kept, MIRROR[1]])
    )
    assert after.evidence == ("S2-202-1", "S4-2")
    assert after.confidence >= before.confidence - 0.005


@settings(max_examples=30, deadline=None)
@given(
    spoilt(),
    st.sampled_from(["S1-51-2/miles", "S2-202-1/fitted", "S1-51-4/removed"]),
    st.sampled_from(["cell", "finding", "link"]),
)
def test_taking_a_decision_back_restores_the_very_same_history(lines: tuple[Line, ...], cell: str, kind: str):
    """But for the list of decisions that stand, nothing is left of it."""
    plain = railway(*lines)
    said = {"cell": "90,000", "finding": f"set aside {cell}", "link": "none"}[kind]
    target = "F0123456789" if kind == "finding" else cell
    common = {"reason": "a test", "by": "A. Reader", "at": "2026-01-01T00:00:00Z"}
    made = Decision(decision_id="D1", kind=kind, target=target, ruling=said, **common)
    back = Decision(decision_id="D2", kind="revoke", target="D1", ruling="", revokes="D1", **common)
    assert text(plain) == text(replace(plain, decisions=(made, back)))


@settings(max_examples=40, deadline=None)
@given(spoilt())
def test_every_number_is_in_its_range_and_names_a_line_that_is_there(lines: tuple[Line, ...]):
    """Probabilities lie within 0 to 1, spans start before they end, and what is cited exists."""
    known = {line.line_id for line in lines}
    for component in reconcile(follow(railway(*lines))).components:
        for fitment in component.fitments:
            assert 0 < fitment.confidence < 1
            assert set(fitment.evidence) <= known
            for when in (fitment.fitted, fitment.removed):
                assert when is None or when.earliest <= when.latest
        assert component.miles.low <= component.miles.high
        assert all(0 < cell.confidence < 1 and cell.line_id in known for cell in component.cells)
        assert all(set(finding.lines) <= known for finding in component.findings)
        counted = [f.miles.value for f in component.fitments if f.miles and f.miles.value is not None]
        assert component.miles.supported == sum(counted)
