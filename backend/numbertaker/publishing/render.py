"""A document in one of the formats, as bytes."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Literal, TypeAlias

from numbertaker.evidence.decisions import Ruled
from numbertaker.publishing.books import book
from numbertaker.publishing.compose import component_document
from numbertaker.publishing.document import Document
from numbertaker.publishing.engines import engine_document
from numbertaker.publishing.html import Crops, to_html
from numbertaker.publishing.markdown import to_markdown
from numbertaker.publishing.matter import Matter
from numbertaker.publishing.pictures import Slips
from numbertaker.publishing.watching import Watch, unwatched
from numbertaker.reconciling.history import History

Format: TypeAlias = Literal["json", "md", "html", "docx", "odt", "pdf", "tex", "txt"]
Text: TypeAlias = Literal["json", "md", "html"]


def render_component(
    history: History,
    ruled: Ruled,
    component_id: str,
    fmt: Text,
    *,
    digest: str = "",
    crops: Crops | None = None,
) -> str:
    """The history of one component as text; NotFound where there is none of that id.

    `digest` names the state of evidence and decisions, and is printed; `crops` gives the slip of the scan for
    a line as a data URI, for the notes of the HTML page.
    """
    matter = Matter(history, ruled)
    matter.component(component_id)
    if fmt == "json":
        return as_json(history, [component_id])
    return _written(component_document(matter, component_id, digest), fmt, crops)


def render_engine(
    history: History,
    ruled: Ruled,
    engine_id: str,
    fmt: Text,
    *,
    digest: str = "",
    crops: Crops | None = None,
) -> str:
    """Every component that an engine carried, in order; as JSON, the histories of those components."""
    matter = Matter(history, ruled)
    document = engine_document(matter, engine_id, digest)
    if fmt == "json":
        return as_json(history, (stay.component_id for stay in matter.stays_on(engine_id)))
    return _written(document, fmt, crops)


def render_everything(
    history: History, ruled: Ruled, fmt: Text, *, digest: str = "", crops: Crops | None = None
) -> str:
    """Every component, in one document with an index."""
    if fmt == "json":
        return as_json(history, None)
    return _written(book(Matter(history, ruled), digest), fmt, crops)


def render_document(
    document: Document,
    fmt: Format,
    slips: Slips | None = None,
    attached: Mapping[str, bytes] | None = None,
    watch: Watch = unwatched,
) -> bytes:
    """A document in any format but JSON, whose texts end in one line feed.

    `slips` are the pictures for notes (HTML) and plates; `attached` the files that a PDF carries; `watch` is
    told how far it is.
    """
    from numbertaker.publishing.documents import pandoc, typeset

    match fmt:
        case "docx":
            return pandoc.to_docx(document, slips, watch)
        case "odt":
            return pandoc.to_odt(document, slips, watch)
        case "pdf":
            return typeset.to_pdf(document, slips, attached, watch)
        case "tex":
            return pandoc.to_latex_folder(document, slips, watch)
        case "txt":
            return pandoc.to_plain(document, watch).encode()
        case _:
            return _written(document, fmt, crops_of(slips)).encode()


def crops_of(slips: Slips | None) -> Crops | None:
    """The slips as addresses that hold them, for a page."""
    if slips is None:
        return None

    def crop(line_id: str) -> str | None:
        picture = slips(line_id)
        return None if picture is None else picture.uri

    return crop


def as_json(history: History, component_ids: Iterable[str] | None) -> str:
    """The public format `numbertaker-history/1` as text, ending in one line feed."""
    return json.dumps(history.to_json(component_ids), ensure_ascii=False, indent=2) + "\n"


def _written(document: Document, fmt: str, crops: Crops | None) -> str:
    return to_html(document, crops) if fmt == "html" else to_markdown(document)
