"""Laws of the temporal network, whatever is drawn."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from numbertaker.reconciling.network.conflicts import minimal_conflicts, minimal_corrections
from numbertaker.reconciling.network.temporal import Constraint, Network

EVENTS = range(6)
bound = st.builds(
    Constraint, st.sampled_from(EVENTS), st.sampled_from(EVENTS), st.integers(-6, 12), st.integers(0, 99)
).filter(lambda c: c.one != c.other)
bounds = st.lists(bound, min_size=1, max_size=12)


@settings(max_examples=150, deadline=None)
@given(bounds, bound)
def test_a_further_bound_never_widens_an_interval(drawn, further):
    """While the network is consistent, every interval is the same or narrower for one bound more."""
    before, after = Network(drawn), Network([*drawn, further])
    if not after.consistent or 0 not in before.events:
        return
    wide, narrow = before.bounds(0), after.bounds(0)
    for event in before.events:
        assert wide[event][0] <= narrow[event][0] <= narrow[event][1] <= wide[event][1]


@settings(max_examples=60, deadline=None)
@given(bounds, st.randoms(use_true_random=False))
def test_the_order_of_constraints_does_not_matter(drawn, chance):
    """The same bounds and the same conflicts in whatever order the constraints come."""
    mixed = list(drawn)
    chance.shuffle(mixed)
    one, other = Network(drawn), Network(mixed)
    assert one.consistent == other.consistent
    assert one.consistent is False or one.minimal() == other.minimal()
    sets = [{c.claims for c in minimal_conflicts(network).found} for network in (one, other)]
    assert sets[0] == sets[1]


@settings(max_examples=60, deadline=None)
@given(bounds)
def test_conflicts_are_minimal_and_corrections_mend(drawn):
    """Less any one member a conflict is none; less any correction the whole is consistent; each cycle is
    simple.
    """
    network = Network(drawn)
    conflicts = minimal_conflicts(network).found
    for conflict in conflicts:
        members = Network(c for c in drawn if c.claim in conflict.claims)
        assert conflict.days > 0
        assert not members.consistent
        assert all(members.without([claim]).consistent for claim in conflict.claims)
        starts = [constraint.one for constraint in conflict.cycle]
        assert len(starts) == len(set(starts))
    for correction in minimal_corrections([conflict.claims for conflict in conflicts]):
        assert network.without(correction).consistent
