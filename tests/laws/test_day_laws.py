"""Laws of days and spans."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import ANY_DAYS, REGISTER_DAYS, spans

from numbertaker.evidence.days import Span, civil, day_of, from_iso, hull_of, iso, merged

FEW = settings(max_examples=60, deadline=None)


@FEW
@given(ANY_DAYS)
def test_a_day_survives_its_date_and_its_text(day: int) -> None:
    """Both ways there and back, on either side of what `datetime` can hold."""
    assert day_of(*civil(day)) == day
    assert from_iso(iso(day)) == day


@FEW
@given(ANY_DAYS)
def test_dates_follow_one_another(day: int) -> None:
    """The date of the next day is later, and by no more than a day's step."""
    assert civil(day) < civil(day + 1)
    assert civil(day + 146_097) == (civil(day)[0] + 400, *civil(day)[1:])


@FEW
@given(spans(), spans())
def test_intersection_and_hull_bound_each_other(one: Span, other: Span) -> None:
    """What both have lies in each, each lies in the hull, and neither depends on the order."""
    common = one.intersection(other)

    assert common == other.intersection(one)
    assert (common is not None) == one.intersects(other) == other.intersects(one)
    assert one.hull(other) == other.hull(one)
    assert one.hull(other).contains(one)
    if common is not None:
        assert one.contains(common)
        assert other.contains(common)


@FEW
@given(spans(), spans(), spans())
def test_a_further_constraint_never_widens(one: Span, two: Span, three: Span) -> None:
    """Intersecting again leaves at most what was there, and the order of constraints doesn't matter."""
    first = one.intersection(two)
    if first is None:
        return
    both = first.intersection(three)
    if both is not None:
        assert first.contains(both)
        rest = two.intersection(three)
        assert rest is not None
        assert one.intersection(rest) == both


@FEW
@given(st.lists(spans(), min_size=1, max_size=6), REGISTER_DAYS)
def test_merging_keeps_every_day_and_adds_none(found: list[Span], day: int) -> None:
    """The runs are ordered, never touch, and hold exactly the days that any of the spans holds."""
    runs = merged(found)

    assert any(run.contains(day) for run in runs) == any(span.contains(day) for span in found)
    assert merged(reversed(runs)) == runs
    assert hull_of(runs) == hull_of(found)
    for earlier, later in pairwise(runs):
        assert earlier.last is not None
        assert later.first is not None
        assert earlier.last + 1 < later.first
