"""Components and their histories, on the screen and as documents."""

from __future__ import annotations

from typing import Final, Literal, TypeAlias

from fastapi import APIRouter, Response

from numbertaker.usecases import publish
from numbertaker.usecases.look import components as look
from numbertaker.usecases.look.views import ComponentPage, ComponentSummary
from numbertaker.web.failures import failures
from numbertaker.web.guard import NOTHING_RUNS
from numbertaker.web.wanted import TheArchive

router = APIRouter(tags=["histories"])

Format: TypeAlias = Literal["json", "md", "html"]
_MEDIA: Final[dict[Format, str]] = {
    "json": "application/json",
    "md": "text/markdown; charset=utf-8",
    "html": "text/html; charset=utf-8",
}


@router.get("/components", summary="Every component in one row")
def components(archive: TheArchive) -> list[ComponentSummary]:
    """The components of the authority tables and what is known of each life."""
    return look.components(archive)


@router.get(
    "/components/{component_id:path}/history.{fmt}",
    summary="The history of one component as a document",
    response_class=Response,
    responses={
        200: {
            "description": "`numbertaker-history/1`, Markdown, or a page that needs nothing else.",
            "content": {
                "application/json": {"schema": {"type": "object"}},
                "text/markdown": {"schema": {"type": "string"}},
                "text/html": {"schema": {"type": "string"}},
            },
        },
        **failures(404, 409, 422, of_json=False),
    },
)
def history(archive: TheArchive, component_id: str, fmt: Format) -> Response:
    """The same text that `numbertaker history` writes; nothing in the page runs."""
    document = publish.publish(archive, component=component_id, fmt=fmt)
    headers = {"Content-Security-Policy": NOTHING_RUNS, "Cache-Control": "no-cache"}
    return Response(document, media_type=_MEDIA[fmt], headers=headers)


@router.get("/components/{component_id:path}", summary="One component", responses=failures(404))
def component(archive: TheArchive, component_id: str) -> ComponentPage:
    """Its fitments with what each rests on, the lines, findings, decisions, events and numbered notes."""
    return look.component_page(archive, component_id)
