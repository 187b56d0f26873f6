"""The archive as use cases see it: values out of one snapshot, and one transaction at a time in."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final, TypeVar

from sqlalchemy import Connection, Engine, select, update
from sqlalchemy.exc import OperationalError

from numbertaker.archive import jobs, kept, lessons, other, rows
from numbertaker.archive.scans import ScanStore
from numbertaker.archive.tables import STATE
from numbertaker.archive.values import CardScan, ImportNote, Job, KeptReading, Lesson, Scan
from numbertaker.archive.writer import Writer
from numbertaker.evidence.decisions import Ruled, follow
from numbertaker.evidence.errors import Conflict, NotFound
from numbertaker.evidence.records import Decision, Evidence, Reading

T = TypeVar("T")

_AT_ONCE: Final = 100
"""How many readings of pages are taken out of the database in one go."""
_RESTS_ON_NO_DECISION: Final = (
    *("readings", "columns", "imports", "scans", "card_scans", "card_readings", "learnt"),
)


@dataclass(slots=True)
class Archive:
    """One archive. Safe to use from several threads; what it gives are immutable values.

    What is read is kept in memory until a transaction of this or of another process has written: `revision`
    tells. Where two processes write, the second waits until the first is done.
    """

    folder: Path
    engine: Engine
    scan_files: ScanStore
    _memo: dict[str, tuple[int, Any]] = field(default_factory=dict)
    _making: dict[str, threading.RLock] = field(default_factory=dict)
    _writing: threading.RLock = field(default_factory=threading.RLock)

    @property
    def name(self) -> str:
        """The name of the archive's folder."""
        return self.folder.resolve().name

    def revision(self) -> int:
        """A number that grows whenever something was written."""
        with self.engine.begin() as connection:
            return _revision(connection)

    def memo(self, name: str, make: Callable[[], T]) -> T:
        """What `make` gives, made anew only after something was written.

        One thread makes it and the others wait. No transaction is open meanwhile: one that reads would keep
        its own maker from writing.
        """
        with self._making.setdefault(name, threading.RLock()):
            revision = self.revision()
            known = self._memo.get(name)
            if known is not None and known[0] == revision:
                return known[1]  # type: ignore[no-any-return]
            made = make()
            self._memo[name] = (revision, made)
            return made

    def latest(self, name: str) -> Any:
        """What was last made under a name, however old; None where nothing was."""
        known = self._memo.get(name)
        return None if known is None else known[1]

    def remember(self, name: str, value: object) -> None:
        """Let `latest` give this from now on."""
        self._memo[name] = (-1, value)

    def _read(self, name: str, read: Callable[[Connection], T]) -> T:
        """What `read` gives in a transaction of its own, read anew only after something was written."""

        def make() -> T:
            with self.engine.begin() as connection:
                return read(connection)

        return self.memo(name, make)

    def evidence(self) -> Evidence:
        """The rows as they came, in the order they came; decisions are in it, and not yet followed."""
        return self._read("evidence", rows.read_evidence)

    def ruled(self) -> Ruled:
        """The evidence with the standing decisions followed."""
        return self.memo("ruled", lambda: follow(self.evidence()))

    def readings(self) -> tuple[Reading, ...]:
        """Readings of cells that later readings superseded, oldest first."""
        return self._read("readings", rows.read_readings)

    def columns(self, table: str) -> tuple[str, ...]:
        """The columns of a table in the order of the files that it came in; empty where none came."""
        return self._read("columns", kept.read_columns).get(table, ())

    def imports(self) -> tuple[ImportNote, ...]:
        """The packages that brought something, the oldest first."""
        return self._read("imports", kept.read_imports)

    def lessons(self) -> tuple[Lesson, ...]:
        """The versions of what was learnt of the archive's papers, the oldest first; the last is in force."""
        return self._read("lessons", lessons.read_lessons)

    def scans(self) -> tuple[Scan, ...]:
        """Every scan, in the order they were taken in."""
        return self._read("scans", kept.read_scans)

    def scan(self, sha256: str) -> Scan:
        """The scan of that digest, or `NotFound`."""
        for scan in self.scans():
            if scan.sha256 == sha256:
                return scan
        raise NotFound("scan", sha256)

    def scan_bytes(self, sha256: str) -> bytes:
        """The bytes of a scan as they came, or `NotFound`."""
        return self.scan_files.get(self.scan(sha256).sha256)

    def scan_path(self, sha256: str) -> Path:
        """The file of a scan, to be read only, or `NotFound`."""
        return self.scan_files.path(self.scan(sha256).sha256)

    def card_scans(self) -> tuple[CardScan, ...]:
        """Which pages of which scans show which card; by card as in `cards`, then by position."""
        return self._read("card_scans", kept.read_card_scans)

    def card_readings(self) -> tuple[KeptReading, ...]:
        """The latest reading of every page that was read, in the order of `card_scans`."""
        return self._read("card_readings", kept.read_card_readings)

    def every_reading(self) -> Iterator[KeptReading]:
        """Every reading of every page, superseded ones too, oldest first; few at once in memory."""
        last = 0
        while True:
            with self.engine.begin() as connection:
                some = kept.read_readings_after(connection, last, _AT_ONCE)
            yield from (reading for _, reading in some)
            if len(some) < _AT_ONCE:
                return
            last = some[-1][0]

    def other_rows(self) -> Iterator[tuple[str, list[dict[str, Any]]]]:
        """The rows of the tables that have no format of their own in a bag, by table."""
        for table in other.tables():
            with self.engine.begin() as connection:
                yield table.name, other.read_rows(connection, table)

    def jobs(self, latest: int = 20) -> tuple[Job, ...]:
        """The latest jobs, the newest first."""
        with self.engine.begin() as connection:
            return jobs.read_jobs(connection, latest)

    def job(self, job_id: int) -> Job:
        """One job as it stands now, or `NotFound`."""
        with self.engine.begin() as connection:
            return jobs.read_job(connection, job_id)

    def kept_digest(self) -> str:
        """The digest of what the last reconciliation was made of; empty where none is kept."""
        with self.engine.begin() as connection:
            return kept.read_digest(connection)

    def kept_histories(self) -> Iterator[tuple[str, str]]:
        """The parts of the reconciliation that is kept, by component id; few at once in memory."""
        with self.engine.begin() as connection:
            yield from kept.read_histories(connection)

    @contextmanager
    def writing(self, *, quietly: bool = False) -> Iterator[Writer]:
        """One transaction: everything that the block writes is kept, or, if it raises, nothing.

        `quietly` is for what nothing is derived from, such as the progress of a job: the revision stays.
        """
        with self._writing, _refusals(), self.engine.execution_options(writing=True).begin() as connection:
            # First of all, because the row's lock is what makes a second writer wait on any database.
            connection.execute(update(STATE).values(value=STATE.c.value + (0 if quietly else 1)))
            yield Writer(connection)

    def append(self, make: Callable[[tuple[Decision, ...]], Decision]) -> Decision:
        """Put the decision that `make` gives for the log as it is at its end, in a transaction of its own.

        What was read before and rests on no decision stays in memory, so that a ruling costs no reading anew.
        """
        with self.writing() as writer:
            log = writer.log()
            decision = make(log)
            writer.append(decision)
            revision = _revision(writer.connection)
        for name in _RESTS_ON_NO_DECISION:
            self._carry(name, revision, lambda value: value)
        self._carry("evidence", revision, lambda e: replace(e, decisions=(*log, decision)))
        return decision

    def _carry(self, name: str, revision: int, change: Callable[[Any], Any]) -> None:
        with self._making.setdefault(name, threading.RLock()):
            known = self._memo.get(name)
            if known is not None and known[0] == revision - 1:
                self._memo[name] = (revision, change(known[1]))

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


@contextmanager
def _refusals() -> Iterator[None]:
    """Say in words why the database would not write; nothing was written then."""
    try:
        yield
    except OperationalError as error:
        if "locked" in str(error.orig):
            raise Conflict("Another program is writing to this archive. Wait until it is done.") from error
        raise OSError(f"The archive could not be written ({error.orig}); nothing was changed") from error


def _revision(connection: Connection) -> int:
    return connection.scalar(select(STATE.c.value).where(STATE.c.name == "revision")) or 0
