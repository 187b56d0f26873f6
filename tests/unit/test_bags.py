"""Bags: what goes in, what stands in the way, and the archive that comes out again."""

from __future__ import annotations

import json
import shutil
import zipfile
from pathlib import Path
from typing import Any

import bagit
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Column, MetaData, Table, Text
from tests.archives import new_archive, package, picture
from tests.kept import body

from numbertaker.archive import Archive, KeptReading, open_archive, other
from numbertaker.evidence.errors import BadInput, Conflict, Unreadable
from numbertaker.usecases.decide import decide
from numbertaker.usecases.keep import bag as bagging
from numbertaker.usecases.keep.bag import write_bag
from numbertaker.usecases.keep.lacking import lacking
from numbertaker.usecases.keep.restore import restore
from numbertaker.usecases.learn import learn
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.reconcile import current
from numbertaker.usecases.take_in import take_in

SOURCES = "source_id,kind,title,rights,shelf\nS1,component-card,Boiler cards,CC0-1.0,top\n"
TABLES = {
    "sources": SOURCES,
    "cards": "card_id,source_id,scans\nS1-7,S1,card.png\nS1-8,S1,lost.png\n",
    "engines": "engine_id,class\nE1,K\nE2,K\n",
    "components": "component_id,kind\nB7,boiler\n",
    "designations": "subject_id,scheme,value\nE1,number,31\nE2,number,40\nB7,number,7\n",
    "lines": (
        "line_id,source_id,card_id,side,heading,says,engine,fitted,removed,miles,hand\n"
        'a1,S1,S1-7,component,7,fitment,31,5.1905,6.1909,"61,204",clerk\n'
        'a2,S1,S1-7,component,7,fitment,"""",8.1909,11.1914,"90,000",\n'
    ),
    "readings": 'line_id,field,text\na1,miles,"61,264"\n',
}


def archive_of(tmp_path: Path, **tables: str) -> Archive:
    """A small archive: rows, a scan with two readings of it, decisions, and what was learnt."""
    made = new_archive(tmp_path / "archive")
    import_package(made, package(tmp_path / "rows", **TABLES | tables), "A. Reader")
    take_in(made, [picture(tmp_path / "card.png", size=(400, 300))], by="A. Reader")
    (page,) = made.card_scans()
    with made.writing() as writer:
        for recogniser in ("reader-1", "reader-2"):
            reading = KeptReading("S1-7", page.sha256, 1, recogniser, "2026-03-01T10:00:00Z", body())
            writer.keep_reading(reading)
    for text in ("62", "61,304"):
        decide(made, "cell", "a1/miles", text, "As it stands.", "A. Reader")
    learn(made, "A. Reader")
    (made.folder / "forms").mkdir()
    (made.folder / "forms/boiler-card.json").write_text('{"name": "boiler-card"}', encoding="utf-8")
    (made.folder / "headings.json").write_text('{"place": ["smithy"]}', encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the small archive, with its history made, to be copied."""
    folder = tmp_path_factory.mktemp("once")
    made = archive_of(folder)
    current(made)
    made.close()
    return folder


@pytest.fixture
def archive(once: Path, tmp_path: Path) -> Archive:
    """The small archive."""
    shutil.copytree(once, tmp_path, dirs_exist_ok=True)
    return open_archive(tmp_path / "archive")


def files_in(folder: Path) -> dict[str, bytes]:
    """Every file of a folder with its content."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_a_bag_is_valid_by_the_library(archive: Archive, tmp_path: Path) -> None:
    """The library `bagit` finds it complete, every checksum right, and its information as it was given."""
    made = write_bag(archive, tmp_path / "bag", day="2026-03-04", info=[("Contact-Name", "A. Reader")])
    found = bagit.Bag(str(tmp_path / "bag"))
    found.validate()
    assert found.version_info == (1, 0)
    assert found.info["Bagging-Date"] == "2026-03-04"
    assert found.info["Contact-Name"] == "A. Reader"
    assert found.info["Payload-Oxum"] == f"{made.octets}.{made.files}"
    assert any("lost.png" in notice for notice in made.notices)


def test_a_bag_holds_the_scans_byte_for_byte(archive: Archive, tmp_path: Path) -> None:
    """The file under its own name is the file that was taken in."""
    write_bag(archive, tmp_path / "bag")
    assert (tmp_path / "bag/data/scans/card.png").read_bytes() == (tmp_path / "card.png").read_bytes()


def test_an_archive_comes_back_and_gives_the_same_bag(archive: Archive, tmp_path: Path) -> None:
    """Rows in order, unknown columns, decisions, all readings, what was learnt: every byte is the same."""
    write_bag(archive, tmp_path / "bag")
    came = restore(tmp_path / "bag", tmp_path / "again")
    assert (came.scans, came.readings, came.notices) == (1, 2, ())
    again = open_archive(tmp_path / "again")
    write_bag(again, tmp_path / "second")
    assert files_in(tmp_path / "second") == files_in(tmp_path / "bag")
    assert again.lessons() == archive.lessons()
    assert again.imports() == archive.imports()
    assert list(again.every_reading()) == list(archive.every_reading())
    taught = ("forms/boiler-card.json", "headings.json")
    assert [(again.folder / n).read_bytes() for n in taught] == [
        (archive.folder / n).read_bytes() for n in taught
    ]


def test_a_zipped_bag_is_one_folder_and_comes_back(archive: Archive, tmp_path: Path) -> None:
    """RFC 8493, section 4: a serialised bag unpacks to one folder; the same state gives the same zip."""
    for name in ("one/kept.zip", "two/kept.zip"):
        write_bag(archive, tmp_path / name)
    assert (tmp_path / "one/kept.zip").read_bytes() == (tmp_path / "two/kept.zip").read_bytes()
    with zipfile.ZipFile(tmp_path / "one/kept.zip") as opened:
        assert {name.partition("/")[0] for name in opened.namelist()} == {"kept"}
        opened.extractall(tmp_path / "unpacked")
    bagit.Bag(str(tmp_path / "unpacked/kept")).validate()
    restore(tmp_path / "one/kept.zip", tmp_path / "again")
    again = open_archive(tmp_path / "again")
    write_bag(again, tmp_path / "bag")
    assert files_in(tmp_path / "bag") == files_in(tmp_path / "unpacked/kept")


def test_an_empty_archive_can_be_kept_too(tmp_path: Path) -> None:
    """A bag of nothing is valid and comes back as nothing."""
    write_bag(new_archive(tmp_path / "archive"), tmp_path / "bag")
    bagit.Bag(str(tmp_path / "bag")).validate()
    assert restore(tmp_path / "bag", tmp_path / "again").scans == 0


def test_the_date_is_that_of_the_state(archive: Archive, tmp_path: Path) -> None:
    """No clock is asked: without a date, the last day on which anything was done; no other word will do."""
    write_bag(archive, tmp_path / "bag")
    assert f"Bagging-Date: {bagging.last_day(archive)}\n" in (tmp_path / "bag/bag-info.txt").read_text()
    with pytest.raises(BadInput, match="YYYY-MM-DD"):
        write_bag(archive, tmp_path / "other", day="yesterday")


def test_missing_rights_are_named_before_anything_is_written(tmp_path: Path) -> None:
    """The source is named; nothing is there afterwards; if they may be missing, the bag itself says so."""
    archive = archive_of(tmp_path, sources="source_id,kind,title\nS1,component-card,Boiler cards\n")
    with pytest.raises(BadInput, match="rights of source S1"):
        write_bag(archive, tmp_path / "bag")
    assert not (tmp_path / "bag").exists()
    made = write_bag(archive, tmp_path / "bag", rights_not_stated=True)
    assert "Rights-Not-Stated: S1\n" in (tmp_path / "bag/bag-info.txt").read_text()
    assert "states no rights" in made.notices[0]


def test_a_scan_that_is_gone_is_named_before_anything_is_written(archive: Archive, tmp_path: Path) -> None:
    """By its own name, with what was expected; one that was never taken in is only told of."""
    (scan,) = archive.scans()
    archive.scan_path(scan.sha256).unlink()
    with pytest.raises(BadInput, match=r"card\.png: expected the [\d,]+ bytes"):
        write_bag(archive, tmp_path / "bag")
    assert not (tmp_path / "bag").exists()
    assert lacking(archive).not_taken_in == ("card S1-8: lost.png",)


def test_a_scan_whose_bytes_have_changed_leaves_no_bag(archive: Archive, tmp_path: Path) -> None:
    """The same size with another content is found while it is copied, and nothing is left of the bag."""
    (scan,) = archive.scans()
    place = archive.scan_path(scan.sha256)
    archive.memo("shown-pages", lambda: ())
    data = place.read_bytes()
    place.write_bytes(data[:-1] + bytes([data[-1] ^ 1]))
    before = set(tmp_path.iterdir())
    for name in ("bag", "bag.zip"):
        with pytest.raises(Unreadable, match="bytes have changed"):
            write_bag(archive, tmp_path / name)
    assert set(tmp_path.iterdir()) == before


def test_a_full_disk_leaves_no_half_bag(
    archive: Archive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wherever writing fails, what was there before stands, and no other file does."""
    write_bag(archive, tmp_path / "bag")
    write_bag(archive, tmp_path / "bag.zip")
    before = files_in(tmp_path)

    def full(*_: object) -> Any:
        yield "data/half.txt", [b"half"]
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(bagging, "payload", full)
    for name in ("bag", "bag.zip"):
        with pytest.raises(OSError, match="No space"):
            write_bag(archive, tmp_path / name)
    assert files_in(tmp_path) == before


def test_a_bag_is_of_one_state(archive: Archive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If somebody writes while the bag is made, it is refused rather than made of two states."""
    real = bagging.payload

    def meanwhile(*arguments: Any) -> Any:
        yield from real(*arguments)
        decide(archive, "cell", "a2/miles", "90,001", "Clear on the scan.", "B. Reader")

    monkeypatch.setattr(bagging, "payload", meanwhile)
    with pytest.raises(Conflict, match="meanwhile"):
        write_bag(archive, tmp_path / "bag")
    assert not (tmp_path / "bag").exists()


def test_other_files_are_never_replaced(archive: Archive, tmp_path: Path) -> None:
    """An earlier bag may be; a folder with anything else in it may not."""
    write_bag(archive, tmp_path / "bag")
    write_bag(archive, tmp_path / "bag")
    with pytest.raises(BadInput, match="other files in it"):
        write_bag(archive, tmp_path / "rows")
    (tmp_path / "folder.zip").mkdir()
    with pytest.raises(BadInput, match="a folder"):
        write_bag(archive, tmp_path / "folder.zip")


@pytest.mark.parametrize("label", ["Payload-Oxum", "a: b", "x\ny", ""])
def test_a_label_is_a_label_and_none_of_ours(archive: Archive, tmp_path: Path, label: str) -> None:
    """What a person adds to bag-info.txt can't replace what the program says."""
    with pytest.raises(BadInput, match="label"):
        write_bag(archive, tmp_path / "bag", info=[(label, "x")])


def test_a_table_without_a_format_goes_along_as_it_is(
    archive: Archive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every table is told in a format, left out for a reason, or carried row by row: none is forgotten."""
    names = {table.name for table in other.tables()}
    assert names == {t.name for t in other.METADATA.sorted_tables} - other.TOLD - other.LEFT_OUT
    write_bag(archive, tmp_path / "bag")
    assert {p.name for p in (tmp_path / "bag/data/archive").glob("*.jsonl")} == {"learnt.jsonl"}
    strange = Table("unheard-of", MetaData(), Column("a", Text, primary_key=True))
    monkeypatch.setattr(other, "tables", lambda: (strange,))
    came = restore(tmp_path / "bag", tmp_path / "again")
    assert came.notices == ("The bag holds a table 'learnt' that this version of the program doesn't know.",)


CELLS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=30)


@settings(max_examples=8, deadline=None)
@given(st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=4))
def test_hostile_rows_come_back_in_the_same_bag(
    tmp_path_factory: pytest.TempPathFactory, cells: list[tuple[str, str]]
) -> None:
    """Whatever is written in the cells of lines and sources, bag and archive are one to the byte."""
    folder = tmp_path_factory.mktemp("hostile")
    made = new_archive(folder / "archive")
    import_package(made, package(folder / "rows", **TABLES))
    for number, (engine, remark) in enumerate(cells):
        decide(made, "cell", f"a{number % 2 + 1}/engine", engine, f"Reason: {remark}", "A. Reader")
        new = {"source_id": f"N{number}", "kind": "register", "title": f"T{remark}", "note": engine}
        decide(made, "authority", f"sources:N{number}", json.dumps(new), "Found.", "A. Reader")
    write_bag(made, folder / "bag")
    restore(folder / "bag", folder / "again")
    write_bag(open_archive(folder / "again"), folder / "second")
    assert files_in(folder / "second") == files_in(folder / "bag")
