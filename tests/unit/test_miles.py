"""The miles of a card judged as one column, of a component as one sum."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.railways import MIRROR, OWN, copied, own, railway

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import CellKey, Line
from numbertaker.reconciling import DEFAULT, SHIPPED, reconcile, settled
from numbertaker.reconciling.assembly import assemble
from numbertaker.reconciling.history import ComponentHistory
from numbertaker.reconciling.miles.mixture import Mixture, Part, either, point
from numbertaker.reconciling.miles.slips import Slips, cast

TOTALS = ("95,154", "182,331", "252,840", "363,716")
TOTALLED = tuple(replace(line, total_miles=total) for line, total in zip(OWN, TOTALS, strict=True))


class Told:
    """Boiler 51 with these lines: its history, and what the columns make of single cells."""

    def __init__(self, *lines: Line) -> None:
        """Reconcile them."""
        self.draft = settled(follow(railway(*lines)), DEFAULT, SHIPPED)
        self.history: ComponentHistory = assemble(self.draft).components[0]
        self.fitments, self.miles = self.history.fitments, self.history.miles
        self.cells, self.findings = self.history.cells, self.history.findings


def component(*lines: Line) -> Told:
    """Boiler 51 with these lines."""
    return Told(*lines)


def sure(told: Told, line_id: str, field: str) -> float:
    """How sure the figures and totals together make a cell."""
    entry = next(e for e in told.draft.entries if e.id == line_id)
    if field == "total_miles":
        return entry.total_right
    return entry.stay.figures.get(entry.miles.value, 0.0)


def kinds(history: Told | ComponentHistory) -> list[str]:
    """The kinds of what was found."""
    return sorted(f.kind for f in history.findings)


def test_a_column_that_adds_up_is_sure_line_by_line():
    """Figures and totals bear each other out, and the sum of all is known to the mile."""
    told = component(*TOTALLED)
    fields = [(f"S1-51-{n}", field) for n in (1, 2, 3, 4) for field in ("miles", "total_miles")]
    assert min(sure(told, *cell) for cell in fields) > 0.999
    assert (told.miles.supported, told.miles.low, told.miles.high) == (363_716, 363_716, 363_716)


def test_a_true_figure_below_a_lost_line_keeps_its_confidence():
    """The total rises by more than the line ran, since a line above it is lost: all that stands is right."""
    told = component(TOTALLED[0], TOTALLED[1], TOTALLED[3])
    assert sure(told, "S1-51-4", "miles") > 0.95
    assert sure(told, "S1-51-4", "total_miles") > 0.95
    # And the sum knows of the miles of the lost line.
    assert told.miles.low <= 363_716 <= told.miles.high
    assert told.miles.supported == 363_716 - 70_509


def test_a_digit_that_the_totals_contradict_is_the_first_suspect():
    """Without any other card, 81,177 for 87,177 is found from the totals, and put right."""
    told = component(TOTALLED[0], replace(TOTALLED[1], miles="81,177"), *TOTALLED[2:])
    assert sure(told, "S1-51-2", "miles") < 0.05
    assert min(sure(told, f"S1-51-{n}", "total_miles") for n in (1, 2, 3, 4)) > 0.95
    assert (told.fitments[1].miles.value, told.fitments[1].miles.basis) == (87_177, "derived")
    assert kinds(told) == ["total-mismatch"]


def test_one_wrong_total_is_wrong_by_itself():
    """The totals below go on without it, so it is this one, and the figures stand."""
    wrong = replace(TOTALLED[1], total_miles="183,331")
    told = component(TOTALLED[0], wrong, *TOTALLED[2:])
    assert sure(told, "S1-51-2", "total_miles") < 0.05
    assert min(sure(told, f"S1-51-{n}", "miles") for n in (1, 2, 3, 4)) > 0.95
    assert kinds(told) == ["total-mismatch"]
    assert "The totals below go on as if it were another figure." in told.findings[0].message


def test_a_slip_that_is_carried_forward_makes_every_later_total_wrong_and_one_finding():
    """From the second line on all totals are 10,000 too much; the sum is not."""
    off = ("95,154", "192,331", "262,840", "373,716")
    lines = [replace(line, total_miles=total) for line, total in zip(OWN, off, strict=True)]
    told = component(*lines, *MIRROR)
    assert sure(told, "S1-51-1", "total_miles") > 0.95
    assert max(sure(told, f"S1-51-{n}", "total_miles") for n in (2, 3, 4)) < 0.1
    assert kinds(told) == ["total-mismatch"]
    assert (told.miles.low, told.miles.high) == (363_716, 363_716)


def test_the_total_at_the_foot_finds_the_one_line_that_lacks_a_figure():
    """A card with a blank and a sum below it gives the blank."""
    foot = replace(own(5, "", "", ""), says="total", total_miles="363,716")
    told = component(OWN[0], replace(OWN[1], miles=""), *OWN[2:], foot)
    assert (told.fitments[1].miles.value, told.fitments[1].miles.basis) == (87_177, "derived")


def test_the_total_at_the_foot_finds_the_one_line_that_one_digit_puts_right():
    """Of all lines only one is a look-alike digit away from what the sum wants."""
    foot = replace(own(5, "", "", ""), says="total", total_miles="363,716")
    told = component(OWN[0], replace(OWN[1], miles="87,171"), *OWN[2:], foot)
    assert told.fitments[1].miles.value == 87_177
    assert sure(told, "S1-51-2", "miles") < 0.45


def test_a_fitment_that_only_the_facing_card_has_is_counted_where_the_total_counts_it():
    """The engine's card has the lost line, and the running total bears it out."""
    told = component(TOTALLED[0], replace(TOTALLED[2], engine="202"), TOTALLED[3], *MIRROR)
    assert sure(told, "S2-202-1", "miles") > 0.99
    assert min(sure(told, f"S1-51-{n}", "total_miles") for n in (1, 3, 4)) > 0.95
    assert (told.miles.low, told.miles.high) == (363_716, 363_716)
    assert kinds(told) == ["one-sided"]


def test_a_total_may_go_on_from_an_earlier_card():
    """A continuation card's first total counts what ran before it: nothing is wrong."""
    later = [replace(line, total_miles=total) for line, total in zip(OWN[2:], TOTALS[2:], strict=True)]
    later[0] = replace(later[0], engine="202")
    told = component(*(replace(line, card_id="S1-51b") for line in later), *OWN[:2])
    assert min(sure(told, line.line_id, "total_miles") for line in later) > 0.95
    assert kinds(told) == []


def test_several_lines_without_figures_share_what_their_total_leaves():
    """Two estimates are adjusted to their sum, and the test value stands among the reasons of the total."""
    told = component(replace(OWN[0], miles=""), replace(TOTALLED[1], miles=""), *TOTALLED[2:])
    one, two = told.fitments[0].miles, told.fitments[1].miles
    assert (one.basis, two.basis, one.value, two.value) == ("estimated", "estimated", None, None)
    assert (one.low + one.high + two.low + two.high) / 2 == pytest.approx(182_331, abs=2)
    total = next(c for c in told.cells if (c.line_id, c.field) == ("S1-51-2", "total_miles"))
    assert "chi-square" in [*total.reasons][-1].says


def test_a_copy_speaks_for_a_lost_original_and_against_a_misreading_only():
    """A list that repeats a figure says that it was read rightly; one whose card is lost is all there is."""
    wrong = replace(OWN[1], miles="82,177")
    alone = component(OWN[0], wrong, *OWN[2:], *MIRROR)
    repeated = component(OWN[0], wrong, *OWN[2:], *MIRROR, copied("S4", 1, wrong))
    assert sure(repeated, "S1-51-2", "miles") < 0.75
    assert sure(repeated, "S1-51-2", "miles") > sure(alone, "S1-51-2", "miles")
    lost = component(copied("S4", 1, OWN[1]), *MIRROR)
    assert sure(lost, "S4-1", "miles") > 0.99


def test_a_line_entered_twice_counts_once_in_the_sum():
    """The miles of one fitment are not run twice."""
    again = replace(own(3, "202", "4.1907", "11.1909", "87,177"), total_miles="182,331")
    lower = [
        replace(line, line_id=f"S1-51-{n}", row_=str(n), engine="202" if n == 4 else "203")
        for n, line in ((4, TOTALLED[2]), (5, TOTALLED[3]))
    ]
    told = component(TOTALLED[0], TOTALLED[1], again, *lower)
    assert (told.miles.low, told.miles.high) == (363_716, 363_716)


def test_years_of_silence_may_hide_a_fitment():
    """The range of the whole reaches up by what seven years might hide, and starts at what is supported."""
    late = own(4, "203", "3.1919", "6.1922", "110,876")
    told = component(*OWN[:3], late)
    assert told.miles.low <= told.miles.supported
    assert told.miles.high > told.miles.supported + 100_000


def test_a_date_that_is_most_likely_wrong_takes_no_miles_out_of_the_sum():
    """A wrong year makes one fitment seem to lie over others; the facing card and the order put it right, and
    all four ran what is written.
    """
    wrong = own(4, "203", "3.1906", "6.1915", "110,876")
    told = component(*OWN[:3], wrong, *MIRROR)
    assert (told.miles.low, told.miles.high) == (363_716, 363_716) == 2 * (told.miles.supported,)


def test_a_ruling_that_a_total_is_wrong_takes_it_out_of_the_column():
    """What is set aside speaks neither for nor against the lines around it."""
    ruled = follow(railway(TOTALLED[0], replace(TOTALLED[1], total_miles="183,331"), *TOTALLED[2:]))
    told = reconcile(replace(ruled, set_aside=frozenset({CellKey("S1-51-2", "total_miles")}))).components[0]
    assert kinds(told) == []
    assert next(c.used for c in told.cells if (c.line_id, c.field) == ("S1-51-3", "total_miles"))


def test_the_shares_of_slips_are_a_distribution():
    """What one digit is taken for adds up to no more than how often a digit is the fault."""
    slips = Slips(SHIPPED)
    ones = sum(slips.digit(a, b, 5) for a in "8" for b in "0123456789" if a != b) * 5
    assert ones < 1.5 * SHIPPED.figure_shapes["digit"].share
    assert slips.share(82_177, 87_177) == slips.share(87_177, 82_177)
    assert slips.share(61_204, 62_104) > 50 * slips.share(61_204, 65_804)


def test_a_sum_is_cast_wrongly_in_one_column():
    """A one that was not carried is the commonest, an odd difference hardly happens."""
    assert cast(1000) == cast(-10) > cast(9000) > cast(300) > cast(1234)


def test_a_mixture_adds_up_and_gives_the_narrowest_interval():
    """Two coins of 0 or 10 make 0, 10 and 20; what is surer than the level is a point."""
    coin = Mixture((Part(0.5, 0.0), Part(0.5, 10.0)))
    both = coin.plus(coin)
    assert sorted((part.mean, part.share) for part in both.parts) == [(0.0, 0.25), (10.0, 0.5), (20.0, 0.25)]
    assert both.interval(0.75) == (0, 10)
    assert either([(0.96, point(500)), (0.04, point(0))]).interval(0.95) == (500, 500)
    normal = Mixture((Part(1.0, 1000.0, 100.0**2),))
    assert normal.interval(0.95) == pytest.approx((804, 1196), abs=4)
