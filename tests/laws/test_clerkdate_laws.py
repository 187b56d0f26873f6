"""Laws of register dates."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import DAY_TEXTS

from numbertaker.evidence.clerkdates import Era, read_date
from numbertaker.evidence.days import Span
from numbertaker.evidence.edtf import one_day, parse_edtf, widened

SOME = settings(max_examples=100, deadline=None)
CARD = Era(1901, 1960)
DAYS = st.dates(date(1901, 1, 1), date(1960, 12, 31))

DAY_HABITS = (
    "{d}.{m}.{yy}",
    "{d}/{m}/{yy}",
    "{d}.{m}.{y}",
    "{d} {name} {y}",
    "{d} {name}. {yy}",
    "{name} {d}, {y}",
)
MONTH_HABITS = ("{m}.{yy}", "{m}/{yy}", "{m}.{y}", "{name} {y}", "{name}. {yy}", "{name} '{yy}")


def written(habit: str, day: date) -> str:
    """A day as a clerk with this habit would write it."""
    return habit.format(d=day.day, m=day.month, y=day.year, yy=f"{day.year % 100:02d}", name=f"{day:%b}")


@SOME
@given(DAYS, st.sampled_from(DAY_HABITS))
def test_every_habit_gives_the_day_back(day: date, habit: str) -> None:
    """Whatever the habit, the day that was meant is the day that is read."""
    assert read_date(written(habit, day), CARD).edtf == day.isoformat()


@SOME
@given(DAYS, st.sampled_from(MONTH_HABITS))
def test_every_habit_gives_the_month_back(day: date, habit: str) -> None:
    """A month and a year are read as that, and no day is filled in."""
    assert read_date(written(habit, day), CARD).edtf == day.isoformat()[:7]


@SOME
@given(DAYS, st.sampled_from(DAY_HABITS), st.sampled_from(["w/e ", "W.E. ", "week ending "]))
def test_a_week_is_the_seven_days_that_end_on_its_date(day: date, habit: str, before: str) -> None:
    """Neither more nor fewer, over ends of months and years too."""
    week = read_date(before + written(habit, day), CARD)

    assert week.candidates == (Span((day - timedelta(days=6)).toordinal(), day.toordinal()),)


@SOME
@given(DAYS, st.sampled_from([*DAY_HABITS, *MONTH_HABITS]))
def test_about_holds_what_is_written_exactly(day: date, habit: str) -> None:
    """'c.' loosens a date on both sides."""
    text = written(habit, day)
    exact, about = read_date(text, CARD), read_date(f"c.{text}", CARD)

    assert about.approximate
    assert about.hull.contains(exact.hull)
    assert about.hull != exact.hull


@SOME
@given(DAYS, st.sampled_from([*DAY_HABITS, *MONTH_HABITS]))
def test_without_a_card_the_meant_day_is_still_among_the_candidates(day: date, habit: str) -> None:
    """An open century widens what is read and never loses what was meant."""
    text = written(habit, day)

    assert any(span.contains(day.toordinal()) for span in read_date(text, None).candidates)


@SOME
@given(DAY_TEXTS)
def test_edtf_is_read_as_it_stands(text: str) -> None:
    """A cell that holds EDTF says what the standard says, an interval being doubt about one day."""
    read = read_date(text, CARD)

    assert read.edtf == one_day(text).text
    assert read.candidates == widened(parse_edtf(read.edtf))


@SOME
@given(
    st.text(max_size=25) | st.text("0123456789./- wecNovJan'?[]", max_size=25), st.sampled_from([None, CARD])
)
def test_any_cell_is_understood_or_says_why_not(text: str, era: Era | None) -> None:
    """Reading never raises; what it gives is valid EDTF, a sign, or a whole sentence."""
    read = read_date(text, era)

    assert read.text == text
    if read.edtf is not None:
        assert read.candidates == widened(parse_edtf(read.edtf))
        assert read.problem is None
    else:
        assert read.is_ditto or read.is_blank or (read.problem or "").endswith(".")
    for other in (*read.ambiguity, *read.suggestions):
        assert parse_edtf(other.edtf).candidates
