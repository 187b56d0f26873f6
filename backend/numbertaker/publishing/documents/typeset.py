"""PDF by typst: well set, tagged, and checked by the compiler against PDF/UA-1 and PDF/A.

The template reads the document as data, so no text of a source is ever markup. Fonts travel with the program
and the system's are not looked at; with the day fixed too, the same document is the same bytes everywhere.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Final

from numbertaker.publishing.document import Document, Plate
from numbertaker.publishing.documents.drawings import drawings
from numbertaker.publishing.documents.glyphs import FONTS, HERE
from numbertaker.publishing.documents.leaves import leaves
from numbertaker.publishing.pictures import Slips

if TYPE_CHECKING:
    from typst import Fonts

STANDARDS: Final = ("ua-1", "a-2a")
WITH_EVIDENCE: Final = ("ua-1", "a-3a")
"""PDF/A-2 allows no attachment of this kind, PDF/A-3 does (ISO 19005-3)."""
PNG_PPI: Final = 220
_DAY: Final = 0
"""The day in the file, in seconds since 1970: the document rests on a state, not on a day."""


def to_pdf(
    document: Document, slips: Slips | None = None, attached: Mapping[str, bytes] | None = None
) -> bytes:
    """The document as PDF/UA-1 and PDF/A-2a; with files attached, as PDF/A-3a."""
    with TemporaryDirectory(prefix="numbertaker-") as folder:
        root = Path(folder)
        files = _files(document, slips, root)
        data: dict[str, Any] = leaves(document, files)
        data["attached"] = _attach(attached or {}, root)
        inputs = {"document": json.dumps(data, ensure_ascii=False)}
        standards = WITH_EVIDENCE if attached else STANDARDS
        return _compiled("history.typ", root, inputs, "pdf", list(standards))


def to_png(svg: str) -> bytes:
    """A drawing as PNG, for word processors."""
    with TemporaryDirectory(prefix="numbertaker-") as folder:
        root = Path(folder)
        (root / "drawing.svg").write_text(svg, encoding="utf-8")
        return _compiled("drawing.typ", root, {}, "png", None)


def _compiled(template: str, root: Path, inputs: dict[str, str], form: Any, standards: Any) -> bytes:
    import typst

    compiler = typst.Compiler(
        (HERE / template).read_bytes(),
        root=root,
        font_paths=_fonts(),
        sys_inputs=inputs,
        ignore_system_fonts=True,
    )
    made = compiler.compile(format=form, pdf_standards=standards or [], timestamp=_DAY, ppi=PNG_PPI)
    if not isinstance(made, bytes):
        raise TypeError(f"Expected one file from {template}, got {type(made).__name__}.")
    return made


@cache
def _fonts() -> Fonts:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(FONTS)])


def _files(document: Document, slips: Slips | None, root: Path) -> dict[str, str]:
    """Write the pictures into the folder that the typesetter sees; their names by what they show."""
    files: dict[str, str] = {}
    for number, (name, svg) in enumerate(drawings(document).items()):
        files[name] = f"drawing-{number}.svg"
        (root / files[name]).write_text(svg, encoding="utf-8")
    wanted = dict.fromkeys(block.line_id for block in document.blocks if isinstance(block, Plate))
    for number, line_id in enumerate(wanted):
        picture = slips(line_id) if slips is not None else None
        if picture is not None:
            files[line_id] = f"plate-{number}.{picture.ending}"
            (root / files[line_id]).write_bytes(picture.data)
    return files


def _attach(attached: Mapping[str, bytes], root: Path) -> list[dict[str, str]]:
    rows = []
    for number, (name, data) in enumerate(attached.items()):
        (root / f"attached-{number}").write_bytes(data)
        rows.append({"file": f"attached-{number}", "name": name})
    return rows
