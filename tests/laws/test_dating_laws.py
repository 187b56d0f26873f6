"""Laws of dating: shares, intervals, and the two sides of a fitment as mirrors of each other."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from tests.railways import MIRROR, OWN, railway

from numbertaker.evidence.days import Day, day_of
from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import CellKey
from numbertaker.reconciling import settled
from numbertaker.reconciling.dating.regions import Regions, interval, mass_in
from numbertaker.reconciling.dating.slips import ways
from numbertaker.reconciling.entries import DateClaim, Posterior
from numbertaker.reconciling.learning.learnt import SHIPPED

LOW, HIGH = day_of(1900, 1, 1), day_of(1925, 12, 31)
texts = st.one_of(
    st.builds("{}.{}.{}".format, st.integers(1, 28), st.integers(1, 12), st.integers(1907, 1912)),
    st.builds("{}.{}".format, st.integers(1, 12), st.integers(1907, 1912)),
    st.integers(1907, 1912).map(str),
)
spans = st.tuples(st.integers(LOW + 4000, HIGH - 3000), st.sampled_from([1, 7, 30, 365])).map(
    lambda drawn: (drawn[0], drawn[0] + drawn[1] - 1)
)


def posterior(*said: tuple[Day, Day]) -> Posterior:
    """What claims of one event make of it, with nothing around it."""
    claims = [DateClaim(CellKey(str(n), "fitted"), "", "", (span,), 0.02) for n, span in enumerate(said)]
    told = [ways(claim, claim.slip, SHIPPED.date_shapes, 260.0) for claim in claims]
    regions = Regions(told, (), LOW, HIGH)
    return regions.posterior(regions.claims)


@settings(max_examples=60, deadline=None)
@given(st.lists(spans, min_size=1, max_size=4), st.sampled_from([0.5, 0.8, 0.95]))
def test_shares_are_of_one_whole_and_the_interval_holds_its_level(said: list[tuple[Day, Day]], level: float):
    """Whatever is told, the shares add up to one, and the interval holds what it promises."""
    found = posterior(*said)
    first, last = interval(found, level)
    assert abs(sum(p for _, _, p in found) - 1) < 1e-4
    assert all(a <= b for a, b, _ in found)
    assert mass_in(found, ((first, last),)) >= level - 1e-4


@settings(max_examples=60, deadline=None)
@given(st.lists(spans, min_size=1, max_size=3), st.data())
def test_saying_it_again_never_makes_it_less_likely(said: list[tuple[Day, Day]], data: st.DataObject):
    """A further independent claim of the same days raises what they have, whatever the others say."""
    again = data.draw(st.sampled_from(said))
    assert mass_in(posterior(*said, again), (again,)) >= mass_in(posterior(*said), (again,)) - 1e-6


@settings(max_examples=40, deadline=None)
@given(texts, texts)
@example("12.1909", "1909")  # after its own removal: a line that runs backwards bears out no other
def test_the_two_sides_of_a_fitment_are_mirrors(one: str, other: str):
    """What either card says weighs the same: exchange it between the cards, and the days are the same."""
    pairs = []
    for mine, facing in ((one, other), (other, one)):
        lines = (OWN[0], replace(OWN[1], fitted=mine), *OWN[2:], MIRROR[0], replace(MIRROR[1], fitted=facing))
        stays = settled(follow(railway(*lines, *MIRROR[2:]))).stays
        stay = next(s for s in stays if s.own is not None and s.own.id == "S1-51-2")
        assume(stay.mirror is not None and stay.mirror.id == "S2-202-1")
        known = stay.dates["fitted"]
        pairs.append({(a, b): p for a, b, p in known.regions})
    # How sure the two lines belong together hangs a little on the dates, and so does what neighbours say.
    one_way, other_way = pairs
    differences = [abs(one_way.get(run, 0) - other_way.get(run, 0)) for run in {*one_way, *other_way}]
    assert max(differences) < 0.01
