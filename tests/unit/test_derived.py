"""What is reckoned from a history, held against sums made another way."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.small_history import FITMENTS, HISTORY, RULED, stated

from numbertaker.evidence.days import Span, day_of
from numbertaker.evidence.errors import BadInput
from numbertaker.publishing.citations import note_text
from numbertaker.publishing.comparisons import between, equator, meridian, parse_comparison
from numbertaker.publishing.compose import component_document
from numbertaker.publishing.derived import (
    changes,
    days_between,
    days_on,
    longest,
    miles_a_year,
    share_of_life,
)
from numbertaker.publishing.document import NoteRef, Paragraph, Run
from numbertaker.publishing.manner import Manner
from numbertaker.publishing.matter import Matter
from numbertaker.reconciling.history import Fitment, When

DAY = st.integers(day_of(1880, 1, 1), day_of(1950, 1, 1))


@st.composite
def lives(draw: st.DrawFn) -> list[tuple[int, int, int, int, int]]:
    """Stays in order: first and last day of fitting, first and last of removal, miles."""
    day, stays = draw(DAY), []
    for _ in range(draw(st.integers(1, 6))):
        ends = [day := day + draw(st.integers(1, 900)) for _ in range(4)]
        stays.append((*ends, draw(st.integers(0, 200_000))))
    return stays


def fitments(stays: list[tuple[int, int, int, int, int]]) -> tuple[Fitment, ...]:
    """The same as fitments."""
    return tuple(
        Fitment(f"E{n}", When(None, a, b), When(None, c, d), stated(m), 0.99, (f"l{n}",))
        for n, (a, b, c, d, m) in enumerate(stays)
    )


def as_date(day: int) -> date:
    """A day by the standard library's own calendar."""
    return date(1900, 1, 1) + timedelta(days=day - day_of(1900, 1, 1))


@given(lives())
@settings(max_examples=60)
def test_miles_a_year_are_miles_over_the_days_in_traffic(stays: list[tuple[int, int, int, int, int]]) -> None:
    """The two ends of the range are those of the longest and the shortest stays that the dates allow."""
    found = miles_a_year(fitments(stays))
    total = sum(stay[4] for stay in stays)
    longest_days = sum((as_date(d) - as_date(a)).days for a, _, _, d, _ in stays)
    shortest_days = sum((as_date(c) - as_date(b)).days for _, b, c, _, _ in stays)

    if total == 0:
        assert found is None
    else:
        assert found is not None
        assert found.low == pytest.approx(total / (longest_days / 365.2425))
        assert found.high == pytest.approx(total / (shortest_days / 365.2425))


@given(lives())
@settings(max_examples=60)
def test_days_out_of_traffic_are_those_from_removal_to_fitting(
    stays: list[tuple[int, int, int, int, int]],
) -> None:
    """Added up over all changes; a change that the history gives as a gap is left out."""
    every = fitments(stays)
    found = days_between(every, frozenset())
    wanted = [
        ((as_date(after[0]) - as_date(before[3])).days, (as_date(after[1]) - as_date(before[2])).days)
        for before, after in pairwise(stays)
    ]

    assert (found.low, found.high) == tuple(map(sum, zip(*wanted, strict=True))) if found else not wanted
    assert changes(every, frozenset()) == len(wanted)
    assert days_between(every, frozenset(range(len(stays) + 1))) is None


@given(lives())
@settings(max_examples=60)
def test_the_share_of_life_is_never_more_than_the_whole(stays: list[tuple[int, int, int, int, int]]) -> None:
    """Days on engines over days of life, both as the dates allow."""
    born, ended = Span(stays[0][0], stays[0][0]), Span(stays[-1][3], stays[-1][3])
    found = share_of_life(fitments(stays), born, ended)
    life = (as_date(stays[-1][3]) - as_date(stays[0][0])).days

    assert found is not None
    assert 0 <= found.low <= found.high <= 1
    assert found.low == pytest.approx(sum(c - b for _, b, c, _, _ in stays) / life)
    assert found.high == pytest.approx(min(1.0, sum(d - a for a, _, _, d, _ in stays) / life))


@given(lives())
@settings(max_examples=60)
def test_the_longest_stay_is_certain_only_where_no_other_may_be_as_long(
    stays: list[tuple[int, int, int, int, int]],
) -> None:
    """Certain means that its least days are more than any other's most."""
    found = longest(fitments(stays))
    if len(stays) < 2:
        assert found is None
        return
    assert found is not None
    stay, certain = found
    rest = [d - a for n, (a, _, _, d, _) in enumerate(stays) if n != stay.fitments[0]]
    assert certain == (stay.low > max(rest))


def test_a_stay_without_both_ends_is_in_no_sum() -> None:
    """What is not known is left out, and nothing is put in its place."""
    open_ended = replace(FITMENTS[0], removed=None)

    assert days_on(open_ended) is None
    assert miles_a_year((open_ended,)) is None
    assert longest((open_ended, FITMENTS[1])) is None


def document(*comparisons: str) -> list[tuple[str, list[str]]]:
    """The statements of what was reckoned, each with its notes."""
    manner = Manner(comparisons=tuple(parse_comparison(text) for text in comparisons))
    made = component_document(Matter(HISTORY, RULED, manner), "B7")
    notes = {note.number: note_text(note) for note in made.notes}
    return [
        (
            "".join(part.text for part in block.inlines if isinstance(part, Run)),
            [notes[part.number] for part in block.inlines if isinstance(part, NoteRef)],
        )
        for block in made.blocks
        if isinstance(block, Paragraph) and block.key.startswith(("reckoned", "comparison"))
    ]


def test_every_statement_names_its_inputs() -> None:
    """The rate rests on the two fitments with a figure, the changes on those with no gap between them."""
    told = dict(document())
    rate = next(notes for said, notes in told.items() if said.startswith("In traffic"))
    off = next(notes for said, notes in told.items() if said.startswith("Between one fitment"))

    assert rate == ["Reckoned from the miles and dates in notes 1 and 2."]
    assert off == ["Reckoned from the dates in notes 1 and 2."]
    assert all(notes for notes in told.values())


def test_a_comparison_that_the_figures_contradict_is_flagged_with_the_right_one() -> None:
    """151,204 to 260,000 miles are 6.1 to 10.4 times the equator; thirty is wrong, eight is not."""
    wrong, right = document(
        "It ran 30 times round the Earth. :: miles 30 equator @ S4, minute 9",
        "It ran 8 times round the Earth. :: miles 8 equator",
    )[-2:]

    assert wrong[0] == (
        "‘It ran 30 times round the Earth.’ The figures contradict it: between 151,204 and 260,000 miles is "
        "between 6.1 and 10.4 times the equator (WGS 84)."
    )
    assert wrong[1][0] == "Ostrey Town Museum, Records of the works, C/1, ‘Minutes’, minute 9, seen May 2024."
    assert right[0].startswith("It ran 8 times round the Earth. The figures bear it out")
    for end, ratio in ((151_204, 6.1), (260_000, 10.4)):
        assert end * 1609.344 / 40_075_016.69 == pytest.approx(ratio, abs=0.05)


def test_counts_and_spans_are_compared_too() -> None:
    """Three fitments on two engines; 'twice' of 'half as many' is told as it comes out."""
    told = document("a :: fitments 3 count 1", "b :: engines 3 count 1", "c :: days 2 years 5")[-3:]

    assert [("contradict" in said) for said, _ in told] == [False, True, False]


@pytest.mark.parametrize(
    "text",
    [
        "nonsense",
        "a :: miles x equator",
        "a :: engines 2 equator",
        "a :: miles 2 miles 0",
        "a :: years 2 count 3",
    ],
)
def test_what_is_no_comparison_is_refused(text: str) -> None:
    """The message says what was expected."""
    with pytest.raises(BadInput, match="Expected"):
        parse_comparison(text)


def test_distances_are_those_of_wgs_84() -> None:
    """NGA.STND.0036: a = 6,378,137 m, 1/f = 298.257223563; lengths reckoned from these two alone.

    The meridian by the series of the third flattening (Helmert 1880), the degree at 52 degrees north by the
    radius of curvature; the equator is 2 pi a.
    """
    a, f = 6_378_137.0, 1 / 298.257223563
    n = f / (2 - f)
    quarter = a / (1 + n) * (1 + n**2 / 4 + n**4 / 64) * 3.141592653589793 / 2

    assert equator() == pytest.approx(40_075_016.686, abs=0.001)
    assert meridian() == pytest.approx(4 * quarter, abs=0.01)
    assert between(51.5, 0, 52.5, 0) == pytest.approx(111_267.353, abs=0.5)
    assert between(0, 0, 0, 1) == pytest.approx(111_319.491, abs=0.001)
    with pytest.raises(BadInput, match="latitude"):
        between(91, 0, 0, 0)


def test_the_range_of_the_claim_is_as_wide_as_its_last_digit() -> None:
    """30 is from 29.5 to 30.5, 1.5 from 1.45 to 1.55."""
    assert parse_comparison("a :: miles 30 miles 1").claimed() == (29.5, 30.5)
    assert parse_comparison("a :: miles 1.5 miles 1").claimed() == pytest.approx((1.45, 1.55))
