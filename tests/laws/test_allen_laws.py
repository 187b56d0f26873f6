"""Laws of the interval algebra (Allen 1983)."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import spans

from numbertaker.evidence.allen import ORDER, canonical, compose, converse, relation
from numbertaker.evidence.days import Span

FEW = settings(max_examples=60, deadline=None)
RELATIONS = st.sets(st.sampled_from(ORDER)).map(canonical)


@FEW
@given(spans(), spans(), spans())
def test_the_thirteen_are_distinct_exhaustive_and_compose(one: Span, two: Span, three: Span) -> None:
    """Exactly one relation holds, its converse the other way, and composition never rules out what is so."""
    assert len(relation(one, two)) == 1
    assert relation(two, one) == converse(relation(one, two))
    assert relation(one, three) in compose(relation(one, two), relation(two, three))


@FEW
@given(RELATIONS, RELATIONS)
def test_the_converse_of_a_composition(one: str, two: str) -> None:
    """converse(r.s) = converse(s).converse(r), and the converse of a converse is the relation."""
    assert converse(compose(one, two)) == compose(converse(two), converse(one))
    assert converse(converse(one)) == one


@FEW
@given(RELATIONS, RELATIONS, RELATIONS)
def test_composition_is_associative(one: str, two: str, three: str) -> None:
    """It doesn't matter which two are composed first."""
    assert compose(compose(one, two), three) == compose(one, compose(two, three))


@FEW
@given(RELATIONS)
def test_equal_changes_nothing_and_a_contradiction_stays(one: str) -> None:
    """`e` is the identity on both sides; nothing follows from what can't be."""
    assert compose(one, "e") == one == compose("e", one)
    assert compose(one, "") == ""
