"""One history out of two sides' cards: what agrees, what can't be true, and what is said of it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.railways import MIRROR, OWN, copied, mirror, own, railway

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import Decision, Line
from numbertaker.linking import weight_of
from numbertaker.reconciling import reconcile


def history(*lines: Line, decisions: tuple[Decision, ...] = ()):
    """The history of the small railway with these lines."""
    return reconcile(follow(replace(railway(*lines), decisions=decisions)))


def first(result):
    """Boiler 51."""
    return result.components[0]


def kinds(result) -> list[str]:
    """The kinds of everything found, in order."""
    return sorted(f.kind for f in result.all_findings())


def ruling(kind: str, target: str, text: str) -> Decision:
    """One decision."""
    return Decision(
        decision_id="D1", kind=kind, target=target, ruling=text, reason="seen on the card", by="A. Reader",
        at="2026-01-01T00:00:00Z",
    )  # fmt: skip


def test_two_cards_that_agree_give_a_history_without_a_finding():
    """Four fitments, dated to the month, with the miles that both sides have."""
    result = history(*OWN, *MIRROR)
    component = first(result)
    assert [f.engine_id for f in component.fitments] == ["E1", "E2", "E2", "E3"]
    assert [f.fitted.edtf for f in component.fitments] == ["1904-05", "1907-04", "1910-01", "1912-03"]
    assert component.miles.supported == 95_154 + 87_177 + 70_509 + 110_876
    assert kinds(result) == []


def test_a_ditto_mark_means_the_engine_above_it():
    """The cell of the ditto names the engine that the head of its chain names."""
    cells = {(c.line_id, c.field): c for c in first(history(*OWN, *MIRROR)).cells}
    assert cells["S1-51-3", "engine"].meaning == "E2"
    assert cells["S1-51-1", "heading"].meaning == "B1"


def test_differing_miles_name_both_cards_and_the_difference():
    """The message says who says what and by how much they differ."""
    wrong = replace(OWN[1], miles="82,177")
    found = history(OWN[0], wrong, *OWN[2:], *MIRROR).all_findings()
    assert [f.kind for f in found] == ["mileage-conflict"]
    assert set(found[0].lines) == {"S1-51-2", "S2-202-1"}
    assert "differ by 5,000" in found[0].message


def test_a_copy_is_no_second_witness():
    """Two lists that repeat a wrong figure don't outvote the engine's card."""
    wrong = replace(OWN[1], miles="82,177")
    lists = (copied("S4", 1, wrong), copied("S5", 1, wrong))
    alone = first(history(OWN[0], wrong, *OWN[2:], *MIRROR)).fitments[1]
    with_lists = first(history(OWN[0], wrong, *OWN[2:], *MIRROR, *lists)).fitments[1]
    assert with_lists.miles == alone.miles
    assert with_lists.copies == ("S4-1", "S5-1")


def test_a_removal_before_its_fitting_is_an_overlap_with_itself():
    """One line, one finding, however many cards contradict it."""
    result = history(*OWN[:3], own(4, "203", "3.1912", "6.1910", "110,876"), *MIRROR)
    assert kinds(result) == ["overlap"]


def test_a_date_that_the_facing_card_contradicts_is_doubted_and_replaced():
    """Order and miles say which of two is wrong."""
    slipped = own(2, "202", "4.1907", "11.1910", "87,177")
    component = first(history(OWN[0], slipped, *OWN[2:], *MIRROR))
    cell = next(c for c in component.cells if (c.line_id, c.field) == ("S1-51-2", "removed"))
    assert cell.confidence < 0.2
    assert not cell.used
    assert cell.instead.meaning == "1909-11"
    assert component.fitments[1].removed.edtf == "1909-11"


def test_four_years_of_silence_are_a_gap_between_two_lines():
    """The finding names the lines on both sides and the days between."""
    late = own(4, "203", "3.1919", "6.1922", "110,876")
    result = history(*OWN[:3], late, *MIRROR[:3], mirror("203", 1, "51", "3.1919", "6.1922", miles="110,876"))
    assert kinds(result) == ["gap"]
    assert result.all_findings()[0].lines == ("S1-51-3", "S1-51-4")


def test_time_that_a_source_calls_spare_is_no_gap():
    """A line that says that it lay in stock accounts for the time."""
    late = own(5, "203", "3.1919", "6.1922", "110,876")
    spare = replace(own(4, "In stock", "2.1912", "3.1919"), says="spare")
    result = history(
        *OWN[:3], spare, late, *MIRROR[:3], mirror("203", 1, "51", "3.1919", "6.1922", miles="110,876")
    )
    assert kinds(result) == []


def test_a_line_that_the_other_card_lacks_is_one_sided():
    """Both neighbours on the card that should have it are named."""
    result = history(
        *OWN, MIRROR[0], *MIRROR[1:2], mirror("202", 3, "52", "1.1913", "1.1914", miles="30,000"), MIRROR[3]
    )
    found = [f for f in result.all_findings() if f.kind == "one-sided"]
    assert {"S1-51-3", "S2-202-1", "S2-202-3"} in [set(f.lines) for f in found]


def test_a_misread_number_is_repaired_from_the_facing_card():
    """The literal meaning stays with the cell; the history follows the pair."""
    misread = replace(OWN[3], engine="208")
    component = first(history(*OWN[:3], misread, *MIRROR))
    assert component.fitments[3].engine_id == "E3"
    assert [f.kind for f in component.findings] == ["misnamed"]


def test_a_fitment_entered_twice_is_folded():
    """Two lines, one fitment, one finding."""
    again = replace(OWN[0], line_id="S1-51-1b", row_="1")
    result = history(OWN[0], again, *OWN[1:], *MIRROR)
    assert len(first(result).fitments) == 4
    assert kinds(result) == ["repeated-line"]


def test_a_second_hand_that_enters_a_fitment_again_with_one_slip_is_folded():
    """The same engine, removal and miles with another fitting date: one fitment, and one finding."""
    again = own(3, "202", "4.1906", "11.1909", "87,177")
    rest = (own(4, "202", "1.1910", "2.1912", "70,509"), own(5, "203", "3.1912", "6.1915", "110,876"))
    result = history(OWN[0], OWN[1], again, *rest, *MIRROR)
    assert [f.engine_id for f in first(result).fitments] == ["E1", "E2", "E2", "E3"]
    assert kinds(result) == ["repeated-line"]


def test_a_short_card_with_a_misread_heading_is_known_by_the_lines_facing_it():
    """Two lines that agree in both dates and in the miles outweigh one misread digit of the heading."""
    card = [replace(line, heading="57") for line in OWN[:2]]
    facing = [line for line in MIRROR if line.line_id in {"S2-201-1", "S2-202-1"}]
    result = history(*card, *facing)
    assert [f.engine_id for f in first(result).fitments] == ["E1", "E2"]
    assert "misnamed" in kinds(result)


def test_a_fitment_after_the_last_line_of_the_other_card_is_one_sided():
    """A card is kept for a whole life: the last line can be lost as well as one between two others."""
    result = history(*OWN[:3], *MIRROR)
    assert kinds(result) == ["one-sided"]
    assert {"S2-203-1", "S1-51-3"} <= set(result.all_findings()[0].lines)


def test_a_running_total_that_does_not_add_up_is_said_once():
    """A wrong total breaks the sums on both sides of it, and is one fault."""
    totals = ("95,154", "182,331", "262,840", "363,716")
    lines = [replace(line, total_miles=total) for line, total in zip(OWN, totals, strict=True)]
    result = history(*lines, *MIRROR)
    assert kinds(result) == ["total-mismatch"]
    wrong = next(c for c in first(result).cells if (c.line_id, c.field) == ("S1-51-3", "total_miles"))
    assert wrong.confidence < 0.5


def test_miles_that_nobody_wrote_come_from_the_totals():
    """The difference of two running totals is a figure: derived, and counted."""
    totals = ("95,154", "182,331", "252,840", "363,716")
    lines = [replace(line, total_miles=total) for line, total in zip(OWN, totals, strict=True)]
    lines[2] = replace(lines[2], miles="")
    component = first(history(*lines, *(replace(m, miles="") for m in MIRROR)))
    assert (component.fitments[2].miles.value, component.fitments[2].miles.basis) == (70_509, "derived")
    assert component.miles.supported == 363_716


def test_an_estimate_is_never_added_to_stated_miles():
    """Without any figure a range is given, and the supported miles stay as they were."""
    lines = [replace(OWN[2], miles=""), *(line for line in OWN if line is not OWN[2])]
    component = first(history(*lines, *(replace(m, miles="") for m in MIRROR)))
    unknown = component.fitments[2].miles
    assert (unknown.value, unknown.basis) == (None, "estimated")
    assert unknown.low < 70_509 < unknown.high
    assert component.miles.supported == 363_716 - 70_509


def test_a_number_in_no_table_is_unlinked_and_stays_open():
    """Nobody is made up for a number that nobody bore."""
    result = history(*OWN, *MIRROR, own(5, "999", "8.1916", "9.1918", "60,000"))
    found = [f for f in result.all_findings() if f.kind == "unlinked"]
    assert found[0].lines == ("S1-51-5",)
    assert len(first(result).fitments) == 4


def test_a_fitment_after_withdrawal_names_the_row_of_the_engine():
    """The tables are a party to the contradiction."""
    late = own(5, "203", "8.1935", "9.1936", "30,000")
    found = [f for f in history(*OWN, *MIRROR, late).all_findings() if f.kind == "outside-lifetime"]
    assert found[0].lines == ("S1-51-5",)
    assert found[0].authority in {("engines:E3",), ("components:B1",)}


def test_the_rows_of_every_confidence_add_up():
    """A reader who adds the log2 odds comes to the confidence given."""
    lines = (OWN[0], replace(OWN[1], miles="82,177", removed="11.1910"), *OWN[2:], *MIRROR)
    component = first(history(*lines))
    explained = [*component.cells, *component.fitments]
    for item in explained:
        if item.reasons:
            total = sum(row.weight for row in item.reasons)
            assert total == pytest.approx(weight_of(item.confidence), abs=1e-6)


def test_setting_a_figure_aside_settles_the_finding_and_the_miles_follow():
    """The finding stays, with the decision that settled it."""
    wrong = replace(OWN[1], miles="82,177")
    lines = (OWN[0], wrong, *OWN[2:], *MIRROR)
    finding = history(*lines).all_findings()[0]
    decided = ruling("finding", finding.id, "believe S2-202-1/miles; set aside S1-51-2/miles")
    after = history(*lines, decisions=(decided,))
    assert after.all_findings()[0].settled_by == "D1"
    assert after.all_findings()[0].id == finding.id
    assert first(after).fitments[1].miles.value == 87_177
    assert first(after).decisions == ("D1",)


def test_a_link_that_a_person_chose_stands():
    """A ruling on a link is followed, whatever the number says."""
    decided = ruling("link", "S1-51-4/engine", "E1")
    component = first(history(*OWN, decisions=(decided,)))
    assert component.fitments[3].engine_id == "E1"


def photograph(number: str, seen: str) -> Line:
    """A dated photograph of boiler 51 on an engine."""
    plain = Line(line_id="S7-1", source_id="S7", side="statement", says="carried")
    return replace(plain, engine=number, component="51", fitted=seen)


def test_a_photograph_within_a_fitment_bears_it_out_and_dates_nothing():
    """It joins the evidence, and the dates stay those of the cards."""
    result = history(*OWN, *MIRROR, photograph("203", "8.1913"))
    assert kinds(result) == []
    last = first(result).fitments[3]
    assert "S7-1" in last.evidence
    assert last.fitted.edtf == "1912-03"


def test_a_photograph_on_another_engine_contradicts_the_cards():
    """Two cards have it on that engine at another time: the photograph is misdated, or all are wrong."""
    result = history(*OWN, *MIRROR, photograph("201", "8.1913"))
    assert [f.engine_id for f in first(result).fitments] == ["E1", "E2", "E2", "E3"]
    assert kinds(result) == ["date-conflict"]


def test_an_archive_without_lines_has_empty_histories():
    """A component that nobody wrote of appears with an empty list."""
    assert [c.fitments for c in history().components] == [(), ()]


def cells_in(result) -> dict:
    """Every cell of boiler 51, by line and field."""
    return {(c.line_id, c.field): c for c in first(result).cells}


def test_a_copy_that_agrees_is_rested_on_until_it_is_set_aside():
    """No second witness, but the history given agrees with it and its footnotes name it."""
    lines = (*OWN, *MIRROR, copied("S4", 1, OWN[1]))
    fields = ("engine", "component", "fitted", "removed", "miles")
    agreeing = cells_in(history(*lines))
    assert all(agreeing["S4-1", field].used for field in fields)
    aside = ruling("finding", "F1", "set aside S4-1/fitted")
    ruled = cells_in(history(*lines, decisions=(aside,)))
    assert not ruled["S4-1", "fitted"].used


def test_a_list_that_names_the_component_stands_under_it_even_where_nobody_believes_the_fitment():
    """It is about that component, since only that one bore the number."""
    stray = copied("S4", 1, own(9, "203", "5.1904", "3.1907", "71,004"))
    result = history(*OWN, *MIRROR, stray)
    assert not any("S4-1" in f.evidence for f in first(result).fitments)
    assert ("S4-1", "component") in cells_in(result)
    assert result.unplaced == ()


def test_a_copy_repeats_what_its_card_repeats_and_its_slip_is_named():
    """The card has a fitment twice, so the list may have it twice, once with a slip of the pen."""
    twice = own(3, "202", "4.1907", "11.1909", "87,177")
    rest = (own(4, "202", "1.1910", "2.1912", "70,509"), own(5, "203", "3.1912", "6.1915", "110,876"))
    slipped = replace(copied("S4", 2, OWN[1]), fitted="4.1906")
    result = history(OWN[0], OWN[1], twice, *rest, *MIRROR, copied("S4", 1, OWN[1]), slipped)
    assert "S4-2" in first(result).fitments[1].evidence
    assert kinds(result) == ["date-conflict", "repeated-line"]


def test_a_ditto_weighs_less_than_a_number_against_a_list_that_writes_another_out():
    """Where a card lost a line, the next line's ditto has come to stand under the wrong number."""
    above = mirror("202", 1, "52", "4.1907", "11.1909", miles="87,001")
    below = mirror("202", 2, '"', "1.1910", "2.1912", miles="70,509")
    listed = copied("S4", 1, replace(OWN[2], engine="202"))
    ditto = history(above, below, listed).components[0].fitments[0]
    written = history(above, replace(below, component="52"), listed).components[1].fitments[1]
    assert ditto.evidence == written.evidence == ("S2-202-2", "S4-1")
