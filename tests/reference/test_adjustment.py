"""Weighted adjustment against the heat-exchanger example of S. Narasimhan and C. Jordache, "Data
Reconciliation and Gross Error Detection" (2000; figures from memory, every derived number recomputed), and
small numbers.
"""

from __future__ import annotations

import pytest

from numbertaker.reconciling.adjustment import adjust, chi_square_above, critical

# A heat exchanger with a bypass: stream 1 splits into 2 and 3, 2 goes on as 4, 3 as 5, and these join as 6.
NODES = [
    [1, -1, -1, 0, 0, 0],
    [0, 1, 0, -1, 0, 0],
    [0, 0, 1, 0, -1, 0],
    [0, 0, 0, 1, 1, -1],
]
MEASURED = [101.91, 64.45, 34.65, 64.20, 36.44, 98.88]
WITH_GROSS_ERROR = [101.91, 68.45, 34.65, 64.20, 36.44, 98.88]


def test_right_measurements_are_adjusted_and_accepted():
    """Reconciled 100.22, 64.50, 35.72, 64.50, 35.72, 100.22; 6.407 is under 9.488 on four degrees."""
    told = adjust(MEASURED, [1] * 6, NODES)
    assert [round(x, 2) for x in told.values] == [100.22, 64.50, 35.72, 64.50, 35.72, 100.22]
    assert (round(told.chi_square, 3), told.degrees) == (6.407, 4)
    assert [round(z, 3) for z in told.tests] == [2.070, 0.061, 1.310, 0.367, 0.882, 1.641]
    assert told.probability > 0.05
    assert told.suspects() == ()


def test_a_gross_error_is_rejected_and_its_stream_named():
    """With 4 more on stream 2 the global test is 16.674, and only stream 2 exceeds 2.631."""
    told = adjust(WITH_GROSS_ERROR, [1] * 6, NODES)
    assert [round(x, 2) for x in told.values] == [100.89, 65.83, 35.05, 65.83, 35.05, 100.89]
    assert round(told.chi_square, 3) == 16.674
    assert [round(z, 3) for z in told.tests] == [1.253, 3.205, 0.494, 2.000, 1.698, 2.458]
    assert told.probability < 0.05
    assert told.suspects() == (1,)


def test_the_critical_values_of_sidak():
    """For a level of .05: 2.631 with six tests, 2.491 with four."""
    assert (round(critical(0.05, 6), 3), round(critical(0.05, 4), 3)) == (2.631, 2.491)


def test_two_readings_of_one_thing():
    """47,200 (500 either way) and 48,000 (1,000) make 47,360 (447.21); chi-square is .512 on one degree."""
    told = adjust([47_200, 48_000], [500, 1_000], [[1, -1]])
    assert [round(x, 2) for x in told.values] == [47_360, 47_360]
    assert round(told.spreads[0], 2) == 447.21
    assert (round(told.chi_square, 3), told.degrees) == (0.512, 1)


def test_equally_uncertain_flows_move_by_the_same():
    """Of two unequal flows that should be one, each moves by 5; the less certain one moves more."""
    assert adjust([100, 110], [2, 2], [[1, -1]]).values == pytest.approx((105, 105))
    assert adjust([100, 110], [1, 3], [[1, -1]]).values == pytest.approx((101, 101))


def test_what_no_balance_holds_can_not_be_checked():
    """It stays as it is, and has no statistic."""
    told = adjust([10, 10, 7], [1, 1, 1], [[1, -1, 0]])
    assert told.tests[2] is None
    assert (told.values[2], told.spreads[2]) == (7, 1)


def test_parallel_streams_can_not_be_told_apart():
    """Two streams between the same nodes have equal statistics, and are named together."""
    told = adjust([100, 40, 70], [1, 1, 1], [[1, -1, -1]])
    assert told.tests[1] == pytest.approx(told.tests[2])
    assert told.alike == ((0, 1, 2),)


def test_a_balance_that_follows_from_others_counts_once():
    """The balance round the whole exchanger adds no degree of freedom."""
    whole = [1, 0, 0, 0, 0, -1]
    assert adjust(MEASURED, [1] * 6, [*NODES, whole]).degrees == 4


@pytest.mark.parametrize(("value", "degrees"), [(3.841, 1), (5.991, 2), (7.815, 3), (9.488, 4), (18.307, 10)])
def test_the_five_per_cent_points_of_chi_square(value: float, degrees: int):
    """Those of every handbook table."""
    assert chi_square_above(value, degrees) == pytest.approx(0.05, abs=2e-5)


def test_a_balance_of_another_length_is_refused():
    """The message says how many coefficients are wanted."""
    with pytest.raises(ValueError, match="2 coefficients"):
        adjust([1, 2], [1, 1], [[1, -1, 0]])
