"""Archives to ask over HTTP: the whole demo once, and a small one of three cards for what changes it."""

from __future__ import annotations

import csv
import shutil
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from numbertaker.archive import Archive, open_archive
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.reconcile import current
from numbertaker.usecases.take_in import take_in
from numbertaker.web.app import create_app
from numbertaker.web.limits import LIMITS, Limits

with warnings.catch_warnings():
    # The client says on import that it will want another HTTP library one day; it works with this one.
    warnings.simplefilter("ignore")
    from fastapi.testclient import TestClient

CORPUS = Path(__file__).parents[2] / "corpus_demo"
SMALL_CARDS = ("S1-46", "S1-51", "S1-52", "S2-238")
"""Boilers 46, 51 and 52, and an engine that carried 46; of 51 there is a scan and no line."""
SMALL_SCANS = ("boiler-46.jpg", "boiler-51.jpg", "engine-238.jpg")
MANY_PAGES = ("list-p16-17.pdf", "tenders.tif", "boiler-49.png")

Serve = Callable[..., TestClient]


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An archive of the demo's package with some of its scans, reconciled."""
    folder = tmp_path_factory.mktemp("demo") / "archive"
    archive = open_archive(folder)
    import_package(archive, CORPUS / "package")
    take_in(archive, [CORPUS / "scans" / name for name in (*SMALL_SCANS, *MANY_PAGES)], by="A. Reader")
    current(archive)
    archive.close()
    return folder


@pytest.fixture(scope="session")
def demo(demo_folder: Path) -> Iterator[TestClient]:
    """The demo, to be read only."""
    with TestClient(create_app(demo_folder)) as client:
        yield client


@pytest.fixture(scope="session")
def small_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An archive of a few cards, which is reconciled in a moment."""
    place = tmp_path_factory.mktemp("small")
    archive = open_archive(place / "archive")
    import_package(archive, small_package(place / "package"))
    take_in(archive, [CORPUS / "scans" / name for name in SMALL_SCANS], by="A. Reader")
    current(archive)
    archive.close()
    return place / "archive"


def small_package(folder: Path) -> Path:
    """The demo's tables with the cards and lines of a few cards only."""
    shutil.copytree(CORPUS / "package", folder)
    for table in ("cards", "lines"):
        file = folder / f"{table}.csv"
        with file.open(encoding="utf-8", newline="") as source:
            head, *rows = list(csv.reader(source))
        at = head.index("card_id")
        with file.open("w", encoding="utf-8", newline="") as target:
            kept = [row for row in rows if row[at] in SMALL_CARDS and (table, row[at]) != ("lines", "S1-51")]
            csv.writer(target).writerows([head, *kept])
    return folder


@pytest.fixture
def archive(small_folder: Path, tmp_path: Path) -> Iterator[Archive]:
    """A copy of the small archive, to be changed."""
    shutil.copytree(small_folder, tmp_path / "archive")
    opened = open_archive(tmp_path / "archive")
    yield opened
    opened.close()


@pytest.fixture
def serve(archive: Archive) -> Iterator[Serve]:
    """Serve the small archive, with limits of one's own if need be."""
    clients: list[TestClient] = []

    def start(limits: Limits = LIMITS, **of_client: bool) -> TestClient:
        client = TestClient(create_app(archive, limits=limits), **of_client)
        clients.append(client.__enter__())
        return client

    yield start
    for client in clients:
        client.__exit__(None, None, None)


@pytest.fixture
def small(serve: Serve) -> TestClient:
    """The small archive, to be changed."""
    return serve()
