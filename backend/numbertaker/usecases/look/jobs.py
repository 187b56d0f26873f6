"""Jobs as the screens show them."""

from __future__ import annotations

from numbertaker.archive import Archive, Job
from numbertaker.usecases.look.views import JobItemView, JobView


def jobs(archive: Archive, latest: int = 20) -> list[JobView]:
    """The latest jobs, the newest first."""
    return [job_view(job) for job in archive.jobs(latest)]


def job(archive: Archive, job_id: int) -> JobView:
    """One job as it now stands, or `NotFound`."""
    return job_view(archive.job(job_id))


def job_view(row: Job) -> JobView:
    """A job with how many of its pages are in each state."""
    return JobView(
        job_id=row.job_id,
        kind=row.kind,
        state=row.state,
        by=row.by,
        began=row.began,
        ended=row.ended,
        total=len(row.items),
        **row.counts,
        items=[JobItemView(i.card_id, i.sha256, i.page, i.state, i.why, i.attempts) for i in row.items],
    )
