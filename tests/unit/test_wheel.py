"""The program as one wheel: pure Python, the pages inside, at home in an environment of its own."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Final

import pytest

ROOT: Final = Path(__file__).parents[2]
BIN: Final = "Scripts" if os.name == "nt" else "bin"


def run(*command: str | Path, **extra: str) -> str:
    """What a command prints; its error output is shown where it fails."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")} | extra
    done = subprocess.run(command, capture_output=True, text=True, env=environment, cwd=ROOT, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this tree."""
    out = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", out)
    (made,) = out.glob("*.whl")
    return made


@pytest.mark.long
def test_the_wheel_is_pure_and_has_the_pages(wheel: Path) -> None:
    """One wheel for every system holds the program, its pages and licences, and no sources of the pages."""
    names = zipfile.ZipFile(wheel).namelist()

    assert wheel.name.endswith("-py3-none-any.whl")
    assert {"numbertaker/cli/main.py", "numbertaker/web/static/index.html"} <= set(names)
    assert any(name.endswith("licenses/LICENSE") for name in names)
    assert [name for name in names if name.endswith((".so", ".pyd", ".tsx")) or "node_modules" in name] == []


@pytest.mark.long
def test_the_wheel_works_alone_and_without_tesseract(wheel: Path, tmp_path: Path) -> None:
    """In a new environment, with no Tesseract on the path, an evidence package becomes a history."""
    run(sys.executable, "-m", "venv", tmp_path / "env")
    python, program = tmp_path / "env" / BIN / "python", tmp_path / "env" / BIN / "numbertaker"
    run(
        python,
        "-m",
        "pip",
        "install",
        "--quiet",
        "--require-hashes",
        "-r",
        ROOT / "requirements" / "run.lock",
    )
    run(python, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", wheel)

    alone = str(tmp_path / "env" / BIN)
    archive, out = str(tmp_path / "archive"), tmp_path / "history.json"
    assert "take-in" in run(program, "--help", PATH=alone)
    run(program, "import", ROOT / "corpus_demo" / "package", "--archive", archive, PATH=alone)
    run(program, "history", "--all", "--format", "json", "-o", out, "--archive", archive, PATH=alone)
    assert out.read_text(encoding="utf-8").count('"engine_id"') > 1
