"""Learn from an archive how its papers are wrong, how its engines ran and how far its readings can be
trusted; only this makes what is learnt.

It is done when an archive first has lines, and whenever somebody asks. A correction or a ruling never changes
what was learnt, so that a history moves only where the evidence moved.
"""

from __future__ import annotations

from datetime import UTC, datetime

from numbertaker.archive import Archive, Lesson
from numbertaker.reconciling.learning import SHIPPED, Learnt, of_json
from numbertaker.usecases.calibrating import READING, learn_curves


def learn(archive: Archive, by: str = "") -> Lesson:
    """Learn from the evidence as it now stands, and keep it as a new version that is in force from now on.

    Where the same is in force already, nothing is written.
    """
    from numbertaker import reconciling

    body = reconciling.learn(archive.ruled()).to_json()
    if of_readings := learn_curves(archive):
        body = {**body, READING: of_readings}
    known = archive.lessons()
    if known and known[-1].body == body:
        return known[-1]
    at = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    with archive.writing() as writer:
        return writer.add_lesson(at, by, body)


def learn_first(archive: Archive, by: str = "") -> Lesson | None:
    """Learn once an archive has its first lines; nothing where it has none, or was learnt from before."""
    if archive.lessons() or not archive.evidence().lines:
        return None
    return learn(archive, by)


def in_force(archive: Archive) -> Learnt:
    """What was learnt last; what is taken of any archive where nothing was learnt yet."""
    known = archive.lessons()
    return of_json(known[-1].body) if known else SHIPPED
