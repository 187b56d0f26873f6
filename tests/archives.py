"""Archives for tests: new ones without waiting for the migrations each time, and small packages."""

from __future__ import annotations

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path

from PIL import Image

from numbertaker.archive import Archive, open_archive

SOURCES = "source_id,kind,title\nS1,component-card,Boiler cards\n"


@cache
def _empty() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="numbertaker-test-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    open_archive(folder / "archive").close()
    return folder / "archive"


def new_archive(folder: Path) -> Archive:
    """An empty archive in a folder that is not there yet."""
    shutil.copytree(_empty(), folder)
    return open_archive(folder)


def package(folder: Path, **tables: str | bytes) -> Path:
    """A package in a folder, with a sources table unless another one is given."""
    folder.mkdir(exist_ok=True)
    for table, content in {"sources": SOURCES, **tables}.items():
        data = content if isinstance(content, bytes) else content.encode()
        (folder / f"{table}.csv").write_bytes(data)
    return folder


def picture(path: Path, shade: int = 200, size: tuple[int, int] = (40, 30)) -> Path:
    """A small scan with nothing on it; another shade makes another scan."""
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.new("L", size, shade).save(path)
    return path
