"""Documents over HTTP: the formats and manners of the command line, and what changed since an edition."""

from __future__ import annotations

import io
import json
import zipfile
from typing import Any

import pytest

STARTS = {
    "json": b"{",
    "md": b"# Boiler 52",
    "html": b"<!DOCTYPE html>",
    "docx": b"PK\x03\x04",
    "odt": b"PK\x03\x04",
    "pdf": b"%PDF-",
    "tex": b"PK",
    "txt": b"Boiler 52",
    "edition": b"{",
}


@pytest.mark.parametrize("fmt", STARTS)
def test_a_history_comes_in_every_format(demo: Any, fmt: str) -> None:
    """The right type, nothing that runs, and the same bytes twice."""
    answer = demo.get(f"/api/components/B52/history.{fmt}")

    assert answer.status_code == 200
    assert answer.content.startswith(STARTS[fmt])
    assert "sandbox" in answer.headers["content-security-policy"]
    assert answer.content == demo.get(f"/api/components/B52/history.{fmt}").content


def test_engines_classes_and_everything_are_documents_too(demo: Any) -> None:
    """One engine, the engines of a class, the whole archive as a book and as a site."""
    assert demo.get("/api/engines/E08/history.md").text.startswith("# Engine ")
    assert demo.get("/api/classes/K/history.md").text.startswith("# Engines of class K")
    assert demo.get("/api/classes/Nowhere/history.md").status_code == 404
    assert demo.get("/api/book/history.md").text.startswith("# Histories of components")
    site = zipfile.ZipFile(io.BytesIO(demo.get("/api/book/history.site").content))
    assert site.namelist()[0] == "index.html"
    assert site.testzip() is None


def test_the_manner_is_asked_for_in_the_address(demo: Any) -> None:
    """Style, usage and comparisons; what is not known is refused with what was expected."""
    usual = demo.get("/api/components/B52/history.md").text
    journal = demo.get("/api/components/B52/history.md?style=journal&distance=kilometres&dates=american").text
    compared = demo.get(
        "/api/components/B52/history.md",
        params={"compare": "It ran 3 times round the Earth. :: miles 3 equator"},
    ).text

    assert "102,804 miles" in usual
    assert "165,447 km" in journal
    assert "The figures contradict it" in compared
    assert demo.get("/api/components/B52/history.md?style=nobody").status_code == 422
    refused = demo.get("/api/components/B52/history.md?compare=nonsense")
    assert refused.status_code == 422
    assert "SENTENCE :: QUANTITY TIMES MEASURE" in refused.json()["message"]


def test_what_an_export_lacks_is_told_before_it_starts(demo: Any) -> None:
    """Slips that are not to be had are named; where nothing is lacking, nothing is said."""
    told = demo.get("/api/lacking?component=B52&plates=true").json()

    assert isinstance(told, list)
    assert demo.get("/api/lacking").status_code == 422
    assert demo.get("/api/lacking?component=nobody").status_code == 404


def test_what_changed_since_an_edition_is_told(demo: Any) -> None:
    """Against itself nothing has changed; against an edition with another sentence, that is told."""
    edition = demo.get("/api/components/B52/history.edition").text
    asked = {"component": "B52", "edition": edition}
    assert "no statement has changed" in demo.post("/api/changes.md", json=asked).text

    other = json.loads(edition)
    other["statements"][1]["text"] = "It was never fitted to anything."
    asked["edition"] = json.dumps(other)
    told = demo.post("/api/changes.md", json=asked).text
    assert "one statement is changed" in told
    assert "It was never fitted to anything." in told

    asked["edition"] = "[]"
    assert demo.post("/api/changes.md", json=asked).status_code == 422
