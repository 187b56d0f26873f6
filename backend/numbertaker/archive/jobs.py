"""Jobs and their pages: made, moved on and read back."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, Row, insert, select, update

from numbertaker.archive.tables import JOB_ITEMS, JOBS
from numbertaker.archive.values import OVER, CardScan, ItemState, Job, JobItem, JobState
from numbertaker.evidence.errors import NotFound


def read_jobs(connection: Connection, latest: int) -> tuple[Job, ...]:
    """The latest jobs, the newest first."""
    rows = connection.execute(select(JOBS).order_by(JOBS.c.job_id.desc()).limit(latest)).all()
    return tuple(_job(connection, row) for row in rows)


def read_job(connection: Connection, job_id: int) -> Job:
    """One job, or `NotFound`."""
    row = connection.execute(select(JOBS).where(JOBS.c.job_id == job_id)).one_or_none()
    if row is None:
        raise NotFound("job", str(job_id))
    return _job(connection, row)


def _job(connection: Connection, row: Row[tuple[object, ...]]) -> Job:
    items = connection.execute(
        select(JOB_ITEMS).where(JOB_ITEMS.c.job_id == row.job_id).order_by(JOB_ITEMS.c.position)
    )
    return Job(
        row.job_id,
        row.kind,
        row.state,
        row.by,
        row.began,
        row.ended,
        tuple(JobItem(i.card_id, i.sha256, i.page, i.state, i.why, i.attempts) for i in items),
    )


def add_job(connection: Connection, kind: str, by: str, at: str, pages: Sequence[CardScan]) -> int:
    """A new job with its pages waiting; gives its id."""
    made = connection.execute(insert(JOBS).values(kind=kind, state="waiting", by=by, began=at, ended=""))
    job_id = int(made.inserted_primary_key[0])  # type: ignore[index]
    items = [
        {
            "job_id": job_id,
            "position": n,
            "card_id": page.card_id,
            "sha256": page.sha256,
            "page": page.page,
            "state": "waiting",
            "why": "",
            "attempts": 0,
        }
        for n, page in enumerate(pages)
    ]
    if items:
        connection.execute(insert(JOB_ITEMS), items)
    return job_id


def set_item(connection: Connection, job_id: int, item: JobItem) -> None:
    """How far one page is now."""
    connection.execute(
        update(JOB_ITEMS)
        .where(
            JOB_ITEMS.c.job_id == job_id,
            JOB_ITEMS.c.card_id == item.card_id,
            JOB_ITEMS.c.sha256 == item.sha256,
            JOB_ITEMS.c.page == item.page,
        )
        .values(state=item.state, why=item.why, attempts=item.attempts)
    )


def set_job(connection: Connection, job_id: int, state: JobState, ended: str = "") -> None:
    """How far the job is now."""
    connection.execute(update(JOBS).where(JOBS.c.job_id == job_id).values(state=state, ended=ended))


def stop_jobs(connection: Connection, at: str) -> None:
    """Mark the jobs that a process left behind when it ended; their unfinished pages wait again."""
    left = select(JOBS.c.job_id).where(JOBS.c.state.not_in(OVER))
    running: ItemState = "running"
    connection.execute(
        update(JOB_ITEMS)
        .where(JOB_ITEMS.c.job_id.in_(left), JOB_ITEMS.c.state == running)
        .values(state="waiting")
    )
    connection.execute(update(JOBS).where(JOBS.c.state.not_in(OVER)).values(state="stopped", ended=at))
