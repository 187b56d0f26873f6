"""The Brier score taken apart, after A. Murphy, J. Applied Meteorology 12 (1973), 595-600.

The check values were worked out by hand from the definitions in that paper and in G. Brier, Monthly Weather
Review 78 (1950); those of the calibration error from M. Naeini and others, AAAI 2015.
"""

from __future__ import annotations

import sys
from dataclasses import astuple
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts" / "bench_parts"))

from measuring.brier import parts

GIVEN = [0.1] * 5 + [0.4] * 5 + [0.8] * 10
CAME = [True] + [False] * 4 + [True] * 2 + [False] * 3 + [True] * 8 + [False] * 2


def test_the_worked_example() -> None:
    """5 forecasts of .1 (1 true), 5 of .4 (2 true), 10 of .8 (8 true)."""
    found = parts(GIVEN, CAME)
    assert astuple(found) == pytest.approx(
        (0.1825, 0.0025, 0.0675, 0.2475, 0.025, 0.1, 0.262626, 0.554655), abs=5e-7
    )


@given(st.lists(st.tuples(st.sampled_from([0.05, 0.2, 0.5, 0.9, 0.99]), st.booleans()), min_size=1))
def test_the_parts_add_up(pairs: list[tuple[float, bool]]) -> None:
    """Score = reliability - resolution + uncertainty, whatever is given and comes."""
    found = parts([p for p, _ in pairs], [came for _, came in pairs])
    assert found.score == pytest.approx(found.reliability - found.resolution + found.uncertainty)
    assert found.score == pytest.approx(sum((p - came) ** 2 for p, came in pairs) / len(pairs))


def test_the_mean_alone_has_no_skill() -> None:
    """Whoever always gives the share that comes is reliable and tells nothing."""
    found = parts([0.75] * 4, [True, True, True, False])
    assert (found.reliability, found.resolution, found.skill) == pytest.approx((0, 0, 0))


def test_nothing_given_is_refused() -> None:
    """A score of no forecasts is no number."""
    with pytest.raises(ValueError, match="no probabilities"):
        parts([], [])
