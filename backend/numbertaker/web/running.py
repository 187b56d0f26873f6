"""Jobs in the background: one at a time, in a thread that drives the reading's own processes."""

from __future__ import annotations

import asyncio
import logging
import threading
from collections.abc import AsyncIterator, Callable, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from typing import Final

from numbertaker.archive import Archive, Job
from numbertaker.archive.values import OVER
from numbertaker.evidence.errors import Conflict
from numbertaker.usecases import read
from numbertaker.usecases.learn import learn_first
from numbertaker.usecases.look import jobs as look
from numbertaker.usecases.look.views import JobView
from numbertaker.usecases.reconcile import current, make_ready

EVERY_S: Final = 0.4
"""How often a job that is watched is looked at, in seconds."""
_PATIENCE_S: Final = 60
"""How long a server that stops waits for the card that is being read, in seconds."""
_LOG: Final = logging.getLogger("numbertaker.web")


class _Stopped(Exception):  # noqa: N818 - no error: it only leaves the job
    """The server stops; what is read by then is kept, and the rest waits."""


class Runner:
    """Begins jobs and watches them. What it begins goes on when the request is answered."""

    def __init__(self, archive: Archive, executor: Callable[[], Executor] | None = None) -> None:
        """Run jobs of this archive; `executor` makes what cards are read in, a pool of processes if None."""
        self._archive = archive
        self._executor = executor
        self._closing = threading.Event()
        self._thread: threading.Thread | None = None

    def begin(self, card_ids: Sequence[str] | None, *, again: bool, by: str) -> Job:
        """Begin to read; `Conflict` while cards of the archive are being read already."""
        running = read.begin(self._archive, card_ids, again=again, by=by)
        begun = self._archive.job(running.job_id)
        self._thread = threading.Thread(target=self._drive, args=(running,), name=f"job-{running.job_id}")
        self._thread.start()
        return begun

    def retry(self, job_id: int) -> Job:
        """Begin anew with the cards of a job that failed or were not reached; `Conflict` if none is left."""
        job = self._archive.job(job_id)
        left = read.failed_cards(job)
        if job.state not in OVER:
            raise Conflict(f"Job {job_id} is not over yet. Wait until it is.")
        if not left:
            raise Conflict(f"Every card of job {job_id} was read; there is nothing to try again.")
        return self.begin(left, again=True, by=job.by)

    def _drive(self, running: read.Running) -> None:
        """Do the job, learn from the first lines that it brought, and reconcile before a page asks for it."""
        try:
            with running:
                running.run(progress=self._go_on, executor=self._executor)
            learn_first(self._archive)
            current(self._archive)
        except _Stopped:
            _LOG.info("Job %s was stopped; what it finished is kept.", running.job_id)
        except Exception:
            # A thread has nobody to raise to: the job counts as stopped, and the log has the story.
            _LOG.exception("Job %s broke", running.job_id)

    def _go_on(self, _: Job) -> None:
        if self._closing.is_set():
            raise _Stopped

    async def watch(self, job_id: int) -> AsyncIterator[JobView]:
        """The job at once, then whenever it moved on, until it is over or the server stops."""
        shown: JobView | None = None
        while not self._closing.is_set():
            job = await asyncio.to_thread(look.job, self._archive, job_id)
            if shown is None or replace(job, seconds_left=shown.seconds_left) != shown:
                yield job
                shown = job
            if job.state in OVER:
                return
            await asyncio.sleep(EVERY_S)

    def close(self) -> None:
        """Stop after the cards that are being read now."""
        self._closing.set()
        if self._thread is not None:
            self._thread.join(_PATIENCE_S)


def begin_ready(archive: Archive) -> threading.Thread:
    """Begin to work out what rulings go on from, beside whatever is asked meanwhile.

    A server that stops does not wait for it: it writes nothing that would not be written anew.
    """
    thread = threading.Thread(target=_ready, args=(archive,), name="ready", daemon=True)
    thread.start()
    return thread


def _ready(archive: Archive) -> None:
    try:
        make_ready(archive)
    except Exception:
        # Whoever asks for a page is told the same; a thread has nobody to raise to.
        _LOG.exception("What rulings go on from could not be worked out ahead")
