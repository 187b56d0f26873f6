"""From spans of days back to EDTF."""

from __future__ import annotations

from typing import Final

from numbertaker.evidence.days import Span, civil, iso
from numbertaker.evidence.errors import BadInput

_LONGEST: Final = 10


def span_edtf(span: Span, *, one_of: bool = False) -> str:
    """A span as the shortest EDTF text with exactly those days.

    A whole year is `1913`, a whole month `1911-04`, a single day itself. Anything else is `a/b`, or
    `[a..b]` where `one_of` says that the span is a doubt about one day; both ends share the coarsest
    precision that fits them. No bound is `..` (open). BadInput for a span of days in years beyond four
    digits, which EDTF writes only whole.
    """
    if span.first is None and span.last is None:
        return "../.."
    start, end = _ends(span)
    if start == end:
        return start
    if one_of:
        return f"[{start}..{end}]"
    return f"{start or '..'}/{end or '..'}"


def _ends(span: Span) -> tuple[str, str]:
    """Both ends at one precision; empty for an end that is not there."""
    for length in (4, 7):
        starts = span.first is None or _starts(span.first, length)
        ends = span.last is None or _starts(span.last + 1, length)
        if starts and ends:
            return _cut(span.first, length), _cut(span.last, length)
    return _cut(span.first, _LONGEST), _cut(span.last, _LONGEST)


def _starts(day: int, length: int) -> bool:
    """Whether a year (length 4) or a month (length 7) starts on this day."""
    _, month, of_month = civil(day)
    return of_month == 1 and (month == 1 or length == 7)


def _cut(day: int | None, length: int) -> str:
    if day is None:
        return ""
    year, _, _ = civil(day)
    if -9999 <= year <= 9999:
        return iso(day)[: length + (year < 0)]
    if length > 4:
        raise BadInput(expected="a year of at most four digits", found=iso(day))
    return f"Y{year}"
