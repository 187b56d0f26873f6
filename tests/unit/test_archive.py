"""The archive: rows as they came, a log that only grows, and tables that are brought up to date unharmed."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import func, select, text
from sqlalchemy.exc import IntegrityError
from tests.archives import new_archive

from numbertaker.archive import Archive, CardScan, KeptReading, Scan, open_archive
from numbertaker.archive.migrating import HEAD, MIGRATIONS, bring_up_to_date, revision_of
from numbertaker.archive.opening import DATABASE, sqlite_engine
from numbertaker.archive.scans import ScanStore, write_whole
from numbertaker.archive.tables import METADATA
from numbertaker.evidence.errors import BadInput, Conflict, NotFound
from numbertaker.evidence.records import Card, Decision, Engine, Line, Source

SOURCE = Source(source_id="S1", kind="component-card", title="Boiler cards", extra=(("shelf", " 4 "),))
CARD = Card(card_id="S1-52", source_id="S1")
DECISION = Decision(
    decision_id="D1", kind="cell", target="L1/miles", ruling="1", reason="seen", by="A. Reader", at="2024"
)


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """A new archive."""
    return new_archive(tmp_path / "archive")


def test_rows_come_back_as_they_went_in(archive: Archive) -> None:
    """Known and unknown cells are kept to the last space, in the order of the rows."""
    lines = [
        Line(line_id=f"L{n}", source_id="S1", side="engine", says="fitment", miles=" 6½ ") for n in (3, 1, 2)
    ]
    with archive.writing() as writer:
        writer.add("sources", [SOURCE])
        writer.add("lines", lines)

    assert archive.evidence().sources == (SOURCE,)
    assert archive.evidence().lines == tuple(lines)


def test_a_block_that_raises_leaves_nothing(archive: Archive) -> None:
    """What a transaction wrote before it failed is not there after it."""

    def fails() -> None:
        with archive.writing() as writer:
            writer.add("sources", [SOURCE])
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fails()

    assert archive.evidence().sources == ()


def test_what_was_derived_is_made_anew_after_a_change_only(archive: Archive) -> None:
    """Evidence is one object until something is written, by this or by another opener; then it is another."""
    before = archive.evidence()
    assert archive.evidence() is before

    other = open_archive(archive.folder)
    with other.writing() as writer:
        writer.add("engines", [Engine(engine_id="E1")])

    assert archive.evidence().engines == (Engine(engine_id="E1"),)


def test_the_progress_of_a_job_makes_nothing_stale(archive: Archive) -> None:
    """Writing quietly leaves the revision as it is."""
    before = archive.revision()
    with archive.writing(quietly=True) as writer:
        writer.add_job("read", "", "2024", [])

    assert archive.revision() == before


@pytest.mark.parametrize("act", ["UPDATE decisions SET ruling = 'other'", "DELETE FROM decisions"])
def test_the_log_only_grows(archive: Archive, act: str) -> None:
    """The database itself refuses to alter or delete a decision, whoever asks."""
    with archive.writing() as writer:
        writer.append(DECISION)

    with pytest.raises(IntegrityError, match="never changed"), archive.engine.begin() as connection:
        connection.execute(text(act))
    assert archive.evidence().decisions == (DECISION,)


def test_a_savepoint_takes_back_its_own_part_only(archive: Archive) -> None:
    """A nested transaction that fails leaves what was written before it."""
    with archive.writing() as writer:
        writer.add("engines", [Engine(engine_id="E1")])
        with pytest.raises(IntegrityError), writer.connection.begin_nested():
            writer.add("engines", [Engine(engine_id="E2"), Engine(engine_id="E2")])

    assert [engine.engine_id for engine in archive.evidence().engines] == ["E1"]


def test_the_database_is_set_for_safety(archive: Archive) -> None:
    """Rollback journal, full sync and foreign keys hold on every connection."""
    with archive.engine.begin() as connection:
        settings = [
            connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        ]

    assert settings == ["delete", 2, 1]


def test_a_page_can_only_show_a_card_that_is_there(archive: Archive) -> None:
    """Foreign keys are enforced: a page of no known card is refused."""
    with archive.writing() as writer:
        writer.add_scan(Scan("ab" * 32, "a.png", "image/png", 1, 9))
        with pytest.raises(IntegrityError):
            writer.show("nobody", "ab" * 32, 1)


def test_the_latest_reading_of_a_page_stands(archive: Archive) -> None:
    """Earlier readings of a page stay in the database, and the last one is given."""
    scan = Scan("ab" * 32, "a.png", "image/png", 1, 9)
    with archive.writing() as writer:
        writer.add("sources", [SOURCE])
        writer.add("cards", [CARD])
        writer.add_scan(scan)
        writer.show("S1-52", scan.sha256, 1)
        for recogniser in ("first", "second"):
            writer.keep_reading(KeptReading("S1-52", scan.sha256, 1, recogniser, "2024", {"lines": []}))

    assert [reading.recogniser for reading in archive.card_readings()] == ["second"]
    assert archive.card_scans() == (CardScan("S1-52", scan.sha256, 1, 1),)
    assert archive.scan(scan.sha256) == scan


def test_what_is_not_there_is_said(archive: Archive) -> None:
    """A scan or a job of an unknown name is not found, which is no breakdown."""
    with pytest.raises(NotFound):
        archive.scan("00")
    with pytest.raises(NotFound):
        archive.job(7)


def test_a_scan_is_kept_once_and_whole(tmp_path: Path) -> None:
    """The same bytes are kept in one file under their digest, and no half-written file stays behind."""
    store = ScanStore(tmp_path)
    digest, new = store.put(b"card")
    assert new
    assert store.put(b"card") == (digest, False)
    assert store.get(digest) == b"card"
    assert [path.name for path in tmp_path.rglob("*") if path.is_file()] == [digest[2:]]


def test_a_write_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the disk gives up at the last moment, what was there before is there still, and nothing else."""
    place = tmp_path / "out.zip"
    place.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("numbertaker.archive.scans.os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(place, b"new")

    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("out.zip", b"old")]


def test_the_newest_migration_is_known_by_name() -> None:
    """The revision that is compared at opening is the last one of the folder."""
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    assert ScriptDirectory.from_config(config).get_heads() == [HEAD]


def test_migrations_make_the_tables_that_the_program_has(archive: Archive) -> None:
    """Nothing is left to migrate: tables, columns, keys and their names agree."""
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with archive.engine.begin() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, METADATA) == []


def test_an_old_archive_keeps_every_row(tmp_path: Path) -> None:
    """From the first tables to the newest, each table keeps its rows, and a whole copy lies beside."""
    file = tmp_path / DATABASE
    engine = sqlite_engine(file)
    bring_up_to_date(engine, file, to="0001")
    before = Archive(tmp_path, engine, ScanStore(tmp_path / "scans"))
    with before.writing() as writer:
        writer.add("sources", [SOURCE])
        writer.add("cards", [CARD])
        writer.add("lines", [Line(line_id="L1", source_id="S1", side="engine", says="fitment")])
        writer.append(DECISION)
        writer.note_columns("sources", ["source_id", "shelf"])
        writer.add_scan(Scan("ab" * 32, "a.png", "image/png", 1, 9))
        writer.show("S1-52", "ab" * 32, 1)
        writer.keep_reading(KeptReading("S1-52", "ab" * 32, 1, "some", "2024", {}))
    kept = before.evidence()
    counts = _counts(before)
    before.close()

    after = open_archive(tmp_path)

    assert {table: n for table, n in _counts(after).items() if table in counts} == counts
    assert sum(counts.values()) >= 8
    assert after.evidence() == kept
    with sqlite3.connect(tmp_path / f"numbertaker-before-{HEAD}.db") as copy:
        assert copy.execute("SELECT version_num FROM alembic_version").fetchall() == [("0001",)]
        assert copy.execute("SELECT count(*) FROM lines").fetchall() == [(1,)]
    copy.close()


def _counts(archive: Archive) -> dict[str, int]:
    """How many rows each table has that is there."""
    with archive.engine.begin() as connection:
        there = {name for (name,) in connection.execute(text("SELECT name FROM sqlite_master"))}
        tables = [table for table in METADATA.sorted_tables if table.name in there]
        return {t.name: connection.scalar(select(func.count()).select_from(t)) or 0 for t in tables}


def test_an_archive_of_a_newer_program_is_left_alone(tmp_path: Path) -> None:
    """Tables that this program does not know yet are not touched, and the message says what to do."""
    open_archive(tmp_path).close()
    with sqlite3.connect(tmp_path / DATABASE) as database:
        database.execute("UPDATE alembic_version SET version_num = '9999'")
    database.close()

    with pytest.raises(BadInput, match="newer version"):
        open_archive(tmp_path)


def test_what_is_no_archive_is_refused(tmp_path: Path) -> None:
    """A file in place of the folder, or a database that is none, is one clear message."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(BadInput, match="expected the folder of an archive"):
        open_archive(tmp_path / "file")

    (tmp_path / DATABASE).write_bytes(b"no database at all, but long enough to be looked at" * 20)
    with pytest.raises(BadInput, match="can't be opened as an archive"):
        open_archive(tmp_path)


def test_a_migrated_archive_says_where_it_stands(archive: Archive) -> None:
    """The revision stands in the database itself."""
    with archive.engine.begin() as connection:
        assert revision_of(connection) == HEAD


def test_a_second_writer_is_told_to_wait(archive: Archive) -> None:
    """Where another program writes for too long, that is said, and nothing is written."""
    hasty = Archive(archive.folder, sqlite_engine(archive.folder / DATABASE, 0.1), archive.scan_files)

    def write() -> None:
        with hasty.writing() as writer:
            writer.add("engines", [Engine(engine_id="E1")])

    with archive.writing(), pytest.raises(Conflict, match="Another program is writing"):
        write()
    assert archive.evidence().engines == ()
    write()
    assert len(archive.evidence().engines) == 1
    hasty.close()
