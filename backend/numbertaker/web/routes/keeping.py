"""What goes out for keeping and for analysis: bags, linked data, pages as read, sources, tables."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Annotated, Any, Final, Literal, TypeAlias

from fastapi import APIRouter, Query, Request, Response
from fastapi import Path as InPath
from fastapi.responses import FileResponse, StreamingResponse
from starlette.background import BackgroundTask

from numbertaker.usecases.keep import exports
from numbertaker.usecases.keep.bag import write_bag
from numbertaker.usecases.keep.view import KeepView, keep_view
from numbertaker.web.failures import failures
from numbertaker.web.guard import NOTHING_RUNS
from numbertaker.web.wanted import TheArchive

router = APIRouter(tags=["keeping and analysis"])

Digest = Annotated[str, InPath(pattern="^[0-9a-f]{64}$", description="The SHA-256 of the scan.")]
PageNumber = Annotated[int, InPath(ge=1, le=100_000, description="Counted from 1.")]
LinkedData: TypeAlias = Literal["provenance", "annotations"]
PageFormat: TypeAlias = Literal["alto", "hocr"]
Pages: TypeAlias = Literal["alto", "hocr", "iiif"]
Style: TypeAlias = Literal["csl", "bibtex", "ris"]

_LD: Final = "application/ld+json"
_IIIF: Final = 'application/ld+json;profile="http://iiif.io/api/presentation/3/context.json"'
_ZIP: Final = "application/zip"
_STYLES: Final[dict[Style, tuple[str, str]]] = {
    "csl": ("application/vnd.citationstyles.csl+json", "sources.csl.json"),
    "bibtex": ("application/x-bibtex; charset=utf-8", "sources.bib"),
    "ris": ("application/x-research-info-systems; charset=utf-8", "sources.ris"),
}
_PAGE: Final[dict[PageFormat, str]] = {"alto": "application/xml", "hocr": "text/html; charset=utf-8"}
_FRESH: Final = {"Cache-Control": "no-cache"}


def _gives(
    what: str, media_type: str, *statuses: int, example: Any = None
) -> dict[int | str, dict[str, Any]]:
    """The answers of a route that gives a file."""
    schema: dict[str, Any] = {"schema": {"type": "object"} if "json" in media_type else {"type": "string"}}
    shown = schema if example is None else schema | {"example": example}
    content = {} if media_type == _ZIP else shown
    return {
        200: {"description": what, "content": {media_type: content}},
        **failures(*statuses, of_json=False),
    }


@router.get("/keep", summary="What stands in the way of a bag, and what it would hold")
def keep(archive: TheArchive) -> KeepView:
    """Scans whose files are gone, sources with scans that state no rights, scans that were never taken in."""
    return keep_view(archive)


@router.get(
    "/keep/bag.zip",
    summary="Everything for keeping, as a bag",
    response_class=FileResponse,
    responses=_gives("A bag by BagIt 1.0, zipped.", _ZIP, 409, 422),
)
def bag(
    archive: TheArchive,
    rights_not_stated: Annotated[bool, Query(description="Also where sources state no rights.")] = False,
) -> FileResponse:
    """Scans byte for byte, evidence, decisions, readings, histories and linked data, with their checksums."""
    name = f"{archive.name}-bag.zip"
    return _file(name, lambda out: write_bag(archive, out, rights_not_stated=rights_not_stated))


@router.get(
    "/keep/{what}.jsonld",
    summary="Provenance or annotations, as linked data",
    response_class=StreamingResponse,
    responses=_gives(
        "W3C PROV-O, or a page of W3C Web Annotations, as JSON-LD.",
        _LD,
        422,
        example={
            "@context": "http://www.w3.org/ns/anno.jsonld",
            "id": "http://127.0.0.1:8000/api/keep/annotations.jsonld",
            "type": "AnnotationPage",
            "items": [],
        },
    ),
)
def linked_data(archive: TheArchive, request: Request, what: LinkedData) -> StreamingResponse:
    """Who read, linked and decided what from what; or lines, links, corrections and findings on the scans."""
    return _streamed(exports.linked_data(archive, what, _address(request)), _LD, f"{what}.jsonld")


@router.get(
    "/keep/pages-{what}.zip",
    summary="Every page as read, or every source's manifest",
    response_class=FileResponse,
    responses=_gives("A file a page in ALTO 4.4 or hOCR 1.2, or a file a source in IIIF.", _ZIP, 422),
)
def pages(archive: TheArchive, request: Request, what: Pages) -> FileResponse:
    """The same that `numbertaker keep` writes."""
    name = f"{archive.name}-{what}.zip"
    return _file(name, lambda out: exports.write_pages(archive, what, out, _address(request)))


@router.get(
    "/keep/readings/{sha256}/{page}/{fmt}/{card_id:path}",
    summary="One page of a card as read, in ALTO or hOCR",
    response_class=Response,
    responses=_gives("The page; nothing in it runs.", "application/xml", 404, 422),
)
def page_as_read(
    archive: TheArchive, sha256: Digest, page: PageNumber, fmt: PageFormat, card_id: str
) -> Response:
    """The latest reading, with boxes in pixels and confidences."""
    text = exports.page_as_read(archive, fmt, sha256, page, card_id)
    headers = {"Content-Security-Policy": NOTHING_RUNS, **_FRESH}
    return Response(text.encode("utf-8"), media_type=_PAGE[fmt], headers=headers)


@router.get(
    "/iiif/collection.json",
    summary="The sources with scans, as a IIIF collection",
    response_class=Response,
    responses=_gives("A IIIF Presentation 3.0 collection.", _LD, 422),
)
def iiif_collection(archive: TheArchive, request: Request) -> Response:
    """It names the manifest of each source."""
    text = exports.iiif_collection(archive, _address(request))
    return Response(text.encode("utf-8"), headers={"Content-Type": _IIIF, **_FRESH})


@router.get(
    "/iiif/{source_id:path}/manifest.json",
    summary="The scans of a source with their lines, as a IIIF manifest",
    response_class=StreamingResponse,
    responses=_gives("A IIIF Presentation 3.0 manifest.", _LD, 404, 422),
)
def iiif_manifest(archive: TheArchive, request: Request, source_id: str) -> StreamingResponse:
    """A canvas a page, in its own pixels; each line is an annotation that supplements it."""
    pieces = exports.iiif_manifest(archive, source_id, _address(request))
    return _streamed(pieces, _IIIF, None)


@router.get(
    "/bibliography/{style}",
    summary="The sources for other people's bibliographies",
    response_class=Response,
    responses=_gives(
        "CSL-JSON, BibTeX or RIS.",
        "text/plain",
        422,
        example="TY  - MANSCPT\r\nID  - S1\r\nTI  - Boiler record cards, Brackwith Works\r\nER  - \r\n",
    ),
)
def bibliography(archive: TheArchive, style: Style) -> Response:
    """The same text that `numbertaker bibliography` writes."""
    media_type, name = _STYLES[style]
    headers = {"Content-Disposition": f'attachment; filename="{name}"', **_FRESH}
    text = exports.bibliography(archive, style)
    return Response(text.encode("utf-8"), media_type=media_type, headers=headers)


@router.get(
    "/analysis.zip",
    summary="Fitments, lines, claims and findings as tables",
    response_class=FileResponse,
    responses=_gives("CSV and Parquet with a data dictionary.", _ZIP, 422),
)
def analysis(archive: TheArchive) -> FileResponse:
    """The dictionary is a Data Package; confidences are probabilities that a statement is true."""
    return _file(f"{archive.name}-analysis.zip", lambda out: exports.write_analysis(archive, out))


def _address(request: Request) -> str:
    """Where this server is asked: everything that is named in the answer can be fetched there."""
    return f"{str(request.base_url).rstrip('/')}/api"


def _file(name: str, write: Callable[[Path], object]) -> FileResponse:
    """Write a file into a folder of its own, and give it out."""
    folder = tempfile.TemporaryDirectory(prefix="numbertaker-")
    out = Path(folder.name) / "out.zip"
    try:
        write(out)
    except BaseException:
        folder.cleanup()
        raise
    return FileResponse(
        out,
        media_type=_ZIP,
        filename=name,
        headers={"Cache-Control": "no-store"},
        background=BackgroundTask(folder.cleanup),
    )


def _streamed(pieces: Iterable[str], media_type: str, name: str | None) -> StreamingResponse:
    headers = {"Content-Type": media_type, **_FRESH}
    if name is not None:
        headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return StreamingResponse((piece.encode("utf-8") for piece in pieces), headers=headers)
