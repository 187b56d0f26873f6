"""Single exports: files and folders that are whole or not there, and replace nothing of anybody else."""

from __future__ import annotations

import json
import shutil
import zipfile
from pathlib import Path

import pytest
from tests.unit.test_bags import archive_of, files_in

from numbertaker.archive import Archive, open_archive
from numbertaker.evidence.errors import BadInput, NotFound, Unreadable
from numbertaker.usecases.keep import exports


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a small archive, to be copied."""
    folder = tmp_path_factory.mktemp("exports")
    archive_of(folder).close()
    return folder / "archive"


@pytest.fixture
def archive(once: Path, tmp_path: Path) -> Archive:
    """A small archive with a page that was read."""
    shutil.copytree(once, tmp_path / "archive")
    return open_archive(tmp_path / "archive")


def test_linked_data_is_written_whole_or_not_at_all(
    archive: Archive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fills up in the middle leaves what was there before, and nothing beside it."""
    out = exports.write_linked(archive, "provenance", tmp_path / "out/p.jsonld")
    assert json.loads(out.read_text(encoding="utf-8"))["@graph"]
    before = files_in(tmp_path / "out")

    def full(_: object) -> object:
        yield '{"@graph": ['
        raise OSError(28, "No space left on device")

    monkeypatch.setitem(exports.LINKED, "provenance", full)
    with pytest.raises(OSError, match="No space"):
        exports.write_linked(archive, "provenance", out)
    assert files_in(tmp_path / "out") == before
    with pytest.raises(BadInput, match="is a folder"):
        exports.write_linked(archive, "provenance", tmp_path / "out")


@pytest.mark.parametrize(("what", "names"), [
    ("alto", {"00001-S1-7.xml"}),
    ("hocr", {"00001-S1-7.html"}),
    ("iiif", {"collection.json", "00001-S1.json"}),
])  # fmt: skip
def test_pages_come_as_a_folder_or_a_zip(
    archive: Archive, tmp_path: Path, what: exports.Paged, names: set[str]
) -> None:
    """The same files in either; a folder with anything in it is refused, a zip is replaced."""
    assert exports.write_pages(archive, what, tmp_path / "pages") == len(names)
    for _ in range(2):
        exports.write_pages(archive, what, tmp_path / "pages.zip")
    with zipfile.ZipFile(tmp_path / "pages.zip") as opened:
        zipped = {name.partition("/")[2]: opened.read(name) for name in opened.namelist()}
    assert files_in(tmp_path / "pages") == zipped
    assert set(zipped) == names
    with pytest.raises(BadInput, match="found something there"):
        exports.write_pages(archive, what, tmp_path / "pages")


def test_tables_are_the_same_each_time(archive: Archive, tmp_path: Path) -> None:
    """CSV, Parquet and dictionary of one state are one to the byte."""
    for name in ("one", "two"):
        assert exports.write_analysis(archive, tmp_path / name) == 9
    assert files_in(tmp_path / "one") == files_in(tmp_path / "two")


def test_a_scan_that_is_gone_is_named(archive: Archive, tmp_path: Path) -> None:
    """By the name that it had, not by its digest; nothing is written."""
    (scan,) = archive.scans()
    archive.scan_path(scan.sha256).unlink()
    with pytest.raises(Unreadable, match=r"card\.png can't be read: its file is no longer"):
        exports.write_pages(archive, "iiif", tmp_path / "pages")
    assert not (tmp_path / "pages").exists()


def test_a_page_that_was_never_read_is_not_found(archive: Archive) -> None:
    """The latest reading is given; of another card there is none."""
    (scan,) = archive.scans()
    assert "reader-2" in exports.page_as_read(archive, "alto", scan.sha256, 1, "S1-7")
    with pytest.raises(NotFound, match="S1-8"):
        exports.page_as_read(archive, "hocr", scan.sha256, 1, "S1-8")
