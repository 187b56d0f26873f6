"""Register dates as clerks wrote them, read into EDTF.

The clerk's habits are common practice and have no source: the day before the month, the
month before the year ('11.25' is November 1925), a year in two digits, 'w/e' for the week
ending on a date, 'c.' for about. What is not written is never filled in; what can be read in two
ways is given in both.

>>> read_date("w/e 14.11.25", Era(1908, 1946)).edtf
'[1925-11-08..1925-11-14]'
"""

from __future__ import annotations

from numbertaker.evidence.clerkdates.reading import forget_dates, read_date
from numbertaker.evidence.clerkdates.suggestions import suggest_date
from numbertaker.evidence.clerkdates.values import CENTURY_MARGIN, Era, OtherReading, WrittenDate

__all__ = [
    "CENTURY_MARGIN",
    "Era",
    "OtherReading",
    "WrittenDate",
    "forget_dates",
    "read_date",
    "suggest_date",
]
