"""Whom a written number or name means, and what is done where nobody fits."""

from __future__ import annotations

import pytest

from numbertaker.evidence.days import from_iso
from numbertaker.evidence.designations import read_number
from numbertaker.evidence.records import Designation, Engine, Evidence
from numbertaker.linking import NOBODY, Index, best, link_candidates
from numbertaker.linking.similarity import name_share, slip_share

TABLES = Evidence(
    engines=tuple(Engine(engine_id=f"E{n}") for n in range(1, 6)),
    designations=(
        Designation(subject_id="E1", scheme="number", value="207", from_="1906-03", to="1928-07"),
        Designation(subject_id="E2", scheme="number", value="207", from_="1930-05", to="1961-06"),
        Designation(subject_id="E3", scheme="number", value="208"),
        Designation(subject_id="E3", scheme="name", value="Ostrey Belle", to="1919-06"),
        Designation(subject_id="E4", scheme="number", value="61"),
    ),
)
INDEX = Index(TABLES)


def candidates(text: str, first: str = "1910-01-01", last: str = "1912-01-01"):
    """Whom an engine cell between two days may mean."""
    return link_candidates(INDEX, read_number(text), "engine", from_iso(first), from_iso(last))


def test_a_number_given_out_twice_goes_to_whoever_bore_it_then():
    """The dates decide between two bearers of one number."""
    assert best(candidates("207")) == "E1"
    assert best(candidates("207", "1935-01-01", "1936-01-01")) == "E2"


def test_probabilities_add_up_with_nobody_among_them():
    """What the candidates leave is the probability that nobody in the tables is meant."""
    found = candidates("207").candidates()
    assert sum(c.probability for c in found) == pytest.approx(1)
    assert found[-1].subject_id == NOBODY


def test_a_misread_number_is_offered_but_stays_open():
    """'203' is like 208, and no more than that."""
    found = candidates("203").candidates()
    assert found[0].subject_id == "E3"
    assert not found[0].exact
    assert best(candidates("999")) is None


def test_a_name_is_found_although_it_is_misspelt():
    """Names are compared by the letters that agree."""
    assert best(candidates("Ostrey Bele")) == "E3"


def test_the_rows_of_a_candidate_add_up_to_its_weight():
    """Whoever reads the explanation can add it up."""
    top = candidates("207").bearers[0]
    assert sum(row.weight for row in top.reasons) == pytest.approx(top.weight)


@pytest.mark.parametrize(
    ("true", "alike", "unlike"), [("208", "203", "204"), ("61", "67", "65"), ("12", "21", "13")]
)
def test_digits_that_look_alike_or_change_places_are_likelier_slips(true, alike, unlike):
    """3 is taken for 8 more easily than 4 is, and neighbours change places."""
    assert slip_share(true, alike) > slip_share(true, unlike) > 0


def test_two_slips_are_no_slip():
    """A number that differs in two places is no candidate."""
    assert slip_share("208", "313") == 0
    assert name_share("Corvane", "Aldermoss") == 0
