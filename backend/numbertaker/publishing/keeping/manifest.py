"""The scans of a source for any viewer: a IIIF Presentation 3.0 manifest, and a collection of all of them.

Each page that shows a card is a canvas as large as the page in pixels; the picture is painted on it, and each
line with its box is an annotation that supplements it. A canvas also leads to what was read on it, in ALTO
and in hOCR. Everything is named below the address of the archive, where `numbertaker serve` gives it out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final, TypeAlias

from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import Source
from numbertaker.publishing.compose import CAUTION
from numbertaker.publishing.keeping.annotations import box_selector, line_text, text_body
from numbertaker.publishing.keeping.names import rights_address, segment
from numbertaker.publishing.keeping.places import Place
from numbertaker.publishing.keeping.streams import object_with_list
from numbertaker.publishing.keeping.values import Holding, ShownPage

Node: TypeAlias = dict[str, Any]

CONTEXT: Final = "http://iiif.io/api/presentation/3/context.json"
ALTO_PROFILE: Final = "http://www.loc.gov/standards/alto/ns-v4#"
WIDEST: Final = 4_000
"""The widest picture that the server draws, in pixels."""
_SMALL: Final = 200


def shown_sources(holding: Holding) -> list[Source]:
    """The sources that have scans, in the order of the table."""
    return [source for source in holding.ruled.evidence.sources if source.source_id in holding.pages_of]


def collection(holding: Holding) -> str:
    """A IIIF collection that names the manifest of each source with scans."""
    items = [
        {"id": _manifest_id(holding, s.source_id), "type": "Manifest", "label": _none(s.title)}
        for s in shown_sources(holding)
    ]
    head = {
        "@context": CONTEXT,
        "id": f"{holding.address}/iiif/collection.json",
        "type": "Collection",
        "label": _english("Scans of an archive"),
    }
    return "".join(object_with_list(head, "items", items))


def manifest(holding: Holding, source_id: str) -> Iterator[str]:
    """The manifest of one source piece by piece, a canvas a line; `NotFound` where it has no scans."""
    source, pages = holding.sources.get(source_id), holding.pages_of.get(source_id)
    if source is None or pages is None:
        raise NotFound("source with scans", source_id)
    head: Node = {
        "@context": CONTEXT,
        "id": _manifest_id(holding, source_id),
        "type": "Manifest",
        "label": _none(source.title),
        "metadata": _metadata(source),
        "requiredStatement": {"label": _english("Caution"), "value": _english(CAUTION)},
    }
    rights = rights_address(source.rights)
    if rights is not None:
        head["rights"] = rights
    return object_with_list(head, "items", (_canvas(holding, page) for page in pages))


def _manifest_id(holding: Holding, source_id: str) -> str:
    return f"{holding.address}/iiif/{segment(source_id)}/manifest.json"


def _english(text: str) -> dict[str, list[str]]:
    """A text of the program."""
    return {"en": [text]}


def _none(text: str) -> dict[str, list[str]]:
    """A text of the source, in whatever language it is."""
    return {"none": [text]}


def _metadata(source: Source) -> list[Node]:
    said = (
        ("Repository", source.repository),
        ("Collection", source.collection),
        ("Reference", source.reference),
        ("Item", source.item),
        ("Author", source.author),
        ("Publisher", source.publisher),
        ("Created", source.created),
        ("Seen", source.seen),
        ("Rights", source.rights),
    )
    return [{"label": _english(label), "value": _none(text)} for label, text in said if text]


def _canvas(holding: Holding, page: ShownPage) -> Node:
    card, scan = holding.cards[page.card_id], holding.scan_of[page.sha256]
    where = (page.sha256, page.page, page.card_id)
    name = f"{holding.address}/iiif/canvas/{page.sha256}/{page.page}/{segment(page.card_id)}"
    made: Node = {
        "id": name,
        "type": "Canvas",
        "label": _none(card.locator or card.card_id),
        "width": page.size[0],
        "height": page.size[1],
        "metadata": [
            {"label": _english("File"), "value": _none(scan.name)},
            {"label": _english("SHA-256"), "value": _none(scan.sha256)},
            {"label": _english("Card"), "value": _none(card.card_id)},
        ],
        "thumbnail": [_picture(holding, page, _SMALL)],
        "items": [_painting(holding, page, name)],
    }
    if where in holding.read_on:
        made |= _as_read(holding, page)
    written = [
        _supplement(holding, name, line_id, holding.places[line_id])
        for line_id in holding.lines_on.get(where, ())
        if line_text(holding.lines[line_id])
    ]
    if written:
        made["annotations"] = [{"id": f"{name}/lines", "type": "AnnotationPage", "items": written}]
    return made


def _painting(holding: Holding, page: ShownPage, canvas: str) -> Node:
    painting = {
        "id": f"{canvas}/painting/1",
        "type": "Annotation",
        "motivation": "painting",
        "body": _picture(holding, page, WIDEST),
        "target": canvas,
    }
    return {"id": f"{canvas}/painting", "type": "AnnotationPage", "items": [painting]}


def _picture(holding: Holding, page: ShownPage, widest: int) -> Node:
    """The page as the server draws it, no wider than it is."""
    width, height = page.size
    wide = min(width, widest)
    return {
        "id": f"{holding.address}/scans/{page.sha256}/{page.page}/picture?width={wide}",
        "type": "Image",
        "format": "image/jpeg",
        "width": wide,
        "height": height if wide == width else max(1, round(height * wide / width)),
    }


def _as_read(holding: Holding, page: ShownPage) -> Node:
    """Where the reading of a page lies, in both page formats."""
    place, card = f"{holding.address}/keep/readings/{page.sha256}/{page.page}", segment(page.card_id)
    return {
        "seeAlso": [
            {
                "id": f"{place}/alto/{card}",
                "type": "Dataset",
                "format": "application/xml",
                "profile": ALTO_PROFILE,
                "label": _english("As read, in ALTO"),
            }
        ],
        "rendering": [
            {
                "id": f"{place}/hocr/{card}",
                "type": "Text",
                "format": "text/html",
                "label": _english("As read, in hOCR"),
            }
        ],
    }


def _supplement(holding: Holding, canvas: str, line_id: str, place: Place) -> Node:
    target: Any = canvas
    if place.box is not None:
        target = {"type": "SpecificResource", "source": canvas, "selector": box_selector(place.box)}
    return {
        "id": f"{canvas}/line/{segment(line_id)}",
        "type": "Annotation",
        "motivation": "supplementing",
        "body": text_body(line_text(holding.lines[line_id])),
        "target": target,
    }
