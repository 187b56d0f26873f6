"""EDTF against an independent reading of it: the library `edtf` (python-edtf) 5.0.2.

The library is a test-time comparison only. Where it is known to be wrong or to follow another policy,
the difference is listed here with its reason, and is itself checked, so that a later version that mends
it is noticed.
"""

from __future__ import annotations

import csv
from pathlib import Path
from time import struct_time

import edtf
import pytest

from numbertaker.evidence.days import Day, day_of
from numbertaker.evidence.edtf import parse_edtf
from numbertaker.evidence.errors import BadDate

with (Path(__file__).parent / "edtf_table.csv").open(encoding="utf-8", newline="") as file:
    STRINGS = [row["string"] for row in csv.DictReader(file)]

DIFFERS = {
    "1984-1X": "the library crashes on an unspecified digit within a month",
    **dict.fromkeys(
        ["1950S2", "Y171010000S3", "Y3388E2S3"],
        "the library's strict bounds are those of the estimate, not of its significant digits",
    ),
    **dict.fromkeys(
        ["1985-04-12/", "1985-04/", "1985/", "/1985-04-12", "/1985-04", "/1985"],
        "the library makes an unknown end ten years long",
    ),
}
STRICT = [text for text in STRINGS if text not in DIFFERS]


def ends(text: str) -> tuple[Day | None, Day | None]:
    """The library's bounds without its fuzzy padding; an open end, infinite there, is None."""
    parsed = edtf.parse_edtf(text)
    return _day(parsed.lower_strict()), _day(parsed.upper_strict())


def _day(moment: struct_time | float) -> Day | None:
    if isinstance(moment, float):
        return None
    return day_of(moment.tm_year, moment.tm_mon, moment.tm_mday)


@pytest.mark.parametrize("text", STRICT)
def test_both_give_the_same_bounds(text: str) -> None:
    """Two readings made apart from each other agree on the first and the last day."""
    hull = parse_edtf(text).hull

    assert (hull.first, hull.last) == ends(text)


def test_the_library_accepts_a_day_that_never_was() -> None:
    """It has no leap-year check; we refuse 29 February 1985."""
    assert edtf.parse_edtf("1985-02-29") is not None
    with pytest.raises(BadDate, match="28 days"):
        parse_edtf("1985-02-29")


def test_the_library_takes_an_estimate_for_exact() -> None:
    """1950 to two significant digits is 1900 to 1999, as the specification says beside its example."""
    assert ends("1950S2") == (day_of(1950, 1, 1), day_of(1950, 12, 31))
    assert parse_edtf("1950S2").hull == parse_edtf("1900/1999").hull


def test_the_library_has_a_winter_of_one_month() -> None:
    """A season's months are a policy; ours runs to the end of February, the library's to the year's end."""
    assert ends("2010-24") == (day_of(2010, 12, 1), day_of(2010, 12, 31))
    assert parse_edtf("2010-24").hull == parse_edtf("2010-12/2011-02").hull


def test_the_library_ends_an_unknown_interval_after_ten_years() -> None:
    """We leave an unknown end unknown."""
    assert ends("1985/") == (day_of(1985, 1, 1), day_of(1995, 1, 1))
    assert parse_edtf("1985/").hull.last is None
