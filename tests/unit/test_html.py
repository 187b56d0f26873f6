"""The HTML page: self-contained, linked notes, two voices, rules for degrees, contrast enough."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from tests.small_history import HISTORY, RULED

from numbertaker.publishing import render_component, render_engine, render_everything
from numbertaker.publishing.compose import CAUTION
from numbertaker.publishing.document import Document, Note, NoteRef, Paragraph, Run, words
from numbertaker.publishing.html import to_html
from numbertaker.publishing.style import DARK, LIGHT

PAGE = render_component(HISTORY, RULED, "B7", "html", digest="digest-1")
VOID = frozenset(("meta", "img", "br", "input"))
SLIP = "data:image/png;base64,iVBORw0KGgo="


class Outline(HTMLParser):
    """What a page is made of: its elements with their attributes, and whether every tag is closed."""

    def __init__(self, page: str) -> None:
        """Parse a page."""
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self._open: list[str] = []
        self.feed(page)
        self.close()

    @property
    def balanced(self) -> bool:
        """Whether every element that was opened was closed in turn."""
        return not self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element."""
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element that closes itself."""
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        """Close the element that was opened last."""
        assert self._open.pop() == tag

    def all(self, tag: str) -> list[dict[str, str | None]]:
        """The attributes of every element of a kind."""
        return [attributes for name, attributes in self.elements if name == tag]


def test_the_page_is_well_formed_and_says_its_language() -> None:
    """Every element closed in turn; `lang` and a title for readers of every kind."""
    outline = Outline(PAGE)

    assert outline.balanced
    assert outline.all("html")[0]["lang"] == "en-GB"
    assert "<title>Boiler 7</title>" in PAGE


def test_the_page_asks_for_nothing_from_anywhere() -> None:
    """No script, no link to a resource, no address in the style; a policy forbids the rest."""
    outline = Outline(PAGE)
    used = {tag for tag, _ in outline.elements}

    assert not used & {"script", "link", "iframe", "object", "embed", "base", "form"}
    assert not re.search(r"url\((?!#)|@import|https?:", PAGE)
    assert all((a.get("href") or "").startswith("#") for a in outline.all("a"))
    assert "default-src 'none'" in (outline.all("meta")[1]["content"] or "")


def test_marks_and_notes_are_linked_both_ways() -> None:
    """Each mark leads to its note and each note back to its mark, under the roles of DPUB-ARIA 1.1."""
    outline = Outline(PAGE)
    ids = [attributes["id"] for _, attributes in outline.elements if "id" in attributes]
    marks = [a for a in outline.all("a") if a.get("role") == "doc-noteref"]
    backs = [a for a in outline.all("a") if a.get("role") == "doc-backlink"]

    assert len(ids) == len(set(ids))
    assert {(a["href"] or "")[1:] for a in (*marks, *backs)} <= set(ids)
    assert len(backs) == len([i for i in ids if (i or "").startswith("note-")]) > 5
    assert [s for s in outline.all("section") if s.get("role") == "doc-endnotes"]


def test_the_source_speaks_in_the_typewriter_face_only() -> None:
    """What a card says is in `code`, and nothing else is."""
    told = re.findall(r"<code>(.*?)</code>", PAGE)

    assert "w/e 14.11.16" in told
    assert "&quot;" in told
    assert "typewriter" in told
    assert "Boiler 7" not in told


def test_a_degree_is_a_rule_and_a_word() -> None:
    """A doubtful run has its class, its title and its word for those who see no rule."""
    document = Document("t", (Paragraph((Run("in 1913", degree="doubtful"),)),), ())

    assert (
        '<span class="d d-doubtful" title="doubtful">in 1913<span class="vh"> (doubtful)</span></span>'
        in to_html(document)
    )


def test_a_slip_of_the_scan_stands_in_its_note() -> None:
    """A picture held in the page is shown; an address, or a picture that could run, is not."""
    note = Document("t", (Paragraph(words("Said.", NoteRef(1))),), (Note(1, words("Card."), ("a1",)),))

    assert f'src="{SLIP}"' in to_html(note, lambda line_id: SLIP)
    for refused in (
        None,
        "https://example.org/x.png",
        "data:image/svg+xml;base64,AAAA",
        'data:image/png;base64,"onerror=',
    ):
        assert "<img" not in to_html(note, lambda line_id, uri=refused: uri)


def test_the_timeline_has_a_title_and_a_description() -> None:
    """A drawing is named for those who can't see it, and refers to the table."""
    outline = Outline(PAGE)
    drawing = outline.all("svg")[0]

    assert drawing["role"] == "group"
    assert (drawing["aria-labelledby"] or "").split() == ["f3-t", "f3-d"]
    assert "The table has the same data." in PAGE
    assert PAGE.count('class="stay"') == 3
    assert PAGE.count('class="silence"') == 1


def test_the_range_of_the_miles_is_a_band_on_the_page_as_in_print() -> None:
    """A stay with an estimate widens the band, and no line is drawn there."""
    drawn = PAGE[PAGE.index("supported miles") :]

    assert drawn.count('class="band"') == 1
    assert drawn.count('class="run"') == 2
    assert "No figure of miles" in drawn


def test_a_gap_is_hatched_in_the_table_too() -> None:
    """The row of a gap is marked, and runs over the columns it leaves empty."""
    assert '<tr class="silent">' in PAGE
    assert 'colspan="3"' in PAGE


@pytest.mark.parametrize("colours", [LIGHT, DARK])
def test_text_and_rules_have_contrast_enough(colours: dict[str, str]) -> None:
    """WCAG 2.2: 4.5 to 1 for text (1.4.3), 3 to 1 for what must be seen besides (1.4.11)."""
    for ground in ("paper", "warnground"):
        for ink in ("ink", "soft", "accent", "warn"):
            assert contrast(colours[ink], colours[ground]) >= 4.5, (ink, ground)
    assert contrast(colours["line"], colours["paper"]) >= 3


def contrast(one: str, other: str) -> float:
    """The contrast ratio of WCAG 2.2, from its definition of relative luminance."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: str) -> float:
    """Relative luminance of a colour written #rrggbb."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_every_page_carries_the_caution_and_the_same_bytes_each_time() -> None:
    """Component, engine and everything: the caution once each, and nothing left to chance."""
    for page, again in (
        (PAGE, render_component(HISTORY, RULED, "B7", "html", digest="digest-1")),
        (render_engine(HISTORY, RULED, "E1", "html"), render_engine(HISTORY, RULED, "E1", "html")),
        (render_everything(HISTORY, RULED, "html"), render_everything(HISTORY, RULED, "html")),
    ):
        assert page == again
        assert page.count(CAUTION) == 1
        assert Outline(page).balanced


def test_dark_is_for_the_screen_and_paper_is_white() -> None:
    """Print never follows a dark screen."""
    assert "@media screen and (prefers-color-scheme:dark)" in PAGE
    assert "@media print" in PAGE
