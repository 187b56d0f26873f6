"""Rulings are laid over the rows, never into them, and taking one back restores what was."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from numbertaker.evidence.decisions import follow, standing, verdicts
from numbertaker.evidence.records import CellKey, Decision, Designation, Engine, Evidence, Line

LINE = Line(
    line_id="S1-52-3",
    source_id="S1",
    side="component",
    says="fitment",
    miles="63,310",
    marks="engine=ditto;miles=struck:6",
)
MILES = CellKey("S1-52-3", "miles")


def ruling(number: int, kind: str, target: str, text: str, revokes: str = "") -> Decision:
    """One decision of the log."""
    return Decision(
        decision_id=f"D{number}",
        kind=kind,
        target=target,
        ruling=text,
        reason="the scan shows it",
        by="A. Reader",
        at="2024-05-01T10:00:00Z",
        revokes=revokes,
    )


def test_a_corrected_cell_counts_as_read_for_certain() -> None:
    """A person's text replaces the machine's, with its sureness and its mark."""
    ruled = follow(Evidence(lines=(LINE,), decisions=(ruling(1, "cell", "S1-52-3/miles", "68,310"),)))
    line = ruled.evidence.lines[0]

    assert (line.miles, line.sureness("miles"), line.marks) == ("68,310", 1.0, "engine=ditto")
    assert ruled.by_cell == {MILES: "D1"}


def test_the_rows_themselves_stay_as_written() -> None:
    """Following a ruling makes new rows; those that were handed in are untouched."""
    evidence = Evidence(lines=(LINE,), decisions=(ruling(1, "cell", "S1-52-3/miles", "68,310"),))
    follow(evidence)

    assert evidence.lines[0].miles == "63,310"


def test_a_corrected_heading_holds_for_the_whole_card() -> None:
    """The number at the head of a card stands there once: correcting it moves all the card's lines."""
    lines = tuple(replace(LINE, line_id=f"S1-52-{n}", card_id="S1-52", heading="62") for n in (1, 2, 3))
    other = replace(LINE, line_id="S1-53-1", card_id="S1-53", heading="62")
    ruled = follow(
        Evidence(lines=(*lines, other), decisions=(ruling(1, "cell", "S1-52-1/heading", "52"),))
    ).evidence

    assert [line.heading for line in ruled.lines] == ["52", "52", "52", "62"]


def test_the_later_ruling_on_a_cell_stands() -> None:
    """Where two people correct one cell, the log's order decides."""
    log = (ruling(1, "cell", "S1-52-3/miles", "68,310"), ruling(2, "cell", "S1-52-3/miles", "63,370"))

    assert follow(Evidence(lines=(LINE,), decisions=log)).evidence.lines[0].miles == "63,370"


def test_taking_back_a_taking_back_restores_the_ruling() -> None:
    """A revocation is a decision like any other."""
    log = (
        ruling(1, "cell", "S1-52-3/miles", "68,310"),
        ruling(2, "revoke", "D1", "", revokes="D1"),
        ruling(3, "revoke", "D2", "", revokes="D2"),
    )

    assert [d.decision_id for d in standing(log)] == ["D1"]
    assert standing(log[:2]) == ()


@given(st.lists(st.sampled_from(["68,310", "63,370", ""]), max_size=5))
def test_taking_everything_back_restores_exactly_what_was(texts: list[str]) -> None:
    """Whatever was ruled, the log with every ruling revoked gives the rows as written."""
    made = [ruling(n, "cell", "S1-52-3/miles", text) for n, text in enumerate(texts)]
    undone = [ruling(100 + n, "revoke", d.decision_id, "", revokes=d.decision_id) for n, d in enumerate(made)]
    ruled = follow(Evidence(lines=(LINE,), decisions=(*made, *undone)))

    assert ruled.evidence.lines == (LINE,)
    assert ruled.by_cell == {}


def test_an_authority_row_is_mended_or_added() -> None:
    """The columns named are laid over the row with that key; a key that is not there is a new row."""
    evidence = Evidence(
        engines=(Engine(engine_id="E1", class_="K", built="1903"),),
        decisions=(
            ruling(1, "authority", "engines:E1", '{"class": "N"}'),
            ruling(
                2,
                "authority",
                "designations:E1/number/208",
                '{"subject_id": "E1", "scheme": "number", "value": "208"}',
            ),
        ),
    )
    ruled = follow(evidence).evidence

    assert ruled.engines == (Engine(engine_id="E1", class_="N", built="1903"),)
    assert ruled.designations == (Designation(subject_id="E1", scheme="number", value="208"),)


def test_a_finding_may_be_ruled_on_from_both_sides() -> None:
    """Believing one claim and setting the other aside are two parts of one ruling."""
    log = (ruling(1, "finding", "F1", "believe S1-52-3/miles; set aside S2-208-7/miles"),)
    ruled = follow(Evidence(lines=(LINE,), decisions=log))

    assert ruled.believed == {MILES}
    assert ruled.set_aside == {CellKey("S2-208-7", "miles")}
    assert ruled.settled == {"F1": "D1"}


def test_a_link_may_say_that_nobody_in_the_tables_is_meant() -> None:
    """'none' is an answer, and different from no answer."""
    ruled = follow(Evidence(lines=(LINE,), decisions=(ruling(1, "link", "S1-52-3/engine", "none"),)))

    assert ruled.links == {CellKey("S1-52-3", "engine"): None}


def test_an_unknown_ruling_is_refused() -> None:
    """A ruling that nobody can follow is named with what was expected."""
    with pytest.raises(ValueError, match="expected 'believe'"):
        verdicts("perhaps S1-52-3/miles")
