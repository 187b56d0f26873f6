"""Match weights against published and recomputed figures.

Sources: I. Fellegi and A. Sunter, "A theory for record linkage", JASA 64 (1969), for the formulae; the topic
guide "The Fellegi-Sunter model" of the splink documentation for the worked sum (its page prints 9.48 for
9.47, its terms being rounded); the weight table of a vendor manual (docs.oracle.com, E19509-01/820-4000) for
m and u.
"""

from __future__ import annotations

import pytest

from numbertaker.evidence.errors import BadInput
from numbertaker.linking import match_weight, probability_of, weight_of


@pytest.mark.parametrize(
    ("m", "u", "agree", "disagree"),
    [
        (0.996, 0.004, 7.960, -7.960),
        (0.97, 0.007, 7.114, -5.049),
        (0.97, 0.03, 5.015, -5.015),
        (0.999, 0.001, 9.964, -9.964),
        (0.98, 0.005, 7.615, -5.637),
    ],
)
def test_weights_of_agreement_and_disagreement(m: float, u: float, agree: float, disagree: float):
    """log2(m/u) and log2((1-m)/(1-u)), to three places."""
    assert match_weight(m, u) == pytest.approx(agree, abs=5e-4)
    assert match_weight(m, u, agrees=False) == pytest.approx(disagree, abs=5e-4)


@pytest.mark.parametrize(
    ("weight", "probability"), [(0, 0.5), (2, 0.8), (3, 0.8889), (4, 0.9412), (7, 0.9922)]
)
def test_a_weight_as_a_probability_and_back(weight: float, probability: float):
    """2^M / (1 + 2^M), and its inverse."""
    assert probability_of(weight) == pytest.approx(probability, abs=5e-5)
    assert weight_of(probability_of(weight)) == pytest.approx(weight)


def test_the_worked_sum():
    """Prior and five weights give 9.47, that is .99859."""
    total = -6.67 + 4.74 + 6.49 - 1.97 - 1.12 + 8.00
    assert total == pytest.approx(9.47)
    assert probability_of(total) == pytest.approx(0.99859, abs=5e-6)


@pytest.mark.parametrize(("m", "u"), [(0, 0.5), (1, 0.5), (0.5, 0), (0.5, 1)])
def test_shares_of_nothing_or_all_are_refused(m: float, u: float):
    """No weight is infinite."""
    with pytest.raises(BadInput):
        match_weight(m, u)
