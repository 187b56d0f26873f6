"""Laws of publishing: text of any kind comes out as itself, everywhere, and a document is a function."""

from __future__ import annotations

import html
import json
import re
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from tests.small_history import BOILER, EVIDENCE, HISTORY
from tests.strategies import EDTF_TEXTS, spans

from numbertaker.evidence.days import Span
from numbertaker.evidence.decisions import follow
from numbertaker.publishing import render_component, render_engine, render_everything
from numbertaker.publishing.dates import date_phrase, date_words, span_words
from numbertaker.publishing.document import Document, Note, NoteRef, Paragraph, Row, Run, Table, words
from numbertaker.publishing.html import to_html
from numbertaker.publishing.markdown import as_code, escaped, to_markdown
from numbertaker.publishing.plain import plain
from numbertaker.reconciling.history import History

_MARKUP = st.sampled_from(
    [
        *"\\`*_{}[]()<>#+-.!|$^~&:=@'\"/ \n\t",
        "[^1]",
        "]: ",
        "<script>",
        "</style>",
        "&amp;",
        "```",
        "\u202e",
        "\u2066",
        "\x00",
        "\x1b",
    ]
)
HOSTILE = st.one_of(
    st.lists(st.one_of(_MARKUP, st.text(max_size=4)), max_size=12).map("".join),
    st.text(st.characters(), max_size=40),
    st.integers(1, 40).map(lambda n: "long name " * (250 * n // 10)),
)
"""Text made to break out: markup of both formats, controls, half surrogates, marks of direction, length."""


def unmarked(rendered: str) -> str:
    """What is shown of some HTML: its text without its tags."""
    return html.unescape(re.sub(r"<[^>]*>", "", rendered))


def shown(rendered: str) -> str:
    """The same without the line feeds that end the blocks."""
    return unmarked(rendered).removesuffix("\n")


@given(HOSTILE)
@settings(max_examples=150, deadline=None)
def test_markdown_in_the_programs_voice_reads_as_the_text(text: str) -> None:
    """An independent parser shows exactly the text that went in."""
    assert shown(MarkdownIt("commonmark").render(f"a{escaped(text)}z")) == f"a{plain(text)}z"


@given(HOSTILE)
@settings(max_examples=150, deadline=None)
def test_markdown_in_the_sources_voice_reads_as_the_text(text: str) -> None:
    """A code span or element shows exactly the text that went in."""
    assert shown(MarkdownIt("commonmark").render(f"a{as_code(text)}z")) == f"a{plain(text)}z"


@given(HOSTILE, HOSTILE)
@settings(max_examples=60, deadline=None)
def test_markdown_tables_keep_their_cells(said: str, written: str) -> None:
    """However hostile its cells, a row has as many as it should, and they show their text."""
    row = Row((words("x", Run(said), "x"), words("x", Run(written, "written"), "x"), words("end")))
    document = Document("t", (Table("Table", ("a", "b", "c"), (row,)),), ())
    rendered = MarkdownIt("commonmark").enable("table").render(to_markdown(document))
    cells = re.findall(r"<td>(.*?)</td>", rendered, re.DOTALL)

    assert [unmarked(cell) for cell in cells] == [f"x{plain(said)}x", f"x{plain(written)}x", "end"]


@given(HOSTILE)
@settings(max_examples=100, deadline=None)
def test_html_shows_the_text_and_adds_no_element(text: str) -> None:
    """Text in title, sentence, cell and note is shown as it is; the elements are those of harmless text."""

    def page(said: str) -> str:
        table = Table(said, (said,), (Row((words(Run(said), Run(said, "written")),)),))
        blocks = (Paragraph(words(Run(said), Run(said, "written"), NoteRef(1))), table)
        return to_html(Document(said, blocks, (Note(1, words(Run(said, italic=True))),)))

    made = page(text)
    isolated = {"bdi"} if re.search("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]", plain(text)) else set()

    assert set(re.findall(r"<([a-z][\w-]*)", made)) - isolated == set(
        re.findall(r"<([a-z][\w-]*)", page("safe"))
    )
    assert unmarked(made).count(plain(text)) >= 6 or not text


@given(HOSTILE)
@settings(max_examples=12, deadline=None)
def test_a_whole_history_of_hostile_rows_is_told(text: str) -> None:
    """Hostile names, titles, cells, reasons and messages in every table: each is made, and the same twice."""
    evidence = replace(
        EVIDENCE,
        sources=tuple(
            replace(s, title=text, reference=text, author=text, seen=text) for s in EVIDENCE.sources
        ),
        designations=tuple(replace(d, value=text) for d in EVIDENCE.designations),
        components=tuple(replace(c, kind=text, type=text, built=text) for c in EVIDENCE.components),
        events=tuple(replace(e, statement=text, date=text, locator=text) for e in EVIDENCE.events),
        lines=tuple(replace(n, fitted=text, engine=text, locator=text) for n in EVIDENCE.lines),
        decisions=tuple(replace(d, reason=text, by=text, at=text) for d in EVIDENCE.decisions),
    )
    findings = tuple(replace(f, message=text) for f in BOILER.findings)
    history = History((replace(BOILER, findings=findings),), events=evidence.events)
    ruled = follow(evidence)

    for fmt in ("md", "html"):
        made = render_component(history, ruled, "B7", fmt)  # type: ignore[arg-type]
        assert made == render_component(history, ruled, "B7", fmt)  # type: ignore[arg-type]
        assert "\x00" not in made
        assert made.encode("utf-8")
        # What stands in a code span of Markdown is text; so the page is looked at that it makes.
        assert "<script" not in (MarkdownIt("commonmark").render(made) if fmt == "md" else made)
        render_engine(history, ruled, "E1", fmt)  # type: ignore[arg-type]
        render_everything(history, ruled, fmt)  # type: ignore[arg-type]


@given(EDTF_TEXTS)
@settings(max_examples=150)
def test_every_edtf_date_has_words(text: str) -> None:
    """No date that parses is left without wording, and no wording leaks EDTF's own signs."""
    phrase = date_phrase(text)

    assert phrase
    assert not set(phrase) & set("[]{}~?%/X") or phrase.startswith("at a date written as ")
    assert date_words(text) in phrase or phrase.startswith("at a date written as ")


@given(spans())
@settings(max_examples=150)
def test_a_span_is_told_by_its_own_years(span: Span) -> None:
    """A bounded span names no year outside itself."""
    years = [int(year) for year in re.findall(r"\b\d{4}\b", span_words(span))]
    bounds = [day for day in (span.first, span.last) if day is not None]

    assert len(years) <= 2
    assert bool(years) == bool(bounds)


@given(st.text(st.characters(), max_size=30))
@settings(max_examples=100)
def test_plain_text_is_plain_already(text: str) -> None:
    """Making text plain twice changes nothing, and it can always be written as UTF-8."""
    assert plain(plain(text)) == plain(text)
    assert plain(text).encode("utf-8").decode("utf-8") == plain(text)


def test_json_is_the_public_format_to_the_letter() -> None:
    """The JSON document is `to_json` and nothing else."""
    ruled = follow(EVIDENCE)

    assert json.loads(render_component(HISTORY, ruled, "B7", "json")) == HISTORY.to_json(["B7"])
    assert json.loads(render_everything(HISTORY, ruled, "json")) == HISTORY.to_json()
    assert json.loads(render_engine(HISTORY, ruled, "E1", "json")) == HISTORY.to_json(["B7", "B8"])
