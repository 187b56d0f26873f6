"""Reconcile everything that the archive holds; the result is kept until something that went in changes."""

from __future__ import annotations

import gc
import hashlib
import json
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, Final

import numbertaker
from numbertaker.archive import Archive
from numbertaker.evidence.decisions import Ruled
from numbertaker.evidence.records import RECORDS, Evidence, Reading, Record
from numbertaker.reconciling.history import History
from numbertaker.reconciling.learning import SHIPPED, Learnt
from numbertaker.usecases.calibrating import curves_in_force, recalibrated
from numbertaker.usecases.keeping import REST, parts_of, text_of, whole_of
from numbertaker.usecases.learn import in_force

_MAKES_HISTORY: Final = ("evidence", "linking", "reconciling")
"""The floors that a history is made on."""
_SUFFIXES: Final = frozenset({".py", ".json"})


def current(archive: Archive) -> History:
    """The history as evidence and decisions now have it, reconciled anew only where something changed."""
    return archive.memo("history", lambda: _kept_or_made(archive))


@dataclass(slots=True)
class Made:
    """How much a reconciliation came to."""

    components: int = 0
    fitments: int = 0
    findings_open: int = 0


def reconcile(archive: Archive) -> Made:
    """Reconcile anew, whatever is kept, and keep the result.

    It passes through a file component by component, so that it is never in memory as a whole; and it is kept
    in one short transaction at the end, so that nobody has to wait, and what was kept before stays till then.
    """
    from numbertaker import reconciling

    digest, made, open_ = state_of(archive), Made(), set[str]()
    with undisturbed(lasting=True), TemporaryFile("w+", encoding="utf-8", dir=archive.folder) as spool:
        parts = reconciling.in_parts(_as_read(archive, archive.ruled()), learnt=in_force(archive))
        for component in parts.components():
            made.components += 1
            made.fitments += len(component.fitments)
            open_.update(f.id for f in component.findings if f.settled_by is None)
            _put(spool, component.component_id, text_of(component))
        rest = parts.rest()
        _put(spool, REST, text_of(rest))
        parts.let_go()
        spool.seek(0)
        with archive.writing(quietly=True) as writer:
            writer.keep_histories(digest, _now(), (_taken(line) for line in spool))
    made.findings_open = len(open_.union(f.id for f in rest.findings if f.settled_by is None))
    return made


def _put(spool: IO[str], name: str, text: str) -> None:
    spool.write(json.dumps(name) + "\t" + text + "\n")


def _taken(line: str) -> tuple[str, str]:
    name, _, text = line.rstrip("\n").partition("\t")
    return json.loads(name), text


def _kept_or_made(archive: Archive) -> History:
    digest = state_of(archive)
    before: _Kept | None = archive.latest(_KEPT)
    if before is not None and before.digest == digest:
        return before.history
    if archive.kept_digest() == digest:
        with undisturbed():
            return _remember(archive, digest, whole_of(archive.kept_histories()))
    history = worked_out(archive, archive.ruled())
    _keep_changed(archive, digest, history, before)
    return _remember(archive, digest, history)


def go_on(archive: Archive) -> None:
    """From now on work out only what changes, in memory: for a program that many rulings are made in."""
    archive.remember(_GOING_ON, _GoingOn())


def make_ready(archive: Archive) -> None:
    """Work out once what changes will be worked out from, so that the first ruling need not wait for it.

    The history that is kept is taken first, so that whoever asks for a page waits for nothing else.
    """
    current(archive)
    revision, digest = archive.revision(), state_of(archive)
    history = worked_out(archive, archive.ruled())
    known: _Kept | None = archive.latest(_KEPT)
    if known is not None and known.digest == digest and archive.revision() == revision:
        _remember(archive, digest, history)  # the same, of the very values that are gone on from


def worked_out(archive: Archive, ruled: Ruled, *, whole: bool = False) -> History:
    """The history of some evidence, with what the archive has taught; nothing is kept.

    Only what is otherwise than the last time is worked out, where the program goes on with one archive.
    """
    from numbertaker import reconciling

    learnt, read = in_force(archive), _as_read(archive, ruled)
    known: _GoingOn | None = None if whole else archive.latest(_GOING_ON)
    if known is None:
        with undisturbed(lasting=True):
            return reconciling.reconcile(read, learnt=learnt)
    with known.lock, undisturbed():
        history = known.standing.reconcile(read, learnt)
        if known.standing.anew:
            gc.freeze()  # what is gone on from stays, and what it lets go of points in no circles
        return history


def _as_read(archive: Archive, ruled: Ruled) -> Ruled:
    """The evidence with its cells as sure as what was learnt of readings has them."""
    return recalibrated(ruled, curves_in_force(archive))


class _GoingOn:
    """A reconciliation that is kept up, for one thread at a time."""

    def __init__(self) -> None:
        from numbertaker.reconciling import Standing

        self.lock = threading.Lock()
        self.standing = Standing()


_GOING_ON: Final = "going on"


def state_of(archive: Archive) -> str:
    """The digest of everything that the archive's history is made of as it now stands."""
    curves = curves_in_force(archive)
    return digest_of(archive.evidence(), in_force(archive), repr(curves) if curves else "")


@contextmanager
def undisturbed(*, lasting: bool = False) -> Iterator[None]:
    """Without looking for garbage meanwhile: none of the values of a reconciliation is, until its end.

    `lasting` values are not looked through afterwards either: a history points in no circles, and goes by
    itself once nobody refers to it.
    """
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if lasting:
            gc.freeze()
        if collecting:
            gc.enable()


@dataclass(frozen=True, slots=True)
class _Kept:
    """The history that this process last kept or found kept, and the digest of what it was made of."""

    digest: str
    history: History


_KEPT: Final = "kept history"


def _remember(archive: Archive, digest: str, history: History) -> History:
    archive.remember(_KEPT, _Kept(digest, history))
    return history


def _keep_changed(archive: Archive, digest: str, history: History, before: _Kept | None) -> None:
    """Keep what changed since the last history, if that is still the one that is kept; else all of it."""
    with archive.writing(quietly=True) as writer:
        last = before.history if before is not None and before.digest == writer.kept_digest() else None
        writer.keep_histories(digest, _now(), parts_of(history, last), whole=last is None)


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")


def digest_of(evidence: Evidence, learnt: Learnt = SHIPPED, of_readings: str = "") -> str:
    """A SHA-256 of everything that a history is made of: rows, decisions, what was learnt, settings and
    program. `of_readings` states what was learnt of readings, if anything was.
    """
    whole = hashlib.sha256((program() + of_readings).encode())
    whole.update(json.dumps(learnt.to_json(), sort_keys=True).encode())
    for record in RECORDS:
        if record is not Reading:
            whole.update(_digest_of_table(record.TABLE, getattr(evidence, record.TABLE)))
    return whole.hexdigest()


_JSON: Final = json.JSONEncoder(ensure_ascii=False)
_digests: Final[dict[str, tuple[tuple[Record, ...], bytes]]] = {}
"""The digest of each table as it was last seen, with its very rows: most edits leave most tables alone."""


def _digest_of_table(table: str, rows: tuple[Record, ...]) -> bytes:
    known = _digests.get(table)
    if known is None or known[0] is not rows:
        told = hashlib.sha256(table.encode())
        for row in rows:
            told.update(b"\n" + _JSON.encode(_stated(row)).encode())
        known = _digests[table] = (rows, told.digest())
    return known[1]


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
