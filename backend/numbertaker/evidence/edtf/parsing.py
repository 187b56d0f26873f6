"""From an EDTF text to its meaning."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from numbertaker.evidence.days import ALWAYS, Day, Span, merged
from numbertaker.evidence.edtf.refusals import refusal
from numbertaker.evidence.edtf.single import NoDateError, parse_single, plain_single
from numbertaker.evidence.edtf.values import Bound, DateKind, Edtf, Precision, Range, Single
from numbertaker.evidence.edtf.writing import span_edtf
from numbertaker.evidence.errors import BadDate

_PLAIN: Final = re.compile(r"(\d{4})(?:-(0[1-9]|1[0-2])(?:-(\d\d))?)?", re.ASCII)
_TIME: Final = re.compile(
    r"(\d{4})-(\d\d)-(\d\d)T(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d"
    r"(?:Z|[+-](?:0\d|1[0-4])(?::[0-5]\d)?)?",
    re.ASCII,
)


@lru_cache(maxsize=65_536)
def parse_edtf(text: str) -> Edtf:
    """Read an EDTF text of level 0, 1 or 2; BadDate says what is wrong and what to write."""
    try:
        return _parsed(text)
    except NoDateError as error:
        raise refusal(text, str(error), _parses) from None


def _parses(text: str) -> bool:
    try:
        _parsed(text)
    except NoDateError:
        return False
    return True


def _parsed(text: str) -> Edtf:
    match = _PLAIN.fullmatch(text)
    if match is not None:
        year, month, day = match.groups()
        plain = plain_single(int(year), int(month) if month else None, int(day) if day else None)
        return _alone(text, plain, "date")
    if text[:1] in ("[", "{"):
        return _set(text)
    if "/" in text:
        return _interval(text)
    match = _TIME.fullmatch(text)
    if match is not None:
        return _alone(text, plain_single(int(match[1]), int(match[2]), int(match[3])), "datetime")
    return _alone(text, parse_single(text), "date")


def _alone(text: str, single: Single, kind: DateKind) -> Edtf:
    return Edtf(
        text,
        single.level,
        kind,
        single.precision,
        single.candidates,
        single.hull,
        bool(single.uncertain),
        bool(single.approximate),
        ranges=(Range(single, single),),
    )


def _interval(text: str) -> Edtf:
    """Two dates, either of which may be empty (unknown) or `..` (open), but not both empty."""
    parts = text.split("/")
    if len(parts) != 2:
        raise NoDateError("an interval has two ends")
    if parts == ["", ""]:
        raise NoDateError("an interval with both ends unknown says nothing; leave the cell empty")
    ends = [parse_single(part) if part not in ("", "..") else None for part in parts]
    between = Range(*ends)
    span = _covered(between)
    # An unspecified digit within an interval is a feature of level 2, even if the date alone is of level 1.
    masked = 2 if "X" in text else 0
    return Edtf(
        text,
        max(masked, *(single.level if single else 1 for single in ends)),
        "interval",
        _common_precision(ends),
        (span,),
        span,
        any(single.uncertain for single in ends if single),
        any(single.approximate for single in ends if single),
        _bound(parts[0]),
        _bound(parts[1]),
        ranges=(between,),
    )


def _bound(part: str) -> Bound:
    return "unknown" if part == "" else "open" if part == ".." else "stated"


def _covered(between: Range) -> Span:
    first: Day | None = between.start.hull.first if between.start else None
    last: Day | None = between.end.hull.last if between.end else None
    if first is not None and last is not None and last < first:
        raise NoDateError("it ends before it starts")
    return Span(first, last)


def _common_precision(singles: list[Single | None]) -> Precision:
    """The precision that all share; 'other' where they differ, for then the whole has none."""
    found: set[Precision] = {single.precision for single in singles if single}
    return found.pop() if len(found) == 1 else "other"


def _set(text: str) -> Edtf:
    kind: DateKind = "one-of" if text[0] == "[" else "all-of"
    if text[-1] != ("]" if kind == "one-of" else "}") or len(text) < 3:
        raise NoDateError("a set stands between [ and ] or between { and }, and has a member")
    members = text[1:-1].split(",")
    ranges = tuple(_member(member, n == 0, n == len(members) - 1) for n, member in enumerate(members))
    candidates = merged(span for between in ranges for span in _spans(between))
    singles = [single for between in ranges for single in (between.start, between.end)]
    return Edtf(
        text,
        2,
        kind,
        _common_precision(singles),
        candidates,
        Span(candidates[0].first, candidates[-1].last),
        any(single.uncertain for single in singles if single),
        any(single.approximate for single in singles if single),
        "stated" if ranges[0].start else "open",
        "stated" if ranges[-1].end else "open",
        ranges=ranges,
    )


def _spans(between: Range) -> tuple[Span, ...]:
    if between.start is not None and between.alone:
        return between.start.candidates
    return (_covered(between),)


def _member(text: str, first: bool, last: bool) -> Range:
    """One member of a set: a date, or a run of dates of one precision."""
    if ".." not in text:
        single = parse_single(text)
        return Range(single, single)
    before, _, after = text.partition("..")
    if (not before and not first) or (not after and not last) or not (before or after):
        raise NoDateError("in a set, a bare '..' may stand only before the first or after the last member")
    start = parse_single(before) if before else None
    end = parse_single(after) if after else None
    if start and end and start.precision != end.precision:
        raise NoDateError("the two dates that '..' joins must have the same precision")
    return Range(start, end)


def one_day(text: str) -> Edtf:
    """Read the date of one event, where an interval `a/b` is doubt about one day: the set `[a..b]`.

    Ends of differing precision, which a set can't join, are brought to one. BadDate also for an interval
    that is open on both sides.
    """
    date = parse_edtf(text)
    if date.kind != "interval":
        return date
    if date.hull == ALWAYS:
        raise BadDate(text, "it says nothing of the day; leave the cell empty")
    start, end = (("" if part == ".." else part) for part in text.split("/"))
    if date.precision == "other" or not _parses(f"[{start}..{end}]"):
        return parse_edtf(span_edtf(date.hull, one_of=True))
    return parse_edtf(f"[{start}..{end}]")
