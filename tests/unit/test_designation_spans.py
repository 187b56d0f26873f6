"""What a number says of time: who bore it only in a span was called so within it."""

from __future__ import annotations

from dataclasses import replace

from tests.railways import MIRROR, OWN, mirror, own, railway

from numbertaker.evidence.days import from_iso
from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import CellKey, Designation, Evidence, Line
from numbertaker.linking.index import MEETING
from numbertaker.reconciling import History, reconcile, settled
from numbertaker.reconciling.network.designations import out_of_span
from numbertaker.reconciling.pairing import references

RENUMBERED = (
    Designation(subject_id="E2", scheme="number", value="202", from_="1904-08", to="1907-06-10"),
    Designation(subject_id="E2", scheme="number", value="252", from_="1907-06-11", to="1938-08"),
)
ROW = "designations:E2/number/202"


def renumbered(*lines: Line) -> Evidence:
    """The small railway, engine 202 having become 252 in June 1907."""
    plain = railway(*lines)
    others = tuple(d for d in plain.designations if d.subject_id != "E2")
    return replace(plain, designations=(*RENUMBERED, *others))


def history(*lines: Line) -> History:
    """Its history."""
    return reconcile(follow(renumbered(*lines)))


def test_a_number_given_up_in_the_year_bounds_a_date_that_says_only_the_year():
    """Fitted some time in 1907, to what was still called 202: by 11 July at the latest."""
    line, facing = own(1, "202", "1907", "11.1909", "70,177"), mirror("252", 1, "51", "1907", "11.1909")
    now = own(1, "252", "1907", "11.1909", "70,177")
    bounded, free = (history(first, facing).components[0].fitments[0].fitted for first in (line, now))
    assert bounded is not None
    assert free is not None
    assert bounded.latest == from_iso("1907-06-10") + MEETING
    assert free.latest > bounded.latest


def test_a_date_after_a_number_was_given_up_clashes_with_the_row_that_says_so():
    """The minimal conflict has the date and the row of the table, and says by how many days they miss."""
    line = own(1, "202", "4.1908", "11.1909", "87,177")
    draft = settled(follow(renumbered(line)))
    entry = draft.entries[0]
    bearer = references(draft, entry, "engine").get("E2")
    assert bearer is not None
    borne = bearer.borne
    assert borne is not None
    missed = out_of_span(entry, borne)
    assert missed is not None
    assert missed.conflict.claims == {CellKey("S1-51-1", "fitted"), ROW}
    assert missed.days == 265  # from 11 July 1907 to 1 April 1908, as docs/maths.md has it


def test_a_line_within_the_span_is_at_odds_with_nothing():
    """Fitted a week after the number was given up, the month's looseness covers it."""
    draft = settled(follow(renumbered(own(1, "202", "17.6.1907", "11.1909", "87,177"))))
    bearer = references(draft, draft.entries[0], "engine").get("E2")
    assert bearer is not None
    borne = bearer.borne
    assert borne is not None
    assert out_of_span(draft.entries[0], borne) is None


def test_the_finding_says_until_when_the_number_was_borne_and_what_the_line_has():
    """A card that goes on writing the old number is told with both dates and the months between."""
    facing = (MIRROR[0], mirror("252", 1, "51", "4.1908", "11.1909", miles="87,177"))
    lines = (OWN[0], own(2, "202", "4.1908", "11.1909", "87,177"), *facing)
    found = [f for f in history(*lines).all_findings() if f.kind == "misnamed"]
    assert [f.claims for f in found] == [(CellKey("S1-51-2", "engine"),)]
    assert found[0].authority == (ROW,)
    assert "bore that only until 10 June 1907: the line has it fitted '4.1908', at least 10 months" in (
        found[0].message
    )
