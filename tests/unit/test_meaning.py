"""What a card as a whole proposes for its cells, and that it leaves alone what it can't tell."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from numbertaker.reading.meaning import Known, propose
from numbertaker.reading.values import CellReading, LineReading

NOBODY = Known()


def cell(text: str, confidence: float = 0.97, *others: tuple[str, float], mark: str = "") -> CellReading:
    """One cell as a recogniser gives it."""
    return CellReading(text, confidence, (0, 0, 10, 10), tuple(others), mark)  # type: ignore[arg-type]


def line(row: int, says: str = "fitment", **cells: CellReading | str) -> LineReading:
    """One line; a bare text is a cell that was read with .97."""
    return LineReading(row, says, {k: cell(v) if isinstance(v, str) else v for k, v in cells.items()})


def texts(lines: list[LineReading], known: Known = NOBODY) -> dict[tuple[int, str], str]:
    """The texts proposed."""
    return {place: proposal.text for place, proposal in propose(lines, known).items()}


RUNNING = [(63_310, 63_310), (71_204, 134_514), (40_118, 174_632), (58_000, 232_632)]


def column(*changed: tuple[int, str, str]) -> list[LineReading]:
    """A running column, with cells misread."""
    rows = [{"miles": f"{m:,}", "total_miles": f"{t:,}"} for m, t in RUNNING]
    for n, field, text in changed:
        rows[n][field] = text
    return [line(n + 1, **row) for n, row in enumerate(rows)]


def test_a_column_that_adds_up_is_left_alone() -> None:
    """No proposal where nothing speaks for one."""
    assert texts(column()) == {}


def test_a_misread_figure_is_told_by_the_totals_around_it() -> None:
    """The totals need 71,204 where 77,204 was seen; only that cell is spoken of."""
    assert texts(column((1, "miles", "77,204"))) == {(1, "miles"): "71,204"}


def test_a_misread_total_is_told_by_both_its_neighbours() -> None:
    """One wrong total contradicts two lines: it is the total that is proposed anew, not two figures."""
    assert texts(column((1, "total_miles", "184,514"))) == {(1, "total_miles"): "134,514"}
    assert texts(column((2, "total_miles", "114,632"))) == {(2, "total_miles"): "174,632"}


def test_a_column_cast_wrongly_is_not_mended() -> None:
    """A difference that no one look-alike digit explains is the clerk's, and stays."""
    assert texts(column((3, "total_miles", "233,742"))) == {}


def test_a_total_that_repeats_the_last_one_holds_it() -> None:
    """A 'carried forward' repeats the total reached: misread, it is told by that, and the other way round."""
    foot = line(5, says="total", total_miles="232,632")
    assert texts([*column(), foot]) == {}
    assert texts([*column(), line(5, says="total", total_miles="252,632")]) == {(4, "total_miles"): "232,632"}
    assert texts([*column((3, "total_miles", "232,832")), foot]) == {(3, "total_miles"): "232,632"}


def test_a_digit_that_looks_like_no_other_is_told_where_the_totals_want_just_it() -> None:
    """Nobody takes a 1 for a 0, but a smudge may: the totals around it need 71,204."""
    lines = column()
    lines[1] = line(2, miles=cell("70,204", 0.6), total_miles="134,514")
    assert texts(lines) == {(1, "miles"): "71,204"}


def test_what_was_written_for_a_struck_figure_counts_and_is_left_alone() -> None:
    """The figure that stands beside a struck one adds up with its neighbours; it is never proposed anew."""
    lines = column((1, "total_miles", "134,519"))
    struck = {**lines[2].cells, "miles": cell("40,118", mark="struck")}
    lines[2] = LineReading(3, "fitment", struck)
    assert texts(lines) == {(1, "total_miles"): "134,514"}


def test_the_total_at_the_foot_tells_of_the_one_figure_that_mends_it() -> None:
    """Sixty thousand at the foot needs 20,000 where 70,000 was seen."""
    lines = [
        line(1, miles="10,450"),
        line(2, miles=cell("27,300", 0.7, ("21,300", 0.2))),
        line(3, says="total", total_miles="31,750"),
    ]
    assert texts(lines) == {(1, "miles"): "21,300"}
    assert propose(lines, NOBODY)[1, "miles"].why == "the total at the foot needs 21,300"


def test_what_is_no_date_gives_way_to_an_alternative_that_is() -> None:
    """'3O.14.10' is no day; '30.11.10' is."""
    lines = [line(1, fitted="4.1904", removed=cell("3O.14.10", 0.6, ("30.11.10", 0.3)))]
    assert texts(lines) == {(0, "removed"): "30.11.10"}


def test_dates_that_run_backwards_give_way_to_an_alternative_in_order() -> None:
    """Fitted 1913 and removed 1911 can't be; 1917 was the second reading."""
    lines = [
        line(1, fitted="4.1904", removed="3.1913"),
        line(2, fitted="5.1913", removed=cell("2.1911", 0.62, ("2.1917", 0.35))),
    ]
    assert texts(lines) == {(1, "removed"): "2.1917"}


def test_an_engine_that_nobody_bore_gives_way_to_one_that_was() -> None:
    """The list settles between two readings; a number in the list is never touched."""
    known = Known(engines=frozenset({"208", "203"}))
    doubtful = cell("2O8", 0.55, ("208", 0.4))
    assert texts([line(1, engine=doubtful)], known) == {(0, "engine"): "208"}
    assert texts([line(1, engine=cell("203", 0.5, ("208", 0.45)))], known) == {}


def test_ditto_marks_and_struck_cells_are_no_business_of_it() -> None:
    """A cell with a mark is not proposed for."""
    known = Known(engines=frozenset({"208"}))
    assert texts([line(1, engine=cell("2O8", 0.5, ("208", 0.5), mark="ditto"))], known) == {}


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(1_000, 180_000), min_size=2, max_size=8), st.booleans())
def test_law_a_column_read_rightly_is_never_touched(miles: list[int], commas: bool) -> None:
    """Whatever figures a card has, if they add up there is no proposal."""
    form = "{:,}" if commas else "{}"
    totals = [sum(miles[: n + 1]) for n in range(len(miles))]
    lines = [
        line(n + 1, miles=form.format(m), total_miles=form.format(t))
        for n, (m, t) in enumerate(zip(miles, totals, strict=True))
    ]
    assert texts(lines) == {}


PLACES = Known(places=frozenset({"Brackwith", "Ostrey", "Thrunby"}))


def test_a_place_a_letter_off_from_one_that_many_lines_have_is_told() -> None:
    """'Bnackwith' is taken for 'Brackwith', however surely it was read; what is farther off is left alone."""
    lines = [line(1, place=cell("Bnackwith", 0.96)), line(2, place="Brackwith"), line(3, place="Blackburn")]
    assert texts(lines, PLACES) == {(0, "place"): "Brackwith"}
    assert "many lines have 'Brackwith'" in propose(lines, PLACES)[0, "place"].why


def test_a_place_that_may_be_either_of_two_is_left_alone() -> None:
    """As near to one usual place as to another, or too short to tell: nothing is proposed."""
    either = Known(places=frozenset({"Ostrey", "Ostrez", "Ash"}))
    assert texts([line(1, place="Ostrel"), line(2, place="Asb")], either) == {}
    assert texts([line(1, place="Ostrel")], NOBODY) == {}
