"""The numbers of the maths page, worked out by hand there and held to the program here."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log, log2, sqrt
from pathlib import Path

import pytest
from tests.railways import MIRROR, OWN, own, railway

from numbertaker.evidence.days import from_iso
from numbertaker.evidence.decisions import follow
from numbertaker.evidence.designations import read_number
from numbertaker.linking import Index, link_candidates, probability_of
from numbertaker.linking.similarity import slip_share
from numbertaker.reading.hands import LookedOver, learn_hand, propose_by_hand
from numbertaker.reading.values import CellReading
from numbertaker.reconciling import SHIPPED, reconcile, settled
from numbertaker.reconciling.cells import stated_of
from numbertaker.reconciling.dating.laws import UNKNOWN, between_stays
from numbertaker.reconciling.dating.slips import ways
from numbertaker.reconciling.entries import DateClaim
from numbertaker.reconciling.leads.gaps import lasts, lay
from numbertaker.reconciling.miles.column import CARRIED
from numbertaker.reconciling.miles.rungs import lost_in
from numbertaker.reconciling.miles.slips import Slips, cast
from numbertaker.reconciling.network.conflicts import one_conflict
from numbertaker.reconciling.network.temporal import Network, between
from numbertaker.reconciling.odds import date_weight, dates_weight, miles_weight, reference_weight
from numbertaker.reconciling.pairing import references
from numbertaker.reconciling.weighing import WEIGHTS
from numbertaker.reconciling.weighing.conflicts import Conflicts
from numbertaker.reconciling.weighing.terms import FARTHEST

SPAN = (from_iso("1912-03-01"), from_iso("1915-06-30"))


def cells(*lines):
    """The cells of boiler 51 by their names."""
    component = reconcile(follow(railway(*lines))).components[0]
    return {str(cell.key): cell for cell in component.cells}


def test_what_corrections_teach():
    """Section 1: a 7 read as 1 in 3 of 9 cells moves a text by 4.0, to .96; a sure reading stays."""
    read = [("12,104", "72,104"), ("1,188", "7,188"), ("33,140", "33,740")]
    right = [f"{n},705" for n in range(20, 26)]
    pairs = (*read, *zip(right, right, strict=True))
    hand = learn_hand(LookedOver("miles", one, true) for one, true in pairs)
    assert round(log((3 + 4 * 0.004) / 13 / 0.004), 2) == 4.06
    assert hand.shift("7", "1") == 4.0
    doubtful = CellReading("12,350", 0.62, (0, 0, 1, 1), (("72,350", 0.3),))
    told = propose_by_hand(doubtful, "miles", hand)
    assert told is not None
    assert (told.text, round(told.confidence, 2)) == ("72,350", 0.96)
    sure = replace(doubtful, confidence=0.985, alternatives=(("72,350", 0.004),))
    assert propose_by_hand(sure, "miles", hand) is None


def test_a_number_that_one_engine_bore():
    """Section 3: 4.03 + 1.54 + .97, which is .989."""
    found = link_candidates(Index(railway()), read_number("203"), "engine", *SPAN)
    top = found.bearers[0]
    assert [row.weight for row in top.reasons] == pytest.approx(
        [log2(0.98 / 3 / 0.02), log2(0.97 * 3), log2(0.98 / 0.5)]
    )
    assert [round(row.weight, 2) for row in top.reasons] == [4.03, 1.54, 0.97]
    assert round(found.probability(top), 3) == 0.989


def test_a_number_that_nobody_bore_stays_open():
    """Section 3: look-alikes share what nobody does not take."""
    found = link_candidates(Index(railway()), read_number("208"), "engine").candidates()
    assert slip_share("203", "208") == pytest.approx(0.27 / 3)
    assert round(found[-1].probability, 2) == 0.65


def date(first: str, last: str) -> DateClaim:
    """A claim between two days."""
    return DateClaim(key=None, text="", edtf="", spans=((from_iso(first), from_iso(last)),), slip=0.02)  # type: ignore[arg-type]


def test_the_weight_of_two_dates():
    """Section 4: two months, two days, two years, and two that are far apart."""
    month, day = date("1910-01-01", "1910-01-30"), date("1910-01-01", "1910-01-01")
    year = date("1910-01-01", "1910-12-31")
    weights = [date_weight(claim, claim) for claim in (month, day, year)]
    assert [round(weight, 1) for weight in weights] == [5.6, 7.5, 2.4]
    assert date_weight(day, date("1910-04-11", "1910-04-11")) == pytest.approx(-5.8)


def test_the_weight_of_a_pair():
    """Section 4: 30.07 in common, 4.61 for chance, and twice 4.06 that a line is lost: 33.57."""
    draft = settled(follow(railway(*OWN, *MIRROR)))
    stay = next(s for s in draft.stays if s.own is not None and s.own.id == "S1-51-2")
    own_line, facing = stay.own, stay.mirror
    assert own_line is not None
    assert facing is not None
    parts = [
        reference_weight(own_line, references(draft, own_line, "engine"), "E2", 3),
        reference_weight(facing, references(draft, facing, "component"), "B1", 2),
        dates_weight(own_line, facing),
        miles_weight(own_line.miles, facing.miles),
    ]
    assert [round(part, 2) for part in parts] == [2.53, 1.94, 11.2, 14.4]
    assert stay.score == pytest.approx(sum(parts) - log2(10 * sqrt(6)) - 2 * log2(0.06))
    assert round(stay.score, 2) == 33.57


def test_the_weight_of_a_date_that_is_years_off():
    """Section 4: ten years are one digit, six and a half are not."""
    day = date("1910-01-01", "1910-01-01")
    assert date_weight(day, date("1920-01-01", "1920-01-01")) == -6.5
    assert date_weight(day, date("1916-07-01", "1916-07-01")) == pytest.approx(-8.7 - 2373 / 350, abs=0.01)


def terms(*lines):
    """The terms of boiler 51's cells by their names, before any weight."""
    draft = settled(follow(railway(*lines)))
    conflicts = Conflicts(finding for finding, _ in draft.findings.values())
    told = (s for e in draft.entries for s in stated_of(draft, e, True, conflicts))
    return {str(s.key): {term.name: term.value for term in s.terms} for s in told}


def test_two_removals_that_only_order_can_tell_apart():
    """Section 6: near a tie by the claims, until the next fitment is known."""
    lines = (OWN[0], own(2, "202", "4.1907", "11.1910", "87,177"), *OWN[2:], *MIRROR)
    wrong, found = terms(*lines)["S1-51-2/removed"], cells(*lines)
    so_far = wrong["read"] + wrong["agreement of dates"]
    assert probability_of(wrong["read"]) == pytest.approx(0.98)
    assert abs(so_far) < 0.5
    assert so_far + wrong["order of dates"] < -5
    assert found["S1-51-2/removed"].confidence < 0.05
    assert found["S2-202-1/removed"].confidence > 0.9


def test_the_days_that_a_wrong_month_may_mean():
    """Section 6: .98 on its own days, .00304 a year off, .00182 a month off."""
    text = date("1910-11-01", "1910-11-30")
    near = {(a, b): weight for a, b, weight in ways(text, 0.02, SHIPPED.date_shapes, 260.0).near}
    months = [("1910-11-01", "1910-11-30"), ("1909-11-01", "1909-11-30"), ("1910-10-01", "1910-10-31")]
    weights = [near[from_iso(first), from_iso(last)] for first, last in months]
    assert weights == pytest.approx([0.98, 0.00304, 0.00182])


def test_a_removal_between_two_novembers():
    """Section 6: .4997 each by the claims, .9992 for 1909 by the order; factors of .00203 and .000000125."""
    lines = (OWN[0], own(2, "202", "4.1907", "11.1910", "87,177"), *OWN[2:], *MIRROR)
    stay = next(s for s in settled(follow(railway(*lines))).stays if s.own and s.own.id == "S1-51-2")
    november = ((from_iso("1909-11-01"), from_iso("1909-11-30")),)
    stages = dict(stay.dates["removed"].stages_of(november))
    assert (round(stages["agreement"], 4), round(stages["order"], 4)) == (0.4997, 0.9992)
    law = between_stays(SHIPPED.apart.low, SHIPPED.apart.high)
    assert law.upto(95) - law.upto(94) == pytest.approx(0.00203, abs=5e-6)
    assert pytest.approx(1.25e-7) == 0.001 * UNKNOWN


def test_by_how_many_days_two_dates_miss():
    """Section 6: fitted in March 1912, removed in June 1910: 610 days, and three members with the order."""
    fitted, removed = from_iso("1912-03-01"), from_iso("1910-06-30")
    said = [
        *between("origin", "fitted", fitted, None, "fitted 3.1912"),
        *between("origin", "removed", None, removed, "removed 6.1910"),
        *between("fitted", "removed", 0, None, "order"),
    ]
    conflict = one_conflict(Network(said))
    assert conflict is not None
    assert (conflict.days, len(conflict.claims)) == (610, 3)


def test_two_figures_with_nothing_else_known():
    """Section 7: near a tie, and little is left for neither."""
    found = terms(OWN[0], replace(OWN[1], miles="82,177"), *OWN[2:], *MIRROR)
    own_figure, facing = (
        probability_of(found[key]["read"] + found[key]["figures"])
        for key in ("S1-51-2/miles", "S2-202-1/miles")
    )
    assert (round(own_figure, 2), round(facing, 2)) == (0.51, 0.49)


def test_the_shares_of_slips_in_a_column():
    """Section 7: .0373 for 87,177 read as 81,177, .05 for an exchange, and the ways to be 6,000 off."""
    slips = Slips(SHIPPED)
    assert round(slips.share(87_177, 81_177), 4) == 0.0373
    assert round(slips.share(61_204, 62_104), 2) == 0.05
    figure, carried = 0.015 * slips.share(87_177, 81_177), CARRIED * 0.8 * cast(6000)
    assert (round(figure, 5), round(carried, 5)) == (0.00056, 0.00002)
    assert round(figure / (figure + carried), 2) == 0.97


def test_what_a_hole_of_two_years_says_of_a_lost_line():
    """Section 7: .69 for 760 days, .0005 for 31, and the miles that it would have had."""
    long, miles = lost_in(SHIPPED, 0.06, 760)
    assert (round(long, 2), lost_in(SHIPPED, 0.06, 31)[0]) == (0.69, 0.0005)
    assert round(miles.density(70_509), 6) == 0.000013


def test_the_densities_of_leads():
    """Section 9: how long components lie, and how long fitments last."""
    assert [round(lay(days), 4) for days in (50, 120, 400)] == [0.0066, 0.003, 0.0003]
    assert [round(lasts(days), 5) for days in (950, 2400)] == [0.00076, 0.00007]


def test_the_fence_of_a_gap():
    """Section 8: quartiles of 26 and 40 days make 76, and 166 with the setting."""
    fence = exp(log(40) + 1.5 * (log(40) - log(26)))
    assert round(fence) == 76


def test_the_rows_of_a_wrong_date():
    """Section 11: the table has the terms of this very cell, their weights, and what they come to."""
    page = (Path(__file__).resolve().parents[2] / "docs" / "maths.md").read_text(encoding="utf-8")
    told = [row.split(" | ") for row in page.split("## 11. ")[1].splitlines() if row.startswith("| `")]
    lines = (OWN[0], own(2, "202", "4.1907", "11.1910", "87,177"), *OWN[2:], *MIRROR)
    values, weights = terms(*lines)["S1-51-2/removed"], WEIGHTS.kinds["date"]
    for row in told:
        name, value, weight, product = row[0].strip("| `"), *(float(x.strip("| ")) for x in row[-3:])
        below, above = weights.weights[name]
        held = max(-FARTHEST, min(FARTHEST, values[name]))
        assert (value, weight) == (round(held, 2), below if value < 0 else above)
        assert product == pytest.approx(value * weight, abs=0.01)
    whole = weights.start + sum(float(row[-1].strip("| ")) for row in told)
    assert f"together {whole:.2f}" in page
    assert cells(*lines)["S1-51-2/removed"].confidence == pytest.approx(probability_of(whole), abs=0.01)
