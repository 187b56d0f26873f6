"""EDTF against the specification's own examples.

Source: Library of Congress, "Extended Date/Time Format (EDTF) Specification", 4 February 2019,
www.loc.gov/standards/datetime/. The table holds its examples with the first and the last day that each may
mean, worked out apart from this program; qualifiers are not widened in it.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from numbertaker.evidence.days import Day, from_iso
from numbertaker.evidence.edtf import parse_edtf
from numbertaker.evidence.errors import BadDate

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


TABLE = rows("edtf_table.csv")
REFUSED = rows("edtf_refused.csv")


def day(text: str) -> Day | None:
    return None if text in ("open", "unknown") else from_iso(text)


def test_the_table_is_whole() -> None:
    """All 63 examples and all 18 refusals are there, so that none can drop out unnoticed."""
    assert (len(TABLE), len(REFUSED)) == (63, 18)


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row["string"])
def test_an_example_parses_to_its_level(row: dict[str, str]) -> None:
    """Every example of the specification is read, at the level at which it stands there."""
    parsed = parse_edtf(row["string"])

    assert parsed.level == int(row["level"])
    assert str(parsed) == row["string"]


@pytest.mark.parametrize(
    "row", [row for row in TABLE if row["earliest"] != "policy"], ids=lambda row: row["string"]
)
def test_an_example_has_its_days(row: dict[str, str]) -> None:
    """The first and the last candidate day are the ones of the table."""
    hull = parse_edtf(row["string"]).hull

    assert (hull.first, hull.last) == (day(row["earliest"]), day(row["latest"]))


@pytest.mark.parametrize(
    "row",
    [row for row in TABLE if {"open", "unknown"} & {row["earliest"], row["latest"]}],
    ids=lambda row: row["string"],
)
def test_open_and_unknown_ends_are_told_apart(row: dict[str, str]) -> None:
    """'..' says that there is no end and nothing says that it is not known: two different statements."""
    parsed = parse_edtf(row["string"])
    ends = (row["earliest"], row["latest"])

    assert (parsed.start, parsed.end) == tuple(
        end if end in ("open", "unknown") else "stated" for end in ends
    )


@pytest.mark.parametrize("row", REFUSED, ids=lambda row: row["string"] or "(empty)")
def test_what_is_no_edtf_is_refused_with_help(row: dict[str, str]) -> None:
    """The refusal says why, and offers the spelling of 2019 where there is one."""
    with pytest.raises(BadDate) as caught:
        parse_edtf(row["string"])

    assert row["says"] in str(caught.value)
    assert caught.value.offer == (row["offer"] or None)


@pytest.mark.parametrize("row", [row for row in REFUSED if row["offer"]], ids=lambda row: row["string"])
def test_what_is_offered_parses(row: dict[str, str]) -> None:
    """An offer that were itself refused would be no help."""
    assert parse_edtf(row["offer"]).text == row["offer"]


@pytest.mark.parametrize(
    ("text", "spans"),
    [
        ("[1667,1668,1670..1672]", ["1667-01-01/1668-12-31", "1670-01-01/1672-12-31"]),
        ("[1667,1760-12]", ["1667-01-01/1667-12-31", "1760-12-01/1760-12-31"]),
        ("[1760-01,1760-02,1760-12..]", ["1760-01-01/1760-02-29", "1760-12-01/"]),
        ("156X-12-25", [f"156{n}-12-25/156{n}-12-25" for n in range(10)]),
        ("1984-1X", ["1984-10-01/1984-12-31"]),
    ],
)
def test_gaps_between_candidates_are_kept(text: str, spans: list[str]) -> None:
    """What is excluded stays excluded: 1669 is not in the first, and the hull alone would say so."""
    ends = [[from_iso(end) if end else None for end in span.split("/")] for span in spans]

    assert [[span.first, span.last] for span in parse_edtf(text).candidates] == ends


@pytest.mark.parametrize(
    ("code", "first", "last"),
    [
        *[(33 + q, f"2001-{1 + 3 * q:02d}", f"2001-{3 + 3 * q:02d}") for q in range(4)],
        *[(37 + t, f"2001-{1 + 4 * t:02d}", f"2001-{4 + 4 * t:02d}") for t in range(3)],
        *[(40 + h, f"2001-{1 + 6 * h:02d}", f"2001-{6 + 6 * h:02d}") for h in range(2)],
    ],
)
def test_parts_of_a_year_have_their_months(code: int, first: str, last: str) -> None:
    """33 to 36 are quarters, 37 to 39 thirds of four months, 40 and 41 halves (ISO 8601-2, level 2)."""
    part = parse_edtf(f"2001-{code}")

    assert part.hull == parse_edtf(f"{first}/{last}").hull
    assert part.level == 2


@pytest.mark.parametrize("code", range(21, 33))
def test_a_season_lasts_three_months(code: int) -> None:
    """The specification gives seasons no months; the policy here is the meteorological one."""
    season = parse_edtf(f"2001-{code}")

    assert season.hull.days in (90, 91, 92)
    assert season.level == (1 if code <= 24 else 2)
