"""A form learnt from one card is laid over its kin, is chosen by itself, and travels as data."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from tests.archives import new_archive, package
from tests.drawn import BOILER_CARD, PRINTED_LIST, Drawing, as_bytes, draw

from numbertaker.evidence.errors import BadInput, NotFound
from numbertaker.reading.card import read_picture
from numbertaker.reading.finding import tables_of
from numbertaker.reading.learnt import LearntForm, learn
from numbertaker.reading.pages import open_page
from numbertaker.reading.recognisers import Recogniser, choose
from numbertaker.reading.table import Table
from numbertaker.usecases.forms import forms, headings_json, keep_form, learn_form, take_form
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.take_in import take_in

ODD = Drawing(
    "BOILER No. 52",
    ("ENGINE", "FITTED", "REMOVED", "MILES", "SMITHY", "REMARKS"),
    tuple((*row[:4], "Brackwith", row[5]) for row in BOILER_CARD.rows),
)
"""A card with a column whose title means nothing yet."""


@pytest.fixture(scope="module")
def recogniser() -> Recogniser:
    """One session for all tests of this module."""
    return choose("onnx")


@pytest.fixture(scope="module")
def form(recogniser: Recogniser) -> LearntForm:
    """The form of the odd card, its smithy known to be the place."""
    ((desk, table),) = tables_of(open_page(as_bytes(draw(ODD))), recogniser)
    assert isinstance(table, Table)
    columns = [replace(c, field="place") if c.title == "SMITHY" else c for c in table.columns]
    return learn("smithy-card", "component", columns, desk.plane, ruled=table.ruled)


def test_a_form_travels_as_data(form: LearntForm) -> None:
    """What is written down comes back the same, and has the paper's colour and edges from 0 to 1."""
    assert LearntForm.of_json(json.loads(json.dumps(form.to_json()))).to_json() == form.to_json()
    assert (form.edges[0], form.edges[-1]) == (0.0, 1.0)
    assert form.paper == pytest.approx((238, 228, 205), abs=8)


def test_a_learnt_form_says_what_a_column_holds(recogniser: Recogniser, form: LearntForm) -> None:
    """A card of the form, askew on a desk, is known by itself, and its odd column has its field."""
    scan = open_page(as_bytes(draw(ODD, 2.0)))
    (alone,) = read_picture(scan, None, recogniser)
    (card,) = read_picture(scan, None, recogniser, learnt=[form])

    assert "place" not in alone.lines[0].cells
    assert (card.form, card.side) == ("smithy-card", "component")
    assert card.lines[0].cells["place"].text == "Brackwith"
    assert card.quality["form"] > 0.75


def test_none_of_these_is_an_answer(recogniser: Recogniser, form: LearntForm) -> None:
    """A list of another make is not pressed into a form that doesn't fit, and is read as before."""
    scan = open_page(as_bytes(draw(PRINTED_LIST)))
    (card,) = read_picture(scan, None, recogniser, learnt=[form])

    assert card.form == "printed-list"
    assert "form" not in card.quality


@pytest.mark.parametrize(
    "spoilt",
    [
        {"format": "other/1"},
        {"edges": [0.0, 1.0]},
        {"edges": [0.0, 0.6, 0.4, 0.7, 0.8, 0.9, 1.0]},
        {"paper": [1]},
    ],
    ids=["another format", "too few edges", "edges out of order", "half a colour"],
)
def test_what_is_no_form_is_refused(form: LearntForm, spoilt: dict[str, object]) -> None:
    """A shared file that is spoilt says what was expected and what was found."""
    with pytest.raises(BadInput, match=r"Expected a form in the format numbertaker-form/1"):
        LearntForm.of_json({**form.to_json(), **spoilt})


def test_an_archive_learns_keeps_and_shares_a_form(tmp_path: Path) -> None:
    """Learnt from a card by its printed titles, written as a file, and taken in by another archive."""
    archive = new_archive(tmp_path / "archive")
    import_package(archive, package(tmp_path / "tables"))
    scan = tmp_path / "odd.png"
    draw(ODD).save(scan)
    (card_id,) = take_in(archive, [scan], "S1").cards
    made = learn_form(archive, card_id, "smithy-card", {"SMITHY": "place"})

    assert made.fields == ("engine", "fitted", "removed", "miles", "place", "remarks")
    assert made.side == "component"
    other = new_archive(tmp_path / "other")
    assert take_form(other, keep_form(archive, made)).to_json() == made.to_json()
    assert [form.name for form in forms(other)] == ["smithy-card"]


def test_a_form_is_learnt_from_what_is_there_only(tmp_path: Path) -> None:
    """Cards without a scan, names that are no file's, and titles that no column has are refused."""
    archive = new_archive(tmp_path / "archive")
    import_package(archive, package(tmp_path / "tables"))
    with pytest.raises(NotFound):
        learn_form(archive, "S1-99", "ledger")
    with pytest.raises(BadInput, match="small letters"):
        learn_form(archive, "S1-99", "../ledger")


def test_an_archive_may_have_headings_of_its_own(tmp_path: Path, recogniser: Recogniser) -> None:
    """A file of wordings by field is read; what it says of no field, or not as a list, is refused."""
    archive = new_archive(tmp_path / "archive")
    assert headings_json(archive) == "{}"
    (archive.folder / "headings.json").write_text('{"place": ["smithy"]}', encoding="utf-8")
    further = json.loads(headings_json(archive))
    (card,) = read_picture(open_page(as_bytes(draw(ODD))), None, recogniser, further_headings=further)

    assert card.lines[0].cells["place"].text == "Brackwith"
    for wrong in ('{"smithy": ["place"]}', '{"place": "smithy"}', "[1]"):
        (archive.folder / "headings.json").write_text(wrong, encoding="utf-8")
        with pytest.raises(BadInput, match=r"headings\.json"):
            headings_json(archive)
