"""Register dates as clerks wrote them. The card of these tests was kept from 1908 to 1946.

The habits are common practice and have no source: the day before the month, the month before the year,
'w/e' for the seven days ending on a date.
"""

from __future__ import annotations

import pytest

from numbertaker.evidence.clerkdates import Era, read_date, suggest_date
from numbertaker.evidence.days import iso

CARD = Era(1908, 1946)

UNDERSTOOD = """
    as written                  | says                       | from       | to
    11.25                       | 1925-11                    | 1925-11-01 | 1925-11-30
    11/25                       | 1925-11                    | 1925-11-01 | 1925-11-30
    11-25                       | 1925-11                    | 1925-11-01 | 1925-11-30
    11 . 25                     | 1925-11                    | 1925-11-01 | 1925-11-30
    11,25                       | 1925-11                    | 1925-11-01 | 1925-11-30
    11.'25                      | 1925-11                    | 1925-11-01 | 1925-11-30
    11.1925                     | 1925-11                    | 1925-11-01 | 1925-11-30
    11 1925                     | 1925-11                    | 1925-11-01 | 1925-11-30
    3.11                        | 1911-03                    | 1911-03-01 | 1911-03-31
    xi.25                       | 1925-11                    | 1925-11-01 | 1925-11-30
    Nov 1925                    | 1925-11                    | 1925-11-01 | 1925-11-30
    Nov. 25                     | 1925-11                    | 1925-11-01 | 1925-11-30
    Nov '25                     | 1925-11                    | 1925-11-01 | 1925-11-30
    NOVR. 1925                  | 1925-11                    | 1925-11-01 | 1925-11-30
    November, 1925              | 1925-11                    | 1925-11-01 | 1925-11-30
    1925 Nov                    | 1925-11                    | 1925-11-01 | 1925-11-30
    14/11/25                    | 1925-11-14                 | 1925-11-14 | 1925-11-14
    14.11.1925                  | 1925-11-14                 | 1925-11-14 | 1925-11-14
    14 - 11 - 25                | 1925-11-14                 | 1925-11-14 | 1925-11-14
    14.11.25.                   | 1925-11-14                 | 1925-11-14 | 1925-11-14
    14 Nov 25                   | 1925-11-14                 | 1925-11-14 | 1925-11-14
    14th November 1925          | 1925-11-14                 | 1925-11-14 | 1925-11-14
    14 th Nov. 1925             | 1925-11-14                 | 1925-11-14 | 1925-11-14
    Nov 14, 1925                | 1925-11-14                 | 1925-11-14 | 1925-11-14
    Sat. 14 Nov 1925            | 1925-11-14                 | 1925-11-14 | 1925-11-14
    14.xi.25                    | 1925-11-14                 | 1925-11-14 | 1925-11-14
    25.11.14                    | 1914-11-25                 | 1914-11-25 | 1914-11-25
    3.4.25                      | 1925-04-03                 | 1925-04-03 | 1925-04-03
    1925.11.14                  | 1925-11-14                 | 1925-11-14 | 1925-11-14
    w/e 14.11.25                | [1925-11-08..1925-11-14]   | 1925-11-08 | 1925-11-14
    W.E. 14.11.25               | [1925-11-08..1925-11-14]   | 1925-11-08 | 1925-11-14
    week ending 14 Nov 1925     | [1925-11-08..1925-11-14]   | 1925-11-08 | 1925-11-14
    w/e 4.1.10                  | [1909-12-29..1910-01-04]   | 1909-12-29 | 1910-01-04
    4 w/e 14.11.25              | [1925-10-18..1925-11-14]   | 1925-10-18 | 1925-11-14
    w/c 8.11.25                 | [1925-11-08..1925-11-14]   | 1925-11-08 | 1925-11-14
    half year ending 31.12.25   | [1925-07..1925-12]         | 1925-07-01 | 1925-12-31
    ½ year ending Dec 1925      | [1925-07..1925-12]         | 1925-07-01 | 1925-12-31
    quarter ending 3.25         | [1925-01..1925-03]         | 1925-01-01 | 1925-03-31
    1925                        | 1925                       | 1925-01-01 | 1925-12-31
    25                          | 1925                       | 1925-01-01 | 1925-12-31
    c.1915                      | 1915~                      | 1914-01-01 | 1916-12-31
    c 1915                      | 1915~                      | 1914-01-01 | 1916-12-31
    circa Nov 1925              | 1925-11~                   | 1925-10-01 | 1925-12-31
    c.1915-20                   | [1915~..1920~]             | 1914-01-01 | 1921-12-31
    c1915-20                    | [1915~..1920~]             | 1914-01-01 | 1921-12-31
    1915-16                     | [1915..1916]               | 1915-01-01 | 1916-12-31
    1915/16                     | [1915..1916]               | 1915-01-01 | 1916-12-31
    1915-1920                   | [1915..1920]               | 1915-01-01 | 1920-12-31
    1898-02                     | 1898-02                    | 1898-02-01 | 1898-02-28
    1899/02                     | 1899-02                    | 1899-02-01 | 1899-02-28
    1915 or 1917                | [1915,1917]                | 1915-01-01 | 1917-12-31
    1915 or 16                  | [1915,1916]                | 1915-01-01 | 1916-12-31
    between 1915 and 20         | [1915..1920]               | 1915-01-01 | 1920-12-31
    between 1915 and 1920       | [1915..1920]               | 1915-01-01 | 1920-12-31
    between 11.15 and 3.16      | [1915-11..1916-03]         | 1915-11-01 | 1916-03-31
    from Nov 1915 to Mar 1916   | [1915-11..1916-03]         | 1915-11-01 | 1916-03-31
    11.15-3.16                  | [1915-11..1916-03]         | 1915-11-01 | 1916-03-31
    Nov-Dec 1925                | [1925-11..1925-12]         | 1925-11-01 | 1925-12-31
    Nov/Dec 1925                | [1925-11,1925-12]          | 1925-11-01 | 1925-12-31
    Nov or Dec 1925             | [1925-11,1925-12]          | 1925-11-01 | 1925-12-31
    before 1925                 | [..1924]                   |            | 1924-12-31
    before 3.25                 | [..1925-02]                |            | 1925-02-28
    by 3.1925                   | [..1925-03]                |            | 1925-03-31
    before c.1925               | [..1924~]                  |            | 1925-12-31
    after 1925                  | [1926..]                   | 1926-01-01 |
    after 14.11.25              | [1925-11-15..]             | 1925-11-15 |
    not before 3.25             | [1925-03..]                | 1925-03-01 |
    early 1925                  | [1925-01..1925-04]         | 1925-01-01 | 1925-04-30
    mid-1925                    | [1925-04..1925-09]         | 1925-04-01 | 1925-09-30
    end of 1925                 | [1925-09..1925-12]         | 1925-09-01 | 1925-12-31
    late Nov 1925               | [1925-11-19..1925-11-30]   | 1925-11-19 | 1925-11-30
    Spring 1925                 | 1925-21                    | 1925-02-01 | 1925-06-30
    Q2 1925                     | 1925-34                    | 1925-04-01 | 1925-06-30
    2nd quarter 1925            | 1925-34                    | 1925-04-01 | 1925-06-30
    1st half 1925               | 1925-40                    | 1925-01-01 | 1925-06-30
    1920s                       | 192X                       | 1920-01-01 | 1929-12-31
    late 1920s                  | [1926..1929]               | 1926-01-01 | 1929-12-31
    1925[?]                     | 1925?                      | 1925-01-01 | 1925-12-31
    14.11.25[?]                 | 1925-11-14?                | 1925-11-14 | 1925-11-14
    c.1925 [?]                  | 1925%                      | 1924-01-01 | 1926-12-31
    1925?                       | 1925?                      | 1925-01-01 | 1925-12-31
    probably Nov 1925           | 1925-11?                   | 1925-11-01 | 1925-11-30
    [illegible].11.25           | 1925-11-XX                 | 1925-11-01 | 1925-11-30
    1911-04                     | 1911-04                    | 1911-04-01 | 1911-04-30
    1911-04-XX                  | 1911-04-XX                 | 1911-04-01 | 1911-04-30
    [1903-05-01..1903-08-31]    | [1903-05-01..1903-08-31]   | 1903-05-01 | 1903-08-31
    1903-05-01/1903-08-31       | [1903-05-01..1903-08-31]   | 1903-05-01 | 1903-08-31
"""

REFUSED = """
    as written    | says what is wrong                                   | offers
    31.2.24       | no day 31 in February 1924, which has 29 days        | 1924-02, 1924
    29.2.25       | no day 29 in February 1925, which has 28 days        | 1925-02, 1925
    14.13.25      | no month 13                                          | 1925
    11.14.25      | no month 14. The day is read before the month        | 1925-11-14, 1925
    25.11         | day 25 of month 11, no year is written               |
    0.25          | no month 0                                           |
    14 Nov        | no year                                              |
    Nov           | no year                                              |
    O3.1911       | not understood                                       | 1911-03
    l4.11.25      | not understood                                       | 1925-11-14, 1925-11, 1925
    N0v 1925      | not understood                                       | 1925-11
    4412          | 4412 is no year of a register                        |
    11.1013       | 1013 is no year of a register                        |
    15-20         | no month 15                                          |
    w/e 11.25     | A week needs a day                                   |
    1916-1911     | run backwards, from 1916 to 1911                     |
    3.16 to 11.15 | ends before it starts                                |
    new           | not understood                                       |
    2.3.4.5       | not understood                                       |
    [illegible]   | illegible                                            |
    14.[illegible].25 | illegible                                        |
"""


def rows(table: str) -> list[list[str]]:
    """The rows of a table as written above, without its heading."""
    return [[cell.strip() for cell in line.split("|")] for line in table.strip().splitlines()[1:]]


@pytest.mark.parametrize(("text", "edtf", "first", "last"), rows(UNDERSTOOD))
def test_a_written_date_says_exactly_what_is_written(text: str, edtf: str, first: str, last: str) -> None:
    """Every way of writing has its EDTF and its days; no part is filled in."""
    date = read_date(text, CARD)
    ends = ["" if end is None else iso(end) for end in (date.hull.first, date.hull.last)]

    assert (date.edtf, *ends) == (edtf, first, last)
    assert date.problem is None


@pytest.mark.parametrize(("text", "says", "offers"), rows(REFUSED))
def test_what_can_not_be_read_says_why(text: str, says: str, offers: str) -> None:
    """A sentence for a person, and offers that are never followed unasked."""
    date = read_date(text, CARD)

    assert date.edtf is None
    assert date.candidates == ()
    assert says in (date.problem or "")
    assert ", ".join(offer.edtf for offer in date.suggestions) == offers


@pytest.mark.parametrize("text", ['"', "do.", "ditto", '-"-'])
def test_a_ditto_mark_is_no_date_and_no_problem(text: str) -> None:
    """What it repeats is known only with the line above."""
    date = read_date(text, CARD)

    assert (date.is_ditto, date.edtf, date.problem) == (True, None, None)


@pytest.mark.parametrize("text", ["", "  ", "[blank]", "-", "—", "..."])
def test_an_empty_cell_is_no_problem(text: str) -> None:
    """Nothing stated, or a dash that says so."""
    date = read_date(text, CARD)

    assert (date.is_blank, date.edtf, date.problem) == (True, None, None)


@pytest.mark.parametrize(
    ("era", "edtf"),
    [
        (Era(1908, 1946), "1925-11"),
        (Era(1926, 1946), "1925-11"),
        (Era(1933, 1946), "1925-11"),
        (Era(1990, 2024), "2025-11"),
        (Era(1934, 1946), "[1925-11,2025-11]"),
        (Era(1820, 1930), "[1825-11,1925-11]"),
        (None, "[1825-11,1925-11]"),
    ],
)
def test_two_digits_take_the_century_of_the_card(era: Era | None, edtf: str) -> None:
    """Within the card's years, else within eight of them; what that can't settle stays open."""
    assert read_date("11.25", era).edtf == edtf


def test_a_year_in_the_card_is_preferred_to_one_in_its_margin() -> None:
    """On a card of 1908 to 2000, '08' is its first year and not one after its last."""
    assert read_date("08", Era(1908, 2000)).edtf == "1908"


def test_an_open_century_keeps_every_reading_and_names_them() -> None:
    """Both weeks are candidates, and each is offered apart with the reason."""
    date = read_date("w/e 14.11.25", None)

    assert date.edtf == "[1825-11-08..1825-11-14,1925-11-08..1925-11-14]"
    assert [span.days for span in date.candidates] == [7, 7]
    assert [other.edtf for other in date.ambiguity] == [
        "[1825-11-08..1825-11-14]",
        "[1925-11-08..1925-11-14]",
    ]
    assert "century is not written" in date.ambiguity[0].why


def test_a_run_of_months_stays_in_one_century() -> None:
    """Where no century is written, '11.15-3.16' is one winter or another, and never a hundred years."""
    assert read_date("11.15-3.16", None).edtf == "[1815-11..1816-03,1915-11..1916-03]"


@pytest.mark.parametrize(("text", "edtf"), [("1933-34", "[1933..1934]"), ("1920-21", "[1920..1921]")])
def test_two_years_are_no_season(text: str, edtf: str) -> None:
    """'1933-34' is two years to a clerk, though 34 is the standard's code for a second quarter."""
    assert read_date(text, None).edtf == edtf


def test_a_year_and_a_month_need_no_second_reading() -> None:
    """'1911-04' can't be two years, because the second would be before the first."""
    assert read_date("1911-04", CARD).ambiguity == ()


def test_the_calendar_may_settle_the_century() -> None:
    """1900 had no 29 February; of the years that 'xx00' may mean, only those that had one are left."""
    assert read_date("29.2.00", Era(1895, 2005)).edtf == "2000-02-29"


@pytest.mark.parametrize(
    ("text", "edtf", "other"),
    [
        ("1911-12", "1911-12", "[1911..1912]"),
        ("1911/12", "[1911..1912]", "1911-12"),
        ("Winter 1925", "1925-24", "1924-24"),
    ],
)
def test_a_second_reading_is_named(text: str, edtf: str, other: str) -> None:
    """The likelier one stands, the other is beside it for a person to choose."""
    date = read_date(text, CARD)

    assert date.edtf == edtf
    assert [reading.edtf for reading in date.ambiguity] == [other]


def test_doubt_and_about_are_told_apart() -> None:
    """'[?]' doubts the statement, 'c.' loosens it."""
    doubtful, about = read_date("1925[?]", CARD), read_date("c.1925", CARD)

    assert (doubtful.uncertain, doubtful.approximate) == (True, False)
    assert (about.uncertain, about.approximate) == (False, True)


def test_an_era_can_not_run_backwards() -> None:
    """Misuse is refused with both years."""
    with pytest.raises(ValueError, match="can't end in 1908, before its first year 1946"):
        Era(1946, 1908)


@pytest.mark.parametrize(
    ("text", "edtf"),
    [
        ("the 3rd day of March 1911", "1911-03-03"),
        ("in March 1911", "1911-03"),
        ("14 Nov 25", None),
        ("11.25", None),
        ("4412", None),
        ("boiler 4412 lifted", None),
        ("yesterday", None),
        ("14 Nov", None),
        ("", None),
    ],
)
def test_a_general_reader_may_suggest_only_what_is_written(text: str, edtf: str | None) -> None:
    """It guesses centuries and fills in today; without a year in four digits nothing is taken from it."""
    assert suggest_date(text) == edtf
