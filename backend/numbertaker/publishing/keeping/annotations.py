"""What is known of the scans, as W3C Web Annotations (Recommendation, 23 February 2017).

| of | motivation | body |
| --- | --- | --- |
| a line as written | `describing` | its text |
| a link | `identifying` | the engine or component that is meant |
| a correction that stands | `editing` | the text as it should have been read, and the reason |
| a finding | `questioning` while open, `assessing` once settled | what it says |

A target is the scan with a selector: the page, where the file has several, refined by the box in whole
pixels (Media Fragments). Where no box is known the target is the scan or the page as a whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final, TypeAlias

from numbertaker.evidence.decisions import standing
from numbertaker.evidence.records import CELL_FIELDS, CellKey, Decision, Line
from numbertaker.publishing.keeping.names import cell_id, fragment_id, segment, utc
from numbertaker.publishing.keeping.places import Box, Place, fragment
from numbertaker.publishing.keeping.streams import object_with_list
from numbertaker.publishing.keeping.values import Holding
from numbertaker.reconciling.history import CellMeaning, Finding

Node: TypeAlias = dict[str, Any]

CONTEXT: Final = "http://www.w3.org/ns/anno.jsonld"
MEDIA_FRAGMENTS: Final = "http://www.w3.org/TR/media-frags/"
PDF_FRAGMENTS: Final = "http://tools.ietf.org/rfc/rfc3778"
"""The specification that the data model names for fragments of PDF (Web Annotation, 4.2.1)."""
LINKED: Final = ("heading", "heading_name", "engine", "engine_name", "component")


def web_annotations(holding: Holding) -> Iterator[str]:
    """One page of annotations piece by piece, an annotation a line."""
    base = f"{holding.address}/keep/annotations.jsonld"
    head = {"@context": CONTEXT, "id": base, "type": "AnnotationPage"}
    return object_with_list(head, "items", (_named(base, one) for one in _items(holding)))


def _named(base: str, item: Node) -> Node:
    return {"id": base + item["id"], "type": "Annotation"} | {k: v for k, v in item.items() if k != "id"}


def _items(holding: Holding) -> Iterator[Node]:
    for line_id, place in holding.places.items():
        text = line_text(holding.lines[line_id])
        if text:
            yield {
                "id": fragment_id("line", line_id),
                "motivation": "describing",
                "body": text_body(text, "describing"),
                "target": _target(holding, place, place.box),
            }
    yield from _links(holding)
    for decision in standing(holding.evidence.decisions):
        if decision.kind == "cell":
            yield from _correction(holding, decision)
    for finding in holding.history.all_findings():
        yield from _finding(holding, finding)


def line_text(line: Line) -> str:
    """The cells of a line as written, a tab between; without the heading, which is the card's."""
    fields = (field for field in (*CELL_FIELDS, "place", "remarks") if not field.startswith("heading"))
    return "\t".join(text for text in (line.text(field) for field in fields) if text)


def text_body(text: str, purpose: str = "") -> Node:
    """A text as the body of an annotation."""
    body = {"type": "TextualBody", "value": text, "format": "text/plain"}
    return body | {"purpose": purpose} if purpose else body


def _links(holding: Holding) -> Iterator[Node]:
    known = {e.engine_id: "engines" for e in holding.ruled.evidence.engines}
    known |= {c.component_id: "components" for c in holding.ruled.evidence.components}
    history = holding.history
    groups = (*(c.cells for c in history.components), history.unplaced, history.engine_cells)
    seen: set[CellKey] = set()
    for cell in (cell for group in groups for cell in group):
        meant = known.get(cell.meaning) if isinstance(cell.meaning, str) else None
        if cell.field in LINKED and meant is not None and cell.key not in seen:
            seen.add(cell.key)
            yield from _link(holding, cell, f"{holding.address}/{meant}/{segment(str(cell.meaning))}")


def _link(holding: Holding, cell: CellMeaning, meant: str) -> Iterator[Node]:
    place = holding.places.get(cell.line_id)
    if place is not None:
        yield {
            "id": cell_id("link", cell.key),
            "motivation": "identifying",
            "body": {"type": "SpecificResource", "source": meant, "purpose": "identifying"},
            "target": _target(holding, place, place.cells.get(cell.field, place.box)),
        }


def _correction(holding: Holding, decision: Decision) -> Iterator[Node]:
    cell = CellKey.parse(decision.target)
    place = holding.places.get(cell.line_id)
    if place is None:
        return
    made: Node = {
        "id": fragment_id("correction", decision.decision_id),
        "motivation": "editing",
        "creator": {"type": "Person", "name": decision.by},
        "body": [text_body(decision.ruling, "editing"), text_body(decision.reason, "commenting")],
        "target": _target(holding, place, place.cells.get(cell.field, place.box)),
    }
    at = utc(decision.at)
    yield made | ({"created": at} if at else {})


def _finding(holding: Holding, finding: Finding) -> Iterator[Node]:
    cells: Iterable[CellKey] = finding.claims or (CellKey(line_id, "") for line_id in finding.lines)
    targets: list[Any] = []
    for cell in cells:
        place = holding.places.get(cell.line_id)
        target = None if place is None else _target(holding, place, place.cells.get(cell.field, place.box))
        if target is not None and target not in targets:
            targets.append(target)
    if targets:
        motivation = "questioning" if finding.settled_by is None else "assessing"
        yield {
            "id": fragment_id("finding", finding.id),
            "motivation": motivation,
            "body": text_body(finding.message, motivation),
            "target": targets[0] if len(targets) == 1 else targets,
        }


def _target(holding: Holding, place: Place, box: Box | None) -> Node | str:
    scan = holding.scan_of[place.sha256]
    source = f"{holding.address}/scans/{scan.sha256}"
    selector = None if box is None else box_selector(box)
    if scan.pages > 1:
        page: Node = {"type": "FragmentSelector", "value": f"page={place.page}"}
        if scan.media_type == "application/pdf":
            page["conformsTo"] = PDF_FRAGMENTS
        selector = page | ({} if selector is None else {"refinedBy": selector})
    if selector is None:
        return source
    return {"type": "SpecificResource", "source": source, "selector": selector}


def box_selector(box: Box) -> Node:
    """A selector of a box in pixels."""
    return {"type": "FragmentSelector", "conformsTo": MEDIA_FRAGMENTS, "value": fragment(box)}
