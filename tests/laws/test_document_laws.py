"""Laws of documents: hostile text comes out as itself in every format, and runs nowhere."""

from __future__ import annotations

import io
import json
import re
import subprocess
import zipfile
from html import unescape
from typing import Any

import pypandoc
import pypdfium2
from hypothesis import given, settings
from hypothesis import strategies as st

from numbertaker.publishing.document import Document, Note, NoteRef, Paragraph, Row, Run, Table, words
from numbertaker.publishing.documents.glyphs import showable
from numbertaker.publishing.documents.pandoc import to_docx, to_latex, to_odt, to_plain
from numbertaker.publishing.documents.typeset import to_pdf
from numbertaker.publishing.plain import plain

_MARKUP = st.sampled_from(
    [
        *"\\`*_{}[]()<>#+-.!|$^~&:=@'\"/% \n\t",
        "[^1]",
        "\\input{/etc/hostname}",
        "#import",
        "<script>",
        "</w:t>",
        "{{",
        "\u202e",
        "\u0627\u05d0",
        "\x00",
        "\x1b",
        "\ud800",
        "1. ",
        "    ",
        "--- ",
    ]
)
HOSTILE = st.one_of(
    st.lists(st.one_of(_MARKUP, st.text(max_size=4)), max_size=12).map("".join),
    st.just("long name " * 1000),
)
"""Text made to break out of one format or another."""


COMMANDS = {
    "textbackslash": "\\",
    "textasciigrave": "`",
    "textquotedbl": '"',
    "textquotesingle": "'",
    "textbar": "|",
    "textless": "<",
    "textgreater": ">",
    "textasciitilde": "~",
}
"""The signs that LaTeX has by name (LaTeX2e for authors, and `textcomp`); the reader knows only some."""


def document(text: str) -> Document:
    """The text in a title, a sentence, a cell and a note, in both voices."""
    said = words("x", Run(text), "x", NoteRef(1))
    table = Table(text, ("a", "b"), (Row((words("y", Run(text, "written"), "y"), words(Run(text)))),))
    return Document(text, (Paragraph(said), table), (Note(1, words("z", Run(text, "written"), "z")),))


def bare(text: str) -> str:
    """Text without blanks, and without the marks that only steer how it is set."""
    return re.sub(r"[\s\u00a0\u00ad\u200b]+", "", text)


def xml_text(made: bytes, name: str) -> str:
    """The text of one part of a zipped document; a part that is no XML fails."""
    content = zipfile.ZipFile(io.BytesIO(made)).read(name).decode("utf-8")
    return bare(unescape(re.sub(r"<[^>]*>", "", content)))


@given(HOSTILE)
@settings(max_examples=30, deadline=None)
def test_docx_shows_the_text(text: str) -> None:
    """Sentence, cell and note have the text as it is."""
    made = to_docx(document(text))
    wanted = bare(plain(text))

    assert f"x{wanted}x" in xml_text(made, "word/document.xml")
    assert f"y{wanted}y" in xml_text(made, "word/document.xml")
    assert f"z{wanted}z" in xml_text(made, "word/footnotes.xml")


@given(HOSTILE)
@settings(max_examples=30, deadline=None)
def test_odt_shows_the_text(text: str) -> None:
    """Sentence, cell and note have the text as it is."""
    shown = xml_text(to_odt(document(text)), "content.xml")
    wanted = bare(plain(text))

    for mark in "xyz":
        assert f"{mark}{wanted}{mark}" in shown


@given(HOSTILE)
@settings(max_examples=30, deadline=None)
def test_latex_read_again_is_the_text(text: str) -> None:
    """A reader of LaTeX finds the text as it is, and no command that was not ours."""
    named = rf"\\({'|'.join(COMMANDS)})(?:\{{\}}|(?![A-Za-z]) ?)"
    made = re.sub(named, lambda command: command[1].upper(), to_latex(document(text)))
    wanted = bare(plain(text)).translate({ord(sign): name.upper() for name, sign in COMMANDS.items()})
    program = pypandoc.get_pandoc_path()
    words_ = [program, "--from=latex-smart", "--to=json"]
    read = subprocess.run(words_, input=made.encode(), capture_output=True, check=True)
    shown = bare("".join(strings(json.loads(read.stdout)["blocks"])))

    assert f"x{wanted}x" in shown
    assert f"y{wanted}y" in shown


def strings(node: Any) -> list[str]:
    """Every piece of text in a tree, in order."""
    if isinstance(node, list):
        return [text for item in node for text in strings(item)]
    if not isinstance(node, dict):
        return []
    if node.get("t") == "Code":
        return [node["c"][1]]
    return [node["c"]] if node.get("t") == "Str" else strings(node.get("c"))


@given(HOSTILE)
@settings(max_examples=30, deadline=None)
def test_plain_text_has_the_text(text: str) -> None:
    """Nothing is lost or added."""
    shown = bare(to_plain(document(text)))

    assert f"x{bare(plain(text))}x" in shown
    assert f"z{bare(plain(text))}z" in shown


@given(HOSTILE)
@settings(max_examples=40, deadline=None)
def test_a_pdf_is_made_of_any_text(text: str) -> None:
    """The compiler accepts it under PDF/UA-1; what is written left to right can be read out again."""
    made = to_pdf(document(text))
    pages = pypdfium2.PdfDocument(made)
    shown = bare("".join(page.get_textpage().get_text_range() for page in pages))

    if text.isascii():
        hyphenless = re.sub("[-\u0002\ufffe]", "", shown)
        assert re.sub("-", "", bare(showable(plain(text)))) in hyphenless
