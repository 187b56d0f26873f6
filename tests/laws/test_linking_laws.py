"""What holds of whom a number may mean, whatever the tables."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import OSA

from numbertaker.evidence.records import Designation, Engine, Evidence
from numbertaker.linking import Index

NUMBERS = st.text("1234567890", min_size=1, max_size=4).map(lambda digits: "1" + digits)


@settings(max_examples=80, deadline=None)
@given(st.sets(NUMBERS, min_size=1, max_size=40), NUMBERS)
def test_no_number_within_one_slip_is_overlooked(borne: set[str], written: str):
    """What is looked up holds all that a search through every number would find."""
    tables = Evidence(
        engines=(Engine(engine_id="E1"),),
        designations=tuple(Designation(subject_id="E1", scheme="number", value=value) for value in borne),
    )
    near = Index(tables).near_numbers(written, "engine")
    assert {value for value in borne if OSA.distance(value, written) <= 1} <= set(near)
    assert near == sorted(set(near))
