"""Read cards: a job over their pages, in worker processes, each card kept as soon as it is read."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ProcessPoolExecutor, wait
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final, TypeAlias

from numbertaker.archive import Archive, CardScan, Job, JobItem
from numbertaker.archive.locks import holding
from numbertaker.archive.values import ItemState, JobState
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Card, Source
from numbertaker.usecases.forms import chosen, forms_json, headings_json
from numbertaker.usecases.further_cards import PLACE, keep_further, place_of, read_with_others
from numbertaker.usecases.reading_rows import keep_card
from numbertaker.usecases.reading_task import Pages, read_pages
from numbertaker.usecases.take_in import FORM_OF

KIND: Final = "read"
LOCK: Final = "reading.lock"
SIDE_OF: Final[Mapping[str, str]] = {"component-card": "component", "engine-card": "engine"}
"""What stands at the head of the cards of a kind of source."""
_BUSY: Final = "Cards of this archive are being read already. Wait until that is done, or stop it."
_ENDED: Final = "The process that read it ended without a word; the machine may be short of memory."

Progress: TypeAlias = Callable[[Job], None]
MakeExecutor: TypeAlias = Callable[[], Executor]


def read(
    archive: Archive,
    card_ids: Sequence[str] | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
    again: bool = False,
    *,
    by: str = "",
    executor: MakeExecutor | None = None,
) -> Job:
    """Read the cards named, or all; those read already only if `again`.

    `progress` is told of the job whenever a card is done; `executor` makes another one than a pool of
    `workers` processes. `Conflict` where somebody is reading already. A card that fails says why in its item.
    """
    with begin(archive, card_ids, again=again, by=by) as running:
        return running.run(workers, progress, executor)


def begin(
    archive: Archive, card_ids: Sequence[str] | None = None, *, again: bool = False, by: str = ""
) -> Running:
    """Make the job without doing it yet; use what is given as a context, or call its `close`.

    Jobs that a process left behind when it ended are marked as stopped first.
    """
    lock = holding(archive.folder / LOCK, _BUSY)
    lock.__enter__()
    try:
        pages = _pages(archive, card_ids, again)
        with archive.writing(quietly=True) as writer:
            writer.stop_jobs(_now())
            job_id = writer.add_job(KIND, by, _now(), pages)
    except BaseException:
        lock.__exit__(None, None, None)
        raise
    return Running(archive, job_id, lock)


def failed_cards(job: Job) -> tuple[str, ...]:
    """The cards of a job to be tried again."""
    return tuple(dict.fromkeys(item.card_id for item in job.items if item.state != "done"))


def _pages(archive: Archive, card_ids: Sequence[str] | None, again: bool) -> list[CardScan]:
    """The pages to be read, in the order of the cards."""
    known = {card.card_id for card in archive.evidence().cards}
    for card_id in card_ids or ():
        if card_id not in known:
            raise NotFound("card", card_id)
    done = {(r.card_id, r.sha256, r.page) for r in archive.card_readings()}
    pages = archive.card_scans()
    unread = {page.card_id for page in pages if (page.card_id, page.sha256, page.page) not in done}
    wanted = set(card_ids) if card_ids is not None else known
    chosen = [page for page in pages if page.card_id in wanted and (again or page.card_id in unread)]
    return read_with_others(chosen, pages)


@dataclass(frozen=True, slots=True)
class Running:
    """A job that holds the lock on reading; leave it by the end of its context or by `close`."""

    archive: Archive
    job_id: int
    lock: AbstractContextManager[None]

    def __enter__(self) -> Running:
        """The job itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Let others read."""
        self.close()

    def close(self) -> None:
        """Let others read; a job that is not over by then counts as stopped."""
        try:
            with self.archive.writing(quietly=True) as writer:
                writer.stop_jobs(_now())
        finally:
            self.lock.__exit__(None, None, None)

    def run(
        self,
        workers: int | None = None,
        progress: Progress | None = None,
        executor: MakeExecutor | None = None,
    ) -> Job:
        """Read the job's pages card by card; gives the job when nothing is left to do."""
        job = self.archive.job(self.job_id)
        crew = min(workers or usual_workers(), max(1, len({item.card_id for item in job.items})))
        self._set_job("running")
        _tell(progress, self.archive, self.job_id)
        for card_id, result in self._results(_tasks(self.archive, job), crew, executor or _pool(crew)):
            self._keep(card_id, result)
            _tell(progress, self.archive, self.job_id)
        failed = any(item.state == "failed" for item in self.archive.job(self.job_id).items)
        self._set_job("failed" if failed else "done", _now())
        return self.archive.job(self.job_id)

    def _results(
        self, tasks: Mapping[str, Pages], crew: int, make: MakeExecutor
    ) -> Iterator[tuple[str, Result]]:
        """Each card with what became of it. A pool that breaks is made anew for what it left undone.

        Which card broke it can't be known while several are read, so those are then read one by one.
        """
        broken: list[str] = []
        with make() as executor:
            for card_id, result in self._through(executor, tasks, crew):
                if result is None:
                    broken.append(card_id)
                else:
                    yield card_id, result
        for card_id in broken:
            if len(tasks) == 1:
                yield card_id, {"failed": _ENDED}
            else:
                yield from self._results({card_id: tasks[card_id]}, 1, make)

    def _through(
        self, executor: Executor, tasks: Mapping[str, Pages], crew: int
    ) -> Iterator[tuple[str, Result | None]]:
        """Hand out no more tasks than are soon begun, so that a stop leaves the others waiting."""
        left = list(tasks.items())
        running: dict[Future[Result], str] = {}
        while left or running:
            while left and len(running) <= crew:
                card_id, pages = left.pop(0)
                try:
                    running[executor.submit(read_pages, pages)] = card_id
                except BrokenExecutor:
                    yield card_id, None
                    continue
                self._set_items(card_id, "running")
            for future in wait(running, return_when=FIRST_COMPLETED).done if running else ():
                card_id = running.pop(future)
                yield card_id, None if isinstance(future.exception(), BrokenExecutor) else future.result()

    def _keep(self, card_id: str, result: Result) -> None:
        """Keep a card's lines and its items' state in one transaction, or why it failed."""
        if "failed" in result:
            self._set_items(card_id, "failed", str(result["failed"]))
            return
        items = [item for item in self.archive.job(self.job_id).items if item.card_id == card_id]
        with self.archive.writing() as writer:
            pages, bodies = [(i.sha256, i.page) for i in items], result["pages"]
            further = [body.pop("further", ()) for body in bodies]
            keep_card(writer, card_id, pages, bodies, _now())
            for page, others in zip(pages, further, strict=True):
                keep_further(writer, card_id, page, others, _now())
            for item in items:
                writer.set_item(self.job_id, replace(item, state="done", why=""))

    def _set_items(self, card_id: str, state: ItemState, why: str = "") -> None:
        began = state == "running"
        items = [item for item in self.archive.job(self.job_id).items if item.card_id == card_id]
        with self.archive.writing(quietly=True) as writer:
            for item in items:
                writer.set_item(
                    self.job_id, JobItem(card_id, item.sha256, item.page, state, why, item.attempts + began)
                )

    def _set_job(self, state: JobState, ended: str = "") -> None:
        with self.archive.writing(quietly=True) as writer:
            writer.set_job(self.job_id, state, ended)


Result: TypeAlias = dict[str, Any]


def usual_workers() -> int:
    """As many workers as the machine has cores, but one at least."""
    return max(1, os.cpu_count() or 1)


def _pool(workers: int) -> MakeExecutor:
    """A pool of fresh processes: a forked one would inherit locks and threads in any state."""
    spawn = multiprocessing.get_context("spawn")
    return lambda: ProcessPoolExecutor(workers, mp_context=spawn)


def _tasks(archive: Archive, job: Job) -> dict[str, Pages]:
    """What a worker is told of each card: its files, pages and form; never what stands on it."""
    evidence = archive.evidence()
    cards = {card.card_id: card for card in evidence.cards}
    sources = {source.source_id: source for source in evidence.sources}
    names = {scan.sha256: scan.name for scan in archive.scans()}
    read_before, learnt, headings = archive.card_readings(), forms_json(archive), headings_json(archive)
    shown, said = archive.card_scans(), chosen(archive)
    tasks: dict[str, Pages] = {}
    for item in job.items:
        card = cards[item.card_id]
        hint = _hint(card, sources.get(card.source_id), said) | {"name": names[item.sha256]}
        if place := place_of(read_before, item.card_id, (item.sha256, item.page), shown):
            hint[PLACE] = str(place)
        if learnt != "[]":
            hint["forms"] = learnt
        if headings != "{}":
            hint["headings"] = headings
        page = (str(_absolute(archive.scan_path(item.sha256))), item.page, hint)
        tasks[item.card_id] = [*tasks.get(item.card_id, []), page]
    return tasks


def _hint(card: Card, source: Source | None, chosen_forms: Mapping[str, str]) -> dict[str, str]:
    kind = source.kind if source else ""
    form = chosen_forms.get(card.source_id) or card.form or FORM_OF.get(kind, "")
    return {"form": form, "side": SIDE_OF.get(kind, "")}


def _absolute(path: Path) -> Path:
    return path.resolve()


def _tell(progress: Progress | None, archive: Archive, job_id: int) -> None:
    if progress is not None:
        progress(archive.job(job_id))


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def unread(archive: Archive) -> Iterable[str]:
    """The cards that have scans and were not read yet."""
    return tuple(dict.fromkeys(page.card_id for page in _pages(archive, None, again=False)))
