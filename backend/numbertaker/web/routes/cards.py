"""Cards, and their scans: as they came, drawn at a width, and slips of them."""

from __future__ import annotations

from typing import Annotated, Any, Final
from urllib.parse import quote

from fastapi import APIRouter, Path, Query, Request, Response

from numbertaker.usecases.look import cards as look
from numbertaker.usecases.look.drawing import Drawn
from numbertaker.usecases.look.views import CardPage, CardSummary
from numbertaker.web.failures import failures
from numbertaker.web.guard import NOTHING_RUNS
from numbertaker.web.wanted import TheArchive, TheDrawer

router = APIRouter(tags=["cards"])

Digest = Annotated[str, Path(pattern="^[0-9a-f]{64}$", description="The SHA-256 of the scan.")]
PageNumber = Annotated[int, Path(ge=1, le=100_000, description="Counted from 1.")]
Pixels = Annotated[int, Query(ge=-1_000_000, le=1_000_000)]
_FOREVER: Final = "private, max-age=31536000, immutable"
_SHOWN: Final = ("image/jpeg", "image/png")
_PICTURE: Final[dict[int | str, dict[str, Any]]] = {
    200: {"description": "The picture.", "content": {"image/jpeg": {}}},
    304: {"description": "The picture is the one that was asked for before."},
    **failures(404, 422, of_json=False),
}


@router.get("/cards", summary="Every card in one row")
def cards(archive: TheArchive, source: Annotated[str | None, Query()] = None) -> list[CardSummary]:
    """The cards of one source, or all; a source that is not here has none."""
    return look.cards(archive, source)


@router.get("/cards/{card_id:path}", summary="One card", responses=failures(404))
def card(archive: TheArchive, drawer: TheDrawer, card_id: str) -> CardPage:
    """Its scans, and its lines with every cell: as read, what it means, and how sure that is."""
    return look.card_page(archive, drawer, card_id)


@router.get(
    "/scans/{sha256}",
    summary="A scan, byte for byte as it came",
    response_class=Response,
    responses={
        200: {"description": "The file.", "content": {"application/octet-stream": {}}},
        **failures(404, 422, of_json=False),
    },
)
def scan(archive: TheArchive, sha256: Digest, request: Request) -> Response:
    """The file under its own name; pictures that browsers show are shown, all else is offered to be kept."""
    known = archive.scan(sha256)
    shown = known.media_type in _SHOWN
    way = "inline" if shown else "attachment"
    headers = {"Content-Disposition": f"{way}; filename*=UTF-8''{quote(known.name, safe='')}"}
    media_type = known.media_type if shown else "application/octet-stream"
    return _kept(request, sha256, lambda: Drawn(archive.scan_bytes(sha256), media_type), headers)


@router.get(
    "/scans/{sha256}/{page}/picture",
    summary="A page of a scan, right way up",
    response_class=Response,
    responses=_PICTURE,
)
def picture(
    drawer: TheDrawer,
    request: Request,
    sha256: Digest,
    page: PageNumber,
    width: Annotated[int, Query(ge=16, le=4_000, description="Pixels; never wider than the scan.")] = 1_600,
) -> Response:
    """A JPEG at most `width` pixels wide, its EXIF orientation applied."""
    return _kept(request, f"{sha256}-{page}-{width}", lambda: drawer.picture(sha256, page, width))


@router.get(
    "/scans/{sha256}/{page}/slip",
    summary="A slip of a scan: the place where a line or a cell stands",
    response_class=Response,
    responses=_PICTURE,
)
def slip(  # noqa: PLR0917 - the framework passes them by name
    drawer: TheDrawer,
    request: Request,
    sha256: Digest,
    page: PageNumber,
    x: Pixels,
    y: Pixels,
    w: Annotated[int, Query(ge=1, le=1_000_000)],
    h: Annotated[int, Query(ge=1, le=1_000_000)],
    pad: Annotated[int, Query(ge=0, le=1_000, description="Pixels of paper left around the box.")] = 0,
) -> Response:
    """A JPEG of the box and `pad` pixels around it, as far as they lie on the scan."""
    name = f"{sha256}-{page}-{x}-{y}-{w}-{h}-{pad}"
    return _kept(request, name, lambda: drawer.slip(sha256, page, (x, y, w, h), pad))


def _kept(request: Request, tag: str, make: Any, headers: dict[str, str] | None = None) -> Response:
    """What a digest names never changes: it may be kept for good, and need not be sent twice."""
    said = {
        "ETag": f'"{tag}"',
        "Cache-Control": _FOREVER,
        "Content-Security-Policy": NOTHING_RUNS,
        **(headers or {}),
    }
    if f'"{tag}"' in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=said)
    drawn: Drawn = make()
    return Response(drawn.data, media_type=drawn.media_type, headers=said)
