"""Jobs in the background: one at a time, in a thread that drives the reading's own processes."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import AsyncIterator, Sequence
from typing import Final

from numbertaker.archive import Archive, Job
from numbertaker.usecases.look import jobs as look
from numbertaker.usecases.look.views import JobView

EVERY_S: Final = 0.4
"""How often a job that is watched is looked at, in seconds."""


class Runner:
    def __init__(self, archive: Archive) -> None:
        self._archive = archive
        self._closing = threading.Event()

    def begin(self, card_ids: Sequence[str] | None, *, again: bool, by: str) -> Job: ...

    def retry(self, job_id: int) -> Job: ...

    async def watch(self, job_id: int) -> AsyncIterator[JobView]:
        yield await asyncio.to_thread(look.job, self._archive, job_id)

    def close(self) -> None:
        self._closing.set()
