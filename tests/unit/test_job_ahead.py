"""How long a job will still take, and that one large scan holds up no other card."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from tests.archives import new_archive, package, picture
from tests.readings import body

from numbertaker.archive import Job, JobItem
from numbertaker.archive.values import ItemState
from numbertaker.usecases.look.jobs import LARGE, seconds_left
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.read import read
from numbertaker.usecases.take_in import take_in

BEGAN = datetime(1911, 4, 1, 9, 0, tzinfo=UTC)


def job(*states: ItemState) -> Job:
    """A job whose pages, named '0', '1', … by their scans, are in these states."""
    items = tuple(JobItem(f"S1-{n}", str(n), 1, state) for n, state in enumerate(states))
    return Job(1, "read", "running", "", BEGAN.isoformat(), "", items)


def after(seconds: float) -> datetime:
    return BEGAN + timedelta(seconds=seconds)


def test_the_rest_goes_on_at_the_pace_of_what_is_over() -> None:
    """Four pages in a minute leave two minutes for eight; what was not readable counts as over."""
    told = job("done", "done", "failed", "done", *["waiting"] * 8)
    assert seconds_left(told, {}, after(60)) == 120


def test_what_is_being_read_counts_half() -> None:
    """Of two pages that are being read one is held to be left."""
    assert seconds_left(job("done", "done", "running", "running"), {}, after(10)) == 5


def test_a_large_page_does_not_make_small_ones_seem_slow() -> None:
    """A page that counts for three, and took so long, leaves its own share of time to each small one."""
    told = job("done", "done", "waiting", "waiting")
    assert seconds_left(told, {"0": 2 * LARGE}, after(8)) == 4


def test_nothing_is_said_before_it_is_known() -> None:
    """One page tells nothing, for it waited for the readers to begin; at the end no time is left."""
    assert seconds_left(job("done", "waiting"), {}, after(9)) is None
    assert seconds_left(job("done", "done"), {}, after(9)) is None


class Crew(ThreadPoolExecutor):
    """Two readers. The one that has the large scan is not done before all the others are kept."""

    def __init__(self, others_kept: threading.Event) -> None:
        super().__init__(2)
        self.others_kept, self.in_time = others_kept, False

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Read as `read_pages` would, in a thread."""
        return super().submit(self.read, args[0])

    def read(self, pages: Sequence[tuple[str, int, dict[str, str]]]) -> dict[str, Any]:
        """The card's pages as read."""
        if pages[0][2]["name"] == "a.png":
            self.in_time = self.others_kept.wait(60)
        return {"pages": [body({"engine": "208"}) for _ in pages]}


def test_a_large_scan_holds_up_none_of_the_others(tmp_path: Path) -> None:
    """While one reader is at a large scan the other goes on, and what it read is kept at once."""
    archive = new_archive(tmp_path / "archive")
    import_package(archive, package(tmp_path / "tables"))
    names = "abcdef"
    take_in(
        archive, [picture(tmp_path / "scans" / f"{name}.png", 20 * n) for n, name in enumerate(names)], "S1"
    )
    others_kept = threading.Event()

    def moved(now: Job) -> None:
        if now.counts["done"] == len(names) - 1:
            others_kept.set()

    crew = Crew(others_kept)
    done = read(archive, None, 2, moved, executor=lambda: crew)

    assert crew.in_time, "the other cards waited for the large one"
    assert (done.state, done.counts["done"]) == ("done", len(names))
    archive.close()
