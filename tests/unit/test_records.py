"""Rows keep every cell, and cells have names."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from numbertaker.evidence.records import RECORDS, CellKey, Designation, Line, Record

TEXTS = st.text(max_size=12)


@given(st.sampled_from(RECORDS), st.data())
def test_a_row_comes_back_as_it_went_in(record: type[Record], data: st.DataObject) -> None:
    """Every column, known or not, keeps its text through a record."""
    unknown = data.draw(st.lists(st.text("abcxyz_", min_size=1, max_size=6), unique=True, max_size=3))
    columns = [*record.columns(), *(name for name in unknown if name not in record.columns())]
    row = {column: data.draw(TEXTS) for column in columns}

    assert row == record.from_row(row).row()


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: record.TABLE)
def test_required_and_key_columns_are_columns(record: type[Record]) -> None:
    """What must be stated, and what names a row, are columns of the table."""
    assert set(record.REQUIRED) <= set(record.columns())
    assert {name.rstrip("_") for name in record.KEY} <= set(record.columns())


def test_a_key_joins_its_columns() -> None:
    """A designation has no id of its own: its subject, scheme and value name it."""
    borne = Designation(subject_id="E1", scheme="number", value="208", from_="1913")

    assert borne.key == "E1/number/208"


def test_a_cell_key_reads_back_what_it_writes() -> None:
    """A line's id may hold a slash; a column's name can't."""
    key = CellKey("S1/52-3", "miles")

    assert CellKey.parse(str(key)) == key


def test_the_sureness_of_a_cell_takes_precedence_over_its_lines() -> None:
    """`reading_FIELD` speaks of one cell, `reading` of all others; neither means that a person typed it."""
    line = Line.from_row(
        {"line_id": "L1", "source_id": "S", "side": "component", "says": "fitment", "reading": "0.8"}
        | {"reading_miles": "0.3"}
    )

    assert line.sureness("miles") == 0.3
    assert line.sureness("engine") == 0.8
    assert Line(line_id="L2", source_id="S", side="component", says="fitment").sureness("miles") is None
