"""Documents opened by a word processor that nobody here wrote: LibreOffice finds the same text and notes."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest
from tests.small_history import HISTORY, RULED

from numbertaker.publishing.citations import note_text
from numbertaker.publishing.compose import component_document
from numbertaker.publishing.document import Paragraph, Run
from numbertaker.publishing.documents.pandoc import to_docx, to_odt
from numbertaker.publishing.matter import Matter

DOCUMENT = component_document(Matter(HISTORY, RULED), "B7", "sha256:0123")
TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"


def opened(data: bytes, ending: str, folder: Path) -> ElementTree.Element:
    """The document as LibreOffice has it after opening it, given out again as flat OpenDocument."""
    program = shutil.which("soffice")
    assert program, "LibreOffice is wanted: install Debian's libreoffice-writer-nogui."
    file = folder / f"history.{ending}"
    file.write_bytes(data)
    words = [program, f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless"]
    subprocess.run([*words, "--convert-to", "fodt", "--outdir", folder / "out", file], check=True)
    return ElementTree.fromstring((folder / "out" / "history.fodt").read_bytes())


def unspaced(text: str) -> str:
    """Text without blanks."""
    return re.sub(r"\s+", "", text)


@pytest.mark.long
@pytest.mark.parametrize(("write", "ending"), [(to_docx, "docx"), (to_odt, "odt")])
def test_libreoffice_finds_every_note_and_every_sentence(write, ending: str, tmp_path: Path) -> None:
    """As many footnotes as there are notes, each with its words in order, and the text itself."""
    whole = opened(write(DOCUMENT), ending, tmp_path)
    bodies = [unspaced("".join(body.itertext())) for body in whole.iter(f"{TEXT}note-body")]
    shown = unspaced("".join(whole.itertext()))

    assert bodies == [unspaced(note_text(note)) for note in DOCUMENT.notes]
    for block in DOCUMENT.blocks:
        if isinstance(block, Paragraph):
            for run in block.inlines:
                if isinstance(run, Run):
                    assert unspaced(run.text) in shown


@pytest.mark.long
@pytest.mark.parametrize(("write", "ending"), [(to_docx, "docx"), (to_odt, "odt")])
def test_libreoffice_keeps_the_styles_and_the_pictures(write, ending: str, tmp_path: Path) -> None:
    """The source's voice and the degrees stay styles of their own, and each drawing keeps its words."""
    data = write(DOCUMENT)
    whole = opened(data, ending, tmp_path)
    text = ElementTree.tostring(whole, encoding="unicode")
    pictures = [name for name in zipfile.ZipFile(io.BytesIO(data)).namelist() if name.endswith(".png")]

    for name in ("Written", "Probable", "Caution"):
        assert f'style-name="{name}"' in text or f'parent-style-name="{name}"' in text
    assert len(pictures) == 2
    assert text.count("The supported miles grow to 151,204.") >= 1
