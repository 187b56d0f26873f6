"""DOCX, ODT, LaTeX and plain text through pandoc, called as a process of its own.

Pandoc is under the GPL and is never loaded into this program; it comes inside a wheel. It is handed a tree
and pictures that we made, in a folder of their own, and no address: it fetches nothing.
"""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final, Literal

from numbertaker.publishing.document import Document
from numbertaker.publishing.documents.apart import EndedError, apart
from numbertaker.publishing.documents.glyphs import HERE
from numbertaker.publishing.documents.odt import with_descriptions
from numbertaker.publishing.documents.pictured import put_drawings, put_plates
from numbertaker.publishing.documents.tree import Files, Target, Tree
from numbertaker.publishing.documents.typeset import drawings_as
from numbertaker.publishing.pictures import Slips
from numbertaker.publishing.watching import Watch, unwatched

_DAY: Final = "315532800"
"""1 January 1980, the first day that a zip can hold: the document rests on a state, not on a day."""

_WRITERS: Final = {"latex": "latex-smart"}
"""Without its cleverness about quotes and dashes, LaTeX keeps both as they were written."""


_DATED: Final = (1980, 1, 1, 0, 0, 0)
_THRIFTY: Final = ("+RTS", "-c", "-RTS")
"""Pandoc is to make room by compacting its memory and not by copying: a book takes a third less of it."""
_TREE: Final = "tree.json"
LATEX: Final = "history.tex"
_LATEX_OPTIONS: Final = ("--standalone", "--variable=papersize:a4", "--variable=fontsize:11pt")


def to_docx(document: Document, slips: Slips | None = None, watch: Watch = unwatched) -> bytes:
    """The document for a word processor, with real footnotes and the styles of `reference.docx`."""
    made, _ = _pictured(document, "docx", slips, watch)
    return made


def to_odt(document: Document, slips: Slips | None = None, watch: Watch = unwatched) -> bytes:
    """The document as OpenDocument text, likewise; its pictures say what they show."""
    made, shown = _pictured(document, "odt", slips, watch)
    return with_descriptions(made, shown)


def to_latex(document: Document, files: Files | None = None, watch: Watch = unwatched) -> str:
    """The document as LaTeX with footnotes; `files` are its pictures by what they show, beside it."""
    with TemporaryDirectory(prefix="numbertaker-") as folder:
        tree = Tree(document, "latex", files)
        return _made(tree, "latex", Path(folder), _LATEX_OPTIONS, watch).decode("utf-8")


def to_latex_folder(document: Document, slips: Slips | None = None, watch: Watch = unwatched) -> bytes:
    """A zip of `history.tex` and, in `pictures`, its figures as PDF and its plates."""
    with TemporaryDirectory(prefix="numbertaker-") as folder:
        root = Path(folder)
        files = drawings_as("pdf", root, put_drawings(document, root), watch)
        files |= put_plates(document, slips, root, watch)
        text = to_latex(document, {shown: f"pictures/{file}" for shown, file in files.items()}, watch)
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as zipped:
            _put(zipped, LATEX, text.encode("utf-8"))
            for file in files.values():
                _put(zipped, f"pictures/{file}", (root / file).read_bytes())
        return out.getvalue()


def _put(zipped: zipfile.ZipFile, name: str, data: bytes) -> None:
    info = zipfile.ZipInfo(name, _DATED)
    info.compress_type = zipfile.ZIP_DEFLATED
    zipped.writestr(info, data)


def to_plain(document: Document, watch: Watch = unwatched) -> str:
    """The document as plain text, its notes at the end."""
    options = ("--columns=88", "--reference-location=document")
    with TemporaryDirectory(prefix="numbertaker-") as folder:
        return _made(Tree(document, "plain"), "plain", Path(folder), options, watch).decode("utf-8")


def _pictured(
    document: Document, target: Literal["docx", "odt"], slips: Slips | None, watch: Watch
) -> tuple[bytes, tuple[str, ...]]:
    """The file, and the words for its pictures in their order."""
    with TemporaryDirectory(prefix="numbertaker-") as folder:
        root = Path(folder)
        files = drawings_as("png", root, put_drawings(document, root), watch)
        files |= put_plates(document, slips, root, watch)
        tree = Tree(document, target, files)
        made = _made(tree, target, root, ("--reference-doc", str(HERE / f"reference.{target}")), watch)
        return made, tuple(tree.pictured)


def _made(tree: Tree, target: Target, root: Path, options: Sequence[str], watch: Watch) -> bytes:
    """What pandoc makes of the tree, in a folder that has the pictures."""
    with (root / _TREE).open("w", encoding="utf-8") as file:
        file.writelines(tree.whole())
    out = root / f"made.{target}"
    words = [
        _program(),
        *_THRIFTY,
        "--from=json",
        f"--to={_WRITERS.get(target, target)}",
        f"--output={out.name}",
        *options,
        _TREE,
    ]
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT", "HOME") if name in os.environ}
    environment = kept | {"SOURCE_DATE_EPOCH": _DAY, "LC_ALL": "C.UTF-8"}
    try:
        apart(words, root, lambda: watch("setting", 0, 1), environment)
    except EndedError as error:
        raise RuntimeError(f"Pandoc could not write {target}. {error}") from error
    return out.read_bytes()


@cache
def _program() -> str:
    import pypandoc

    return str(pypandoc.get_pandoc_path())
