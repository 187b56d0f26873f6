"""Components and their histories on the screen."""

from __future__ import annotations

from fastapi import APIRouter

from numbertaker.usecases.look import ahead as look_ahead
from numbertaker.usecases.look import components as look
from numbertaker.usecases.look.ahead import LeadsView
from numbertaker.usecases.look.views import ComponentPage, ComponentSummary
from numbertaker.web.failures import failures
from numbertaker.web.wanted import TheArchive

router = APIRouter(tags=["histories"])


@router.get("/components", summary="Every component in one row")
def components(archive: TheArchive) -> list[ComponentSummary]:
    """The components of the authority tables and what is known of each life."""
    return look.components(archive)


@router.get(
    "/components/{component_id:path}/leads",
    summary="Who could have carried a component in its gaps",
    responses=failures(404),
)
def leads(archive: TheArchive, component_id: str) -> LeadsView:
    """For every gap the engines that could have carried it, the likeliest first, and where to look."""
    return look_ahead.leads(archive, component_id)


@router.get("/components/{component_id:path}", summary="One component", responses=failures(404))
def component(archive: TheArchive, component_id: str) -> ComponentPage:
    """Its fitments with what each rests on, the lines, findings, decisions, events and numbered notes."""
    return look.component_page(archive, component_id)
