"""The lines of both sides joined: jointly, in spite of misread headings, and with doubles folded."""

from __future__ import annotations

from dataclasses import replace

from tests.railways import MIRROR, OWN, copied, mirror, own, railway

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import Card, CellKey, Designation, Line, Source
from numbertaker.reconciling import History, reconcile
from numbertaker.reconciling.history import Finding


def history(*lines: Line) -> History:
    """The history of the small railway with these lines."""
    return reconcile(follow(railway(*lines)))


def stays(result: History, place: int = 0) -> list[tuple[str, tuple[str, ...]]]:
    """Who carried one of the boilers, and on which lines that rests."""
    return [(f.engine_id, f.evidence) for f in result.components[place].fitments]


def found(result: History, kind: str) -> list[Finding]:
    """The findings of one kind."""
    return [f for f in result.all_findings() if f.kind == kind]


def test_the_best_pair_does_not_spoil_two_good_ones():
    """Two stays on one engine, the first misdated on the engine's card: each finds its own."""
    facing = (
        MIRROR[0],
        mirror("202", 1, "51", "1.1910", "11.1909", miles="87,177"),
        mirror("202", 2, "51", "1.1910", "2.1912", miles="70,509"),
        MIRROR[3],
    )
    assert stays(history(*OWN, *facing))[1:3] == [
        ("E2", ("S1-51-2", "S2-202-1")),
        ("E2", ("S1-51-3", "S2-202-2")),
    ]


def test_a_second_hand_that_knew_another_year_makes_no_second_fitment():
    """The very miles and the other date show that it is the same fitment, entered twice."""
    again = own(3, "202", "4.1908", "11.1909", "87,177")
    rest = (own(4, "202", "1.1910", "2.1912", "70,509"), own(5, "203", "3.1912", "6.1915", "110,876"))
    result = history(*OWN[:2], again, *rest, *MIRROR)
    assert [engine for engine, _ in stays(result)] == ["E1", "E2", "E2", "E3"]
    assert [set(f.lines) for f in found(result, "repeated-line")] == [{"S1-51-2", "S1-51-3"}]


def headed(number: str, lines: tuple[Line, ...]) -> tuple[Line, ...]:
    """The same card under another heading."""
    return tuple(replace(line, heading=number) for line in lines)


def test_a_card_headed_as_another_is_known_by_the_cards_facing_it():
    """Boiler 57's card is headed 51, and 51 has a card too: miles and dates say whose each is."""
    plain = railway()
    other = "57"
    designations = tuple(replace(d, value=other) if d.subject_id == "B2" else d for d in plain.designations)
    misread = tuple(
        replace(line, line_id=line.line_id.replace("S1-51", "S1-57"), card_id="S1-57", heading="51")
        for line in (
            own(1, "203", "5.1905", "3.1908", "61,204"),
            own(2, "201", "5.1908", "2.1911", "58,310"),
            own(3, "202", "4.1912", "6.1914", "49,877"),
        )
    )
    facing = (
        mirror("203", 0, other, "5.1905", "3.1908", miles="61,204"),
        mirror("201", 2, other, "5.1908", "2.1911", miles="58,310"),
        mirror("202", 3, other, "4.1912", "6.1914", miles="49,877"),
    )
    lines = (*OWN, *misread, *MIRROR, *facing)
    result = reconcile(follow(replace(plain, designations=designations, lines=lines)))
    assert [engine for engine, _ in stays(result, 1)] == ["E3", "E1", "E2"]
    assert [engine for engine, _ in stays(result, 0)] == ["E1", "E2", "E2", "E3"]
    assert [f.lines for f in found(result, "misnamed")] == [("S1-57-1",)]


def test_a_year_misread_on_both_dates_still_finds_its_partner():
    """Ten years off is one digit: the miles and the reference each way join the two lines."""
    wrong = replace(OWN[3], fitted="3.1922", removed="6.1925")
    assert ("E3", ("S1-51-4", "S2-203-1")) in stays(history(*OWN[:3], wrong, *MIRROR))


def test_an_engine_without_a_boiler_for_years_has_lost_a_line_on_both_sides():
    """No card says what it carried from 1911 to 1916: the lines on both sides of the hole are named."""
    later = (
        own(5, "202", "5.1916", "3.1919", "90,114"),
        mirror("202", 3, "51", "5.1916", "3.1919", miles="90,114"),
    )
    cards = (*OWN[:2], own(3, "202", "1.1910", "2.1911", "40,509"), *OWN[3:], later[0])
    facing = (*MIRROR[:2], mirror("202", 2, "51", "1.1910", "2.1911", miles="40,509"), MIRROR[3], later[1])
    holes = [f for f in found(history(*cards, *facing), "gap") if f.message.startswith("Engine 202")]
    assert [f.lines for f in holes] == [("S2-202-2", "S2-202-3")]


def test_a_heading_that_nobody_bore_is_misnamed():
    """It can only be one number alike, and is said to be read so."""
    result = history(*headed("57", OWN), *MIRROR)
    assert [engine for engine, _ in stays(result)] == ["E1", "E2", "E2", "E3"]
    assert [f.lines for f in found(result, "misnamed")] == [("S1-51-1",)]


def test_a_heading_whose_name_is_right_and_whose_number_is_not_is_misnamed():
    """The name tells whose card it is; nobody of that name bore the number."""
    facing = tuple(
        replace(line, heading="272", heading_name="Ostrey") if line.heading == "202" else line
        for line in MIRROR
    )
    plain = railway(*OWN, *facing)
    named = Designation(subject_id="E2", scheme="name", value="Ostrey")
    result = reconcile(follow(replace(plain, designations=(*plain.designations, named))))
    assert [engine for engine, _ in stays(result)] == ["E1", "E2", "E2", "E3"]
    assert [f.lines for f in found(result, "misnamed")] == [("S2-202-1",)]


def test_a_ditto_mark_at_the_head_of_a_card_repeats_a_lost_line():
    """Once, and with whom the facing card means."""
    result = history(replace(OWN[0], engine='"'), *OWN[1:], *MIRROR)
    assert [f.lines for f in found(result, "unlinked")] == [("S1-51-1",)]
    assert "engine 201" in found(result, "unlinked")[0].message


def test_a_missing_partner_is_told_beside_a_misread_number():
    """Two faults, two findings: the number is misread, and the card of the engine meant has no such line."""
    lines = (*OWN[:2], replace(OWN[2], engine="207"), OWN[3])
    result = history(
        *lines, *(line for line in MIRROR if line.line_id != "S2-202-2"), copied("S4", 1, OWN[2])
    )
    assert {f.kind for f in result.all_findings()} >= {"one-sided"}


def test_the_lower_half_of_a_line_may_name_by_a_name_borne_at_another_time():
    """A name is looked up as a number is."""
    halves = (
        replace(OWN[1], says="fitted", removed="", miles=""),
        replace(own(3, "Ostrey", "", "11.1909", "87,177"), says="removed"),
    )
    rest = (own(4, "202", "1.1910", "2.1912", "70,509"), own(5, "203", "3.1912", "6.1915", "110,876"))
    plain = railway(OWN[0], *halves, *rest, *MIRROR)
    named = Designation(subject_id="E2", scheme="name", value="Ostrey", from_="1920", to="1938")
    result = reconcile(follow(replace(plain, designations=(*plain.designations, named))))
    assert [f.lines for f in found(result, "misnamed")] == [("S1-51-3", "S1-51-2")]


def test_the_upper_half_of_a_line_may_be_the_misread_one():
    """The lower half says whom the line means, and the upper is said to be wrong."""
    halves = (
        replace(OWN[1], says="fitted", removed="", miles="", engine="292"),
        replace(own(3, "202", "", "11.1909", "87,177"), says="removed"),
    )
    rest = (own(4, "202", "1.1910", "2.1912", "70,509"), own(5, "203", "3.1912", "6.1915", "110,876"))
    result = history(OWN[0], *halves, *rest, *MIRROR)
    assert [f.claims for f in found(result, "misnamed")] == [(CellKey("S1-51-2", "engine"),)]


def test_one_total_twice_shows_a_second_entry_whatever_its_number():
    """The same dates and the same total to date: the second hand misread the engine."""
    totals = ("95,154", "182,331", "252,840", "363,716")
    lines = [replace(line, total_miles=total) for line, total in zip(OWN, totals, strict=True)]
    again = replace(own(3, "209", "4.1907", "11.1909"), total_miles="182,331")
    lines[1] = replace(lines[1], miles="")
    later = [replace(line, row_=str(n), line_id=f"S1-51-{n}") for n, line in enumerate(lines[2:], 4)]
    result = history(*lines[:2], again, replace(later[0], engine="202"), later[1], *MIRROR)
    assert [engine for engine, _ in stays(result)] == ["E1", "E2", "E2", "E3"]
    assert [set(f.lines) for f in found(result, "repeated-line")] == [{"S1-51-2", "S1-51-3"}]


def test_a_line_that_may_be_the_missing_partner_is_named_and_told_once():
    """Engine 202's card has boiler 52 for most of the time in which boiler 51's card has it there."""
    facing = (MIRROR[0], mirror("202", 1, "52", "8.1907", "5.1909", miles="40,110"), *MIRROR[2:])
    told = [f for f in found(history(*OWN, *facing), "one-sided") if "S1-51-2" in f.lines]
    assert len(told) == 1
    assert "S2-202-1" in told[0].lines


def test_a_number_borne_by_two_at_once_is_told_apart_by_the_ends_of_the_card():
    """Engine 203's number was borne by another too; its card ends with the life of the one, not the other."""
    plain = railway(*OWN, *MIRROR[:3], replace(MIRROR[3], removed="7.1915"))
    other = replace(plain.engines[2], engine_id="E0", built="1908-01", withdrawn="1915-07")
    late = replace(plain.engines[2], withdrawn="1934-07")
    twice = Designation(subject_id="E0", scheme="number", value="203")
    result = reconcile(
        follow(
            replace(
                plain,
                engines=(other, *plain.engines[:2], late),
                designations=(*plain.designations, twice),
            )
        )
    )
    assert stays(result)[-1][0] == "E0"


def test_a_number_that_nobody_bore_means_nobody_and_says_who_is_meant_instead():
    """As it stands '208' means nobody; what would alter a figure of it stands beside it."""
    facing = tuple(mirror("203", 1, "51", line.fitted, line.removed, miles=line.miles) for line in OWN[3:])
    cells = history(*OWN[:3], replace(OWN[3], engine="208"), *MIRROR[:3], *facing).components[0].cells
    cell = next(c for c in cells if c.key == CellKey("S1-51-4", "engine"))
    assert cell.meaning is None
    assert not cell.used
    assert cell.confidence < 0.05
    assert cell.instead is not None
    assert cell.instead.meaning == "E3"
    assert cell.instead.confidence > 0.95


def test_a_list_that_names_a_number_borne_twice_means_the_one_of_that_day():
    """Two engines were 201, one after the other: the days of building say which is meant."""
    first = Designation(subject_id="E1", scheme="number", value="201", from_="1903-05", to="1904-07")
    second = Designation(subject_id="E2", scheme="number", value="201", from_="1904-08", to="1938-08")
    plain = railway()
    built = Line(line_id="S4-1", source_id="S4", side="engine", heading="201", row_="1", says="built")
    gone = replace(built, line_id="S4-2", row_="2", says="withdrawn", removed="20.8.1936")
    lines = (replace(built, fitted="4.5.1903"), gone, replace(built, line_id="S4-3", fitted="8.1904"))
    others = tuple(d for d in plain.designations if d.subject_id not in ("E1", "E2"))
    result = reconcile(follow(replace(plain, lines=lines, designations=(first, second, *others))))
    assert not result.all_findings()
    assert all(cell.confidence > 0.9 for cell in result.engine_cells if cell.field != "heading")


def test_two_papers_that_name_different_boilers_are_weighed_against_each_other():
    """The engine's card names 52, a copy of the lost line 51; 52 was elsewhere then."""
    facing = mirror("202", 1, "52", "4.1907", "11.1909", miles="87,177")
    busy = replace(own(2, "203", "5.1905", "2.1912", "166,100"), line_id="S1-52-1", card_id="S1-52")
    elsewhere = replace(busy, heading="52")
    listed = copied("S4", 2, OWN[1])
    result = history(OWN[0], OWN[2], OWN[3], elsewhere, facing, listed)
    assert ("E2", ("S2-202-1", "S4-2")) in stays(result)
    alone = history(OWN[0], OWN[2], OWN[3], facing)
    assert ("E2", ("S2-202-1",)) in stays(alone, 1)


def test_a_short_card_under_a_misread_heading_is_known_by_the_end_that_it_states():
    """One line and a condemnation, headed as a boiler that had gone long before: the ends of lives tell."""
    plain = railway()
    old = replace(plain.components[0], condemned="1915-07")
    young = replace(plain.components[1], condemned="1931-03")
    numbers = [replace(d, value="3226") if d.value == "52" else d for d in plain.designations]
    numbers = [replace(d, value="3276") if d.value == "51" else d for d in numbers]
    line = replace(own(1, "202", "5.1928", "2.1931", "80,862"), heading="3276", card_id="S1-26")
    gone = replace(line, line_id="S1-26-2", row_="2", says="condemned", engine="", fitted="", miles="")
    facing = mirror("202", 1, "3226", "5.1928", "2.1931", miles="80,862")
    lines = (line, replace(gone, removed="3.1931"), facing)
    changed = {"components": (old, young), "designations": tuple(numbers), "lines": lines}
    result = reconcile(follow(replace(plain, **changed)))
    assert stays(result, 1) == [("E2", ("S1-51-1", "S2-202-1"))]


def test_a_heading_that_names_another_than_the_table_of_cards_is_told():
    """The table says whose card it is; what is written over it means somebody else, and is told as such."""
    card = Card(card_id="S1-51", source_id="S1", subject_id="B1", state="seen")
    result = reconcile(follow(replace(railway(*headed("52", OWN), *MIRROR), cards=(card,))))
    assert [engine for engine, _ in stays(result)] == ["E1", "E2", "E2", "E3"]
    told = found(result, "misnamed")
    assert [f.claims for f in told] == [(CellKey("S1-51-1", "heading"),)]
    assert "is in the table of cards as that of boiler 51" in told[0].message
    plain = reconcile(follow(replace(railway(*OWN, *MIRROR), cards=(card,))))
    assert not found(plain, "misnamed")


def test_a_photograph_goes_to_the_fitment_that_the_narrower_dates_leave_it():
    """One card has the first fitment end about 1909, the other in November: 1910 is of the next."""
    first, then = own(2, "202", "4.1907", "c.1909", "87,177"), own(3, "202", "1.1910", "2.1912", "70,509")
    seen = Line(
        line_id="S9-1", source_id="S9", card_id="S9", side="statement", says="carried", row_="1",
        engine="202", component="51", fitted="15.5.1910",
    )  # fmt: skip
    evidence = railway(OWN[0], first, then, OWN[3], *MIRROR, seen)
    photographs = Source(source_id="S9", kind="photograph", title="Photographs")
    result = reconcile(follow(replace(evidence, sources=(*evidence.sources, photographs))))
    assert not result.all_findings()
    assert ("E2", ("S1-51-3", "S2-202-2", "S9-1")) in stays(result)
