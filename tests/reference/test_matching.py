"""Choices that are jointly best, held to HiGHS as scipy offers it, on small cases made by chance."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from numbertaker.reconciling.matching import Edge, jointly_best


def by_highs(edges: Sequence[Edge]) -> float:
    """The most that can be had, by a mixed integer program: nobody in two pairs."""
    ends = sorted({(True, e.one) for e in edges} | {(False, e.other) for e in edges})
    rows = np.array([[float(end in {(True, e.one), (False, e.other)}) for e in edges] for end in ends])
    found = milp(
        [-e.weight for e in edges],
        constraints=LinearConstraint(rows, -np.inf, 1),
        integrality=np.ones(len(edges)),
        bounds=Bounds(0, 1),
    )
    return -float(found.fun)


@pytest.mark.parametrize("seed", range(60))
def test_no_other_choice_has_more_weight(seed: int):
    """Few edges are tried one by one, many are assigned: either way HiGHS finds nothing better."""
    rng = Random(seed)
    side, share = rng.choice([(3, 0.7), (4, 0.5), (6, 0.3), (7, 0.6), (9, 0.4)])
    edges = [
        Edge(round(rng.uniform(-5, 30), 2), one, other)
        for one in range(side)
        for other in range(side)
        if rng.random() < share
    ] or [Edge(1.0, 0, 0)]
    chosen = jointly_best(edges)
    assert len({e.one for e in chosen}) == len({e.other for e in chosen}) == len(chosen)
    assert sum(e.weight for e in chosen) == pytest.approx(by_highs(edges))


def test_what_costs_more_than_staying_alone_is_not_paired():
    """A weight below 0 is worse than leaving both alone."""
    assert jointly_best([Edge(-0.5, 0, 0)]) == []


def test_the_order_of_edges_is_nothing():
    """The same pairs come out whichever way they were found, on either side of the size that is tried."""
    rng = Random(7)
    for side in (3, 8):
        edges = [Edge(rng.uniform(1, 20), one, other) for one in range(side) for other in range(side)]
        straight = jointly_best(edges)
        rng.shuffle(edges)
        assert jointly_best(edges) == straight
