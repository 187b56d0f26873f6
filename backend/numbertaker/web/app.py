"""The application: routes over use cases, each failure in one shape, nothing for other sites."""

from __future__ import annotations

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.metadata import version
from pathlib import Path

from fastapi import APIRouter, FastAPI
from starlette.types import ASGIApp

from numbertaker.archive import Archive, open_archive
from numbertaker.usecases.look.drawing import Drawer
from numbertaker.usecases.reconcile import go_on
from numbertaker.web.failures import failures, handle_failures
from numbertaker.web.guard import Guard
from numbertaker.web.limits import LIMITS, Limits
from numbertaker.web.making import Makings
from numbertaker.web.pages import STATIC, serve_pages
from numbertaker.web.routes import (
    cards,
    coming_in,
    components,
    documents,
    exports,
    findings,
    forms,
    houses,
    jobs,
    keeping,
    overview,
)
from numbertaker.web.running import Runner

_ABOUT = """From scans of register cards to the footnoted history of one component.

Every failure has the same body: `code` for programs, `message` for people, and `details` that name file,
table, row and column as far as they are known. Days are ISO 8601, dates as claimed are EDTF, boxes are
`[x, y, width, height]` in pixels of the scan with its EXIF orientation applied.
"""


class _Guarded(FastAPI):
    """An application with the guard before everything, its own failures included."""

    def build_middleware_stack(self) -> ASGIApp:
        return Guard(super().build_middleware_stack())


def create_app(
    archive: Archive | str | os.PathLike[str], *, limits: Limits = LIMITS, static: Path = STATIC
) -> FastAPI:
    """The application over one archive, opened (and made, if absent) where a folder is given."""
    opened = archive if isinstance(archive, Archive) else open_archive(archive)
    go_on(opened)
    app = _Guarded(
        title="Numbertaker",
        summary="Traces one interchangeable component through every engine that carried it.",
        description=_ABOUT,
        version=version("numbertaker"),
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        generate_unique_id_function=lambda route: route.name,
        lifespan=_lifespan,
        max_body_size=limits.request_bytes,
    )
    app.state.archive = opened
    app.state.limits = limits
    app.state.drawer = Drawer(opened, drawn_bytes=limits.drawn_bytes, decoded_bytes=limits.decoded_bytes)
    app.state.runner = Runner(opened)
    app.state.makings = Makings(opened)
    app.state.owns_archive = opened is not archive
    app.include_router(_api(limits))
    serve_pages(app, static)
    handle_failures(app)
    return app


def _api(limits: Limits) -> APIRouter:
    """The routes; only those on which files come in take large requests."""
    api = APIRouter(prefix="/api", responses=failures(422))
    # Before the others, whose ids may hold a slash and would take these addresses for their own.
    api.include_router(documents.router, max_body_size=limits.upload_bytes)
    api.include_router(exports.router, max_body_size=limits.upload_bytes)
    api.include_router(houses.router)
    api.include_router(forms.router)
    for room in (overview, components, cards, findings, jobs, keeping):
        api.include_router(room.router)
    api.include_router(
        coming_in.router,
        max_body_size=limits.upload_bytes,
        form_limits={"max_files": limits.upload_files},
    )
    return api


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    yield
    app.state.makings.close()
    app.state.runner.close()
    app.state.drawer.close()
    if app.state.owns_archive:
        app.state.archive.close()
