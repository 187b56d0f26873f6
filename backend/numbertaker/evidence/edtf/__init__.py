"""Dates with uncertainty, as EDTF: levels 0 to 2 of ISO 8601-2:2019.

Source: Library of Congress, "Extended Date/Time Format (EDTF) Specification", 4 February
2019, www.loc.gov/standards/datetime/. All of levels 0 to 2 is read, but for years of more
than twelve digits. The 2012 draft's spellings are refused with the 2019 spelling offered.

A date keeps the *list* of spans that it may mean, because many are not convex:
`156X-12-25` is ten single days and `[1667,1760-12]` excludes the years between; the hull
is derived from the list and loses that.

The specification gives no width to `?`, `~` and `%`; widening is a policy of ours, with a
name and settings (`WideningPolicy`), and never happens while parsing.
"""

from __future__ import annotations

from numbertaker.evidence.edtf.parsing import one_day, parse_edtf
from numbertaker.evidence.edtf.values import Bound, DateKind, Edtf, Precision
from numbertaker.evidence.edtf.widening import WideningPolicy, widened
from numbertaker.evidence.edtf.writing import span_edtf

__all__ = [
    "Bound",
    "DateKind",
    "Edtf",
    "Precision",
    "WideningPolicy",
    "one_day",
    "parse_edtf",
    "span_edtf",
    "widened",
]
