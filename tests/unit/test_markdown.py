"""Markdown: real footnotes, two voices, and nothing that a source wrote taken for markup."""

from __future__ import annotations

import html
import re

import pytest
from markdown_it import MarkdownIt
from tests.small_history import HISTORY, RULED

from numbertaker.publishing import render_component, render_engine, render_everything
from numbertaker.publishing.compose import CAUTION
from numbertaker.publishing.document import (
    Document,
    Heading,
    Note,
    NoteRef,
    Paragraph,
    Row,
    Run,
    Table,
    words,
)
from numbertaker.publishing.markdown import as_code, escaped, to_markdown

TEXT = render_component(HISTORY, RULED, "B7", "md", digest="digest-1")
HOSTILE = [
    "<script>alert(1)</script>",
    "[^1]",
    "[^1]: no note",
    "$x^2$ and $$y$$",
    "a | b",
    "`code` and ``more``",
    "**bold** _it_ ~~no~~ ==mark==",
    "# heading",
    "- item",
    "1. item",
    "> quote",
    "[a](javascript:alert(1)) ![b](x)",
    "&amp; &#60; &copy;",
    "two\nlines\n\nand a paragraph",
    "tab\there",
    "\\",
    "---",
    "`",
    "| a | b |\n| --- | --- |",
    "<!--",
    "https://example.org www.example.org a@example.org",
    ":smile:",
    "\u202eevil\u202c",
]


def shown(markdown: str) -> str:
    """The text that an independent CommonMark parser shows for some Markdown, without its tags."""
    rendered = MarkdownIt("commonmark").render(markdown)
    return html.unescape(re.sub(r"<[^>]*>", "", rendered)).removesuffix("\n")


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_comes_out_as_itself_in_the_programs_voice(text: str) -> None:
    """Whatever a title or a name holds is shown, and makes no markup of its own."""
    rendered = MarkdownIt("commonmark").render(f"Title {escaped(text)} end")

    assert shown(f"Title {escaped(text)} end") == f"Title {text} end"
    assert set(re.findall(r"</?(\w+)", rendered)) <= {"p", "bdi"}


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_comes_out_as_itself_in_the_sources_voice(text: str) -> None:
    """What a card says stands in a code span or element, untouched."""
    rendered = MarkdownIt("commonmark").render(f"Written {as_code(text)} end")

    assert shown(f"Written {as_code(text)} end") == f"Written {text} end"
    assert set(re.findall(r"</?(\w+)", rendered)) <= {"p", "code", "bdi"}


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_breaks_no_table(text: str) -> None:
    """A cell with a pipe or a line end in it stays one cell."""
    cells = (words(Run(text)), words(Run(text, "written")), words("last"))
    table = Table("A table", ("a", "b", "c"), (Row(cells),))
    rendered = MarkdownIt("commonmark").enable("table").render(to_markdown(Document("t", (table,), ())))
    found = [
        html.unescape(re.sub(r"<[^>]*>", "", cell))
        for cell in re.findall(r"<td>(.*?)</td>", rendered, re.DOTALL)
    ]

    assert found == [text, text, "last"]


def test_every_mark_has_its_footnote_and_every_footnote_its_mark() -> None:
    """The numbers called for and the numbers given are the same."""
    given = re.findall(r"^\[\^(\d+)\]: ", TEXT, re.MULTILINE)
    called = re.findall(r"\[\^(\d+)\](?!:)", TEXT)

    assert given == [str(n) for n in range(1, len(given) + 1)]
    assert set(called) == set(given)


def test_a_footnote_is_one_line_even_where_a_source_has_two() -> None:
    """A line end in a note would end the footnote for most readers."""
    document = Document(
        "t", (Paragraph(words("Said.", NoteRef(1))),), (Note(1, words(Run("two\nlines", "written"))),)
    )

    assert to_markdown(document) == "Said.[^1]\n\n[^1]: <code>two&#10;lines</code>\n"


def test_a_paragraph_is_never_taken_for_a_list_or_code() -> None:
    """A paragraph that starts with a number, a hyphen or spaces stays a paragraph."""
    for text in ("1. May", "- a", "+ b", "    code"):
        rendered = MarkdownIt("commonmark").render(to_markdown(Document("t", (Paragraph(words(text)),), ())))
        assert rendered.startswith("<p>"), text


def test_a_degree_is_said_in_a_word() -> None:
    """Without rules under words, the word stands in brackets; what is near certain needs none."""
    runs = (Run("in 1913", degree="doubtful"), Run(" on 1 May", degree="near certain"))
    document = Document("t", (Paragraph(runs),), ())

    assert to_markdown(document) == "in 1913 (doubtful) on 1 May\n"


def test_the_whole_document_is_there() -> None:
    """Title, caution, sections, table, sources and state."""
    headings = re.findall(r"^#+ (.*)$", TEXT, re.MULTILINE)

    assert headings == [
        "Boiler 7",
        "The history",
        "The fitments in order",
        "Reckoned from the evidence",
        "Open questions",
        "What was decided, and why",
        "Events of its engines",
        "Sources",
        "Ostrey Town Museum",
        "Published, or in no repository that is stated",
        "What this rests on",
    ]
    assert CAUTION in TEXT
    assert "digest-1" in TEXT


def test_an_index_leads_to_every_component() -> None:
    """In a book every link has its anchor."""
    text = render_everything(HISTORY, RULED, "md")

    links = re.findall(r"\]\(#([\w-]+)\)", text)
    assert {"component-1", "component-2"} == set(links)
    assert all(f'<a id="{link}"></a>' in text for link in links)


def test_the_same_history_gives_the_same_bytes() -> None:
    """No clock and no chance in any of the three documents."""
    assert render_component(HISTORY, RULED, "B7", "md", digest="digest-1") == TEXT
    assert render_engine(HISTORY, RULED, "E1", "md") == render_engine(HISTORY, RULED, "E1", "md")


def test_a_heading_of_hostile_words_stays_one_line() -> None:
    """A line end in a title makes no second block."""
    document = Document("t", (Heading(1, words("a\n# b"), "top"),), ())

    assert to_markdown(document).count("\n") == 1
