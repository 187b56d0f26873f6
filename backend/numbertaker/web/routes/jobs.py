"""Reading as jobs: begun, watched, tried again."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path
from fastapi.sse import EventSourceResponse, ServerSentEvent

from numbertaker.usecases.look import jobs as look
from numbertaker.usecases.look.views import JobView
from numbertaker.web.asked import WhatToRead
from numbertaker.web.failures import failures
from numbertaker.web.wanted import TheArchive, TheRunner

router = APIRouter(tags=["jobs"])

JobId = Annotated[int, Path(ge=0)]


@router.post("/read", status_code=202, summary="Read cards", responses=failures(403, 404, 409, 422, 503))
def read(runner: TheRunner, asked: WhatToRead) -> JobView:
    """Begin a job in the background; one runs at a time, and a second is refused while it does."""
    return look.job_view(runner.begin(asked.card_ids, again=asked.again, by=asked.by))


@router.get("/jobs", summary="The latest jobs, the newest first")
def jobs(archive: TheArchive) -> list[JobView]:
    """Up to twenty jobs with every page of each."""
    return look.jobs(archive)


@router.get("/jobs/{job_id}", summary="One job", responses=failures(404))
def job(archive: TheArchive, job_id: JobId) -> JobView:
    """How far each page is, and why it failed where it did."""
    return look.job(archive, job_id)


def _watched(archive: TheArchive, job_id: JobId) -> JobView:
    """The job as it is now, so that one that is not here is answered before a stream begins."""
    return look.job(archive, job_id)


@router.get(
    "/jobs/{job_id}/events",
    summary="Watch a job",
    response_class=EventSourceResponse,
    responses={
        200: {"description": "Events named `job`, each a job as it then is."},
        **failures(404, 422, of_json=False),
    },
)
async def events(runner: TheRunner, job: Annotated[JobView, Depends(_watched)]) -> AsyncIterator[Any]:
    """Server-sent events: the job at once, then whenever it moved on, until it is over."""
    async for view in runner.watch(job.job_id):
        yield ServerSentEvent(event="job", data=view)


@router.post(
    "/jobs/{job_id}/retry",
    status_code=202,
    summary="Try what failed again",
    responses=failures(403, 404, 409),
)
def retry(runner: TheRunner, job_id: JobId) -> JobView:
    """Begin again with the pages of a job that failed or were not reached."""
    return look.job_view(runner.retry(job_id))
