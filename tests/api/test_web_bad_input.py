"""Bad input over HTTP: a message that names file, row and column, and nothing half taken in."""

from __future__ import annotations

import csv
import io
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

CORPUS = Path(__file__).parents[2] / "corpus_demo"
SCAN = CORPUS / "scans" / "boiler-60.jpg"
TABLES = {file.name: file.read_bytes() for file in sorted((CORPUS / "package").glob("*.csv"))}

Change = Callable[[dict[str, bytes]], None]


def state(client: Any) -> tuple[Any, ...]:
    """What the archive holds, as far as anything that comes in could change it."""
    counts = client.get("/api/overview").json()["counts"]
    return counts, client.get("/api/cards").json(), client.get("/api/sources").json()


def take_in(client: Any, *files: tuple[str, bytes], **fields: str) -> Any:
    told = {"by": "A. Reader", "source_id": "S1"} | fields
    return client.post("/api/take-in", data=told, files=[("files", file) for file in files])


def post_package(client: Any, files: dict[str, bytes]) -> Any:
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in files.items():
            package.writestr(name, data)
    return client.post(
        "/api/packages", data={"by": "A. Reader"}, files={"file": ("new.zip", whole.getvalue())}
    )


def bomb() -> bytes:
    """A PNG of 300 kB whose head promises 40,000 × 40,000 pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 40_000, 40_000, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 10_000_000))


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("empty.jpg", b"", "it is empty"),
        ("torn.jpg", SCAN.read_bytes()[:20_000], "breaks off or is damaged"),
        ("bomb.png", bomb(), "it would unpack to far more pixels than any scan has"),
        ("letter.jpg", b"Dear Sir,", "it is no JPEG, PNG, TIFF, HEIC or PDF"),
        ("torn.pdf", b"%PDF-1.7\n%%EOF", "the PDF is damaged"),
        ("drawing.svg", b"<svg xmlns='http://www.w3.org/2000'/>", "it is no JPEG, PNG, TIFF, HEIC or PDF"),
    ],
)
def test_a_scan_that_can_not_be_opened_is_refused_with_the_whole_batch(
    small: Any, name: str, data: bytes, said: str
) -> None:
    """The message names the file and says why; the good scan beside it is not taken in either."""
    before = state(small)
    answer = take_in(small, (SCAN.name, SCAN.read_bytes()), (name, data))
    assert answer.status_code == 422, answer.text
    body = answer.json()
    assert body["code"] == "unreadable"
    assert body["message"].startswith(f"{name} can't be read: ")
    assert said in body["message"]
    assert body["details"][0]["file"] == name
    assert state(small) == before


def test_scans_of_a_source_that_is_not_there_are_refused(small: Any) -> None:
    """The source has to be known, or its kind and title told."""
    before = state(small)
    answer = take_in(small, (SCAN.name, SCAN.read_bytes()), source_id="S99")
    assert answer.status_code == 404
    assert "There is no source 'S99'." in answer.json()["message"]
    assert state(small) == before


def test_a_new_source_comes_in_with_its_scans(small: Any) -> None:
    """With a kind and a title, scans and their source are taken in together; each page becomes a card."""
    answer = take_in(
        small, (SCAN.name, SCAN.read_bytes()), source_id="S9", source_kind="ledger", source_title="A ledger"
    )
    assert answer.status_code == 201, answer.text
    assert answer.json()["cards"] == ["S9-1"]
    assert small.get("/api/sources/S9").json()["source"]["title"] == "A ledger"
    again = take_in(small, (SCAN.name, SCAN.read_bytes()), source_id="S9")
    assert again.json()["known_already"] == [SCAN.name]
    assert again.json()["cards"] == ["S9-1"]


def test_a_new_source_of_no_known_kind_is_refused(small: Any) -> None:
    """The table and the column are named, and the scan does not come in."""
    before = state(small)
    answer = take_in(
        small, (SCAN.name, SCAN.read_bytes()), source_id="S9", source_kind="gossip", source_title="Heard"
    )
    assert answer.status_code == 422
    assert (answer.json()["details"][0]["table"], answer.json()["details"][0]["column"]) == (
        "sources",
        "kind",
    )
    assert state(small) == before


def test_a_name_that_leads_elsewhere_is_only_a_name(small: Any) -> None:
    """Of a name with folders in it, the last part is kept."""
    answer = take_in(small, ("../../secret/boiler-60.jpg", SCAN.read_bytes()))
    assert answer.status_code == 201, answer.text
    (sha256,) = answer.json()["scans"]
    assert small.get(f"/api/scans/{sha256}").headers["content-disposition"].endswith("''boiler-60.jpg")


def rows_of(files: dict[str, bytes], name: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(files[name].decode())))


def write(files: dict[str, bytes], name: str, rows: list[list[str]]) -> None:
    text = io.StringIO()
    csv.writer(text).writerows(rows)
    files[name] = text.getvalue().encode()


def without_column(files: dict[str, bytes]) -> None:
    rows = rows_of(files, "lines.csv")
    at = rows[0].index("says")
    write(files, "lines.csv", [row[:at] + row[at + 1 :] for row in rows])


def with_bad_date(files: dict[str, bytes]) -> None:
    rows = rows_of(files, "engines.csv")
    rows[6][rows[0].index("built")] = "1905-13"
    write(files, "engines.csv", rows)


def with_repeated_id(files: dict[str, bytes]) -> None:
    rows = rows_of(files, "components.csv")
    write(files, "components.csv", [*rows[:5], rows[3], *rows[5:]])


def with_stranger(files: dict[str, bytes]) -> None:
    rows = rows_of(files, "lines.csv")
    rows[9][rows[0].index("source_id")] = "S77"
    write(files, "lines.csv", rows)


@pytest.mark.parametrize(
    ("change", "table", "row", "column", "found"),
    [
        (with_bad_date, "engines", 7, "built", "1905-13"),
        (with_repeated_id, "components", 6, "component_id", "B45"),
        (with_stranger, "lines", 10, "source_id", "S77"),
    ],
)
def test_a_faulty_package_is_refused_by_file_row_and_column(  # noqa: PLR0917 - one for each column of the table
    small: Any, change: Change, table: str, row: int, column: str, found: str
) -> None:
    """The place is in the details for programs and in the message for people; nothing comes in."""
    before = state(small)
    files = dict(TABLES)
    change(files)
    answer = post_package(small, files)
    assert answer.status_code == 422, answer.text
    detail = answer.json()["details"][0]
    assert detail["file"] == f"{table}.csv"
    assert (detail["row"], detail["column"]) == (row, column)
    assert found in detail["found"]
    assert f"{table}.csv" in answer.json()["message"]
    assert column in answer.json()["message"]
    assert state(small) == before


def test_a_package_without_a_column_that_is_wanted_is_refused(small: Any) -> None:
    """The file and its header are named, with the column that is missing and those that are there."""
    before = state(small)
    files = dict(TABLES)
    without_column(files)
    answer = post_package(small, files)
    assert answer.status_code == 422
    detail = answer.json()["details"][0]
    assert (detail["file"], detail["row"], detail["expected"]) == ("lines.csv", 1, "a column says")
    assert "line_id" in detail["found"]
    assert state(small) == before


@pytest.mark.parametrize(
    "name", ["../sources.csv", "/etc/sources.csv", "a/../../sources.csv", "..\\sources.csv"]
)
def test_a_package_that_leads_out_of_its_folder_is_refused(small: Any, name: str) -> None:
    """A path with '..' in a zip is no table, whoever made it."""
    before = state(small)
    answer = post_package(small, dict(TABLES) | {name: TABLES["sources.csv"]})
    assert answer.status_code == 422, answer.text
    assert "sources.csv" in answer.json()["message"]
    assert state(small) == before


def test_what_is_no_package_is_refused(small: Any) -> None:
    """A file that is no zip is named as one that can't be read."""
    answer = small.post("/api/packages", data={"by": "A"}, files={"file": ("new.zip", b"no zip at all")})
    assert answer.status_code == 422
    assert "new.zip" in answer.json()["message"]


def test_the_same_id_with_other_content_is_a_conflict(small: Any) -> None:
    """The rows are listed, and nothing is taken in."""
    before = state(small)
    rows = rows_of(dict(TABLES), "engines.csv")
    files = {"sources.csv": TABLES["sources.csv"]}
    rows[3][rows[0].index("works")] = "Elsewhere"
    write(files, "engines.csv", rows)
    answer = post_package(small, files)
    assert answer.status_code == 409, answer.text
    assert "engines.csv" in answer.json()["details"][0]["found"]
    assert "E03" in answer.json()["message"]
    assert state(small) == before


def test_a_package_goes_out_and_comes_in_again_unchanged(small: Any) -> None:
    """What is exported over HTTP can be imported there, and changes nothing."""
    package = small.get("/api/package.zip")
    assert package.headers["content-type"] == "application/zip"
    answer = small.post("/api/packages", data={"by": "A"}, files={"file": ("out.zip", package.content)})
    assert answer.status_code == 201, answer.text
    assert sum(answer.json()["counts"].values()) == 0
    assert answer.json()["unchanged"]["lines"] == small.get("/api/overview").json()["counts"]["lines"]
