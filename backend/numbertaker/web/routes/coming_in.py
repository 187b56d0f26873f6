"""What comes in and goes out: scans, and evidence packages."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, File, Form, UploadFile
from fastapi.responses import FileResponse
from starlette.background import BackgroundTask

from numbertaker.evidence.records import Source
from numbertaker.usecases import packages, take_in
from numbertaker.usecases.look.views import ImportedView, TakenInView
from numbertaker.web.failures import failures
from numbertaker.web.uploads import laid_down
from numbertaker.web.wanted import TheArchive

router = APIRouter(tags=["coming in and going out"])


@router.post(
    "/take-in",
    status_code=201,
    summary="Take scans in",
    responses=failures(403, 404, 409, 413, 422),
)
def take_scans_in(  # noqa: PLR0917 - a form has many fields, and the framework passes them by name
    archive: TheArchive,
    files: Annotated[list[UploadFile], File(description="JPEG, PNG, TIFF or PDF.")],
    by: Annotated[str, Form(max_length=200, description="Who took them in.")],
    source_id: Annotated[str | None, Form(max_length=200, description="The source that they are of.")] = None,
    card_id: Annotated[str | None, Form(max_length=200, description="The card that they show.")] = None,
    source_kind: Annotated[str | None, Form(max_length=100, description="Of a source that is new.")] = None,
    source_title: Annotated[
        str | None, Form(max_length=1_000, description="Of a source that is new.")
    ] = None,
    source_author: Annotated[str, Form(max_length=1_000, description="Of a source that is new.")] = "",
    source_repository: Annotated[str, Form(max_length=1_000, description="Of a source that is new.")] = "",
    source_reference: Annotated[str, Form(max_length=1_000, description="Of a source that is new.")] = "",
) -> TakenInView:
    """All the files are kept byte for byte, or, where one can't be opened, none; known ones are recognised.

    A source with `source_kind` or `source_title` is new, and is entered with the scans.
    """
    new = None
    if source_kind is not None or source_title is not None:
        new = Source(
            source_id=source_id or "",
            kind=source_kind or "",
            title=source_title or "",
            author=source_author,
            repository=source_repository,
            reference=source_reference,
        )
    with laid_down(files) as paths:
        taken = take_in.take_in(archive, paths, source_id, by=by, card_id=card_id, new_source=new)
    scans = [scan.sha256 for scan in taken.scans]
    return TakenInView(list(taken.cards), scans, list(taken.known_already), list(taken.problems))


@router.post(
    "/packages",
    status_code=201,
    summary="Import an evidence package",
    responses=failures(403, 409, 413, 422),
)
def import_package(
    archive: TheArchive,
    file: UploadFile,
    by: Annotated[str, Form(max_length=200, description="Who imports it.")],
    prefix: Annotated[str | None, Form(max_length=40, description="Put before the incoming ids.")] = None,
) -> ImportedView:
    """The whole package comes in, or, where a row is wrong, nothing; each fault is named by its place."""
    with laid_down([file]) as paths:
        came = packages.import_package(archive, paths[0], by, prefix)
    return ImportedView(dict(came.counts), dict(came.unchanged), list(came.notices))


@router.get(
    "/package.zip",
    summary="Export everything as an evidence package",
    response_class=FileResponse,
    responses={
        200: {"description": "The package.", "content": {"application/zip": {}}},
        **failures(422, of_json=False),
    },
)
def export_package(archive: TheArchive) -> FileResponse:
    """Every cell of every table as it came, with the decisions."""
    folder = tempfile.TemporaryDirectory(prefix="numbertaker-")
    made = packages.export_package(archive, Path(folder.name) / "package.zip")
    return FileResponse(
        made,
        media_type="application/zip",
        filename=f"{archive.name}.zip",
        headers={"Cache-Control": "no-store"},
        background=BackgroundTask(folder.cleanup),
    )
