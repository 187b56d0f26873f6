"""Jobs of reading: cards are kept one by one, failures say why, and a line keeps its id for good."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

import pytest
from tests.archives import new_archive, package, picture
from tests.readings import Reader, body

from numbertaker.archive import Archive, Job
from numbertaker.archive.locks import holding
from numbertaker.evidence.errors import Conflict, NotFound
from numbertaker.evidence.records import Decision
from numbertaker.usecases.cards import cards_json
from numbertaker.usecases.decide import decide
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.read import LOCK, failed_cards, read
from numbertaker.usecases.reading_task import read_pages
from numbertaker.usecases.take_in import take_in

FIRST = {"engine": "208", "fitted": "4.11", "miles": "63,310"}
SECOND = {"engine": "232", "fitted": "6.13", "miles": "9,120"}


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """An archive with three cards of one page each: a.png, b.png, c.png."""
    made = new_archive(tmp_path / "archive")
    import_package(made, package(tmp_path / "tables"))
    take_in(
        made, [picture(tmp_path / "scans" / f"{name}.png", 50 * n) for n, name in enumerate("abc", 1)], "S1"
    )
    return made


def read_by(
    archive: Archive, pages: Callable[[str, int], dict[str, Any]], *card_ids: str, again: bool = False
) -> Job:
    return read(archive, card_ids or None, again=again, executor=lambda: Reader(pages))


def cells(archive: Archive, card_id: str) -> list[tuple[str, str, str]]:
    return [(x.line_id, x.engine, x.miles) for x in archive.evidence().lines if x.card_id == card_id]


def test_each_card_becomes_lines_with_its_citation(archive: Archive) -> None:
    """Cells go into lines as written, with how surely they were read and where they stand."""
    job = read_by(archive, lambda *_: body(FIRST, SECOND))

    assert (job.state, job.counts["done"]) == ("done", 3)
    line = archive.evidence().lines[1]
    assert (line.line_id, line.card_id, line.row_, line.heading, line.engine) == (
        "S1-1-2",
        "S1-1",
        "2",
        "52",
        "232",
    )
    assert (line.locator, line.region) == ("a.png, line 2", "a.png#xywh=10,150,80,30")
    assert line.sureness("engine") == 0.9


def test_a_card_is_read_once_unless_asked_again(archive: Archive) -> None:
    """A second job has only what is new to read."""
    read_by(archive, lambda *_: body(FIRST), "S1-1")
    assert [item.card_id for item in read_by(archive, lambda *_: body(FIRST)).items] == ["S1-2", "S1-3"]
    assert read_by(archive, lambda *_: body(FIRST)).items == ()
    assert len(read_by(archive, lambda *_: body(FIRST), again=True).items) == 3


def test_reading_again_never_changes_a_line_id(archive: Archive) -> None:
    """A line found between two others gets the next number; what an earlier reading had otherwise is kept."""
    read_by(archive, lambda *_: body(FIRST, SECOND), "S1-1")
    better = {**FIRST, "miles": "68,310"}
    between = {"engine": "210", "fitted": "5.12", "miles": "1"}
    page = body(better, between, SECOND, recogniser="other")
    for line, top in zip(page["lines"], (100, 125, 150), strict=True):
        for cell in line["cells"].values():
            cell["box"] = [10, top, 80, 20]
    read_by(archive, lambda *_: page, "S1-1", again=True)

    assert cells(archive, "S1-1") == [
        ("S1-1-1", "208", "68,310"),
        ("S1-1-3", "210", "1"),
        ("S1-1-2", "232", "9,120"),
    ]
    (earlier,) = archive.readings()
    assert (earlier.line_id, earlier.field, earlier.text, earlier.by) == ("S1-1-1", "miles", "63,310", "some")


def test_a_line_that_is_found_no_more_goes_and_its_id_with_it(archive: Archive) -> None:
    """Its cells are kept among the readings, and its id is never given again."""
    read_by(archive, lambda *_: body(FIRST, SECOND), "S1-1")
    read_by(archive, lambda *_: body(FIRST), "S1-1", again=True)
    assert cells(archive, "S1-1") == [("S1-1-1", "208", "63,310")]

    read_by(archive, lambda *_: body(FIRST, SECOND), "S1-1", again=True)
    assert cells(archive, "S1-1")[1][0] == "S1-1-3"
    assert {reading.line_id for reading in archive.readings()} == {"S1-1-2"}


def test_a_line_that_a_decision_speaks_of_stays(archive: Archive) -> None:
    """What a person ruled on is not taken away by a machine."""
    read_by(archive, lambda *_: body(FIRST, SECOND), "S1-1")
    with archive.writing() as writer:
        writer.append(
            Decision(
                decision_id="D1",
                kind="cell",
                target="S1-1-2/miles",
                ruling="9,129",
                reason="r",
                by="A",
                at="2",
            )
        )
    read_by(archive, lambda *_: body(FIRST), "S1-1", again=True)

    assert [line_id for line_id, *_ in cells(archive, "S1-1")] == ["S1-1-1", "S1-1-2"]


def test_what_a_person_typed_is_left_alone(archive: Archive, tmp_path: Path) -> None:
    """A card with typed lines is read, for its boxes, and its lines stay as they are."""
    typed = "line_id,source_id,card_id,side,says,row,miles\nX1,S1,S1-1,component,fitment,1,63310\n"
    import_package(archive, package(tmp_path / "typed", lines=typed))
    read_by(archive, lambda *_: body(FIRST, SECOND), "S1-1")

    assert cells(archive, "S1-1") == [("X1", "", "63310")]
    read_lines = cards_json(archive)["cards"][0]["lines"]
    assert [line["line_id"] for line in read_lines] == ["X1", "S1-1-2"]


def test_what_the_card_as_a_whole_needs_stands_beside_what_was_seen(archive: Archive) -> None:
    """The totals need 71,204 where 77,204 was read; once a person has put it right, nothing is proposed."""
    figures = [("63,310", "63,310"), ("77,204", "134,514"), ("40,118", "174,632"), ("58,000", "232,632")]
    rows = [{"miles": miles, "total_miles": total} for miles, total in figures]
    read_by(archive, lambda *_: body(*rows), "S1-1")
    first, second, *_ = (line["cells"] for line in cards_json(archive)["cards"][0]["lines"])
    assert second["miles"]["text"] == "77,204"
    assert second["miles"]["proposed"]["text"] == "71,204"
    assert "proposed" not in first["miles"]
    decide(archive, "cell", "S1-1-2/miles", "71,204", "The ink is plain.", "A. Reader")
    lines = cards_json(archive)["cards"][0]["lines"]
    assert not any("proposed" in cell for line in lines for cell in line["cells"].values())


def test_lines_that_came_from_another_archive_keep_their_ids(archive: Archive, tmp_path: Path) -> None:
    """A line read elsewhere is known again by its place on the scan, whatever its id."""
    lines = (
        "line_id,source_id,card_id,side,says,row,miles,reading,region\n"
        'S1-1-7,S1,S1-1,component,fitment,1,63310,0.9,"a.png#xywh=12,102,80,30"\n'
    )
    import_package(archive, package(tmp_path / "elsewhere", lines=lines))
    read_by(archive, lambda *_: body(FIRST, SECOND), "S1-1")

    assert cells(archive, "S1-1") == [("S1-1-7", "208", "63,310"), ("S1-1-2", "232", "9,120")]
    assert ("S1-1-7", "miles", "63310") in [(r.line_id, r.field, r.text) for r in archive.readings()]


def test_lines_run_on_over_the_pages_of_a_card(archive: Archive, tmp_path: Path) -> None:
    """The back of a card goes on where the front ends."""
    take_in(archive, [picture(tmp_path / "back.png", 7)], card_id="S1-1")
    read_by(archive, lambda name, _: body(SECOND if name == "back.png" else FIRST), "S1-1")

    lines = [line for line in archive.evidence().lines if line.card_id == "S1-1"]
    assert [(line.line_id, line.row_, line.engine) for line in lines] == [
        ("S1-1-1", "1", "208"),
        ("S1-1-2", "2", "232"),
    ]


def test_the_order_of_the_lines_does_not_hang_on_the_order_of_reading(archive: Archive) -> None:
    """Whichever card is done first, the evidence has the cards in their order."""
    read_by(archive, lambda *_: body(FIRST), "S1-3")
    read_by(archive, lambda *_: body(FIRST), "S1-1")

    assert [line.card_id for line in archive.evidence().lines] == ["S1-1", "S1-3"]


def test_a_card_that_fails_says_why_and_can_be_tried_again(archive: Archive) -> None:
    """One bad card does not stop the others; its reason is kept, and a second try may succeed."""
    archive.scan_path(archive.card_scans()[1].sha256).write_bytes(b"damaged")

    class Half(Reader):
        """Reads b.png as a worker does, and hands over the others."""

        def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
            ((_, _, hint),) = args[0]
            if hint["name"] != "b.png":
                return super().submit(fn, *args, **kwargs)
            future: Future[Any] = Future()
            future.set_result(fn(*args))
            return future

    job = read(archive, executor=lambda: Half(lambda *_: body(FIRST)))

    assert job.state == "failed"
    assert [(i.card_id, i.state, i.attempts) for i in job.items if i.state != "done"] == [
        ("S1-2", "failed", 1)
    ]
    assert job.items[1].why == "b.png can't be read: it is no JPEG, PNG, TIFF, HEIC or PDF."
    assert failed_cards(job) == ("S1-2",)
    assert read_by(archive, lambda *_: body(FIRST), *failed_cards(job)).state == "done"


def test_a_worker_that_dies_takes_no_other_card_along(archive: Archive) -> None:
    """The card on which a worker dies is found out and fails; the pool is made anew for the others."""

    def deadly(name: str, _: int) -> dict[str, Any]:
        if name == "b.png":
            raise BrokenProcessPool
        return body(FIRST)

    job = read_by(archive, deadly)

    assert [(item.card_id, item.state) for item in job.items] == [
        ("S1-1", "done"),
        ("S1-2", "failed"),
        ("S1-3", "done"),
    ]
    assert "ended without a word" in job.items[1].why


def test_nobody_reads_the_same_archive_twice_at_once(archive: Archive) -> None:
    """A second job is refused while one runs, and may start when it is over."""
    with holding(archive.folder / LOCK, "busy"), pytest.raises(Conflict, match="being read already"):
        read_by(archive, lambda *_: body(FIRST))
    assert read_by(archive, lambda *_: body(FIRST)).state == "done"


def test_a_stop_keeps_what_is_done_and_leaves_the_rest_waiting(archive: Archive) -> None:
    """Where reading is broken off, the job says so, and the next one has only the rest to do."""

    def stopped(job: Job) -> None:
        if job.counts["done"] == 1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        read(archive, progress=stopped, executor=lambda: Reader(lambda *_: body(FIRST)), workers=1)

    (job,) = archive.jobs()
    assert job.state == "stopped"
    assert (job.counts["done"], job.counts["waiting"]) == (1, 2)
    assert len(read_by(archive, lambda *_: body(FIRST)).items) == 2


def test_a_worker_hands_errors_over_as_words() -> None:
    """Nothing is raised in a worker: a missing file is a reason like any other."""
    assert "FileNotFoundError" in read_pages([("/nowhere/a.png", 1, {})])["failed"]


def test_an_unknown_card_is_not_found(archive: Archive) -> None:
    """A card that is not there starts no job."""
    with pytest.raises(NotFound):
        read_by(archive, lambda *_: body(FIRST), "S9-1")
    assert archive.jobs() == ()


def test_cards_as_read_name_scan_page_and_lines(archive: Archive) -> None:
    """The export of readings has the place of each card and the ids of its lines."""
    read_by(archive, lambda *_: body(FIRST), "S1-2")
    whole = cards_json(archive)

    assert whole["format"] == "numbertaker-cards/1"
    (card,) = whole["cards"]
    assert (card["scan"], card["page"], card["source_id"], card["card_id"]) == ("b.png", 1, "S1", "S1-2")
    assert card["lines"][0]["line_id"] == "S1-2-1"
    assert card["lines"][0]["cells"]["miles"]["text"] == "63,310"


def test_a_second_card_on_a_picture_becomes_a_card_of_its_own(archive: Archive) -> None:
    """It is entered with the next number of its source, read once, and found again at its place."""
    both = {**body(FIRST), "further": [body(SECOND)]}
    read_by(archive, lambda *_: both, "S1-1")

    assert cells(archive, "S1-4") == [("S1-4-1", "232", "9,120")]
    other = next(card for card in archive.evidence().cards if card.card_id == "S1-4")
    assert (other.source_id, other.locator) == ("S1", "a.png, card 2 on the picture")

    read_by(archive, lambda *_: {**body(FIRST), "further": [body(SECOND)]}, "S1-1", again=True)
    assert [card.card_id for card in archive.evidence().cards].count("S1-4") == 1
    assert len(archive.evidence().cards) == 4


TWO = "card_id,source_id,scans\nS1-7,S1,two.png\nS1-9,S1,two.png\nS1-8,S1,another.png\n"


@pytest.fixture
def two_on_one(tmp_path: Path) -> Archive:
    """An archive whose table of cards names two cards for one picture."""
    made = new_archive(tmp_path / "two")
    import_package(made, package(tmp_path / "two-tables", cards=TWO))
    take_in(made, [picture(tmp_path / "two.png")], "S1")
    return made


def test_cards_that_the_table_names_for_one_picture_lie_on_it_in_its_order(two_on_one: Archive) -> None:
    """Both show the picture once it is taken in, and it is read once for both, the first time and again."""
    assert [page.card_id for page in two_on_one.card_scans()] == ["S1-7", "S1-9"]
    for again in (False, True):
        job = read_by(two_on_one, lambda *_: {**body(FIRST), "further": [body(SECOND)]}, again=again)
        assert [item.card_id for item in job.items] == ["S1-7"]

    assert cells(two_on_one, "S1-7") == [("S1-7-1", "208", "63,310")]
    assert cells(two_on_one, "S1-9") == [("S1-9-1", "232", "9,120")]
    assert len(two_on_one.evidence().cards) == 3


def test_the_lower_card_on_a_picture_can_be_read_by_itself(two_on_one: Archive) -> None:
    """Its place on the picture is told to the worker by the table's order."""
    read_by(two_on_one, lambda *_: body(FIRST))
    told: list[dict[str, str]] = []

    class Listening(Reader):
        """Hears what a worker is told."""

        def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
            """Keep the hints."""
            told.extend(hint for _, _, hint in args[0])
            return super().submit(fn, *args, **kwargs)

    read(two_on_one, ["S1-9"], executor=lambda: Listening(lambda *_: body(SECOND)))
    assert [hint["place"] for hint in told] == ["1"]
    assert cells(two_on_one, "S1-9") == [("S1-9-1", "232", "9,120")]
