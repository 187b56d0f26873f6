"""Bags that are damaged, incomplete or hostile: each file is named, and nothing is made of any of them."""

from __future__ import annotations

import hashlib
import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.unit.test_bags import archive_of, files_in

from numbertaker.evidence.errors import BadInput, NumbertakerError
from numbertaker.usecases.keep.bag import write_bag
from numbertaker.usecases.keep.restore import restore


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A bag that is whole."""
    folder = tmp_path_factory.mktemp("bags")
    return write_bag(archive_of(folder), folder / "bag").place


def refused(bag: Path, tmp_path: Path, match: str) -> None:
    """The bag is refused for that reason, and nothing is left where the archive would be."""
    before = files_in(tmp_path)
    with pytest.raises(NumbertakerError, match=match):
        restore(bag, tmp_path / "again")
    assert not (tmp_path / "again").exists()
    assert files_in(tmp_path) == before


def spoilt(good: Path, tmp_path: Path, path: str, change: Callable[[bytes], bytes]) -> Path:
    """The bag with one file changed."""
    bag = tmp_path / "bag"
    shutil.copytree(good, bag)
    (bag / path).write_bytes(change((bag / path).read_bytes()))
    return bag


def resealed(bag: Path) -> Path:
    """The bag with checksums that fit what is in it now: as somebody would hand it over who means harm."""
    payload = sorted(p for p in (bag / "data").rglob("*") if p.is_file())
    digests = {p.relative_to(bag).as_posix(): hashlib.sha512(p.read_bytes()).hexdigest() for p in payload}
    lines = [f"{digest}  {path}\n" for path, digest in digests.items()]
    (bag / "manifest-sha512.txt").write_text("".join(lines), encoding="utf-8")
    (bag / "tagmanifest-sha512.txt").unlink(missing_ok=True)
    (bag / "bag-info.txt").unlink(missing_ok=True)
    return bag


def test_each_changed_file_is_named(good: Path, tmp_path: Path) -> None:
    """By its path, with the beginning of the checksum that was expected and of the one found."""
    bag = spoilt(good, tmp_path, "data/scans.csv", lambda data: data.replace(b"card", b"cart"))
    page = bag / "data/README.md"
    page.write_bytes(page.read_bytes().swapcase())
    with pytest.raises(BadInput) as raised:
        restore(bag, tmp_path / "again")
    assert [problem.file for problem in raised.value.problems] == ["data/README.md", "data/scans.csv"]


def test_what_is_missing_and_what_is_not_listed_is_named(good: Path, tmp_path: Path) -> None:
    """A file too few and a file too many, both told at once."""
    bag = tmp_path / "bag"
    shutil.copytree(good, bag)
    (bag / "data/pages.csv").unlink()
    (bag / "data/smuggled.txt").write_text("x", encoding="utf-8")
    refused(bag, tmp_path, r"(?s)data/pages\.csv.*data/smuggled\.txt")


def test_a_size_that_differs_is_told(good: Path, tmp_path: Path) -> None:
    """Payload-Oxum is held against what is there, before any checksum is reckoned."""
    refused(spoilt(good, tmp_path, "data/README.md", lambda data: data + b"!"), tmp_path, "Payload-Oxum")


@pytest.mark.parametrize(
    ("path", "content", "match"),
    [
        ("bagit.txt", b"BagIt-Version: 2.0\nTag-File-Character-Encoding: UTF-8\n", "BagIt version 1.0"),
        ("bagit.txt", b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-16\n", "in UTF-8"),
        ("manifest-sha512.txt", b"\xff\xfe", "text in UTF-8"),
        ("manifest-sha512.txt", b"ab  ../../etc/passwd\n", "a path below data/"),
        ("manifest-sha512.txt", b"ab  data/../../x\n", "a path below data/"),
        ("manifest-sha512.txt", b"ab  /etc/passwd\n", "a path below data/"),
        ("manifest-sha512.txt", b"nothing\n", "a checksum and a path"),
        ("fetch.txt", b"http://example.org/x 3 data/x\n", "Nothing is fetched"),
    ],
)
def test_hostile_tag_files_are_refused(
    good: Path, tmp_path: Path, path: str, content: bytes, match: str
) -> None:
    """Another version or encoding, paths that lead outside, files to be fetched from elsewhere."""
    bag = tmp_path / "bag"
    shutil.copytree(good, bag)
    (bag / path).write_bytes(content)
    refused(bag, tmp_path, match)


def test_a_bag_with_another_checksum_alone_can_not_be_checked(good: Path, tmp_path: Path) -> None:
    """MD5 alone proves nothing any more, and is not taken."""
    bag = tmp_path / "bag"
    shutil.copytree(good, bag)
    (bag / "tagmanifest-sha512.txt").unlink()
    (bag / "manifest-sha512.txt").rename(bag / "manifest-md5.txt")
    refused(bag, tmp_path, "manifest-sha512.txt or manifest-sha256.txt")


def test_a_link_in_a_bag_is_refused(good: Path, tmp_path: Path) -> None:
    """It may lead to any file of the machine."""
    bag = tmp_path / "bag"
    shutil.copytree(good, bag)
    (bag / "data/link.txt").symlink_to("/etc/hostname")
    before = sorted(tmp_path.iterdir())
    with pytest.raises(BadInput, match="is a link"):
        restore(bag, tmp_path / "again")
    assert sorted(tmp_path.iterdir()) == before


@pytest.mark.parametrize(
    ("place", "found", "match"),
    [
        ("scans.csv file", "../../bag-info.txt", "a file of the bag"),
        ("scans.csv file", "/etc/passwd", "a file of the bag"),
        ("scans.csv sha256", "../../../../tmp/evil", "64 hexadecimal digits"),
        ("scans.csv sha256", "0" * 64, "found 'other bytes'"),
        ("scans.csv pages", "many", "a whole number"),
        ("pages.csv card_id", "nobody", "don't fit together"),
        ("pages.csv sha256", "0" * 64, "don't fit together"),
        ("evidence/lines.csv source_id", "S99", "S99"),
    ],
)
def test_a_bag_that_is_sealed_and_lies_is_refused(
    good: Path, tmp_path: Path, place: str, found: str, match: str
) -> None:
    """Checksums prove that nothing changed since, not that it was ever right."""
    bag = tmp_path / "bag"
    shutil.copytree(good, bag)
    table, _, column = place.partition(" ")
    head, row, *rest = (bag / "data" / table).read_bytes().decode().split("\r\n")
    cells = row.split(",")
    cells[head.split(",").index(column)] = found
    (bag / "data" / table).write_bytes("\r\n".join([head, ",".join(cells), *rest]).encode())
    refused(resealed(bag), tmp_path, match)


@pytest.mark.parametrize(
    "line",
    ["no json", "[1]", json.dumps({"card_id": "S1-7"}), json.dumps({"card_id": 1, "page": "x", "body": {}})],
)
def test_readings_that_are_none_are_refused(good: Path, tmp_path: Path, line: str) -> None:
    """The line is named by its number."""
    bag = tmp_path / "bag"
    shutil.copytree(good, bag)
    (bag / "data/readings/readings.jsonl").write_text(f"{line}\n", encoding="utf-8")
    refused(resealed(bag), tmp_path, "readings.jsonl, row 1")


def test_a_bag_of_something_else_says_so(tmp_path: Path) -> None:
    """It is whole, but no archive of this program; a folder that is no bag at all says that."""
    bag = tmp_path / "bag"
    (bag / "data").mkdir(parents=True)
    (bag / "data/letter.txt").write_text("x", encoding="utf-8")
    refused(bag, tmp_path, "is no bag")
    declaration = "BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n"
    (bag / "bagit.txt").write_text(declaration, encoding="utf-8")
    refused(resealed(bag), tmp_path, "holds no archive of this program")


def test_nothing_is_restored_over_anything(good: Path, tmp_path: Path) -> None:
    """An archive, or any other file, that is there already stays as it is."""
    (tmp_path / "again").mkdir()
    (tmp_path / "again/mine.txt").write_text("x", encoding="utf-8")
    with pytest.raises(BadInput, match="expected no folder or an empty one"):
        restore(good, tmp_path / "again")
    assert files_in(tmp_path) == {"again/mine.txt": b"x"}


def zipped(place: Path, files: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(place, "w") as out:
        for name, data in files.items():
            out.writestr(name, data)
    return place


@pytest.mark.parametrize("name", ["../bagit.txt", "/bagit.txt", "bag/../../x", "C:/x"])
def test_a_zip_that_leads_outside_is_refused(good: Path, tmp_path: Path, name: str) -> None:
    """No member of it is written or read."""
    files = {f"bag/{path}": data for path, data in files_in(good).items()}
    refused(zipped(tmp_path / "bag.zip", files | {name: b"x"}), tmp_path, "leads outside")


def test_a_zip_that_breaks_off_is_refused(good: Path, tmp_path: Path) -> None:
    """Half of a zip is no zip."""
    whole = zipped(tmp_path / "bag.zip", {f"bag/{path}": data for path, data in files_in(good).items()})
    whole.write_bytes(whole.read_bytes()[: whole.stat().st_size // 2])
    refused(whole, tmp_path, "breaks off")


def test_a_zip_that_would_fill_the_disk_is_refused(
    good: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What its files have together is held against the room that there is, before one is unpacked."""
    place = zipped(tmp_path / "bag.zip", {f"bag/{path}": data for path, data in files_in(good).items()})
    usage = shutil.disk_usage(tmp_path)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage._replace(free=1_000))
    refused(place, tmp_path, "there is room for 1,000")


def test_a_database_that_holds_rows_is_left_alone(good: Path, tmp_path: Path) -> None:
    """Rows may lie elsewhere than in the folder; they are put there only where there are none."""
    address = f"sqlite:///{tmp_path / 'rows.db'}"
    assert restore(good, tmp_path / "first", database=address).scans == 1
    before = files_in(tmp_path)
    with pytest.raises(BadInput, match="holds an archive already"):
        restore(good, tmp_path / "second", database=address)
    assert files_in(tmp_path) == before


def test_files_beside_the_rows_are_only_those_that_are_known(good: Path, tmp_path: Path) -> None:
    """A sealed bag can't put a file of its own choosing into the archive's folder."""
    bag = tmp_path / "bag"
    shutil.copytree(good, bag)
    for name in ("numbertaker.db", "forms/Run.json", "forms/a.json.exe"):
        (bag / "data/archive/files" / name).write_text("{}", encoding="utf-8")
    restore(resealed(bag), tmp_path / "again")
    assert [p.name for p in (tmp_path / "again/forms").iterdir()] == ["boiler-card.json"]
    assert (tmp_path / "again/numbertaker.db").stat().st_size > 1_000
