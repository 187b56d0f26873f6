"""Who read, linked and decided what from what: PROV-O (W3C Recommendation, 30 April 2013) as JSON-LD 1.1.

| here | in PROV |
| --- | --- |
| source, scan, reading, line, decision, claim, fitment, finding; a history collects fitments | entity |
| taking in, a run of a recogniser, deciding, reconciling | activity |
| a person, a recogniser, this program at its version | agent |

A line that was read is derived from the reading, one that was typed is quoted from its source. A corrected
line is a revision of the line as it came. A decision that was taken back was invalidated by the deciding
that took it back. Times stand only where they are stated to the second, in UTC.

The context is written out in the file, so that a parser needs no network; every term in it is one of PROV,
Dublin Core or RDF Schema.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final, TypeAlias

from numbertaker.evidence.decisions import standing, told_with, verdicts
from numbertaker.evidence.records import CELL_FIELDS, CellKey, Decision, Line
from numbertaker.publishing.compose import CAUTION
from numbertaker.publishing.keeping.names import cell_id, digest_name, fragment_id, segment, utc
from numbertaker.publishing.keeping.streams import object_with_list
from numbertaker.publishing.keeping.values import Holding, PageReading
from numbertaker.reconciling.history import CellMeaning, ComponentHistory, Finding

Node: TypeAlias = dict[str, Any]

_LINKS: Final = (
    "used",
    "wasGeneratedBy",
    "wasAssociatedWith",
    "wasAttributedTo",
    "wasDerivedFrom",
    "wasQuotedFrom",
    "wasRevisionOf",
    "hadPrimarySource",
    "hadMember",
    "wasInfluencedBy",
    "wasInvalidatedBy",
)
RECONCILING: Final = "#reconciling"
EVIDENCE: Final = "#evidence"
PROGRAM: Final = "#program"


def provenance(holding: Holding) -> Iterator[str]:
    """The document piece by piece, a thing a line."""
    base = f"{holding.address}/keep/provenance.jsonld"
    return object_with_list({"@context": _context(base)}, "@graph", _nodes(holding))


def _context(base: str) -> Node:
    return {
        "@version": 1.1,
        "@base": base,
        "prov": "http://www.w3.org/ns/prov#",
        "dcterms": "http://purl.org/dc/terms/",
        "rdfs": "http://www.w3.org/2000/01/rdf-schema#",
        "xsd": "http://www.w3.org/2001/XMLSchema#",
        **{name: {"@id": f"prov:{name}", "@type": "@id"} for name in _LINKS},
        "endedAtTime": {"@id": "prov:endedAtTime", "@type": "xsd:dateTime"},
        "value": "prov:value",
        "label": "rdfs:label",
        "comment": "rdfs:comment",
        "title": "dcterms:title",
        "kind": "dcterms:type",
        "identifier": "dcterms:identifier",
        "rights": "dcterms:rights",
        "format": "dcterms:format",
        "extent": "dcterms:extent",
        "page": {"@id": "rdfs:seeAlso", "@type": "@id"},
    }


def _nodes(holding: Holding) -> Iterator[Node]:
    yield {"@id": "", "@type": "prov:Entity", "title": "Provenance", "comment": CAUTION}
    yield from _agents(holding)
    yield from _sources(holding)
    yield from _scans(holding)
    for reading in holding.readings:
        yield from _reading(reading)
    yield from _lines(holding)
    yield from _decisions(holding)
    yield from _reconciled(holding)


def _node(name: str, kind: str, types: str | list[str] = "prov:Entity", /, **said: Any) -> Node:
    """A thing with what is said of it; what is empty is left out."""
    return {"@id": name, "@type": types, "kind": kind} | {key: one for key, one in said.items() if one}


def _agents(holding: Holding) -> Iterator[Node]:
    yield _node(PROGRAM, "program", ["prov:Agent", "prov:SoftwareAgent"], label=holding.program)
    by = [*(s.by for s in holding.scans), *(d.by for d in holding.evidence.decisions)]
    for name in _once(by):
        yield _node(_person(name), "person", ["prov:Agent", "prov:Person"], label=name)
    for name in _once(reading.recogniser for reading in holding.readings):
        types = ["prov:Agent", "prov:SoftwareAgent"]
        yield _node(fragment_id("recogniser", name), "recogniser", types, label=name)


def _once(names: Iterable[str]) -> list[str]:
    return [name for name in dict.fromkeys(names) if name]


def _person(name: str) -> str:
    return fragment_id("person", name) if name else ""


def _source(source_id: str) -> str:
    return fragment_id("source", source_id)


def _sources(holding: Holding) -> Iterator[Node]:
    for source in holding.ruled.evidence.sources:
        yield _node(
            _source(source.source_id),
            "source",
            title=source.title,
            identifier=source.source_id,
            rights=source.rights,
            page=f"{holding.address}/sources/{segment(source.source_id)}",
            wasDerivedFrom=[_source(parent) for parent in source.parents],
        )


def _scans(holding: Holding) -> Iterator[Node]:
    sources: dict[str, dict[str, None]] = {}
    for page in holding.pages:
        card = holding.cards.get(page.card_id)
        if card is not None:
            sources.setdefault(page.sha256, {})[_source(card.source_id)] = None
    for scan in holding.scans:
        yield _node(
            digest_name(scan.sha256),
            "scan",
            title=scan.name,
            format=scan.media_type,
            extent=f"{scan.bytes_} bytes",
            page=f"{holding.address}/scans/{scan.sha256}",
            hadPrimarySource=list(sources.get(scan.sha256, ())),
        )
        if scan.by or utc(scan.at):
            yield _node(
                fragment_id("taking-in", scan.sha256),
                "taking in",
                "prov:Activity",
                used=digest_name(scan.sha256),
                wasAssociatedWith=_person(scan.by),
                endedAtTime=utc(scan.at),
            )


def _reading_name(reading: PageReading) -> str:
    return f"{reading.card_id}/{reading.sha256}/{reading.page}"


def _reading(reading: PageReading) -> Iterator[Node]:
    name, scan = _reading_name(reading), digest_name(reading.sha256)
    recogniser = fragment_id("recogniser", reading.recogniser) if reading.recogniser else ""
    run = fragment_id("reading-run", name)
    yield _node(
        run,
        "reading run",
        "prov:Activity",
        used=scan,
        wasAssociatedWith=recogniser,
        endedAtTime=utc(reading.at),
    )
    yield _node(
        fragment_id("reading", name),
        "reading",
        label=f"Card {reading.card_id}, page {reading.page} of its scan, as read",
        wasGeneratedBy=run,
        wasDerivedFrom=scan,
        wasAttributedTo=recogniser,
    )


def _line(line_id: str) -> str:
    return fragment_id("line", line_id)


def as_ruled(line_id: str) -> str:
    """The name of a line with its corrections followed."""
    return fragment_id("line-as-corrected", line_id)


def _lines(holding: Holding) -> Iterator[Node]:
    read = {line["line_id"]: _reading_name(r) for r in holding.readings for line in r.body["lines"]}
    for line in holding.evidence.lines:
        came_from = read.get(line.line_id) if line.reading else None
        from_reading = fragment_id("reading", came_from) if came_from else ""
        yield _node(
            _line(line.line_id),
            "line",
            value=_written(line),
            wasDerivedFrom=from_reading,
            wasQuotedFrom="" if from_reading else _source(line.source_id),
            hadPrimarySource=_source(line.source_id),
        )
    corrected = _corrected(holding)
    for line_id, decisions in corrected.items():
        yield _node(
            as_ruled(line_id),
            "line, corrected",
            value=_written(holding.lines[line_id]),
            wasRevisionOf=_line(line_id),
            wasDerivedFrom=decisions,
        )


def _written(line: Line) -> str:
    """The cells of a line as written, a tab between."""
    texts = (line.text(field) for field in (*CELL_FIELDS, "place", "remarks"))
    return "\t".join(text for text in texts if text)


def _corrected(holding: Holding) -> dict[str, list[str]]:
    """The lines that standing decisions correct, each with those decisions."""
    found: dict[str, list[str]] = {}
    for decision in standing(holding.evidence.decisions):
        if decision.kind == "cell":
            for cell in told_with(holding.evidence.lines, CellKey.parse(decision.target)):
                if cell.line_id in holding.lines:
                    found.setdefault(cell.line_id, []).append(fragment_id("decision", decision.decision_id))
    return found


def _decisions(holding: Holding) -> Iterator[Node]:
    log = holding.evidence.decisions
    taken_back = {d.revokes: d for d in log if d.revokes}
    for decision in log:
        deciding = fragment_id("deciding", decision.decision_id)
        yield _node(
            deciding,
            "deciding",
            "prov:Activity",
            used=_spoken_of(holding, decision),
            wasAssociatedWith=_person(decision.by),
            endedAtTime=utc(decision.at),
        )
        back = taken_back.get(decision.decision_id)
        yield _node(
            fragment_id("decision", decision.decision_id),
            "decision",
            label=f"{decision.kind}: {decision.target}",
            value=decision.ruling,
            comment=decision.reason,
            wasGeneratedBy=deciding,
            wasAttributedTo=_person(decision.by),
            wasInvalidatedBy=fragment_id("deciding", back.decision_id) if back else "",
        )


def _spoken_of(holding: Holding, decision: Decision) -> list[str]:
    """The entities that a decision speaks of: lines, another decision; a row of the tables is none here."""
    if decision.revokes:
        return [fragment_id("decision", decision.revokes)]
    cells: list[CellKey] = []
    if decision.kind in ("cell", "link"):
        cells = [CellKey.parse(decision.target)]
    elif decision.kind == "finding":
        cells = [cell for _, cell in verdicts(decision.ruling) if cell is not None]
    return list(dict.fromkeys(_line(cell.line_id) for cell in cells if cell.line_id in holding.lines))


def _reconciled(holding: Holding) -> Iterator[Node]:
    yield _node(EVIDENCE, "evidence and decisions", identifier=holding.state)
    yield _node(RECONCILING, "reconciling", "prov:Activity", used=EVIDENCE, wasAssociatedWith=PROGRAM)
    corrected = _corrected(holding)
    for cell in _cells(holding):
        yield _claim(holding, cell, corrected)
    for component in holding.history.components:
        yield from _component(component)
    for finding in holding.history.all_findings():
        yield _finding(finding)


def _cells(holding: Holding) -> Iterator[CellMeaning]:
    """Every claim once: a line may stand in the histories of two components."""
    seen: set[CellKey] = set()
    history = holding.history
    groups = (*(c.cells for c in history.components), history.unplaced, history.engine_cells)
    for cell in (cell for group in groups for cell in group):
        if cell.key not in seen and cell.line_id in holding.lines:
            seen.add(cell.key)
            yield cell


def _claim(holding: Holding, cell: CellMeaning, corrected: dict[str, list[str]]) -> Node:
    decision = holding.ruled.by_cell.get(cell.key)
    return _node(
        cell_id("claim", cell.key),
        "claim",
        value="" if cell.meaning is None else str(cell.meaning),
        wasDerivedFrom=as_ruled(cell.line_id) if cell.line_id in corrected else _line(cell.line_id),
        wasGeneratedBy=RECONCILING,
        wasInfluencedBy=fragment_id("decision", decision) if decision else "",
    )


def _component(component: ComponentHistory) -> Iterator[Node]:
    named = fragment_id("fitment", component.component_id)
    members = [f"{named}/{n}" for n in range(1, len(component.fitments) + 1)]
    for name, fitment in zip(members, component.fitments, strict=True):
        claims = [cell_id("claim", claim) for claim in fitment.claims]
        yield _node(
            name,
            "fitment",
            label=f"{component.component_id} on {fitment.engine_id}",
            wasDerivedFrom=claims or [_line(line_id) for line_id in fitment.evidence],
            wasGeneratedBy=RECONCILING,
        )
    yield _node(
        fragment_id("history", component.component_id),
        "history",
        ["prov:Entity", "prov:Collection"],
        label=f"History of {component.component_id}",
        hadMember=members,
        wasGeneratedBy=RECONCILING,
        wasInfluencedBy=[fragment_id("decision", one) for one in component.decisions],
    )


def _finding(finding: Finding) -> Node:
    claims = [cell_id("claim", claim) for claim in finding.claims]
    return _node(
        fragment_id("finding", finding.id),
        "finding",
        label=finding.kind,
        comment=finding.message,
        wasDerivedFrom=claims or [_line(line_id) for line_id in finding.lines],
        wasGeneratedBy=RECONCILING,
        wasInfluencedBy=fragment_id("decision", finding.settled_by) if finding.settled_by else "",
    )
