"""What goes out for keeping and for analysis over HTTP: whole files, and nothing that runs."""

from __future__ import annotations

import io
import json
import shutil
import warnings
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import bagit
import pytest
from frictionless import Package

from numbertaker.archive import KeptReading, open_archive
from numbertaker.usecases.keep.restore import restore
from numbertaker.web.app import create_app

with warnings.catch_warnings():
    # The client says on import that it will want another HTTP library one day; it works with this one.
    warnings.simplefilter("ignore")
    from fastapi.testclient import TestClient


@pytest.fixture(scope="module")
def kept(small_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """The small archive, one page of which was read; only what goes out of it is asked for."""
    folder = tmp_path_factory.mktemp("kept") / "archive"
    shutil.copytree(small_folder, folder)
    archive = open_archive(folder)
    page = archive.card_scans()[0]
    cell = {"text": "<b>201</b>", "confidence": 0.9, "box": [10, 20, 300, 40], "alternatives": []}
    line = {"line_id": f"{page.card_id}-1", "row": 1, "cells": {"engine": cell}, "marks": {}}
    body = {"heading": {}, "lines": [line]}
    with archive.writing() as writer:
        writer.keep_reading(KeptReading(page.card_id, page.sha256, page.page, "reader", "", body))
    with TestClient(create_app(archive)) as client:
        yield client
    archive.close()


def test_the_desk_is_told_what_a_bag_would_hold(kept: Any) -> None:
    """Counts and bytes, and that nothing stands in the way."""
    said = kept.get("/api/keep").json()
    assert (said["lost"], said["no_rights"], said["scans"], said["pages_read"]) == ([], [], 3, 1)
    assert said["octets"] > 100_000


def test_the_bag_is_valid_and_comes_back(kept: Any, tmp_path: Path) -> None:
    """What the server gives out is a bag by the library `bagit`, and an archive by our own restoring."""
    answer = kept.get("/api/keep/bag.zip")
    assert answer.headers["content-type"] == "application/zip"
    (tmp_path / "bag.zip").write_bytes(answer.content)
    zipfile.ZipFile(tmp_path / "bag.zip").extractall(tmp_path / "unpacked")
    (folder,) = (tmp_path / "unpacked").iterdir()
    bagit.Bag(str(folder)).validate()
    assert restore(tmp_path / "bag.zip", tmp_path / "again").scans == 3
    assert len(open_archive(tmp_path / "again").evidence().lines) > 0


@pytest.mark.parametrize("what", ["provenance", "annotations"])
def test_linked_data_is_named_by_where_it_was_asked(kept: Any, what: str) -> None:
    """JSON-LD whose own address is that of the request."""
    answer = kept.get(f"/api/keep/{what}.jsonld")
    assert answer.headers["content-type"].startswith("application/ld+json")
    assert f"http://testserver/api/keep/{what}.jsonld" in answer.text
    json.loads(answer.text)


def test_a_manifest_leads_to_what_is_there(kept: Any) -> None:
    """Every picture and every reading that a canvas names is answered under its address."""
    listed = kept.get("/api/iiif/collection.json").json()
    made = kept.get(listed["items"][0]["id"].removeprefix("http://testserver")).json()
    assert made["type"] == "Manifest"
    canvas = next(one for one in made["items"] if "seeAlso" in one)
    picture = canvas["items"][0]["items"][0]["body"]
    drawn = kept.get(picture["id"].removeprefix("http://testserver"))
    assert drawn.headers["content-type"] == picture["format"]
    page = kept.get(canvas["seeAlso"][0]["id"].removeprefix("http://testserver"))
    assert ElementTree.fromstring(page.content).tag.endswith("alto")
    shown = kept.get(canvas["rendering"][0]["id"].removeprefix("http://testserver"))
    assert "&lt;b&gt;201&lt;/b&gt;" in shown.text
    assert "sandbox" in shown.headers["content-security-policy"]


@pytest.mark.parametrize(
    "address",
    [
        "/api/iiif/S99/manifest.json",
        f"/api/keep/readings/{'0' * 64}/1/alto/S1-46",
        f"/api/keep/readings/{'0' * 64}/1/hocr/S1-46",
    ],
)
def test_what_is_not_there_is_not_found(kept: Any, address: str) -> None:
    """With the body that every failure has."""
    answer = kept.get(address)
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


@pytest.mark.parametrize(
    ("style", "begins"), [("csl", "[\n"), ("bibtex", "@misc{S1,"), ("ris", "TY  - MANSCPT\r\n")]
)
def test_sources_come_in_each_style(kept: Any, style: str, begins: str) -> None:
    """As files to be kept, under a name with the usual ending."""
    answer = kept.get(f"/api/bibliography/{style}")
    assert answer.text.startswith(begins)
    assert answer.headers["content-disposition"].startswith('attachment; filename="sources.')


def test_the_tables_come_with_their_dictionary(kept: Any, tmp_path: Path) -> None:
    """The zip unpacks to a folder that `frictionless` finds valid."""
    answer = kept.get("/api/analysis.zip")
    zipfile.ZipFile(io.BytesIO(answer.content)).extractall(tmp_path)
    folder = tmp_path / "out"
    assert {p.suffix for p in folder.iterdir()} == {".json", ".csv", ".parquet"}
    report = Package(str(folder / "datapackage.json")).validate()
    assert report.flatten(["taskName", "rowNumber", "message"]) == []


@pytest.mark.parametrize(("what", "ending"), [("alto", ".xml"), ("hocr", ".html"), ("iiif", ".json")])
def test_all_pages_come_in_one_zip(kept: Any, what: str, ending: str) -> None:
    """A file for each page that was read, or for each source with scans."""
    opened = zipfile.ZipFile(io.BytesIO(kept.get(f"/api/keep/pages-{what}.zip").content))
    assert opened.namelist()
    assert all(name.endswith(ending) for name in opened.namelist())


def test_rights_that_are_not_stated_stand_in_the_way(small: Any) -> None:
    """The desk is told of the source; the bag is refused with its name, and given where that is allowed."""
    row = {
        "kind": "authority",
        "target": "sources:S1",
        "ruling": json.dumps({"rights": ""}),
        "reason": "It was never said.",
        "by": "A. Reader",
    }
    assert small.post("/api/decisions", json=row).status_code in (200, 201)
    (silent,) = small.get("/api/keep").json()["no_rights"]
    assert silent["source_id"] == "S1"
    refused = small.get("/api/keep/bag.zip")
    assert (refused.status_code, refused.json()["details"][0]["column"]) == (422, "rights")
    assert small.get("/api/keep/bag.zip?rights_not_stated=true").status_code == 200
