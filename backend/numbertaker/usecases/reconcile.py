"""Reconcile everything that the archive holds; the result is kept until something that went in changes."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Final

import numbertaker
from numbertaker.archive import Archive
from numbertaker.evidence.records import RECORDS, Evidence, Reading, Record
from numbertaker.reconciling.history import History
from numbertaker.reconciling.learning import SHIPPED, Learnt
from numbertaker.usecases.keeping import parts_of, whole_of
from numbertaker.usecases.learn import in_force

_MAKES_HISTORY: Final = ("evidence", "linking", "reconciling")
"""The floors that a history is made on."""
_SUFFIXES: Final = frozenset({".py", ".json"})


def current(archive: Archive) -> History:
    """The history as evidence and decisions now have it, reconciled anew only where something changed."""
    return archive.memo("history", lambda: _kept_or_made(archive, again=False))


def reconcile(archive: Archive) -> History:
    """Reconcile anew, whatever is kept, and keep the result."""
    return _kept_or_made(archive, again=True)


def _kept_or_made(archive: Archive, *, again: bool) -> History:
    learnt = in_force(archive)
    digest = digest_of(archive.evidence(), learnt)
    if not again:
        known, parts = archive.kept_histories()
        if known == digest:
            return whole_of(parts)
    from numbertaker import reconciling

    history: History = reconciling.reconcile(archive.ruled(), learnt=learnt)
    at = datetime.now(UTC).isoformat(timespec="seconds")
    with archive.writing(quietly=True) as writer:
        writer.keep_histories(digest, at, parts_of(history))
    return history


def digest_of(evidence: Evidence, learnt: Learnt = SHIPPED) -> str:
    """A SHA-256 of everything that a history is made of: rows, decisions, what was learnt, settings and
    program.
    """
    whole = hashlib.sha256(program().encode())
    whole.update(json.dumps(learnt.to_json(), sort_keys=True).encode())
    for record in RECORDS:
        if record is not Reading:
            rows = [_stated(row) for row in getattr(evidence, record.TABLE)]
            whole.update(json.dumps([record.TABLE, rows], ensure_ascii=False).encode())
    return whole.hexdigest()


def _stated(row: Record) -> list[tuple[str, str]]:
    """What a row states: its filled cells, whichever order the columns of its file had."""
    return sorted((column, text) for column, text in row.row().items() if text)


@cache
def program() -> str:
    """The version of the program, and a digest of the modules that make a history, settings included."""
    root = Path(numbertaker.__file__).parent
    made_by = hashlib.sha256()
    for floor in _MAKES_HISTORY:
        for file in sorted(p for p in (root / floor).rglob("*") if p.suffix in _SUFFIXES):
            made_by.update(file.relative_to(root).as_posix().encode() + b"\0" + file.read_bytes())
    return f"{numbertaker.__version__} {made_by.hexdigest()}"
