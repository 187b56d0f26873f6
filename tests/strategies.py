"""Hypothesis strategies that several law tests share."""

from __future__ import annotations

from hypothesis import strategies as st

from numbertaker.evidence.days import Span, day_of
from numbertaker.evidence.signs import MARK_KINDS, Mark

REGISTER_DAYS = st.integers(day_of(1800, 1, 1), day_of(2000, 12, 31))
"""The days that registers speak of."""

ANY_DAYS = st.integers(day_of(-2000, 1, 1), day_of(12_000, 12, 31))
"""Days far on either side of what `datetime` can hold."""


@st.composite
def spans(draw: st.DrawFn, days: st.SearchStrategy[int] = REGISTER_DAYS, *, bounded: bool = False) -> Span:
    """Spans of every kind: single days, whole months and years, any others, and ones without a bound."""
    first, last = sorted((draw(days), draw(days)))
    if draw(st.booleans()):
        last = min(last, first + draw(st.integers(0, 400)))
    if bounded:
        return Span(first, last)
    return Span(draw(st.sampled_from([first, first, None])), draw(st.sampled_from([last, last, None])))


@st.composite
def whole_years_or_months(draw: st.DrawFn) -> Span:
    """Spans that begin with a month and end with one."""
    first = draw(st.integers(1800 * 12, 2000 * 12))
    after = first + draw(st.integers(1, 40))
    return Span(day_of(first // 12, first % 12 + 1, 1), day_of(after // 12, after % 12 + 1, 1) - 1)


_FIELDS = st.sampled_from(["engine", "fitted", "removed", "miles", "total_miles", "remarks"])
_STRUCK = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12).map(str.strip)

MARKS = st.builds(Mark, _FIELDS, st.sampled_from(MARK_KINDS), _STRUCK)
"""Marks of every kind, with any printable text in what was struck."""


@st.composite
def edtf_dates(draw: st.DrawFn) -> str:
    """Single EDTF dates that exist, of levels 0 to 2, with qualifiers and unspecified digits."""
    year = draw(st.integers(1800, 1999))
    month = draw(st.integers(1, 12))
    day = draw(st.integers(1, 28))
    masked = draw(
        st.sampled_from([f"{year:04d}", f"{year // 10}X", f"{year // 100}XX", f"{year // 100}X{year % 10}"])
    )
    text = draw(
        st.sampled_from(
            [
                masked,
                f"{year}-{month:02d}",
                f"{masked}-{month:02d}",
                f"{year}-XX",
                f"{year}-{month:02d}-{day:02d}",
                f"{year}-{month:02d}-XX",
                f"{year}-XX-{day:02d}",
                f"{masked}-{month:02d}-{day:02d}",
                f"{year}-{draw(st.integers(21, 41))}",
            ]
        )
    )
    return text + draw(st.sampled_from(["", "", "?", "~", "%"]))


@st.composite
def edtf_sets(draw: st.DrawFn) -> str:
    """Sets of years, single and in runs, either of one or of all."""
    years = sorted(draw(st.sets(st.integers(1800, 1999), min_size=1, max_size=6)))
    members = [
        f"{year}..{year + draw(st.integers(0, 9))}" if draw(st.booleans()) else str(year) for year in years
    ]
    opening, closing = draw(st.sampled_from(["[]", "{}"]))
    return opening + ",".join(members) + closing


@st.composite
def edtf_intervals(draw: st.DrawFn) -> str:
    """Intervals between dates of any precision that run forwards, and ones with an open or unknown end."""
    first = draw(st.integers(1800, 1900))
    start = draw(st.sampled_from([f"{first}", f"{first}-06", f"{first}-06-30", "", ".."]))
    ends = [f"{first + 1}", f"{first + 1}-02~", f"{first + 9}-02-28?", ".."] + ([""] if start else [])
    return f"{start}/{draw(st.sampled_from(ends))}"


EDTF_TEXTS = st.one_of(edtf_dates(), edtf_sets(), edtf_intervals())
"""EDTF texts of all kinds that parse."""

DAY_TEXTS = EDTF_TEXTS.filter(lambda text: any(letter.isdigit() for letter in text))
"""EDTF texts that say something of a day."""
