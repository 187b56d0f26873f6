"""DOCX, ODT, LaTeX and plain text through pandoc, called as a process of its own.

Pandoc is under the GPL and is never loaded into this program; it comes inside a wheel. It is handed a tree
and pictures that we made, in a folder of their own, and no address: it fetches nothing.
"""

from __future__ import annotations

import json
import os
import subprocess
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from numbertaker.publishing.document import Document, Plate
from numbertaker.publishing.documents.drawings import drawings
from numbertaker.publishing.documents.glyphs import HERE
from numbertaker.publishing.documents.odt import with_descriptions
from numbertaker.publishing.documents.tree import Target, Tree
from numbertaker.publishing.documents.typeset import to_png
from numbertaker.publishing.pictures import Slips

_DAY: Final = "315532800"
"""1 January 1980, the first day that a zip can hold: the document rests on a state, not on a day."""

_WRITERS: Final = {"latex": "latex-smart"}
"""Without its cleverness about quotes and dashes, LaTeX keeps both as they were written."""


def to_docx(document: Document, slips: Slips | None = None) -> bytes:
    """The document for a word processor, with real footnotes and the styles of `reference.docx`."""
    made, _ = _made(document, "docx", slips, ["--reference-doc", str(HERE / "reference.docx")])
    return made


def to_odt(document: Document, slips: Slips | None = None) -> bytes:
    """The document as OpenDocument text, likewise; its pictures say what they show."""
    made, shown = _made(document, "odt", slips, ["--reference-doc", str(HERE / "reference.odt")])
    return with_descriptions(made, shown)


def to_latex(document: Document) -> str:
    """The document as LaTeX with footnotes; the table has what the figures would show."""
    options = ["--standalone", "--variable=papersize:a4", "--variable=fontsize:11pt"]
    return _made(document, "latex", None, options)[0].decode("utf-8")


def to_plain(document: Document) -> str:
    """The document as plain text, its notes at the end."""
    options = ["--columns=88", "--reference-location=document"]
    return _made(document, "plain", None, options)[0].decode("utf-8")


def _made(
    document: Document, target: Target, slips: Slips | None, options: list[str]
) -> tuple[bytes, tuple[str, ...]]:
    """The file, and the words for its pictures in their order."""
    with TemporaryDirectory(prefix="numbertaker-") as folder:
        root = Path(folder)
        files = _files(document, slips, root) if target in ("docx", "odt") else {}
        tree = Tree(document, target, files)
        whole = json.dumps(tree.whole(), ensure_ascii=False)
        out = root / f"made.{target}"
        words = [
            _program(),
            "--from=json",
            f"--to={_WRITERS.get(target, target)}",
            f"--output={out.name}",
            *options,
        ]
        kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT", "HOME") if name in os.environ}
        environment = kept | {"SOURCE_DATE_EPOCH": _DAY, "LC_ALL": "C.UTF-8"}
        done = subprocess.run(
            words, input=whole.encode(), cwd=root, env=environment, capture_output=True, check=False
        )
        if done.returncode != 0:
            raise RuntimeError(f"Pandoc could not write {target}: {done.stderr.decode(errors='replace')}")
        return out.read_bytes(), tuple(tree.pictured)


@cache
def _program() -> str:
    import pypandoc

    return str(pypandoc.get_pandoc_path())


def _files(document: Document, slips: Slips | None, root: Path) -> dict[str, str]:
    """Write the pictures into the folder; their names by what they show."""
    files: dict[str, str] = {}
    for number, (name, svg) in enumerate(drawings(document).items()):
        files[name] = f"drawing-{number}.png"
        (root / files[name]).write_bytes(to_png(svg))
    wanted = dict.fromkeys(block.line_id for block in document.blocks if isinstance(block, Plate))
    for number, line_id in enumerate(wanted):
        picture = slips(line_id) if slips is not None else None
        if picture is not None:
            files[line_id] = f"plate-{number}.{picture.ending}"
            (root / files[line_id]).write_bytes(picture.data)
    return files
