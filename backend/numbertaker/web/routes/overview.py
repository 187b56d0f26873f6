"""The first screen, and the lists of engines and sources."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query

from numbertaker.usecases import learn as learning
from numbertaker.usecases.look import engines as look_engines
from numbertaker.usecases.look import overview as look_overview
from numbertaker.usecases.look import readings as look_readings
from numbertaker.usecases.look import sources as look_sources
from numbertaker.usecases.look.learnt import learnt_view
from numbertaker.usecases.look.views import (
    EnginePage,
    EngineSummary,
    LearntView,
    Overview,
    ProposedCell,
    SourcePage,
    SourceReading,
    SourceSummary,
)
from numbertaker.web.asked import WhoLearns
from numbertaker.web.failures import failures
from numbertaker.web.wanted import TheArchive

router = APIRouter(tags=["archive"])


@router.get("/overview", summary="What the archive holds, and what is open in it")
def overview(archive: TheArchive) -> Overview:
    """Counts, every component in one row, every source in one row, and the latest jobs."""
    return look_overview.overview(archive)


@router.post("/learn", summary="Learn from the archive anew", responses=failures(403, 409, 422))
def learn(archive: TheArchive, asked: WhoLearns) -> LearntView:
    """Learn how often the archive's papers are wrong; histories are weighed with it from then on."""
    learning.learn(archive, asked.by)
    return learnt_view(archive)


@router.get("/engines", summary="Every engine in one row")
def engines(archive: TheArchive) -> list[EngineSummary]:
    """The engines of the authority tables, with how many components each is known to have carried."""
    return look_engines.engines(archive)


@router.get("/engines/{engine_id:path}", summary="One engine", responses=failures(404))
def engine(archive: TheArchive, engine_id: str) -> EnginePage:
    """Its designations, every component that it carried, its events and the findings about it."""
    return look_engines.engine_page(archive, engine_id)


@router.get("/sources", summary="Every source in one row")
def sources(archive: TheArchive) -> list[SourceSummary]:
    """The sources with how many cards and lines are here, and how many cards are unread."""
    return look_sources.sources(archive)


@router.get("/sources/{source_id:path}/reading", summary="How a source is read", responses=failures(404))
def source_reading(archive: TheArchive, source_id: str) -> SourceReading:
    """What its corrections taught of its hand, the cells for which another text is likelier, and how far the
    confidence of its cells can be trusted, by the cards that were looked through.
    """
    return look_readings.source_reading(archive, source_id)


@router.get("/proposals", summary="Cells of which another text is likelier", responses=failures(404))
def proposals(
    archive: TheArchive,
    source: Annotated[str | None, Query(description="A source's id.", examples=["S1"])] = None,
) -> list[ProposedCell]:
    """Each with its reason; none is taken by itself. A decision of kind `cell` takes one."""
    return look_readings.all_proposed(archive, source)


@router.get("/sources/{source_id:path}", summary="One source", responses=failures(404))
def source(archive: TheArchive, source_id: str) -> SourcePage:
    """How it is cited, and its cards."""
    return look_sources.source_page(archive, source_id)
