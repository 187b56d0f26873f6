"""The temporal network against its source's worked example, and against networkx and scipy.

R. Dechter, I. Meiri and J. Pearl, "Temporal constraint networks", Artificial Intelligence 49 (1991): John and
Fred go to work. Minutes after 7:00; x0 is 7:00, x1 John leaves, x2 he arrives, x3 Fred leaves, x4 he arrives.
"""

from __future__ import annotations

from itertools import combinations
from math import inf

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds as MilpBounds
from scipy.optimize import LinearConstraint, milp

from numbertaker.reconciling.network.conflicts import (
    lightest_correction,
    minimal_conflicts,
    minimal_corrections,
)
from numbertaker.reconciling.network.temporal import Bounds, Constraint, Network, between

JOHN = {"car": (30, 40), "bus": (60, None)}
FRED = {"car": (20, 30), "pool": (40, 50)}


def network(john: str, fred: str) -> Network[str, str]:
    """The example with one way of going for each; every single bound is a claim of its own."""
    said = [
        ("x0", "x1", (10, 20), "John leaves"),
        ("x1", "x2", JOHN[john], f"John's {john}"),
        ("x3", "x2", (10, 20), "John after Fred left"),
        ("x3", "x4", FRED[fred], f"Fred's {fred}"),
        ("x0", "x4", (60, 70), "Fred arrives"),
    ]
    constraints = []
    for one, other, (least, most), claim in said:
        constraints += between(one, other, least, None, f"{claim} >= {least}")
        if most is not None:
            constraints += between(one, other, None, most, f"{claim} <= {most}")
    return Network(constraints)


def minimal(john: str, fred: str) -> dict[str, tuple[float, float]]:
    """The minimal network, as intervals."""
    far = network(john, fred).minimal()
    return {f"{a}{b}": (-far[b, a], far[a, b]) for a, b in combinations(["x0", "x1", "x2", "x3", "x4"], 2)}


def test_the_minimal_network_of_the_worked_example():
    """Car and car pool: the intervals that the source prints."""
    assert minimal("car", "pool") == {
        "x0x1": (10, 20), "x0x2": (40, 50), "x0x3": (20, 30), "x0x4": (60, 70), "x1x2": (30, 40),
        "x1x3": (10, 20), "x1x4": (50, 60), "x2x3": (-20, -10), "x2x4": (20, 30), "x3x4": (40, 50),
    }  # fmt: skip


def test_the_shortest_paths_of_the_worked_example():
    """The whole table of shortest paths behind those intervals."""
    table = [
        [0, 20, 50, 30, 70], [-10, 0, 40, 20, 60], [-40, -30, 0, -10, 30], [-20, -10, 20, 0, 50],
        [-60, -50, -20, -40, 0],
    ]  # fmt: skip
    far = network("car", "pool").minimal()
    assert [[far[f"x{a}", f"x{b}"] for b in range(5)] for a in range(5)] == table


def test_the_other_cases_of_the_worked_example():
    """Two cars leave more room; bus and car leave a single scenario."""
    cars = minimal("car", "car")
    wanted = {"x0x2": (40, 60), "x0x3": (30, 50), "x1x3": (10, 30), "x1x4": (40, 60), "x2x4": (0, 20)}
    assert {key: cars[key] for key in wanted} == wanted
    bounds = network("bus", "car").bounds("x0")
    assert [bounds[f"x{n}"] for n in range(1, 5)] == [(10, 10), (70, 70), (50, 50), (70, 70)]


def test_the_inconsistent_case_has_one_conflict_and_five_corrections():
    """Bus and car pool miss by 20 minutes; the conflict has five members, and dropping any one mends it."""
    conflicts = minimal_conflicts(network("bus", "pool"))
    assert conflicts.complete
    (conflict,) = conflicts.found
    assert conflict.days == 20
    assert conflict.claims == {
        "John leaves >= 10",
        "John's bus >= 60",
        "John after Fred left <= 20",
        "Fred's pool >= 40",
        "Fred arrives <= 70",
    }
    assert set(minimal_corrections([conflict.claims])) == {frozenset({claim}) for claim in conflict.claims}


EVENTS = range(5)
Edges = list[tuple[int, int, int]]
edges = st.lists(
    st.tuples(st.sampled_from(EVENTS), st.sampled_from(EVENTS), st.integers(-8, 12)).filter(
        lambda e: e[0] != e[1]
    ),
    min_size=1,
    max_size=11,
)


def made(drawn: Edges) -> Network[int, int]:
    """A network in which every edge is a claim of its own."""
    return Network(Constraint(a, b, most, number) for number, (a, b, most) in enumerate(drawn))


def graph(drawn: Edges) -> nx.DiGraph:
    """The same for networkx: of parallel edges the shortest."""
    found = nx.DiGraph()
    for a, b, most in drawn:
        if not found.has_edge(a, b) or found[a][b]["weight"] > most:
            found.add_edge(a, b, weight=most)
    return found


@settings(max_examples=120, deadline=None)
@given(edges)
def test_consistency_and_bounds_are_those_of_networkx(drawn: Edges):
    """Bellman and Ford's negative cycles, and Floyd and Warshall's distances, as networkx has them."""
    ours, theirs = made(drawn), graph(drawn)
    assert ours.consistent != nx.negative_edge_cycle(theirs)
    if not ours.consistent:
        return
    table = nx.floyd_warshall(theirs)
    assert ours.minimal() == {(a, b): table[a][b] for a in ours.events for b in ours.events}
    origin = ours.events[0]
    lengths = nx.single_source_bellman_ford_path_length(theirs, origin)
    assert dict(ours.latest(origin)) == {event: lengths.get(event, inf) for event in ours.events}


@settings(max_examples=60, deadline=None)
@given(edges)
def test_bounds_that_grow_edge_by_edge_are_those_of_the_whole(drawn: Edges):
    """Taking in one constraint after another leads where the whole network leads."""
    whole = made(drawn)
    if not whole.consistent:
        return
    origin = whole.events[0]
    growing = Bounds(Network(whole.constraints[:1]), origin)
    for constraint in whole.constraints[1:]:
        growing.add(constraint)
    assert (growing.first, growing.last) == (dict(whole.earliest(origin)), dict(whole.latest(origin)))


def exhaustive(drawn: Edges) -> set[frozenset[int]]:
    """Every minimal conflict, by trying all sets of claims, smallest first."""
    found: set[frozenset[int]] = set()
    for size in range(1, len(drawn) + 1):
        for chosen in combinations(range(len(drawn)), size):
            claims = frozenset(chosen)
            if not any(known <= claims for known in found) and nx.negative_edge_cycle(
                graph([drawn[n] for n in chosen])
            ):
                found.add(claims)
    return found


@settings(max_examples=40, deadline=None)
@given(edges)
def test_minimal_conflicts_are_those_of_trying_everything(drawn: Edges):
    """On small networks all sets of claims can be tried."""
    conflicts = minimal_conflicts(made(drawn))
    assert conflicts.complete
    assert {conflict.claims for conflict in conflicts.found} == exhaustive(drawn)


@settings(max_examples=40, deadline=None)
@given(edges, st.lists(st.integers(1, 9), min_size=11, max_size=11))
def test_the_lightest_correction_is_that_of_an_integer_program(drawn: Edges, weights: list[int]):
    """HiGHS, by way of scipy, finds the same least weight among the sets that hit every conflict."""
    conflicts = [conflict.claims for conflict in minimal_conflicts(made(drawn)).found]
    chosen = lightest_correction(conflicts, lambda claim: weights[claim])
    assert made(drawn).without(chosen).consistent
    if not conflicts:
        assert chosen == frozenset()
        return
    rows = np.array([[float(n in claims) for n in range(len(drawn))] for claims in conflicts])
    solved = milp(
        np.array(weights[: len(drawn)], dtype=float),
        constraints=LinearConstraint(rows, lb=1, ub=inf),
        integrality=np.ones(len(drawn)),
        bounds=MilpBounds(0, 1),
    )
    assert sum(weights[claim] for claim in chosen) == pytest.approx(solved.fun)


def test_a_search_that_stops_early_says_so():
    """With many conflicts and a small allowance, what was found is given, and that it is not all."""
    pairs = [edge for n in range(6) for edge in ((f"a{n}", f"b{n}", -1.0), (f"b{n}", f"a{n}", 0.0))]
    tangled = Network(Constraint(a, b, most, f"{a}{b}") for a, b, most in pairs)
    conflicts = minimal_conflicts(tangled, networks=3)
    assert not conflicts.complete
    assert 0 < len(conflicts.found) < 6
