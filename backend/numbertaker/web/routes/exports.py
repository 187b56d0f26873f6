"""Exports that take a while: ordered, watched, called off, fetched."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Annotated, Any, Final, TypeAlias

from fastapi import APIRouter, Depends, Path
from fastapi.responses import FileResponse
from fastapi.sse import EventSourceResponse, ServerSentEvent
from pydantic import ConfigDict, Field

from numbertaker.usecases.exporting import Order
from numbertaker.web.failures import failures
from numbertaker.web.guard import NOTHING_RUNS
from numbertaker.web.making import ExportView
from numbertaker.web.routes.documents import MEDIA, MannerAsked, Many, WhatAsked
from numbertaker.web.wanted import TheMakings

router = APIRouter(tags=["histories"])

ExportId: TypeAlias = Annotated[int, Path(ge=1)]
_GIVES: Final[dict[int | str, dict[str, Any]]] = {
    200: {
        "description": "The file; nothing in it runs.",
        "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}},
    }
}


class NewExport(WhatAsked):
    """What is to be made: of whom, in which format and manner; with an edition, what changed since it."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {"everything": True, "format": "pdf", "manner": {"style": "journal", "plates": True}},
                {"class": "K", "format": "docx"},
                {
                    "component": "B52",
                    "format": "odt",
                    "manner": {"compare": ["It ran 30 times round the Earth. :: miles 30 equator"]},
                },
            ]
        },
    )

    format: Many
    manner: MannerAsked = MannerAsked()
    own_style: str = Field(
        default="", max_length=100_000, description="The text of a house style of your own (TOML)."
    )
    edition: str | None = Field(default=None, description="The text of an earlier edition's file.")

    def order(self) -> Order:
        """The same for the use case."""
        return Order(self.what(), self.format, self.manner.asked(self.own_style), self.edition)


@router.post("/exports", status_code=202, summary="Order an export", responses=failures(403, 404, 409, 422))
def order(makings: TheMakings, asked: NewExport) -> ExportView:
    """It is made in the background, one at a time; what can't be made is refused at once."""
    return makings.begin(asked.order())


@router.get("/exports", summary="The latest exports, the newest first")
def exports(makings: TheMakings) -> list[ExportView]:
    """Those whose files are still to be had, and those that wait or failed; a restart forgets them."""
    return makings.all()


@router.get("/exports/{export_id}", summary="One export", responses=failures(404))
def one_export(makings: TheMakings, export_id: ExportId) -> ExportView:
    """How far it is, and how long it will still take as reckoned from what is done."""
    return makings.one(export_id)


def _watched(makings: TheMakings, export_id: ExportId) -> ExportView:
    return makings.one(export_id)


@router.get(
    "/exports/{export_id}/events",
    summary="Watch an export",
    response_class=EventSourceResponse,
    responses={
        200: {"description": "Events named `export`, each an export as it then is."},
        **failures(404, 422, of_json=False),
    },
)
async def export_events(
    makings: TheMakings, watched: Annotated[ExportView, Depends(_watched)]
) -> AsyncIterator[Any]:
    """Server-sent events: the export at once, then as it goes on, until it is over."""
    async for view in makings.watch(watched.export_id):
        yield ServerSentEvent(event="export", data=view)


@router.get(
    "/exports/{export_id}/file",
    summary="The file of an export",
    response_class=FileResponse,
    responses={**_GIVES, **failures(404, 409, 422, of_json=False)},
)
def export_file(makings: TheMakings, export_id: ExportId) -> FileResponse:
    """The same bytes that the command line writes."""
    file, name = makings.file(export_id)
    headers = {"Content-Security-Policy": NOTHING_RUNS, "Cache-Control": "no-store"}
    fmt = makings.one(export_id).format
    return FileResponse(file, media_type=MEDIA[fmt], filename=name, headers=headers)


@router.delete("/exports/{export_id}", summary="Call an export off", responses=failures(403, 404))
def call_off(makings: TheMakings, export_id: ExportId) -> ExportView:
    """Stop it where it is; the file of one that is done is forgotten."""
    return makings.call_off(export_id)
