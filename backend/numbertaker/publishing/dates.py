"""Dates in British words, as much as they say and no more.

What is doubtful keeps its doubt: a set of seven days is 'the week ending', a span without an end is 'in
or after May 1911', one without a start 'by the end of 1913', `1915~` is 'about 1915'.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from numbertaker.evidence.days import Day, Span, civil, iso, year_text
from numbertaker.evidence.edtf import Edtf, one_day, parse_edtf
from numbertaker.evidence.errors import BadDate
from numbertaker.publishing.figures import listed
from numbertaker.reconciling.history import When

MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_SEASONS: Final = {"21": "spring", "22": "summer", "23": "autumn", "24": "winter"}
_SEASON: Final = re.compile(r"(\d{4})-(2[1-4])", re.ASCII)
_MOST_ALTERNATIVES: Final = 4
Order: TypeAlias = Literal["british", "american", "iso"]
"""How a day is written: '14 November 1925', 'November 14, 1925', '1925-11-14'."""

UNKNOWN: Final = "at a date not known"


@dataclass(frozen=True, slots=True)
class Phrase:
    """A date in words, with the preposition it takes in a sentence; `at` may be empty ('about 1915')."""

    at: str
    words: str

    def __str__(self) -> str:
        """The date as it stands in a sentence: 'in April 1911'."""
        return f"{self.at} {self.words}" if self.at else self.words


def day_words(day: Day, order: Order = "british") -> str:
    """A day in full: '14 November 1925'."""
    year, month, of_month = civil(day)
    if order == "iso":
        return iso(day)
    if order == "american":
        return f"{MONTHS[month - 1]} {of_month}, {_year(year)}"
    return f"{of_month} {MONTHS[month - 1]} {_year(year)}"


def date_words(text: str, order: Order = "british") -> str:
    """An EDTF date in words without preposition, for a table; the text itself where it is no date.

    >>> date_words("[1903-05-01..1903-08-31]")
    'between May and August 1903'
    """
    phrase = _phrase(text, order)
    return text if phrase is None else phrase.words


def date_phrase(text: str, order: Order = "british") -> str:
    """An EDTF date as a sentence takes it: 'in April 1911', 'on 14 November 1925'."""
    phrase = _phrase(text, order)
    return f"at a date written as {text}" if phrase is None else str(phrase)


def when_phrase(when: When | None, order: Order = "british") -> str:
    """The likeliest claim in words; where there is none, the days between which the day must lie."""
    return str(_of(when, order)) if when is not None else UNKNOWN


def when_words(when: When | None, order: Order = "british") -> str:
    """The same for a table, without preposition; 'not known' where nothing is."""
    if when is None or (when.edtf is None and when.earliest is None and when.latest is None):
        return "not known"
    return _of(when, order).words


def span_words(span: Span, order: Order = "british") -> str:
    """A span of days in words, as a doubt about one day within it."""
    return str(_span(span, order))


def when_span(when: When | None) -> Span:
    """The days that an inferred date may be, else those of the claim; unbounded where nothing is known."""
    if when is None:
        return Span(None, None)
    if when.earliest is None and when.latest is None and when.edtf is not None:
        return text_span(when.edtf)
    if when.earliest is not None and when.latest is not None and when.latest < when.earliest:
        return Span(when.latest, when.earliest)
    return Span(when.earliest, when.latest)


def text_span(text: str) -> Span:
    """The days that an EDTF text covers or is in doubt between; without bounds where it is no date."""
    try:
        return parse_edtf(text).hull
    except BadDate:
        return Span(None, None)


def _of(when: When, order: Order) -> Phrase:
    phrase = None if when.edtf is None else _phrase(when.edtf, order)
    return _span(when_span(when), order) if phrase is None else phrase


def _phrase(text: str, order: Order) -> Phrase | None:
    season = _SEASON.fullmatch(text)
    if season is not None:
        return Phrase("in", f"the {_SEASONS[season[2]]} of {season[1]}")
    try:
        return _edtf(one_day(text), order)
    except BadDate:
        return None


def _edtf(date: Edtf, order: Order) -> Phrase:
    nominal = _candidates(date, order)
    if date.approximate:
        nominal = Phrase("", f"about {nominal.words}")
    if not date.uncertain:
        return nominal
    return Phrase("", f"perhaps {nominal}") if nominal.at else Phrase("", f"perhaps {nominal.words}")


def _candidates(date: Edtf, order: Order) -> Phrase:
    if len(date.candidates) == 1 or len(date.candidates) > _MOST_ALTERNATIVES:
        return _span(date.hull, order)
    each = [_span(span, order) for span in date.candidates]
    if len({phrase.at for phrase in each}) == 1:
        return Phrase(each[0].at, listed([phrase.words for phrase in each], "or"))
    return Phrase("", listed([str(phrase) for phrase in each], "or"))


def _span(span: Span, order: Order) -> Phrase:
    first, last = span.first, span.last
    if first is None and last is None:
        return Phrase("", UNKNOWN)
    if last is None:
        return _after(first, order) if first is not None else Phrase("", UNKNOWN)
    if first is None:
        return Phrase("", _by(last, order))
    return _one(first, last, order) or Phrase("", _between(first, last, order))


def _one(first: Day, last: Day, order: Order) -> Phrase | None:
    """A span with a name of its own: a day, a month, a year, a decade, a week; None for any other."""
    if first == last:
        return Phrase("on", day_words(first, order))
    (y1, m1, _), (y2, m2, _) = civil(first), civil(last)
    if _starts_month(first) and _ends_month(last):
        if (y1, m1) == (y2, m2):
            return Phrase("in", f"{MONTHS[m1 - 1]} {_year(y1)}")
        if (m1, m2) == (1, 12) and y1 == y2:
            return Phrase("in", _year(y1))
        if (m1, m2) == (1, 12) and y1 % 10 == 0 and y2 == y1 + 9:
            return Phrase("in", f"the {_year(y1)}s")
    if last - first == 6:
        return Phrase("in", f"the week ending {day_words(last, order)}")
    return None


def has_name(span: Span) -> bool:
    """Whether a span is a day, a week, a month, a year or a decade, and no other stretch of days."""
    return None not in (span.first, span.last) and _span(span, "british").at != ""


def _between(first: Day, last: Day, order: Order) -> str:
    """Two ends, the coarser the spans allow, with what they share said once."""
    (y1, m1, d1), (y2, m2, _) = civil(first), civil(last)
    if _starts_month(first) and _ends_month(last):
        if (m1, m2) == (1, 12):
            return f"between {_year(y1)} and {_year(y2)}"
        start = MONTHS[m1 - 1] if y1 == y2 else f"{MONTHS[m1 - 1]} {_year(y1)}"
        return f"between {start} and {MONTHS[m2 - 1]} {_year(y2)}"
    if order != "british":
        return f"between {day_words(first, order)} and {day_words(last, order)}"
    start = str(d1)
    if (y1, m1) != (y2, m2):
        start += f" {MONTHS[m1 - 1]}"
    if y1 != y2:
        start += f" {_year(y1)}"
    return f"between {start} and {day_words(last, order)}"


def _after(first: Day, order: Order) -> Phrase:
    year, month, day = civil(first)
    if day > 1:
        return Phrase("", f"on or after {day_words(first, order)}")
    return Phrase("", f"in or after {_year(year) if month == 1 else f'{MONTHS[month - 1]} {_year(year)}'}")


def _by(last: Day, order: Order) -> str:
    year, month, _ = civil(last)
    if not _ends_month(last):
        return f"by {day_words(last, order)}"
    return f"by the end of {_year(year) if month == 12 else f'{MONTHS[month - 1]} {_year(year)}'}"


def _starts_month(day: Day) -> bool:
    return civil(day)[2] == 1


def _ends_month(day: Day) -> bool:
    return civil(day + 1)[2] == 1


def _year(year: int) -> str:
    """A year as prose has it: no leading noughts, and 'BC' before year 1."""
    return f"{1 - year} BC" if year < 1 else str(year) if year < 10_000 else year_text(year)
