"""Learnt forms over HTTP: looked at on a card, put right, kept, chosen for a source, shared and forgotten."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from tests.api.conftest import Serve, TestClient
from tests.archives import new_archive, package
from tests.drawn import BOILER_CARD, Drawing, draw
from typer.testing import CliRunner

from numbertaker.archive import Archive
from numbertaker.cli.main import app
from numbertaker.usecases.keep.payload import beside
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.read import _tasks, begin
from numbertaker.usecases.take_in import take_in

ODD = Drawing(
    "BOILER No. 52",
    ("ENGINE", "FITTED", "REMOVED", "MILES", "SMITHY", "REMARKS"),
    tuple((*row[:4], "Brackwith", row[5]) for row in BOILER_CARD.rows),
)
FORM: dict[str, Any] = {
    "format": "numbertaker-form/1",
    "side": "component",
    "columns": [{"title": "Engine", "field": "engine"}, {"title": "Smithy", "field": "place"}],
    "edges": [0.0, 0.4, 1.0],
    "ruled": True,
    "paper": [238, 228, 205],
}


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """An archive with the scan of one card that has an odd column."""
    made = new_archive(tmp_path / "archive")
    import_package(made, package(tmp_path / "tables"))
    scan = tmp_path / "odd.png"
    draw(ODD).save(scan)
    take_in(made, [scan], "S1")
    return made


def test_a_form_is_looked_at_put_right_and_kept(serve: Serve, archive: Archive) -> None:
    """The columns come as found; with its odd one told, the form is kept and listed."""
    client = serve()
    card = archive.card_scans()[0].card_id
    found = client.get(f"/api/cards/{card}/form").json()
    assert [c["title"] for c in found["columns"]] == list(ODD.titles)
    assert [c["field"] for c in found["columns"]][4] == ""
    found["columns"][4]["field"] = "place"
    kept = client.put("/api/forms/smithy-card", json=found).json()

    assert kept["columns"][4] == {"title": "SMITHY", "field": "place"}
    assert client.get("/api/forms").json() == [kept]
    shared = client.get("/api/forms/smithy-card.json")
    assert shared.headers["content-disposition"] == 'attachment; filename="smithy-card.json"'
    assert shared.json() == {**found, "name": "smithy-card"}


def test_a_source_has_the_form_that_is_chosen_for_it(serve: Serve, archive: Archive) -> None:
    """What is read from then on is told so; forgetting the form leaves its cards to the program again."""
    client = serve()
    client.put("/api/forms/smithy-card", json=FORM)
    assert client.put("/api/sources/S1/form", json={"form": "smithy-card"}).status_code == 204
    assert client.get("/api/forms").json()[0]["sources"] == ["S1"]
    assert beside(archive) == ["forms/smithy-card.json", "forms-of-sources.json"]
    assert hints(archive) == {"smithy-card"}
    assert client.delete("/api/forms/smithy-card").status_code == 204
    assert client.get("/api/forms").json() == []
    assert "smithy-card" not in hints(archive)


def hints(archive: Archive) -> set[str]:
    """The forms that workers would be told of the cards."""
    with begin(archive, again=True) as running:
        tasks = _tasks(archive, archive.job(running.job_id))
    return {hint["form"] for pages in tasks.values() for _, _, hint in pages}


@pytest.mark.parametrize(
    ("spoilt", "says"),
    [
        ({"format": "other/2"}, "numbertaker-form/1"),
        ({"edges": [0.0, 0.0, 1.0]}, "rising from 0 to 1"),
        ({"side": "wagon"}, "none of component, engine, statement"),
        ({"columns": [{"title": "A", "field": "engine"}] * 2}, "two of its columns hold 'engine'"),
        ({"columns": [{"title": "A", "field": "wagon"}] * 2}, "no field of a line"),
        ({"paper": [0, 300, 0]}, "colour"),
    ],
    ids=["format", "edges", "side", "twice", "field", "paper"],
)
def test_what_is_wrong_with_a_form_is_said(serve: Serve, spoilt: dict[str, Any], says: str) -> None:
    """A form that was spoilt on its way is refused with what was expected, and nothing is kept."""
    client: TestClient = serve()
    answer = client.put("/api/forms/smithy-card", json={**FORM, **spoilt})

    assert answer.status_code == 422
    assert says in json.dumps(answer.json(), ensure_ascii=False)
    assert client.get("/api/forms").json() == []


def test_unknown_forms_sources_and_cards_are_named(serve: Serve) -> None:
    """Nothing is chosen, given or forgotten that is not there, and no name leads out of the folder."""
    client = serve()
    for answer in (
        client.put("/api/sources/S1/form", json={"form": "ledger"}),
        client.put("/api/sources/S9/form", json={"form": ""}),
        client.get("/api/forms/ledger.json"),
        client.delete("/api/forms/ledger"),
        client.get("/api/cards/S9-1/form"),
    ):
        assert answer.status_code == 404
    assert client.put("/api/forms/..%2Fledger", json=FORM).status_code in (404, 405, 422)
    assert client.put("/api/forms/Ledger", json=FORM).status_code == 422


def test_the_command_line_chooses_and_forgets_forms_too(tmp_path: Path, archive: Archive) -> None:
    """The same use cases: a shared file comes in, is chosen for a source, and is forgotten."""
    file = tmp_path / "shared.json"
    file.write_text(json.dumps({**FORM, "name": "smithy-card"}), encoding="utf-8")
    place = str(archive.folder)
    for words in (
        ["import", str(file), "--archive", place],
        ["choose", "S1", "smithy-card", "--archive", place],
    ):
        assert CliRunner().invoke(app, ["forms", *words]).exit_code == 0
    assert hints(archive) == {"smithy-card"}
    assert CliRunner().invoke(app, ["forms", "choose", "S1", "ledger", "--archive", place]).exit_code != 0
    assert CliRunner().invoke(app, ["forms", "forget", "smithy-card", "--archive", place]).exit_code == 0
    assert "smithy-card" not in hints(archive)
