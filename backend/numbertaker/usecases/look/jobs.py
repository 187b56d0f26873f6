"""Jobs as the screens show them, and how long the one that is going on will take."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Final

from numbertaker.archive import Archive, Job
from numbertaker.archive.values import OVER
from numbertaker.usecases.look.views import JobItemView, JobView

FEWEST: Final = 2
"""How long the rest takes is said once so many pages are over: the first waits for the readers to begin."""
LARGE: Final = 6_000_000
"""A page of so many bytes takes about twice as long as a small one: what is written on it is the same, and
more of the time goes into unpacking and laying it flat (set by eye)."""


def jobs(archive: Archive, latest: int = 20) -> list[JobView]:
    """The latest jobs, the newest first."""
    return [_now(archive, job) for job in archive.jobs(latest)]


def job(archive: Archive, job_id: int) -> JobView:
    """One job as it now stands, or `NotFound`."""
    return _now(archive, archive.job(job_id))


def _now(archive: Archive, row: Job) -> JobView:
    if row.state in OVER:
        return job_view(row)
    sizes = {scan.sha256: scan.bytes_ / max(1, scan.pages) for scan in archive.scans()}
    return job_view(row, seconds_left(row, sizes, datetime.now(UTC)))


def job_view(row: Job, left: int | None = None) -> JobView:
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
        seconds_left=left,
        items=[JobItemView(i.card_id, i.sha256, i.page, i.state, i.why, i.attempts) for i in row.items],
    )


def seconds_left(row: Job, sizes: Mapping[str, float], now: datetime) -> int | None:
    """How many seconds what is left of a job will take, at the pace of what is over; None where too little
    is over to say, or nothing left.

    `sizes` are bytes of a page, by the digest of its scan: pages count by what they take, not one like
    another, so that a large one does not make the rest seem longer. What is being read now counts half.
    """
    work = [(item.state, 1 + sizes.get(item.sha256, 0.0) / LARGE) for item in row.items]
    over = [part for state, part in work if state in ("done", "failed")]
    left = sum(part for state, part in work if state == "waiting")
    left += sum(part for state, part in work if state == "running") / 2
    if len(over) < FEWEST or not left:
        return None
    began = datetime.fromisoformat(row.began)
    return round(max(0.0, (now - began).total_seconds()) * left / sum(over))
