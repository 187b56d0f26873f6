"""EDTF beyond the specification's examples: widening, writing, one-day dates, helpful refusals."""

from __future__ import annotations

import pytest

from numbertaker.evidence.days import Span, from_iso
from numbertaker.evidence.edtf import WideningPolicy, one_day, parse_edtf, span_edtf, widened
from numbertaker.evidence.errors import BadDate, BadInput


def days(*spans: str) -> tuple[Span, ...]:
    """Spans written as `first/last`; a single day stands alone, and no bound is empty."""
    ends = [(span.split("/") * 2)[:2] for span in spans]
    return tuple(Span(from_iso(a) if a else None, from_iso(b) if b else None) for a, b in ends)


@pytest.mark.parametrize(
    ("text", "spans"),
    [
        ("1925~", ["1924-01-01/1926-12-31"]),
        ("1925-11~", ["1925-10-01/1925-12-31"]),
        ("1925-11-14~", ["1925-11-13/1925-11-15"]),
        ("1925-11-14%", ["1925-11-13/1925-11-15"]),
        ("192X~", ["1910-01-01/1939-12-31"]),
        ("[1915~..1920~]", ["1914-01-01/1921-12-31"]),
        ("1915~/1920", ["1914-01-01/1920-12-31"]),
        ("[1915~,1925]", ["1914-01-01/1916-12-31", "1925-01-01/1925-12-31"]),
        ("1924-02~", ["1924-01-01/1924-03-31"]),
        ("1925-21", ["1925-02-01/1925-06-30"]),
        ("1925-21~", ["1924-11-01/1925-09-30"]),
        ("../1925~", ["/1926-12-31"]),
    ],
)
def test_about_widens_by_one_of_the_units_written(text: str, spans: list[str]) -> None:
    """The default policy: a circa year takes in the years beside it, a circa month the months."""
    assert widened(parse_edtf(text)) == days(*spans)


def test_what_is_known_stays_known_when_a_part_is_approximate() -> None:
    """'2004-06~-11' is the 11th of about June: three days, not three months."""
    assert widened(parse_edtf("2004-06~-11")) == days("2004-05-11", "2004-06-11", "2004-07-11")
    assert widened(parse_edtf("2004-06-~11")) == days("2004-06-10/2004-06-12")


def test_the_end_of_a_month_stays_within_the_month() -> None:
    """The 31st of about March is at the latest the last day of April."""
    assert widened(parse_edtf("1925-03~-31")) == days("1925-02-28", "1925-03-31", "1925-04-30")
    assert widened(parse_edtf("1925-02~-28")) == days("1925-01-28", "1925-02-28", "1925-03-28")


def test_a_question_mark_widens_nothing_unless_told_to() -> None:
    """It says that the statement is doubtful, not that it is loose."""
    doubtful = parse_edtf("1925?")

    assert doubtful.uncertain
    assert widened(doubtful) == doubtful.candidates
    assert widened(doubtful, WideningPolicy(uncertain_units=2)) == days("1923-01-01/1927-12-31")


def test_both_at_once_take_the_larger() -> None:
    """'%' is approximate and uncertain; the two are not added up."""
    assert widened(parse_edtf("1925%"), WideningPolicy(1, 3)) == days("1922-01-01/1928-12-31")
    assert widened(parse_edtf("1925%"), WideningPolicy(2, 1)) == days("1923-01-01/1927-12-31")


def test_the_nominal_days_are_there_without_any_policy() -> None:
    """Parsing itself never widens, and a policy of nothing gives the candidates back."""
    nothing = WideningPolicy(approximate_units=0, uncertain_units=0, season_months=0)

    assert widened(parse_edtf("1925~"), nothing) == days("1925-01-01/1925-12-31")
    assert widened(parse_edtf("2001-24"), nothing) == days("2001-12-01/2002-02-28")


@pytest.mark.parametrize(
    ("span", "text", "doubt"),
    [
        ("1911-04-01", "1911-04-01", "1911-04-01"),
        ("1911-04-01/1911-04-30", "1911-04", "1911-04"),
        ("1913-01-01/1913-12-31", "1913", "1913"),
        ("1911-04-01/1911-06-30", "1911-04/1911-06", "[1911-04..1911-06]"),
        ("1911-01-01/1913-12-31", "1911/1913", "[1911..1913]"),
        ("1903-05-01/1903-08-30", "1903-05-01/1903-08-30", "[1903-05-01..1903-08-30]"),
        ("1913-02-01/1913-12-31", "1913-02/1913-12", "[1913-02..1913-12]"),
        ("1911-04-02/", "1911-04-02/..", "[1911-04-02..]"),
        ("/1913-12-31", "../1913", "[..1913]"),
        ("/", "../..", "../.."),
        ("-0005-01-01/-0005-12-31", "-0005", "-0005"),
        ("+12345-01-01/+12345-12-31", "Y12345", "Y12345"),
    ],
)
def test_a_span_is_written_as_the_shortest_edtf(span: str, text: str, doubt: str) -> None:
    """Both ends at the coarsest precision that fits them, as an interval or as a doubt about one day."""
    (written,) = days(span)

    assert span_edtf(written) == text
    assert span_edtf(written, one_of=True) == doubt


def test_a_day_in_a_year_of_five_digits_can_not_be_written() -> None:
    """EDTF writes such years only whole, and says so rather than writing something else."""
    with pytest.raises(BadInput, match="four digits"):
        span_edtf(*days("+12345-01-01"))


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("1903-05-01/1903-08-31", "[1903-05-01..1903-08-31]"),
        ("1903-05/1904", "[1903-05..1904-12]"),
        ("1903/", "[1903..]"),
        ("../1903-05", "[..1903-05]"),
        ("1903~/1905~", "[1903~..1905~]"),
        ("1903-05", "1903-05"),
        ("[1903,1905]", "[1903,1905]"),
    ],
)
def test_in_the_date_of_one_event_an_interval_is_a_doubt(text: str, read: str) -> None:
    """A column that holds one day reads `a/b` as `[a..b]`; ends of differing precision are brought to one."""
    assert one_day(text).text == read


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("2008/1964", "ends before it starts"),
        ("1964/1970/1980", "two ends"),
        ("/", "leave the cell empty"),
        ("1985-W15", "week dates"),
        ("1985-102", "day-of-year"),
        ("P3Y", "durations"),
        ("[1667..1668-05]", "same precision"),
        ("[..]", "bare '..'"),
        ("[1667,..,1668]", "bare '..'"),
        ("[]", "has a member"),
        ("[1667", "stands between"),
        ("[1667/1668]", "inside a set"),
        ("1984-02-3X", "no day of the calendar"),
        ("Y1E999999999", "12 digits"),
        ("1950S5", "1 to 4 significant"),
        ("1950S0", "1 to 4 significant"),
        ("-0000", "no sign"),
        ("12345", "only a year of four digits|expected YYYY"),
        ("2004-06-11T24:00:00", "expected YYYY"),
        ("1984-21-01", "there is no month 21"),
        ("١٩٨٥", "expected YYYY"),
    ],
)
def test_a_refusal_says_what_is_wrong(text: str, says: str) -> None:
    """Every refusal names its reason."""
    with pytest.raises(BadDate, match=says):
        parse_edtf(text)


@pytest.mark.parametrize(
    ("text", "offer"),
    [
        ("14/11/1925", "1925-11-14"),
        ("1925-1-4", "1925-01-04"),
        ("2004?~", "2004%"),
        ("1985-04-12T10:00:00/1985-04-13", "1985-04-12/1985-04-13"),
        ("198504", "1985-04"),
        ("31/2/1925", None),
    ],
)
def test_an_offer_is_made_only_where_it_would_be_read(text: str, offer: str | None) -> None:
    """Mending the spelling of a day that never was would help nobody."""
    with pytest.raises(BadDate) as caught:
        parse_edtf(text)

    assert caught.value.offer == offer


def test_a_date_of_one_event_says_something() -> None:
    """Open on both sides is a statement about an interval, and none about a day."""
    with pytest.raises(BadDate, match="leave the cell empty"):
        one_day("../..")


def test_very_many_candidates_are_held_by_their_hull() -> None:
    """A day in any month of any year would be 120,000 spans; the hull stands for them, and stays true."""
    any_25th = parse_edtf("XXXX-XX-25")

    assert any_25th.candidates == days("0000-01-25/9999-12-25")


def test_precision_is_that_of_what_is_written() -> None:
    """An unspecified day still has the precision of a day; ends of differing precision have none together."""
    assert parse_edtf("1985-04-XX").precision == "day"
    assert parse_edtf("2004-XX").precision == "month"
    assert parse_edtf("2004-02-01/2005").precision == "other"
    assert parse_edtf("[1667,1668]").precision == "year"
