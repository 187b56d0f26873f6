"""How a source is read, over HTTP: proposals with their reasons, and what checked cards tell."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from tests.api.conftest import Serve, TestClient
from tests.archives import new_archive, package, picture
from tests.readings import Reader, body

from numbertaker.archive import Archive
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.read import read
from numbertaker.usecases.take_in import take_in

ROWS = [{"miles": miles} for miles in ("12,104", "1,188", "31,540", "40,020", "12,350")]


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """One card whose last figure the reader wavers over."""
    made = new_archive(tmp_path / "archive")
    import_package(made, package(tmp_path / "tables"))
    take_in(made, [picture(tmp_path / "scans" / "a.png", 50)], "S1")
    read(made, executor=lambda: Reader(lambda *_: wavering()))
    return made


def wavering() -> dict[str, Any]:
    """The card as read."""
    card = body(*ROWS)
    card["lines"][4]["cells"]["miles"] |= {"confidence": 0.6, "alternatives": [["72,350", 0.3]]}
    return card


def decide(client: TestClient, kind: str, target: str, ruling: str) -> Any:
    """A decision, and what it changed."""
    asked = {"kind": kind, "target": target, "ruling": ruling, "reason": "Seen.", "by": "A. Reader"}
    answer = client.post("/api/decisions", json=asked)
    assert answer.status_code == 201, answer.text
    return answer.json()


def test_a_correction_answers_with_the_cells_that_it_proposes_anew(serve: Serve) -> None:
    """Before and after, why and where; the list of proposals and the source's page tell the same."""
    client = serve()
    assert decide(client, "cell", "S1-1-1/miles", "72,104")["changed"]["proposed"] == []
    (told,) = decide(client, "cell", "S1-1-2/miles", "7,188")["changed"]["proposed"]
    assert (told["line_id"], told["field"], told["text"], told["before"], told["proposed"]) == (
        "S1-1-5", "miles", "12,350", "", "72,350",
    )  # fmt: skip
    assert told["why"] == "'7' was read as '1' in 2 of 2 cells looked over in this source"
    assert told["box"] == [10, 300, 80, 30]
    assert client.get("/api/proposals").json() == [told]
    assert client.get("/api/proposals?source=S1").json() == [told]
    page = client.get("/api/sources/S1/reading").json()
    assert page["by_hand"] == page["proposed"] == [told]
    assert page["confusions"][0] == {
        "sign": "7", "read": "1", "cells": 2, "of": 2, "says": told["why"],
    }  # fmt: skip


def test_a_source_without_checked_cells_says_so(serve: Serve) -> None:
    """Nothing is drawn of nothing; what to do is said."""
    page = serve().get("/api/sources/S1/reading").json()
    assert page["says"].startswith("No cells of this source are checked yet.")
    assert page["reliability"] == {"cells": 0, "right": 0, "error": 0.0, "groups": []}
    assert page["learnt"] is None


def test_a_checked_card_tells_how_far_confidence_can_be_trusted(serve: Serve) -> None:
    """Cells read with .9 that were right in three of four: said 90, found 75."""
    client = serve()
    decide(client, "cell", "S1-1-1/miles", "72,104")
    done = decide(client, "checked", "S1-1", "stands")
    assert done["decision"]["says"].endswith("was looked through: what is not corrected stands as read.")
    page = client.get("/api/sources/S1/reading").json()
    assert page["cards_checked"] == ["S1-1"]
    low, high = page["reliability"]["groups"]
    assert (low["cells"], low["right"], high["cells"], high["right"]) == (1, 1, 4, 3)
    assert (high["mean"], high["share"]) == (0.9, 0.75)
    assert client.get("/api/cards/S1-1").json()["checked"] == done["decision"]["decision_id"]
    assert client.get("/api/sources/S1").json()["cards"][0]["checked"] is True


@pytest.mark.parametrize("path", ["/api/sources/S9/reading", "/api/proposals?source=S9"])
def test_a_source_that_is_not_here_is_not_found(serve: Serve, path: str) -> None:
    """The failure names it."""
    answer = serve().get(path)
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")
