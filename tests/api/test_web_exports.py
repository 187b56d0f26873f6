"""Exports in the background: ordered, watched, called off, fetched; house styles and comparisons kept."""

from __future__ import annotations

import errno
import io
import json
import subprocess
import sys
import threading
import zipfile
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from numbertaker.publishing.documents import apart
from numbertaker.usecases import exporting

ROUND = "It ran 3 times round the Earth. :: miles 3 equator"


def finished(client: Any, export_id: int) -> dict[str, Any]:
    """The export once it is over, as the stream of its events tells."""
    stream = client.get(f"/api/exports/{export_id}/events").text
    told = [json.loads(line[len("data: ") :]) for line in stream.splitlines() if line.startswith("data: ")]
    return told[-1]


@pytest.mark.parametrize(
    ("of", "fmt", "begins", "name"),
    [
        ({"component": "B52"}, "docx", b"PK", "boiler-52.docx"),
        ({"engine": "E08"}, "pdf", b"%PDF-", "engine-"),
        ({"class": "K"}, "tex", b"PK", "engines-of-class-k.zip"),
        ({"everything": True}, "site", b"PK", "histories-of-components.zip"),
    ],
)
def test_an_export_is_ordered_and_fetched(
    demo: Any, of: dict[str, Any], fmt: str, begins: bytes, name: str
) -> None:
    """Of a component, an engine, a class and everything: the bytes of the command line, under its name."""
    ordered = demo.post("/api/exports", json={**of, "format": fmt})
    over = finished(demo, ordered.json()["export_id"])
    file = demo.get(f"/api/exports/{over['export_id']}/file")

    assert ordered.status_code == 202
    assert (over["state"], over["why"]) == ("done", "")
    assert over["name"].startswith(name)
    assert file.content.startswith(begins)
    assert len(file.content) == over["size"]
    assert "sandbox" in file.headers["content-security-policy"]
    assert over["name"] in file.headers["content-disposition"]
    if "component" in of:
        assert file.content == demo.get("/api/components/B52/history.docx").content


def test_what_can_t_be_made_is_refused_at_once(demo: Any) -> None:
    """Before anything waits: nobody of that name, no style of that name, no comparison, nothing asked for."""
    for status, asked in (
        (404, {"component": "nobody", "format": "docx"}),
        (422, {"component": "B52", "format": "docx", "manner": {"style": "nobody"}}),
        (422, {"component": "B52", "format": "docx", "manner": {"compare": ["nonsense"]}}),
        (422, {"component": "B52", "format": "docx", "own_style": "not TOML ["}),
        (422, {"format": "docx"}),
    ):
        assert demo.post("/api/exports", json=asked).status_code == status, asked
    assert demo.get("/api/exports/999").status_code == 404
    assert demo.get("/api/exports/999/file").status_code == 404


def test_what_changed_is_an_export_too(demo: Any) -> None:
    """With an edition, what changed since; an edition that is none fails with the reason, and has no file."""
    edition = demo.get("/api/engines/E08/history.edition").text
    asked = {"engine": "E08", "format": "md", "edition": edition}
    over = finished(demo, demo.post("/api/exports", json=asked).json()["export_id"])
    broken = finished(demo, demo.post("/api/exports", json={**asked, "edition": "{}"}).json()["export_id"])

    assert "no statement has changed" in demo.get(f"/api/exports/{over['export_id']}/file").text
    assert over["name"].endswith("-changes.md")
    assert broken["state"] == "failed"
    assert "numbertaker-edition/1" in broken["why"]
    assert demo.get(f"/api/exports/{broken['export_id']}/file").status_code == 409
    assert broken["export_id"] in [one["export_id"] for one in demo.get("/api/exports").json()]


def test_an_export_is_called_off_while_its_pages_are_set(demo: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """The program that sets them is ended with it; one that waits behind it is made after."""
    begun = threading.Event()

    class Slow(subprocess.Popen[bytes]):
        """A program that never ends by itself, whichever was asked for."""

        def __init__(self, words: list[str], **kept: Any) -> None:
            begun.set()
            super().__init__([sys.executable, "-c", "import time; time.sleep(3600)"], **kept)

    named = {name: getattr(subprocess, name) for name in ("DEVNULL", "TimeoutExpired")}
    monkeypatch.setattr(apart, "subprocess", SimpleNamespace(Popen=Slow, **named))
    first = demo.post("/api/exports", json={"component": "B52", "format": "txt"}).json()
    second = demo.post("/api/exports", json={"component": "B52", "format": "md"}).json()
    assert begun.wait(30)
    assert demo.delete(f"/api/exports/{first['export_id']}").status_code == 200
    over = finished(demo, first["export_id"])

    assert over["state"] == "stopped"
    assert finished(demo, second["export_id"])["state"] == "done"
    assert demo.delete(f"/api/exports/{second['export_id']}").json()["state"] == "stopped"
    assert demo.get(f"/api/exports/{second['export_id']}/file").status_code == 409


def test_a_full_disk_is_told_and_leaves_no_file(demo: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """The export failed, whoever waits is told why, and what was written of it is gone."""
    kept: list[Path] = []

    def full(place: Path, data: bytes) -> int:
        kept.append(place)
        with place.open("wb") as file:
            file.write(data[:10])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    over = finished(
        demo, demo.post("/api/exports", json={"component": "B52", "format": "md"}).json()["export_id"]
    )

    assert over["state"] == "failed"
    assert "No space left on device" in over["why"]
    assert demo.get(f"/api/exports/{over['export_id']}/file").status_code == 409
    assert [place.exists() for place in kept] == [False]


def test_the_time_that_is_left_is_reckoned_from_what_is_done() -> None:
    """A stage in parts says by itself how far it is; one without goes by what the stages before it took."""
    now = [100.0]
    pace = exporting.Pace({"chapters": 0.2, "pictures": 0.0, "setting": 0.8}, lambda: now[0])
    assert pace.left() is None

    now[0] = 150.0
    pace.moved("chapters", 0, 2)
    assert pace.left() is None
    now[0] = 151.0
    pace.moved("chapters", 1, 2)
    assert pace.left() == pytest.approx(9.0)
    now[0] = 152.0
    pace.moved("chapters", 2, 2)
    assert pace.left() == pytest.approx(8.0)
    pace.moved("setting", 0, 1)
    now[0] = 156.0
    assert pace.left() == pytest.approx(4.0)
    assert pace.spent() == pytest.approx(56.0)
    now[0] = 180.0
    assert 0 < (pace.left() or 0) < 2
    assert pace.taken() == pytest.approx({"chapters": 2 / 30, "pictures": 0.0, "setting": 28 / 30})


def test_a_house_style_is_kept_used_and_dropped(small: Any) -> None:
    """What is wrong with one is named with its place; those of the program can't be replaced."""
    text = small.get("/api/styles/journal.toml").text.replace('title = "', 'title = "Of the society: ')
    refused = small.put("/api/styles/ours", json={"text": text.replace("{reference}", "{shelf}")})
    kept = small.put("/api/styles/ours", json={"text": text})
    made = small.get("/api/components/B52/history.md?style=ours")

    assert refused.status_code == 422
    assert "shelf" in refused.json()["message"]
    assert "ours.toml" in refused.json()["message"]
    assert kept.json()["own"] is True
    assert made.text == small.get("/api/components/B52/history.md?style=journal").text
    assert [one["name"] for one in small.get("/api/styles").json()] == ["archive", "journal", "plain", "ours"]
    assert small.put("/api/styles/journal", json={"text": text}).status_code == 422
    assert small.put("/api/styles/Our%20Own", json={"text": text}).status_code == 422
    assert small.delete("/api/styles/ours").status_code == 204
    assert small.delete("/api/styles/ours").status_code == 404
    assert small.get("/api/components/B52/history.md?style=ours").status_code == 422


def test_comparisons_are_kept_for_a_component_and_told_in_its_documents_alone(small: Any) -> None:
    """Each says at once what the figures say of it; one that is none is refused, and nothing is kept then."""
    address = "/api/components/B52/comparisons"
    kept = small.put(address, json={"lines": [ROUND]}).json()
    refused = small.put(address, json={"lines": [ROUND, "nonsense"]})
    nobody = small.put(address, json={"lines": [f"{ROUND} @ S99, page 3"]})

    assert kept == small.get(address).json()
    assert kept[0]["says"] == "It ran 3 times round the Earth."
    assert kept[0]["stands"] is False
    assert "times the equator (WGS 84)" in kept[0]["told"]
    assert refused.status_code == 422
    assert "nonsense" in refused.json()["message"]
    assert "S99" in nobody.json()["message"]
    assert "The figures contradict it" in small.get("/api/components/B52/history.md").text
    assert "The figures contradict it" not in small.get("/api/components/B46/history.md").text
    assert small.get("/api/components/nobody/comparisons").status_code == 404
    assert small.put(address, json={"lines": []}).json() == []


def test_what_is_kept_for_documents_goes_along_in_a_bag(small: Any) -> None:
    """House styles and comparisons lie beside the rows."""
    small.put("/api/styles/ours", json={"text": small.get("/api/styles/plain.toml").text})
    small.put("/api/components/B52/comparisons", json={"lines": [ROUND]})
    bag = zipfile.ZipFile(io.BytesIO(small.get("/api/keep/bag.zip?rights_not_stated=true").content))
    names = [name.partition("/data/archive/files/")[2] for name in bag.namelist()]

    assert {"styles/ours.toml", "comparisons.json"} <= set(names)
