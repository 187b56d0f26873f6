"""Histories as documents: of one component, an engine, a class, everything; and changes since an edition."""

from __future__ import annotations

from typing import Annotated, Final, Literal, TypeAlias

from fastapi import APIRouter, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from numbertaker.usecases import publish
from numbertaker.usecases.asked import Asked, What
from numbertaker.web.failures import failures
from numbertaker.web.guard import NOTHING_RUNS
from numbertaker.web.wanted import TheArchive

router = APIRouter(tags=["histories"])

Format: TypeAlias = Literal["json", "md", "html", "docx", "odt", "pdf", "tex", "txt", "edition"]
Many: TypeAlias = Literal["json", "md", "html", "docx", "odt", "pdf", "tex", "txt", "edition", "site"]
Told: TypeAlias = Literal["md", "html", "docx", "odt", "pdf", "tex", "txt"]
_OFFICE: Final = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"
MEDIA: Final[dict[str, str]] = {
    "json": "application/json",
    "edition": "application/json",
    "md": "text/markdown; charset=utf-8",
    "html": "text/html; charset=utf-8",
    "txt": "text/plain; charset=utf-8",
    "tex": "application/zip",
    "pdf": "application/pdf",
    "docx": _OFFICE,
    "odt": "application/vnd.oasis.opendocument.text",
    "site": "application/zip",
}
_SAVED: Final = {
    "docx": "history.docx",
    "odt": "history.odt",
    "tex": "history-latex.zip",
    "edition": "history.edition.json",
    "site": "histories.zip",
}
"""What a browser is to save under a name of its own; anything else it shows."""


class MannerAsked(BaseModel):
    """In what manner a document is made; every part may be left out."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {"style": "journal", "plates": True},
                {"distance": "both", "compare": ["It ran 30 times round the Earth. :: miles 30 equator"]},
            ]
        },
    )

    style: str = Field(
        default="archive",
        max_length=60,
        description="The house style: archive, journal, plain, or one that the archive keeps.",
    )
    dates: Literal["british", "american", "iso"] = Field(
        default="british", description="How a day is written."
    )
    distance: Literal["miles", "kilometres", "both"] = Field(default="miles", description="The unit.")
    plates: bool = Field(default=False, description="Show the slips behind the key claims.")
    slips: bool = Field(default=False, description="Hold the slips of the scans in the notes of HTML pages.")
    evidence: bool = Field(default=False, description="Attach the history as JSON to a PDF (PDF/A-3a).")
    compare: list[Annotated[str, Field(max_length=2_000)]] = Field(
        default=[], max_length=50, description="Comparisons to recompute: SENTENCE :: QUANTITY TIMES MEASURE."
    )

    def asked(self, own_style: str = "") -> Asked:
        """The same for the use case."""
        return Asked(
            style=self.style,
            own_style=own_style,
            dates=self.dates,
            distance=self.distance,
            plates=self.plates,
            slips=self.slips,
            evidence=self.evidence,
            comparisons=tuple(self.compare),
        )


class WhatAsked(BaseModel):
    """What a document is of: exactly one of the four."""

    component: str | None = None
    engine: str | None = None
    class_: str | None = Field(default=None, alias="class")
    everything: bool = False

    def what(self) -> What:
        """The same for the use case."""
        return What(
            component=self.component, engine=self.engine, class_=self.class_, everything=self.everything
        )


class SinceEdition(WhatAsked):
    """An earlier edition as it was kept, and what it was of, in which manner."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "component": "B52",
                    "edition": '{"format": "numbertaker-edition/1", "title": "Boiler 52", "state": "", '
                    '"program": "", "decisions": {}, "statements": []}',
                }
            ]
        },
    )

    edition: str = Field(description="The text of the edition's file.")
    manner: MannerAsked = MannerAsked()


Manner: TypeAlias = Annotated[MannerAsked, Query()]
_ANSWERS: Final = {
    200: {
        "description": "The document; nothing in it runs.",
        "content": {
            media.partition(";")[0]: {"schema": {"type": "string", "format": "binary"}}
            for media in dict.fromkeys(MEDIA.values())
        },
    },
    **failures(404, 409, 422, of_json=False),
}


@router.get(
    "/components/{component_id:path}/history.{fmt}",
    summary="The history of one component as a document",
    response_class=Response,
    responses=_ANSWERS,
)
def history(archive: TheArchive, component_id: str, fmt: Format, manner: Manner) -> Response:
    """The same bytes that `numbertaker history` writes."""
    return _made(archive, What(component=component_id), fmt, manner)


@router.get(
    "/engines/{engine_id:path}/history.{fmt}",
    summary="The history of one engine as a document",
    response_class=Response,
    responses=_ANSWERS,
)
def engine_history(archive: TheArchive, engine_id: str, fmt: Format, manner: Manner) -> Response:
    """Every component that it carried, in order."""
    return _made(archive, What(engine=engine_id), fmt, manner)


@router.get(
    "/classes/{class_name:path}/history.{fmt}",
    summary="The engines of a class as a book",
    response_class=Response,
    responses=_ANSWERS,
)
def class_history(archive: TheArchive, class_name: str, fmt: Format, manner: Manner) -> Response:
    """A chapter for each engine that ever was of the class."""
    return _made(archive, What(class_=class_name), fmt, manner)


@router.get(
    "/book/history.{fmt}",
    summary="Everything as a book, or as a site",
    response_class=Response,
    responses=_ANSWERS,
)
def book(archive: TheArchive, fmt: Many, manner: Manner) -> Response:
    """A chapter for each component, with indexes; `site` is a zip of pages that link to each other."""
    return _made(archive, What(everything=True), fmt, manner)


@router.get("/lacking", summary="What an export will be without", responses=failures(404, 409, 422))
def lacking(
    archive: TheArchive, of: Annotated[WhatAsked, Query()], plates: bool = False, slips: bool = False
) -> list[str]:
    """Slips that are not to be had and sources whose rights are not stated, before anything is made."""
    return list(publish.lacking(archive, of.what(), Asked(plates=plates, slips=slips)))


@router.post(
    "/changes.{fmt}",
    summary="What changed since an earlier edition",
    response_class=Response,
    responses={**_ANSWERS, **failures(403, of_json=False)},
)
def changes(archive: TheArchive, fmt: Told, since: SinceEdition) -> Response:
    """Statements added, changed and dropped, each with why."""
    asked = since.manner.asked()
    data = publish.what_changed(archive, since.what(), since.edition, fmt, asked)
    return _response(data, fmt)


def _made(archive: TheArchive, what: What, fmt: Many, manner: MannerAsked) -> Response:
    return _response(publish.export(archive, what, fmt, manner.asked()), fmt)


def _response(data: bytes, fmt: str) -> Response:
    headers = {"Content-Security-Policy": NOTHING_RUNS, "Cache-Control": "no-cache"}
    if fmt in _SAVED:
        headers["Content-Disposition"] = f'attachment; filename="{_SAVED[fmt]}"'
    return Response(data, media_type=MEDIA[fmt], headers=headers)
