"""PDF by typst: well set, tagged, and checked by the compiler against PDF/UA-1 and PDF/A.

The template reads the document as data, so no text of a source is ever markup. Fonts travel with the program
and the system's are not looked at; with the day fixed too, the same document is the same bytes everywhere.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final, Literal, TypeAlias

from numbertaker.publishing.document import Document
from numbertaker.publishing.documents import press
from numbertaker.publishing.documents.apart import EndedError, apart
from numbertaker.publishing.documents.leaves import leaves
from numbertaker.publishing.documents.pictured import put_drawings, put_plates
from numbertaker.publishing.pictures import Slips
from numbertaker.publishing.watching import Stage, Watch, unwatched

Form: TypeAlias = Literal["pdf", "png"]
STANDARDS: Final = ("ua-1", "a-2a")
WITH_EVIDENCE: Final = ("ua-1", "a-3a")
"""PDF/A-2 allows no attachment of this kind, PDF/A-3 does (ISO 19005-3)."""
PNG_PPI: Final = 220


def to_pdf(
    document: Document,
    slips: Slips | None = None,
    attached: Mapping[str, bytes] | None = None,
    watch: Watch = unwatched,
) -> bytes:
    """The document as PDF/UA-1 and PDF/A-2a; with files attached, as PDF/A-3a."""
    with TemporaryDirectory(prefix="numbertaker-") as folder:
        root = Path(folder)
        files = put_drawings(document, root) | put_plates(document, slips, root, watch)
        _put_data(document, files, attached or {}, root)
        standards = list(WITH_EVIDENCE if attached else STANDARDS)
        pressed(root, [_job("history.typ", "document.pdf", "pdf", standards=standards)], watch)
        return (root / "document.pdf").read_bytes()


def drawings_as(form: Form, root: Path, files: Mapping[str, str], watch: Watch = unwatched) -> dict[str, str]:
    """The drawings of a folder in another form, all in one go; their files by the same names."""
    made = {name: f"{Path(file).stem}.{form}" for name, file in files.items()}
    jobs = [_job("drawing.typ", made[name], form, inputs={"file": file}) for name, file in files.items()]
    if jobs:
        pressed(root, jobs, watch)
    return made


def to_png(svg: str) -> bytes:
    """One drawing as PNG, for word processors."""
    with TemporaryDirectory(prefix="numbertaker-") as folder:
        root = Path(folder)
        (root / "drawing-0.svg").write_text(svg, encoding="utf-8")
        drawings_as("png", root, {"drawing": "drawing-0.svg"})
        return (root / "drawing-0.png").read_bytes()


def _job(
    template: str,
    out: str,
    form: Form,
    *,
    inputs: Mapping[str, str] | None = None,
    standards: Sequence[str] = (),
) -> dict[str, Any]:
    job = {"template": template, "out": out, "form": form, "standards": list(standards), "ppi": PNG_PPI}
    return {**job, "inputs": dict(inputs or {})}


def pressed(root: Path, jobs: Sequence[Mapping[str, Any]], watch: Watch) -> None:
    """Have the press make something in a folder, in a process of its own."""
    (root / press.JOBS).write_text(json.dumps(jobs), encoding="utf-8")
    stage: Stage = "setting" if jobs[0]["form"] == "pdf" and len(jobs) == 1 else "pictures"

    def going_on() -> None:
        watch(stage, sum((root / job["out"]).exists() for job in jobs), len(jobs))

    try:
        apart([sys.executable, "-I", str(Path(press.__file__)), str(root)], root, going_on, None)
    except EndedError as error:
        raise RuntimeError(f"The typesetter could not set it. {error}") from error


def _put_data(
    document: Document, files: Mapping[str, str], attached: Mapping[str, bytes], root: Path
) -> None:
    """Write the document as the template reads it."""
    with (root / "document.json").open("w", encoding="utf-8") as file:
        file.writelines(leaves(document, files, _attach(attached, root)))


def _attach(attached: Mapping[str, bytes], root: Path) -> list[dict[str, str]]:
    rows = []
    for number, (name, data) in enumerate(attached.items()):
        (root / f"attached-{number}").write_bytes(data)
        rows.append({"file": f"attached-{number}", "name": name})
    return rows
