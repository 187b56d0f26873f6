"""Which kinds of finding would name each kind of fault."""

from __future__ import annotations

DATES = (
    "date-conflict",
    "overlap",
    "double-occupancy",
    "outside-lifetime",
    "rate-outlier",
    "doubtful-reading",
)
MILES = ("mileage-conflict", "total-mismatch", "rate-outlier", "doubtful-reading")
TOTALS = ("total-mismatch", "mileage-conflict")
NAMES = ("misnamed", "ambiguous-link")
REPEATED = ("repeated-line", "overlap", "double-occupancy")
HANDS = (*REPEATED, "date-conflict", "mileage-conflict", "rate-outlier", "doubtful-reading")
LOST = ("gap", "one-sided", "total-mismatch")
DITTO = (
    "gap",
    "misnamed",
    "unlinked",
    "ambiguous-link",
    "one-sided",
    "double-occupancy",
    "does-not-fit",
    "doubtful-reading",
    "overlap",
    "outside-lifetime",
)
NUMBERS = (
    "misnamed",
    "unlinked",
    "ambiguous-link",
    "one-sided",
    "does-not-fit",
    "double-occupancy",
    "overlap",
    "outside-lifetime",
    "doubtful-reading",
)
COPIES = (
    "date-conflict",
    "mileage-conflict",
    "overlap",
    "double-occupancy",
    "outside-lifetime",
    "rate-outlier",
    "one-sided",
    "misnamed",
    "unlinked",
    "ambiguous-link",
    "doubtful-reading",
    "total-mismatch",
)
LISTS = ("date-conflict", "outside-lifetime")
