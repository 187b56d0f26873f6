"""Properties of what goes out: hostile text comes out as itself and runs nowhere, and a state has one form.

The texts are of every kind: markup, quotation marks, control characters, marks that turn the direction of
writing, line ends of every system, and whatever else Hypothesis thinks of.
"""

from __future__ import annotations

import csv
import io
import json
import re
import warnings
from dataclasses import replace
from html.parser import HTMLParser
from typing import Any, Final
from xml.etree import ElementTree

import pypandoc
import pytest
import rispy
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pyarrow import parquet
from pybtex.database import parse_string
from rdflib import RDFS, Graph, Namespace
from tests.kept import JPEG, SIZE, holding

from numbertaker.evidence.records import Source
from numbertaker.publishing.analysis import TABLES, csv_text, rows_of, write_parquet
from numbertaker.publishing.bibliography import bibtex, csl_json, ris
from numbertaker.publishing.bibliography.bibtex import ALONE, COMMANDS, keys
from numbertaker.publishing.keeping.alto import NAMESPACE, alto
from numbertaker.publishing.keeping.annotations import web_annotations
from numbertaker.publishing.keeping.bag import (
    decoded,
    encoded,
    info,
    leads_astray,
    manifest,
    read_info,
    read_manifest,
    scan_paths,
)
from numbertaker.publishing.keeping.hocr import hocr
from numbertaker.publishing.keeping.manifest import manifest as iiif
from numbertaker.publishing.keeping.places import clipped
from numbertaker.publishing.keeping.provenance import provenance
from numbertaker.publishing.keeping.values import ScanFile
from numbertaker.publishing.keeping.xml import shown

NASTY: Final = (
    "<script>alert(1)</script>", "]]>", "&amp;", '"><b x=\'', "a\r\nER  - \r\nTY  - BOOK", "\u202e31\u202c",
    "} @string{x={y}}", "\\input{x}", "{{", "$x^2$ 50% #1 ~ _", "\x00\x07\x1b[2J", "\u2028\u2029\x85\v\f",
    "[^1]", "=1+1", "../..", "\ufffe\uffff", "é e\u0301 \U0001f682", " ", "\t", "Oram, T. H.", "a; b", "@id",
    "{\\textbackslash}", "x" * 10_000,
)  # fmt: skip
TEXTS: Final = st.one_of(st.sampled_from(NASTY), st.text(max_size=40), st.text("{}\\ %", max_size=8))
FEW: Final = settings(max_examples=40, deadline=None)
PROV: Final = Namespace("http://www.w3.org/ns/prov#")


class Scripts(HTMLParser):
    """What a browser would make of a page: the names of its elements and attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen |= {tag, *(name for name, _ in attrs)}


@FEW
@given(TEXTS, TEXTS)
def test_pages_as_read_hold_any_text(text: str, name: str) -> None:
    """ALTO and hOCR give back every word and the file's name, and no element but their own."""
    held = holding(text, name)
    reading, scan = held.readings[0], held.scan_of[JPEG]
    page = ElementTree.fromstring(alto(reading, scan, SIZE))
    words = [one.get("CONTENT") for one in page.iter(f"{{{NAMESPACE}}}String")]
    assert words == ["7", *shown(text).split(), "w/e", "5.05", '"']
    assert page.findtext(f".//{{{NAMESPACE}}}fileName") == shown(name)
    html = hocr(reading, scan, SIZE)
    texts = [
        "".join(e.itertext()) for e in ElementTree.fromstring(html).iter() if e.get("class") == "ocrx_word"
    ]
    assert texts == words
    browser = Scripts()
    browser.feed(html)
    assert browser.seen <= {
        "html", "xmlns", "lang", "head", "meta", "charset", "name", "content", "title", "body", "div", "span",
        "class", "id", "data-card", "data-sha256", "data-line", "data-column", "data-mark",
    }  # fmt: skip


@FEW
@given(TEXTS)
def test_linked_data_holds_any_text(text: str) -> None:
    """Provenance, annotations and manifests give back each text to the character."""
    held = holding(hostile=text)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        graph = Graph().parse(data="".join(provenance(held)), format="json-ld")
    values = {str(value) for value in graph.objects(None, PROV.value)}
    if text:
        assert any(text in value for value in values)
    assert {str(one) for one in graph.objects(None, RDFS.label)} >= {"Numbertaker test", "A. Reader"}
    bodies = [one["body"] for one in json.loads("".join(web_annotations(held)))["items"]]
    assert not text or any(isinstance(one, dict) and text in one.get("value", "") for one in bodies)
    made = json.loads("".join(iiif(held, "S1")))
    assert made["label"]["none"] == [text]


@FEW
@given(st.lists(st.builds(dict, text=TEXTS, source_id=TEXTS), min_size=1, max_size=3))
def test_bibliographies_hold_any_text(rows: list[dict[str, str]]) -> None:
    """CSL-JSON to the character; BibTeX and RIS but for blanks, which neither can tell apart."""
    sources = [
        Source(
            source_id=r["source_id"] or "S",
            kind="register",
            title=r["text"],
            reference=r["text"],
            note=r["text"],
        )
        for r in rows
    ]
    assert [one.get("title", "") for one in json.loads(csl_json(sources))] == [r["text"] for r in rows]
    made = parse_string(bibtex(sources), "bibtex")
    assert list(made.entries) == keys(sources)
    titles = [untexed(entry.fields["title"]) for entry in made.entries.values()]
    assert titles == [f"{{{blanks(visible(r['text']))}}}" for r in rows]
    read = rispy.loads(ris(sources))
    assert [one["type_of_reference"] for one in read] == ["MANSCPT"] * len(rows)
    assert [one.get("title", "").split() for one in read] == [plain(r["text"]).split() for r in rows]


def visible(text: str) -> str:
    """The text as TeX can have it: control characters as U+FFFD."""
    return re.sub(r"[\x00-\x08\x0e-\x1b\x7f-\x84\x86-\x9f]", "\ufffd", text)


def blanks(text: str) -> str:
    """Runs of blanks as one."""
    return re.sub(r"\s+", " ", text).strip()


def plain(text: str) -> str:
    """The text as RIS can have it: one line, no controls."""
    return re.sub(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+", " ", text)


def untexed(text: str) -> str:
    """Undo the commands, the longest first, each sign once."""
    signs = {command: sign for sign, command in (COMMANDS | ALONE).items()} | {
        v: k for k, v in COMMANDS.items()
    }
    pattern = "|".join(re.escape(command) for command in sorted(signs, key=len, reverse=True))
    return re.sub(pattern, lambda match: signs[match[0]], text)


@FEW
@given(TEXTS)
def test_tables_hold_any_text(text: str) -> None:
    """CSV and Parquet give back every cell to the character."""
    held = holding(hostile=text)
    for table in TABLES:
        rows = list(rows_of(held, table.name))
        read = list(csv.reader(io.StringIO("".join(csv_text(table, rows)), newline="")))
        assert read[0] == [column.name for column in table.columns]
        assert [cells_of(row) for row in rows] == read[1:]
        file = io.BytesIO()
        write_parquet(table, rows, file)
        assert [
            tuple(r.values()) for r in parquet.read_table(io.BytesIO(file.getvalue())).to_pylist()
        ] == rows


def cells_of(row: tuple[Any, ...]) -> list[str]:
    """A row as CSV has it, made in another way than by the writer."""
    words = {True: "true", False: "false", None: ""}
    return [
        words[v] if v is None or isinstance(v, bool)
        else json.dumps(v, ensure_ascii=False) if isinstance(v, list)
        else f"{v}"
        for v in row
    ]  # fmt: skip


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1).filter(lambda t: not leads_astray(t)))
def test_a_path_in_a_manifest_reads_back(name: str) -> None:
    """Whatever a path is made of, its line is one line, and it is the same path again."""
    path = f"data/{name}"
    assert decoded(encoded(path)) == path
    if not leads_astray(path):
        assert read_manifest(manifest({path: "ab" * 64}), "m", payload=True) == {path: "ab" * 64}


@given(st.lists(TEXTS, min_size=1, max_size=8), st.randoms())
def test_scans_have_names_that_are_safe_and_their_own(names: list[str], order: Any) -> None:
    """No two names are one on any disk, and they don't hang on the order of the scans."""
    scans = [ScanFile(f"{n:064x}", name, "image/jpeg", 1, 1) for n, name in enumerate(names, start=1)]
    paths = scan_paths(scans)
    assert len({path.casefold() for path in paths.values()}) == len(scans)
    assert all(re.fullmatch(r"data/scans/[A-Za-z0-9._-]{1,140}", path) for path in paths.values())
    assert not any(leads_astray(path) for path in paths.values())
    order.shuffle(scans)
    assert scan_paths(scans) == paths


@given(st.lists(st.tuples(st.from_regex(r"[A-Za-z][A-Za-z-]{0,10}", fullmatch=True), TEXTS), max_size=4))
def test_bag_info_can_not_be_led_to_say_more(fields: list[tuple[str, str]]) -> None:
    """As many labels come back as had a text, whatever is in the texts."""
    told = [(label, text) for label, text in fields if text]
    assert [label for label, _ in read_info(info(fields))] == [label for label, _ in told]


@example((0.0, 1.0, 1.0, 1e-211), (1, 2))
@given(st.tuples(*[st.floats(-500, 1500, allow_nan=False)] * 4), st.tuples(*[st.integers(1, 1000)] * 2))
def test_a_box_never_leaves_the_page(box: Any, size: Any) -> None:
    """Cut off at the edges and never empty, or none at all; what was cut once is not cut again."""
    kept = clipped(box, size)
    if kept is not None:
        left, top, width, height = kept
        assert 0 <= left < left + width <= size[0]
        assert 0 <= top < top + height <= size[1]
        assert clipped(kept, size) == kept


def test_the_same_state_gives_the_same_bytes() -> None:
    """Two holdings of one state give one text in every format."""
    one, other = holding(), replace(holding())
    for write in (provenance, web_annotations, lambda held: iiif(held, "S1")):
        assert "".join(write(one)) == "".join(write(other))
    for table in TABLES:
        files = []
        for held in (one, other):
            file = io.BytesIO()
            write_parquet(table, rows_of(held, table.name), file)
            files.append(file.getvalue())
        assert files[0] == files[1]


@pytest.mark.parametrize("text", [t for t in NASTY if "{{" not in t and len(t) < 100 and t.strip()])
def test_another_program_reads_bibtex_to_its_end(text: str) -> None:
    """pandoc finds both entries, whatever stands in the first."""
    sources = [
        Source(source_id="S1", kind="register", title=text),
        Source(source_id="S2", kind="register", title="B"),
    ]
    read = json.loads(pypandoc.convert_text(bibtex(sources), "csljson", format="bibtex"))
    assert [one["id"] for one in read] == ["S1", "S2"]
