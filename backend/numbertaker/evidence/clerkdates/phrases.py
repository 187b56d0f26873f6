"""What clerks put around a date: 'w/e', 'c.', 'before', 'between ... and ...', and ranges.

Every phrase ends as a list of alternatives (one a century, where the century is not written), and each
alternative as members of an EDTF set: pairs of dates from one to the other.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, TypeAlias

from numbertaker.evidence.clerkdates.atoms import (
    MONTHS,
    Atom,
    NotUnderstoodError,
    dates_of,
    read_atom,
    years_of,
)
from numbertaker.evidence.clerkdates.values import Era
from numbertaker.evidence.days import Day, Span, civil, day_of, month_span
from numbertaker.evidence.edtf import parse_edtf, span_edtf

Member: TypeAlias = tuple[str, str]
Alternative: TypeAlias = tuple[Member, ...]


@dataclass(frozen=True, slots=True)
class Phrase:
    """What a phrase says: one alternative or more, and whether it says 'about' or 'perhaps'."""

    alternatives: tuple[Alternative, ...]
    approximate: bool = False
    uncertain: bool = False


_WEEKDAY: Final = re.compile(
    r"(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?[ .,]+(?=\d)", re.ASCII
)
_ABOUT: Final = re.compile(r"(?<![\w/])(?:circa|about|abt|approx(?:imately)?|around|ca|c)(?:[. ]+|(?=\d))")
_PERHAPS: Final = re.compile(r"\b(?:probably|prob|possibly|poss|perhaps|said to be)[. ]+|\?$")
_NO_YEAR: Final = re.compile(
    rf"(?:\d{{1,2}}(?:st|nd|rd|th)?[ .-]*)?({'|'.join(MONTHS)})(?:[ .-]*\d)?", re.ASCII
)
_WEEK_END: Final = re.compile(
    r"(?:(\d|two|three|four) ?)?"
    r"(?:w[/.\- ]?e|w[/.\- ]?ending|w(?:ee)?ks?[. ]*end(?:ing|ed)?)(?:[. ]+|(?=\d))(.+)"
)
_WEEK_START: Final = re.compile(
    r"(?:w[/.][cb]|w(?:ee)?k[. ]*(?:commencing|beginning|of))(?:[. ]+|(?=\d))(.+)"
)
_PERIOD_END: Final = re.compile(
    r"(m/e|q/e|h/e|y/e|month|quarter|qtr|half[ -]?(?:year|yr)|year|yr)"
    r"[. ]*(?:end(?:ing|ed)?)?(?:[. ]+|(?=\d))(.+)"
)
_BEFORE: Final = re.compile(r"(?:before|prior to|earlier than|pre)[ -]+(.+)")
_AFTER: Final = re.compile(r"(?:after|later than|post)[ -]+(.+)")
_BY: Final = re.compile(r"(?:by|until|till|up to|not after|not later than|no later than)[ ]+(.+)")
_SINCE: Final = re.compile(r"(?:since|not before|not earlier than|from)[ ]+(.+)")
_BETWEEN: Final = re.compile(r"(?:between|bet|betw)[. ]+(.+?) ?(?:and|&|-) ?(.+)")
_FROM_TO: Final = re.compile(r"(?:from )?(.+?) (?:to|till|until) (.+)")
_OR: Final = re.compile(r"(.+?) ?(?: or |&| and ) ?(.+)")
_YEARS: Final = re.compile(r"(\d{4})([-/])(\d{4}|\d{2})", re.ASCII)
_DECADE: Final = re.compile(r"(?:(early|mid|late)[ -]+)?(\d{3})0'?s", re.ASCII)
_PART: Final = re.compile(r"(early|start|beginning|mid(?:dle)?|late|end)(?: of| in)?[ -]+(.+)")
_SEASON: Final = re.compile(r"(spring|summer|autumn|winter)(?: of)?[ ,.]+'?(\d{4}|\d{2})", re.ASCII)
_QUARTER: Final = re.compile(
    r"(?:q([1-4])|([1-4])(?:st|nd|rd|th)? ?q(?:uarte|t)?r)[ .,/-]+'?(\d{4}|\d{2})", re.ASCII
)
_HALF: Final = re.compile(r"(?:h([12])|([12])(?:st|nd)? ?half(?: of)?)[ .,/-]+'?(\d{4}|\d{2})", re.ASCII)

_SEASONS: Final = {"spring": 21, "summer": 22, "autumn": 23, "winter": 24}
_COUNTS: Final = {"two": 2, "three": 3, "four": 4}
_PERIOD_MONTHS: Final = {"m": 1, "q": 3, "h": 6, "y": 12}

# What 'early', 'mid' and 'late' may mean: months of a year, years of a decade, days of a month (0: its last).
# A policy of ours, deliberately overlapping; common practice, no source.
PART_MONTHS: Final = {"early": (1, 4), "mid": (4, 9), "late": (9, 12)}
PART_YEARS: Final = {"early": (0, 4), "mid": (3, 7), "late": (6, 9)}
PART_DAYS: Final = {"early": (1, 12), "mid": (8, 23), "late": (19, 0)}
_PART_WORDS: Final = {"start": "early", "beginning": "early", "middle": "mid", "end": "late"}


def read_phrase(text: str, era: Era | None) -> Phrase:
    """Read squeezed lower-case text; NotUnderstoodError says why it can't be read."""
    plain, perhaps = _PERHAPS.subn("", _WEEKDAY.sub("", text))
    plain, about = _ABOUT.subn("", plain)
    return Phrase(_alternatives(plain.strip(), era), approximate=about > 0, uncertain=perhaps > 0)


def _alternatives(text: str, era: Era | None) -> tuple[Alternative, ...]:
    match = _YEARS.fullmatch(text)
    if match is not None and _is_run_of_years(match):
        return _years(match)
    atom = read_atom(text)
    if atom is not None:
        return _single(atom, era)
    for pattern, read in _READERS:
        match = pattern.fullmatch(text)
        if match is not None:
            return read(match, era)
    found = _hyphenated(text, era)
    if found is None:
        raise NotUnderstoodError(_NO_YEAR_WRITTEN if _NO_YEAR.fullmatch(text) else _NO_DATE)
    return found


_NO_YEAR_WRITTEN: Final = "A day or a month is written, and no year."
_NO_DATE: Final = (
    "It is not understood as a date: expected a year, a month and a year, or a day,"
    " such as 1925, 11.25 or 14.11.25."
)


def _single(atom: Atom, era: Era | None) -> tuple[Alternative, ...]:
    if atom.bare and (era is None or len(years_of(atom.year, era)) > 1):
        raise NotUnderstoodError(f"'{atom.year}' alone may be a day, a month or a year of any century.")
    return tuple(((date, date),) for date in dates_of(atom, era))


def _is_run_of_years(match: re.Match[str]) -> bool:
    """'1915-16' is two years; '1925/11', whose second number is not later, is a month."""
    return len(match[3]) == 4 or int(match[3]) > int(match[1][2:]) or int(match[3]) > 12


def _years(match: re.Match[str]) -> tuple[Alternative, ...]:
    (first,) = years_of(match[1], None)
    last = int(match[3]) if len(match[3]) == 4 else first // 100 * 100 + int(match[3])
    if last < first:
        last += 100 if len(match[3]) == 2 else 0
    if last <= first:
        raise NotUnderstoodError(f"The years run backwards, from {first} to {last}.")
    return (((f"{first:04d}", f"{last:04d}"),),)


def _atom(text: str) -> Atom:
    atom = read_atom(text.strip())
    if atom is None:
        raise NotUnderstoodError(f"'{text.strip()}' in it is not understood as a date.")
    return atom


def _spans(text: str, era: Era | None) -> Iterator[Span]:
    """The nominal span of an inner date, one a century."""
    for (date, _), *_rest in _single(_atom(text), era):
        yield parse_edtf(date).hull


def _member(span: Span) -> Member:
    """A span as the two ends of a member of a set; an open end is empty."""
    text = span_edtf(span, one_of=True)
    if not text.startswith("["):
        return text, text
    first, _, last = text[1:-1].partition("..")
    return first, last


def _days_only(text: str, era: Era | None) -> Iterator[Day]:
    atom = _atom(text)
    if atom.day is None:
        raise NotUnderstoodError(f"A week needs a day, and '{text.strip()}' has none.")
    for date in dates_of(atom, era):
        yield parse_edtf(date).hull.first or 0


def _week_ending(match: re.Match[str], era: Era | None) -> tuple[Alternative, ...]:
    weeks = _COUNTS.get(match[1]) or int(match[1]) if match[1] else 1
    return tuple((_member(Span(day - 7 * weeks + 1, day)),) for day in _days_only(match[2], era))


def _week_starting(match: re.Match[str], era: Era | None) -> tuple[Alternative, ...]:
    return tuple((_member(Span(day, day + 6)),) for day in _days_only(match[1], era))


def _period_ending(match: re.Match[str], era: Era | None) -> tuple[Alternative, ...]:
    months = _PERIOD_MONTHS[match[1][0]]
    lasts = (span.last or 0 for span in _spans(match[2], era))
    return tuple((_member(Span(_months_earlier(last, months) + 1, last)),) for last in lasts)


def _months_earlier(day: Day, months: int) -> Day:
    """The same day so many months before; the end of a month stays an end."""
    year, month, of_month = civil(day)
    over, index = divmod(month - 1 - months, 12)
    target = month_span(year + over, index + 1)
    at_end = day == month_span(year, month).last
    longest = target.days or 28
    return day_of(year + over, index + 1, longest if at_end else min(of_month, longest))


def _before(match: re.Match[str], era: Era | None) -> tuple[Alternative, ...]:
    return tuple((_member(Span(None, (span.first or 0) - 1)),) for span in _spans(match[1], era))


def _after(match: re.Match[str], era: Era | None) -> tuple[Alternative, ...]:
    return tuple((_member(Span((span.last or 0) + 1, None)),) for span in _spans(match[1], era))


def _by(match: re.Match[str], era: Era | None) -> tuple[Alternative, ...]:
    return tuple((_member(Span(None, span.last)),) for span in _spans(match[1], era))


def _since(match: re.Match[str], era: Era | None) -> tuple[Alternative, ...]:
    return tuple((_member(Span(span.first, None)),) for span in _spans(match[1], era))


def _run(left: str, right: str, era: Era | None) -> tuple[Alternative, ...]:
    """From one date to another, in the nearest centuries in which they run forwards."""
    starts, ends = _pair(left, right, era)
    runs = [Span(start.first, end.last) for start in starts for end in ends if end >= start]
    if not runs:
        raise NotUnderstoodError("It ends before it starts.")
    nearest = min(run.days or 0 for run in runs)
    # Centuries of differing length (of leap years) move a run by a day at most.
    return tuple((_member(run),) for run in runs if (run.days or 0) <= nearest + 1)


def _either(left: str, right: str, era: Era | None) -> tuple[Alternative, ...]:
    """One date or the other, both of one century where neither is written."""
    firsts, seconds = _pair(left, right, era)
    if len(firsts) != len(seconds):
        return (tuple(_member(span) for span in sorted({*firsts, *seconds})),)
    pairs = zip(firsts, seconds, strict=True)
    return tuple(tuple(_member(span) for span in sorted({first, second})) for first, second in pairs)


def _pair(left: str, right: str, era: Era | None) -> tuple[list[Span], list[Span]]:
    """Two dates; a month alone on the left ('Nov or Dec 1925') takes the year on the right.

    Two digits alone on the right ('1915 or 16') take the century on the left.
    """
    left, right = left.strip(), right.strip()
    month = MONTHS.get(left.rstrip("."))
    if month is not None:
        year = _atom(right).year
        left = f"{month}.{year}"
    first, second = _atom(left), _atom(right)
    if first.bare and second.bare:
        raise NotUnderstoodError("Two numbers of two digits may be anything.")
    if second.bare and len(first.year) == 4:
        right = f"{first.year[:2]}{second.year}"
    return list(_spans(left, era)), list(_spans(right, era))


def _hyphenated(text: str, era: Era | None) -> tuple[Alternative, ...] | None:
    """Two dates around a hyphen, or two months around a slash, wherever both sides are dates."""
    for place in re.finditer("[-/]", text):
        left, right = text[: place.start()], text[place.end() :]
        named = left.rstrip(".") in MONTHS
        dated = named or (place[0] == "-" and read_atom(left) is not None)
        if dated and read_atom(right) is not None:
            return (_run if place[0] == "-" else _either)(left, right, era)
    return None


def _year_alternatives(
    digits: str, era: Era | None, member: Callable[[int], Member]
) -> tuple[Alternative, ...]:
    return tuple((member(year),) for year in years_of(digits.lstrip("'"), era))


def _part(match: re.Match[str], era: Era | None) -> tuple[Alternative, ...]:
    """Early, mid or late in a year or a month."""
    part = _PART_WORDS.get(match[1], match[1])
    atom = _atom(match[2])
    if atom.day is not None:
        raise NotUnderstoodError(f"A day has no part that is {part}.")
    return tuple((_part_of(date, part),) for (date, _), *_rest in _single(atom, era))


def _part_of(date: str, part: str) -> Member:
    if len(date) == 4:
        first, last = PART_MONTHS[part]
        return f"{date}-{first:02d}", f"{date}-{last:02d}"
    whole = parse_edtf(date).hull
    first, last = PART_DAYS[part]
    start = whole.first or 0
    return _member(Span(start + first - 1, start + last - 1 if last else whole.last))


def _decade(match: re.Match[str], _era: Era | None) -> tuple[Alternative, ...]:
    decade = int(match[2]) * 10
    years_of(f"{decade:04d}", None)
    if match[1] is None:
        return (((f"{match[2]}X", f"{match[2]}X"),),)
    first, last = PART_YEARS[match[1]]
    return (((f"{decade + first:04d}", f"{decade + last:04d}"),),)


def _coded(code: int, digits: str, era: Era | None) -> tuple[Alternative, ...]:
    return _year_alternatives(digits, era, lambda year: (f"{year:04d}-{code}", f"{year:04d}-{code}"))


_Reader: TypeAlias = Callable[[re.Match[str], Era | None], tuple[Alternative, ...]]
_READERS: Final[tuple[tuple[re.Pattern[str], _Reader], ...]] = (
    (_WEEK_END, _week_ending),
    (_WEEK_START, _week_starting),
    (_PERIOD_END, _period_ending),
    (_BEFORE, _before),
    (_AFTER, _after),
    (_BETWEEN, lambda match, era: _run(match[1], match[2], era)),
    (_FROM_TO, lambda match, era: _run(match[1], match[2], era)),
    (_BY, _by),
    (_SINCE, _since),
    (_DECADE, _decade),
    (_PART, _part),
    (_SEASON, lambda match, era: _coded(_SEASONS[match[1]], match[2], era)),
    (_QUARTER, lambda match, era: _coded(32 + int(match[1] or match[2]), match[3], era)),
    (_HALF, lambda match, era: _coded(39 + int(match[1] or match[2]), match[3], era)),
    (_OR, lambda match, era: _either(match[1], match[2], era)),
)
