"""What goes out for keeping and analysis, held to standards and read by libraries that no one here wrote.

Each check names its source. Where a schema is in no package that tests can install, the rules of the
standard are written out here instead, and the table says which.

| format | held to |
| --- | --- |
| PROV-O | `rdflib` parses it; domains and ranges of PROV-O (W3C, 2013), written out |
| Web Annotation | the rules of its data model (W3C, 2017), written out |
| IIIF Presentation 3.0 | the rules of iiif.io/api/presentation/3.0, written out |
| ALTO 4.4 | the content models of alto-4-4.xsd (Library of Congress, 2022), written out |
| hOCR 1.2 | the validator of the package `hocr-spec` |
| CSL-JSON | the fields of csl-data.json (citation-style-language/schema), written out; `pandoc` reads it |
| BibTeX, RIS | `pybtex` and `rispy` read them; `pandoc` reads both |
| analysis | `frictionless` checks the tables against their dictionary; `pyarrow` reads Parquet |
"""

from __future__ import annotations

import io
import json
import re
import subprocess
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final
from xml.etree import ElementTree

import pypandoc
import pytest
import rispy
from frictionless import Package
from pyarrow import parquet
from pybtex.database import parse_string
from rdflib import RDF, Graph, Namespace, URIRef
from tests.kept import JPEG, SIZE, holding

from numbertaker.evidence.records import Source
from numbertaker.publishing.analysis import TABLES, csv_text, dictionary, rows_of, write_parquet
from numbertaker.publishing.bibliography import bibtex, csl_json, ris
from numbertaker.publishing.keeping.alto import NAMESPACE, alto
from numbertaker.publishing.keeping.annotations import web_annotations
from numbertaker.publishing.keeping.hocr import hocr
from numbertaker.publishing.keeping.manifest import collection, manifest
from numbertaker.publishing.keeping.provenance import provenance

PROV: Final = Namespace("http://www.w3.org/ns/prov#")
# PROV-O, section 4: from what kind of thing to what kind of thing each property leads.
LEADS: Final = {
    "used": ("Activity", "Entity"),
    "wasGeneratedBy": ("Entity", "Activity"),
    "wasAssociatedWith": ("Activity", "Agent"),
    "wasAttributedTo": ("Entity", "Agent"),
    "wasDerivedFrom": ("Entity", "Entity"),
    "wasQuotedFrom": ("Entity", "Entity"),
    "wasRevisionOf": ("Entity", "Entity"),
    "hadPrimarySource": ("Entity", "Entity"),
    "hadMember": ("Collection", "Entity"),
    "wasInvalidatedBy": ("Entity", "Activity"),
}


@pytest.fixture(scope="module")
def graph() -> Graph:
    """The provenance of the small world, parsed without a network."""
    with warnings.catch_warnings():
        # The library's own parser of JSON-LD uses what the library has deprecated.
        warnings.simplefilter("ignore", DeprecationWarning)
        return Graph().parse(data="".join(provenance(holding())), format="json-ld")


@pytest.mark.parametrize("name", LEADS)
def test_provenance_keeps_to_domains_and_ranges(graph: Graph, name: str) -> None:
    """Both ends of every relation are in the document, and of the kind that PROV-O says."""
    start, end = LEADS[name]
    found = list(graph.subject_objects(PROV[name]))
    assert found
    for one, other in found:
        assert (one, RDF.type, PROV[start]) in graph, f"{one} {name}"
        assert (other, RDF.type, PROV[end]) in graph, f"{name} {other}"


def test_provenance_says_who_did_what(graph: Graph) -> None:
    """The person decided, the recogniser read, the program reconciled; what was taken back is invalid."""
    base = "http://127.0.0.1:8000/api/keep/provenance.jsonld#"
    ends = {str(a).removeprefix(base): str(b).removeprefix(base) for a, b in
            graph.subject_objects(PROV.wasAssociatedWith)}  # fmt: skip
    assert ends["deciding=D2"] == "person=A.%20Reader"
    assert ends["reconciling"] == "program"
    assert [v for k, v in ends.items() if k.startswith("reading-run=")] == ["recogniser=reader-1"]
    taken_back = list(graph.subject_objects(PROV.wasInvalidatedBy))
    assert taken_back == [(URIRef(f"{base}decision=D3"), URIRef(f"{base}deciding=D4"))]
    corrected = list(graph.subject_objects(PROV.wasRevisionOf))
    assert corrected == [(URIRef(f"{base}line-as-corrected=a2"), URIRef(f"{base}line=a2"))]


def test_times_of_provenance_are_times(graph: Graph) -> None:
    """Each `endedAtTime` is an xsd:dateTime that a library makes a time of."""
    times = list(graph.objects(None, PROV.endedAtTime))
    assert times
    assert all(time.toPython().tzinfo is not None for time in times)  # type: ignore[attr-defined]


MOTIVATIONS: Final = frozenset(
    {"assessing", "bookmarking", "classifying", "commenting", "describing", "editing", "highlighting"}
    | {"identifying", "linking", "moderating", "questioning", "replying", "tagging"}
)
"""Web Annotation Vocabulary, section 4: all thirteen."""
REGION: Final = re.compile(r"xywh=\d+,\d+,[1-9]\d*,[1-9]\d*", re.ASCII)


def selectors(target: Any) -> Iterator[dict[str, Any]]:
    """Every selector of a target, those that refine another too."""
    for one in target if isinstance(target, list) else [target]:
        selector = one.get("selector") if isinstance(one, dict) else None
        while selector is not None:
            yield selector
            selector = selector.get("refinedBy")


def check_selector(selector: dict[str, Any]) -> None:
    """Web Annotation Data Model, 4.2.1: one type, one value, and the specification of the fragment."""
    assert selector["type"] == "FragmentSelector"
    assert isinstance(selector["value"], str)
    if selector.get("conformsTo") == "http://www.w3.org/TR/media-frags/":
        assert REGION.fullmatch(selector["value"])
    else:
        assert re.fullmatch(r"page=\d+", selector["value"])


def test_annotations_keep_to_their_data_model() -> None:
    """Section 3.1: the context, an IRI for each, the type, at least one target; known motivations."""
    page = json.loads("".join(web_annotations(holding())))
    assert (page["@context"], page["type"]) == ("http://www.w3.org/ns/anno.jsonld", "AnnotationPage")
    ids = [one["id"] for one in page["items"]]
    assert len(set(ids)) == len(ids)
    for one in page["items"]:
        assert one["id"].startswith("http://")
        assert one["type"] == "Annotation"
        assert one["motivation"] in MOTIVATIONS
        assert one["target"]
        for selector in selectors(one["target"]):
            check_selector(selector)
        for part in one["body"] if isinstance(one["body"], list) else [one["body"]]:
            assert part.get("purpose") in MOTIVATIONS
            assert ("value" in part) == (part["type"] == "TextualBody")


def check_languages(label: Any) -> None:
    """IIIF Presentation 3.0, 4.1: an object of languages, each with a list of texts."""
    assert label
    assert all(isinstance(texts, list) and all(isinstance(t, str) for t in texts) for texts in label.values())


@pytest.mark.parametrize("source_id", ["S1", "S3"])
def test_a_manifest_keeps_to_the_presentation_api(source_id: str) -> None:
    """IIIF Presentation 3.0, chapters 2 to 5: what each kind of resource must have, and where."""
    made = json.loads("".join(manifest(holding(), source_id)))
    assert made["@context"] == "http://iiif.io/api/presentation/3/context.json"
    assert made["type"] == "Manifest"
    assert made["items"]
    check_languages(made["label"])
    for pair in (*made["metadata"], made["requiredStatement"]):
        check_languages(pair["label"])
        check_languages(pair["value"])
    for canvas in made["items"]:
        check_canvas(canvas)


def check_canvas(canvas: dict[str, Any]) -> None:
    assert canvas["type"] == "Canvas"
    assert "#" not in canvas["id"]
    assert canvas["width"] > 0 < canvas["height"]
    (page,) = canvas["items"]
    assert page["type"] == "AnnotationPage"
    (painting,) = page["items"]
    assert (painting["motivation"], painting["target"]) == ("painting", canvas["id"])
    assert painting["body"]["type"] == "Image"
    for linked in (*canvas.get("seeAlso", ()), *canvas.get("rendering", ())):
        assert linked["type"] in ("Dataset", "Text")
        check_languages(linked["label"])
    for extra in canvas.get("annotations", ()):
        for one in extra["items"]:
            assert one["motivation"] == "supplementing"
            assert one["target"]["source"] == canvas["id"]
            check_selector(one["target"]["selector"])


def test_a_collection_names_manifests() -> None:
    """IIIF Presentation 3.0, 5.1: id, type and label of each member, and nothing embedded."""
    made = json.loads(collection(holding()))
    assert (made["type"], len(made["items"])) == ("Collection", 2)
    assert all(set(one) == {"id", "type", "label"} for one in made["items"])


# alto-4-4.xsd: the children of each element in their order, and attributes; those with a star must be there.
CHILDREN: Final = {
    "alto": "Description? Tags? Layout",
    "Description": "MeasurementUnit sourceImageInformation? Processing*",
    "sourceImageInformation": "fileName? fileIdentifier* documentIdentifier*",
    "Processing": "processingCategory? processingDateTime? processingStepDescription* processingSoftware?",
    "processingSoftware": "softwareName?",
    "Tags": "StructureTag* OtherTag*",
    "Layout": "Page+",
    "Page": "PrintSpace?",
    "PrintSpace": "TextBlock*",
    "TextBlock": "TextLine*",
    "TextLine": "(String SP?)+",
}
PLACE: Final = "HPOS VPOS WIDTH HEIGHT"
ATTRIBUTES: Final = {
    "alto": "SCHEMAVERSION",
    "fileIdentifier": "fileIdentifierLocation",
    "documentIdentifier": "documentIdentifierLocation",
    "Processing": "ID*",
    "StructureTag": "ID* TYPE LABEL*",
    "OtherTag": "ID* TYPE LABEL*",
    "Page": "ID* PHYSICAL_IMG_NR* WIDTH HEIGHT PROCESSINGREFS",
    "PrintSpace": PLACE,
    "TextBlock": "ID*",
    "TextLine": f"ID {PLACE} TAGREFS",
    "String": f"CONTENT* {PLACE} WC TAGREFS",
}


def content_model(said: str) -> re.Pattern[str]:
    """A row of the table above as a pattern over the names of the children, a semicolon behind each."""
    return re.compile(re.sub(r"(\w+)", r"(?:\1;)", said).replace(" ", ""))


@pytest.fixture(scope="module")
def alto_file() -> ElementTree.Element:
    """A page as read in ALTO."""
    held = holding()
    return ElementTree.fromstring(alto(held.readings[0], held.scan_of[JPEG], SIZE))


def local(element: ElementTree.Element) -> str:
    """The name of an element, which must be in the namespace of ALTO 4."""
    assert element.tag.startswith(f"{{{NAMESPACE}}}")
    return element.tag.rpartition("}")[2]


def test_alto_keeps_to_the_content_models_of_its_schema(alto_file: ElementTree.Element) -> None:
    """Children in their order, required attributes there and no others (alto-4-4.xsd)."""
    for element in alto_file.iter():
        name = local(element)
        children = "".join(f"{local(child)};" for child in element)
        assert content_model(CHILDREN.get(name, "")).fullmatch(children), f"{name}: {children}"
        allowed = ATTRIBUTES.get(name, "").split()
        given = {key for key in element.attrib if not key.startswith("{")}
        assert given <= {one.rstrip("*") for one in allowed}, name
        assert {one.rstrip("*") for one in allowed if one.endswith("*")} <= given, name


def test_alto_names_each_thing_once_and_refers_to_what_is_there(alto_file: ElementTree.Element) -> None:
    """xsd:ID is unique and no number; xsd:IDREFS lead to one; WC is from 0 to 1 (alto-4-4.xsd, WCType)."""
    ids = [element.get("ID") for element in alto_file.iter() if element.get("ID")]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"[A-Za-z_][\w.-]*", one or "") for one in ids)
    for element in alto_file.iter():
        for name in ("TAGREFS", "PROCESSINGREFS"):
            assert set((element.get(name) or "").split()) <= set(ids)
        assert 0 <= float(element.get("WC", "0")) <= 1
    assert alto_file.findtext(f".//{{{NAMESPACE}}}MeasurementUnit") in ("pixel", "mm10", "inch1200")


def test_hocr_is_valid_by_its_validator(tmp_path: Path) -> None:
    """The package `hocr-spec` finds no error and warns of nothing."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from hocr_spec import HocrValidator
    held = holding()
    file = tmp_path / "page.html"
    file.write_text(hocr(held.readings[0], held.scan_of[JPEG], SIZE), encoding="utf-8")
    report = HocrValidator("standard").validate(str(file), parse_strict=True)
    assert report.is_valid()
    assert {item.level for item in report.items} <= {"DEBUG"}


SOURCES: Final = (
    Source(
        source_id="S/1",
        kind="component-card",
        title="Boiler {record} cards & lists, 50 %",
        author="Merrowdale & Ostrey Railway, Brackwith Works",
        repository="Ostrey Town Museum",
        collection="Records",
        reference="MOR/CME/4",
        item="box 3",
        created="1903/1962",
        seen="2024-05",
        rights="CC0-1.0",
        note="Worn at the edges.",
    ),
    Source(
        source_id="S2",
        kind="published",
        title="Boilers: a list",
        author="Oram, T. H.; Vane, E.",
        publisher="Thrunby Press",
        created="1964~",
        address="https://example.org/list?a=1&b=2",
        compiled_from="S/1",
    ),
    Source(source_id="S3", kind="letter", title="To the editor", created="1961-03-04", seen="2024-21"),
    Source(source_id="S4", kind="photograph", title="208 at Thrunby", created="[1911,1912]"),
)
CSL_TEXTS: Final = frozenset(
    {"id", "type", "title", "publisher", "archive", "archive_collection", "archive_location"}
    | {"part", "genre", "URL", "note"}
)
CSL_TYPES: Final = frozenset(
    {"book", "manuscript", "personal_communication", "graphic", "interview", "document"}
)


def test_csl_json_has_no_field_but_those_of_the_schema() -> None:
    """csl-data.json: required `id` and `type`, no additional properties, names and dates of fixed shapes."""
    made = json.loads(csl_json(SOURCES))
    for one in made:
        assert {"id", "type"} <= one.keys() <= CSL_TEXTS | {"author", "issued", "accessed", "custom"}
        assert one["type"] in CSL_TYPES
        assert all(isinstance(one[key], str) and one[key] for key in CSL_TEXTS & one.keys())
        assert all(set(name) in ({"family", "given"}, {"literal"}) for name in one.get("author", ()))
        for date in (one[key] for key in ("issued", "accessed") if key in one):
            assert set(date) <= {"date-parts", "season", "circa", "literal"}
            parts = date.get("date-parts", [[1]])
            assert 1 <= len(parts) <= 2
            assert all(1 <= len(end) <= 3 for end in parts)


def test_csl_json_says_of_dates_what_it_can() -> None:
    """A range by its two ends, a doubt as `circa`, a season by its number, a set of years in words."""
    one, two, three, four = json.loads(csl_json(SOURCES))
    assert one["issued"] == {"date-parts": [[1903], [1962]]}
    assert two["issued"] == {"date-parts": [[1964]], "circa": True}
    assert three["accessed"] == {"date-parts": [[2024]], "season": 1}
    assert set(four["issued"]) == {"literal"}
    assert two["author"] == [{"family": "Oram", "given": "T. H."}, {"family": "Vane", "given": "E."}]
    assert one["author"] == [{"literal": "Merrowdale & Ostrey Railway, Brackwith Works"}]


def as_csl(text: str, form: str) -> list[dict[str, Any]]:
    """What pandoc, whose readers are its own, understands of a bibliography."""
    command = [pypandoc.get_pandoc_path(), "-f", form, "-t", "csljson"]
    run = subprocess.run(command, input=text, capture_output=True, text=True, check=True, encoding="utf-8")
    return json.loads(run.stdout)  # type: ignore[no-any-return]


@pytest.mark.parametrize(("write", "form"), [(csl_json, "csljson"), (bibtex, "bibtex"), (ris, "ris")])
def test_pandoc_reads_the_titles_of_all_three(write: Any, form: str) -> None:
    """Each title comes out of another program as it went in."""
    assert [one["title"] for one in as_csl(write(SOURCES), form)] == [source.title for source in SOURCES]


def test_bibtex_is_read_by_a_library() -> None:
    """`pybtex` finds each entry, its authors taken apart rightly, and the place in the archive."""
    made = parse_string(bibtex(SOURCES), "bibtex")
    assert list(made.entries) == ["S-1", "S2", "S3", "S4"]
    first, second = made.entries["S-1"], made.entries["S2"]
    assert first.fields["howpublished"] == "Ostrey Town Museum, Records, MOR/CME/4, box 3"
    assert [str(person) for person in second.persons["author"]] == ["Oram, T. H.", "Vane, E."]
    assert (second.type, second.fields["year"], second.fields["url"]) == ("book", "1964", SOURCES[1].address)


def test_ris_is_read_by_a_library() -> None:
    """`rispy` finds each record with its fields."""
    made = rispy.loads(ris(SOURCES))
    assert [one["type_of_reference"] for one in made] == ["MANSCPT", "BOOK", "PCOMM", "FIGURE"]
    assert made[0]["call_number"] == "MOR/CME/4"
    assert made[1]["authors"] == ["Oram, T. H.", "Vane, E."]
    assert made[2]["date"] == "1961/03/04/"


def test_the_tables_keep_to_their_dictionary(tmp_path: Path) -> None:
    """`frictionless` finds every table valid against its schema, and the descriptor against its profile."""
    held = holding()
    (tmp_path / "datapackage.json").write_text(dictionary(held.program, held.state), encoding="utf-8")
    for table in TABLES:
        text = "".join(csv_text(table, rows_of(held, table.name)))
        (tmp_path / f"{table.name}.csv").write_text(text, encoding="utf-8", newline="")
    report = Package(str(tmp_path / "datapackage.json")).validate()
    assert report.flatten(["taskName", "rowNumber", "message"]) == []
    assert [task.stats["rows"] for task in report.tasks] == [3, 7, 11, 2]


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_parquet_holds_the_same_as_csv(table: Any) -> None:
    """`pyarrow` reads back what the rows have, each column in the type of the dictionary."""
    held, file = holding(), io.BytesIO()
    write_parquet(table, rows_of(held, table.name), file)
    read = parquet.read_table(io.BytesIO(file.getvalue()))
    assert [tuple(row.values()) for row in read.to_pylist()] == list(rows_of(held, table.name))
    assert read.schema.names == [column.name for column in table.columns]
