"""The versions of what an archive has taught of its own papers; the latest is in force."""

from __future__ import annotations

import json

from sqlalchemy import Connection, insert, select

from numbertaker.archive.tables import LEARNT
from numbertaker.archive.values import Json, Lesson


def read_lessons(connection: Connection) -> tuple[Lesson, ...]:
    """Every version, the oldest first."""
    rows = connection.execute(select(LEARNT).order_by(LEARNT.c.version))
    return tuple(Lesson(r.version, r.at, r.by, json.loads(r.body)) for r in rows)


def add_lesson(connection: Connection, at: str, by: str, body: Json) -> Lesson:
    """Put a version behind the others; it is in force from now on."""
    known = read_lessons(connection)
    made = Lesson(known[-1].version + 1 if known else 1, at, by, body)
    text = json.dumps(body, ensure_ascii=False, sort_keys=True)
    connection.execute(insert(LEARNT).values(version=made.version, at=at, by=by, body=text))
    return made
