"""Jobs over HTTP: begun in the background, watched to the end, one at a time, tried again."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from pathlib import Path
from typing import Any

import pytest
from tests.archives import new_archive, package, picture

from numbertaker.archive import Archive
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.take_in import take_in
from numbertaker.web.running import Runner


class Desk(Executor):
    """Stands for the worker processes: what it gives for a card is told beforehand."""

    def __init__(self) -> None:
        self.go_on = threading.Event()
        self.go_on.set()
        self.results: list[dict[str, Any]] = []

    def submit(self, fn: Callable[..., Any], /, *_: Any, **__: Any) -> Future[Any]:
        done: Future[Any] = Future()
        result = self.results.pop(0)

        def answer() -> None:
            self.go_on.wait(30)
            done.set_result(result)

        threading.Thread(target=answer).start()
        return done


def cell(text: str, box: list[int]) -> dict[str, Any]:
    return {"text": text, "confidence": 0.97, "box": box, "alternatives": [["208", 0.02]]}


def read_as(engine: str) -> dict[str, Any]:
    """A card as a recogniser gives it, with one line."""
    line = {
        "row": 1,
        "says": "fitment",
        "cells": {"engine": cell(engine, [100, 400, 60, 30]), "fitted": cell("4.11", [200, 402, 66, 28])},
        "marks": {},
    }
    body = {
        "form": "component-card",
        "side": "component",
        "turned": 1.7,
        "outline": [[1, 2], [3, 4], [5, 6], [7, 8]],
        "heading": {"heading": cell("51", [310, 90, 60, 30])},
        "lines": [line],
        "problems": [],
        "quality": {},
        "recogniser": "by hand",
    }
    return {"pages": [body]}


@pytest.fixture
def desk(serve: Any, archive: Archive) -> Iterator[tuple[Any, Desk]]:
    """The small archive with a desk in place of the worker processes."""
    client, desk = serve(), Desk()
    client.app.state.runner = Runner(archive, lambda: desk)
    yield client, desk
    desk.go_on.set()
    client.app.state.runner.close()


def events_of(client: Any, job_id: int) -> list[dict[str, Any]]:
    """Everything that is told of a job, until the stream ends by itself."""
    answer = client.get(f"/api/jobs/{job_id}/events")
    assert answer.headers["content-type"].startswith("text/event-stream")
    said = [part.split("\n") for part in answer.text.split("\n\n") if part.startswith("event: job")]
    return [json.loads(part[1].removeprefix("data: ")) for part in said]


def test_a_card_is_read_in_the_background_and_watched_to_the_end(desk: tuple[Any, Desk]) -> None:
    """The request is answered at once; the stream ends when the job does, and the card has its lines."""
    client, hands = desk
    hands.results = [read_as("201")]
    begun = client.post("/api/read", json={"card_ids": ["S1-51"], "by": "A. Reader"})
    assert begun.status_code == 202, begun.text
    assert (begun.json()["total"], begun.json()["items"][0]["card_id"]) == (1, "S1-51")
    last = events_of(client, begun.json()["job_id"])[-1]
    assert (last["state"], last["done"]) == ("done", 1)
    page = client.get("/api/cards/S1-51").json()
    engine = page["lines"][0]["cells"]["engine"]
    assert (engine["text"], engine["confidence"], engine["box"]) == ("201", 0.97, [100, 400, 60, 30])
    assert engine["alternatives"] == [{"text": "208", "confidence": 0.02}]
    assert page["lines"][0]["box"] == [100, 400, 166, 30]
    assert (page["turned"], page["heading"]["heading"]["text"]) == (1.7, "51")


def test_a_heading_of_which_nothing_was_read_is_there_to_be_typed_in(desk: tuple[Any, Desk]) -> None:
    """A card whose lines name only engines needs its heading: it is shown empty, and can be corrected."""
    client, hands = desk
    card = read_as("201")
    card["pages"][0]["heading"] = {}
    hands.results = [card]
    begun = client.post("/api/read", json={"card_ids": ["S1-51"], "by": "A. Reader"})
    events_of(client, begun.json()["job_id"])
    page = client.get("/api/cards/S1-51").json()
    assert page["heading"]["heading"]["text"] == ""
    typed = {
        "kind": "cell",
        "target": f"{page['lines'][0]['line_id']}/heading",
        "ruling": "51",
        "reason": "Read again from the scan",
        "by": "A. Reader",
    }
    decided = client.post("/api/decisions", json=typed)
    assert decided.json()["decision"]["says"] == "The heading (card 51) reads ‘51’."
    heading = client.get("/api/cards/S1-51").json()["heading"]["heading"]
    assert (heading["text"], heading["meaning_text"]) == ("51", "Boiler 51")


def test_one_job_runs_at_a_time(desk: tuple[Any, Desk]) -> None:
    """While cards are read a second job is refused, and it may begin when the first is over."""
    client, hands = desk
    hands.go_on.clear()
    hands.results = [read_as("201"), read_as("202")]
    first = client.post("/api/read", json={"card_ids": ["S1-51"]}).json()
    refused = client.post("/api/read", json={"card_ids": ["S1-51"]})
    assert refused.status_code == 409
    assert client.post(f"/api/jobs/{first['job_id']}/retry").status_code == 409
    hands.go_on.set()
    assert events_of(client, first["job_id"])[-1]["state"] == "done"
    client.app.state.runner.close()
    client.app.state.runner = Runner(client.app.state.archive, lambda: hands)
    again = client.post("/api/read", json={"card_ids": ["S1-51"], "again": True})
    assert again.status_code == 202
    events_of(client, again.json()["job_id"])


def test_what_failed_says_why_and_can_be_tried_again(desk: tuple[Any, Desk]) -> None:
    """A failed card keeps its reason; a retry reads what failed, and only that."""
    client, hands = desk
    hands.results = [{"failed": "boiler-51.jpg can't be read: it is blank."}, read_as("201")]
    first = client.post("/api/read", json={"card_ids": ["S1-51"]}).json()
    failed = events_of(client, first["job_id"])[-1]
    assert (failed["state"], failed["failed"]) == ("failed", 1)
    assert failed["items"][0]["why"] == "boiler-51.jpg can't be read: it is blank."
    client.app.state.runner.close()
    client.app.state.runner = Runner(client.app.state.archive, lambda: hands)
    again = client.post(f"/api/jobs/{first['job_id']}/retry")
    assert again.status_code == 202, again.text
    assert events_of(client, again.json()["job_id"])[-1]["state"] == "done"
    nothing_left = client.post(f"/api/jobs/{again.json()['job_id']}/retry")
    assert nothing_left.status_code == 409
    assert [job["state"] for job in client.get("/api/jobs").json()] == ["done", "failed"]


def test_a_card_that_is_not_there_can_not_be_read(small: Any) -> None:
    """No job is made for a card that nobody knows."""
    answer = small.post("/api/read", json={"card_ids": ["S9-9"]})
    assert answer.status_code == 404
    assert small.get("/api/jobs").json() == []


def test_the_first_lines_that_are_read_are_learnt_from(tmp_path: Path) -> None:
    """An archive that has only been read is learnt from like one that was imported; and once only."""
    archive = new_archive(tmp_path / "archive")
    import_package(archive, package(tmp_path / "tables"))
    take_in(archive, [picture(tmp_path / "scans" / "a.png", 50)], "S1")
    desk = Desk()
    desk.results = [read_as("208"), read_as("210")]
    runner = Runner(archive, lambda: desk)
    assert archive.lessons() == ()
    for again in (False, True):
        name = f"job-{runner.begin(None, again=again, by='A. Reader').job_id}"
        for thread in [t for t in threading.enumerate() if t.name == name]:
            thread.join(60)
        assert [lesson.version for lesson in archive.lessons()] == [1]
    archive.close()
