"""When an event was: ways of going wrong, laws of time, regions, and what copies and lines about spare
time say.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.railways import MIRROR, OWN, SOURCES, mirror, own, railway

from numbertaker.evidence.days import from_iso
from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import CellKey, Line, Source
from numbertaker.reconciling import reconcile
from numbertaker.reconciling.dating import laws
from numbertaker.reconciling.dating.regions import Regions, interval, mass_in
from numbertaker.reconciling.dating.slips import as_written, ways
from numbertaker.reconciling.entries import DateClaim
from numbertaker.reconciling.learning.learnt import SHIPPED


def claim(first: str, last: str = "") -> DateClaim:
    """A typed claim of a day, or of the days from one to another."""
    span = (from_iso(first), from_iso(last or first))
    return DateClaim(CellKey("L", "fitted"), first, first, (span,), 0.02)


def likely(text: DateClaim, day: str) -> float:
    """How likely a text is, if the event was on a day."""
    at = from_iso(day)
    found = ways(text, text.slip, SHIPPED.date_shapes, 260.0)
    return sum(weight for a, b, weight in found.near if a <= at <= b) + found.beyond(at)


def history(*lines: Line, sources: tuple[Source, ...] = ()):
    """The history of the small railway with these lines."""
    evidence = railway(*lines)
    return reconcile(follow(replace(evidence, sources=(*SOURCES, *sources))))


def cells(result) -> dict[str, float]:
    """The confidence of every cell of the boilers."""
    return {str(cell.key): cell.confidence for c in result.components for cell in c.cells}


@pytest.mark.parametrize("day", ["1927-07-18", "1928-08-18", "1917-08-18", "1927-09-18"])
def test_a_wrong_date_likely_means_the_same_day_of_another_month_or_year(day: str):
    """A month, a year or a decade off, the day keeps its number: far likelier than the day beside it."""
    assert likely(claim("1927-08-18"), day) > 20 * likely(claim("1927-08-18"), day[:-2] + "19")


def test_a_month_written_for_the_new_year_may_be_of_the_old_year():
    """In January a clerk goes on writing last year's number."""
    january = claim("1921-01-01", "1921-01-31")
    assert likely(january, "1920-12-10") > 2 * likely(january, "1920-11-10")


def test_day_and_month_are_exchanged_where_both_could_be_either():
    """5.3. for 3 May; 25.3. can't be."""
    assert likely(claim("1911-03-05"), "1911-05-03") > 3 * likely(claim("1911-03-05"), "1911-05-04")


def test_a_vague_date_keeps_its_vagueness_when_it_is_moved():
    """A year that is one off means any day of the year before, and months stay whole months."""
    year = claim("1911-01-01", "1911-12-31")
    assert likely(year, "1910-02-01") > 0.4 * likely(year, "1910-11-30")
    february = ways(claim("1912-03-01", "1912-03-31"), 0.02, SHIPPED.date_shapes, 260.0)
    assert (from_iso("1912-02-01"), from_iso("1912-02-29")) in {(a, b) for a, b, _ in february.near}


def test_a_law_holds_all_of_it_and_its_means_are_exact():
    """The mean over two runs of days is what adding up every pair of days gives."""
    law = laws.of_miles(900.0, 0.2)
    assert law.upto(1e9) == pytest.approx(1.0)
    single = [law.before([x, x + 1], y, y)[0] for x in range(30) for y in range(880, 900)]
    assert law.before([0, 30], 880, 899)[0] == pytest.approx(sum(single))
    assert law.after([880, 900], 0, 29)[0] == pytest.approx(sum(single))


def test_the_interval_is_the_shortest_that_holds_the_level():
    """Of a likely month and an unlikely year, the month; where both are needed, no more of the year than
    that.
    """
    month = ((100, 129, 0.96), (130, 460, 0.04))
    assert interval(month, 0.95) == (100, 129)
    assert interval(((100, 129, 0.90), (130, 179, 0.10)), 0.95) == (100, 154)


def test_regions_share_out_one_whole():
    """Whatever is told, the shares add up, and two agreeing claims leave next to nothing elsewhere."""
    told = [
        as_written(claim("1911-04-01", "1911-04-30"), 0.02, 260.0),
        as_written(claim("1911-04-07"), 0.02, 260.0),
    ]
    regions = Regions(told, (), from_iso("1908-01-01"), from_iso("1914-01-01"))
    posterior = regions.posterior(regions.claims)
    assert sum(p for _, _, p in posterior) == pytest.approx(1.0)
    assert mass_in(posterior, ((from_iso("1911-04-07"),) * 2,)) > 0.99


def test_a_copy_of_a_lost_line_that_knows_the_day_is_believed():
    """The boiler's card is lost; its copy has the day, the engine's card the month: both are right."""
    lost = Line(
        line_id="S4-1", source_id="S4", locator="line 1", side="statement", says="fitment",
        engine="202", component="51", fitted="17.4.1907", removed="11.1909", miles="87,177",
    )  # fmt: skip
    found = cells(history(*MIRROR, lost))
    assert found["S4-1/fitted"] > 0.9
    assert found["S2-202-1/fitted"] > 0.97


def test_a_copy_adds_nothing_where_its_original_says_as_much():
    """The same words once more leave the card's own date as sure as it was."""
    copied = Line(
        line_id="S4-1", source_id="S4", locator="line 1", side="statement", says="fitment",
        engine="202", component="51", fitted="4.1907", removed="11.1909", miles="87,177",
    )  # fmt: skip
    alone, with_copy = cells(history(*OWN, *MIRROR)), cells(history(*OWN, *MIRROR, copied))
    assert with_copy["S1-51-2/fitted"] == alone["S1-51-2/fitted"]


def spare(fitted: str, removed: str) -> Line:
    """A line that has boiler 51 lying spare after its third fitment."""
    return replace(
        OWN[2],
        line_id="S1-51-3b",
        row_="3",
        says="spare",
        engine="",
        fitted=fitted,
        removed=removed,
        miles="",
    )


def after_spare() -> tuple[Line, ...]:
    """Both cards with three fitments, and a fourth three years later."""
    late = own(4, "203", "3.1915", "6.1918", "110,876")
    return (*OWN[:3], late, *MIRROR[:3], mirror("203", 1, "51", "3.1915", "6.1918", miles="110,876"))


def test_a_spare_line_with_a_wrong_date_contradicts_the_removal_before_it():
    """It can't have lain spare from a day on which it was still on the engine; both lines are named."""
    right = history(*after_spare(), spare("2.1912", "3.1915"))
    wrong = history(*after_spare(), spare("2.1911", "3.1915"))
    assert [f.kind for f in right.all_findings()] == []
    assert cells(right)["S1-51-3b/fitted"] > 0.97
    (found,) = wrong.all_findings()
    assert (found.kind, set(found.lines) & {"S1-51-3b"}) == ("date-conflict", {"S1-51-3b"})
    assert cells(wrong)["S1-51-3b/fitted"] < 0.2


def test_a_misdated_photograph_names_the_fitment_that_it_shows():
    """Seen together three years after they parted, while two cards have each of them elsewhere."""
    photograph = Line(
        line_id="S7-1", source_id="S7", locator="1", side="statement", says="carried",
        engine="202", component="51", fitted="6.1914",
    )  # fmt: skip
    result = history(
        *OWN, *MIRROR, photograph, sources=(Source(source_id="S7", kind="photograph", title="Photographs"),)
    )
    (found,) = result.all_findings()
    assert found.kind == "date-conflict"
    assert found.lines[0] == "S7-1" or found.lines[-1] == "S7-1"
    assert len(found.lines) == 2
    assert cells(result)["S7-1/fitted"] < 0.1


def test_two_cards_that_share_a_slip_are_doubted_where_the_order_contradicts_both():
    """Both have it removed a year late; on both chains the next fitment had begun by then."""
    late = own(2, "202", "4.1907", "11.1910", "87,177")
    facing = replace(MIRROR[1], removed="11.1910")
    result = history(OWN[0], late, *OWN[2:], MIRROR[0], facing, *MIRROR[2:])
    assert cells(result)["S1-51-2/removed"] < 0.9
    assert any(f.kind in {"overlap", "double-occupancy"} for f in result.all_findings())


def test_a_works_list_against_the_tables_is_named_even_by_a_month():
    """The tables have engine 201 built in May 1903; a list that says June contradicts them."""
    line = Line(
        line_id="S3-1",
        source_id="S3",
        locator="line 1",
        side="engine",
        heading="201",
        row_="1",
        says="built",
        fitted="6.1903",
    )
    result = history(
        *OWN, *MIRROR, line, sources=(Source(source_id="S3", kind="works-list", title="Works list"),)
    )
    (found,) = result.all_findings()
    assert (found.kind, found.authority) == ("date-conflict", ("engines:E1",))
