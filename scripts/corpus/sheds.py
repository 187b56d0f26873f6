"""The papers that survive besides the works' cards: cards of the sheds, a ledger's leaves, a typed list."""

from __future__ import annotations

from datetime import date
from random import Random
from typing import Final

from .cards import interval
from .clerks import HANDS, LEDGER_KEEPER, STOREMAN, Clerk, write_date
from .desk import Desk
from .elsewhere import (
    LEDGER_OPENED,
    ledger_boilers,
    ledger_stays,
    listed_stays,
    shed_engines,
    shed_stays,
    slip_elsewhere,
)
from .papers import Line, Paper
from .plantings import World
from .railway import Part, Stay
from .roster import Locomotive

TWO_HANDS: Final = (0, 3, 5)  # which of the shed's cards another hand goes on with
STRUCK: Final = 0.16  # how often a shed's clerk corrected himself
LIST_PAGE: Final = 13  # lines on a page of the typed list


def shed_cards(world: World, rng: Random) -> list[Paper]:
    """Eight cards of engines, kept by hand at a shed."""
    return [_shed_card(world, engine, n, rng) for n, engine in enumerate(shed_engines(world))]


def _shed_card(world: World, engine: Locomotive, n: int, rng: Random) -> Paper:
    stays = shed_stays(world, engine)
    number, clerk = engine.called("number", stays[0].fitted), HANDS[n % len(HANDS)]
    other = HANDS[(n + 1) % len(HANDS)]
    paper = Paper(
        card_id=f"S6-{number}",
        source_id="S6",
        form="shed-card",
        subject_id=engine.engine_id,
        heading=number,
        heading_name=engine.called("name", stays[0].fitted),
        printed={},
        covers=interval(stays[0].fitted, stays[-1].removed),
        locator=f"card {number}",
        clerk=clerk,
        second=(len(stays) // 2 + 1, other) if n in TWO_HANDS else None,
    )
    desk = Desk(world, paper, rng)
    for stay in stays:
        _shed_line(desk, stay)
    _correct_once(desk)
    return paper


def _shed_line(desk: Desk, stay: Stay) -> None:
    line = desk.line("fitment", stay.component_id, stay)
    clerk = _writer(desk.paper, line)
    part = next(p for p in desk.world.railway.parts if p.component_id == stay.component_id)
    line.cells["component"] = part.number
    line.meant["component"] = (part.component_id, True, part.component_id)
    _ditto(desk, line, "component", clerk)
    _dates(desk, line, stay, clerk)
    slip = slip_elsewhere(desk.world, "shed")
    desk.figure(line, "miles", stay.miles, int(str(slip.says)) if stay == slip.stay else stay.miles)
    line.cells["place"] = stay.works
    _ditto(desk, line, "place", clerk)
    desk.remark(line, "")
    if stay != slip.stay and desk.rng.random() < STRUCK:
        desk.strike(line, desk.rng.choice(("miles", "removed")))


def _writer(paper: Paper, line: Line) -> Clerk:
    """Whose hand a line is in."""
    return paper.second[1] if paper.second and line.row >= paper.second[0] else paper.clerk


def _ditto(desk: Desk, line: Line, cell: str, clerk: Clerk) -> None:
    desk.same_again(line, cell, wanted=cell == "place" or not clerk.repeats_engine)
    if line.marks.get(cell) == "ditto":
        line.cells[cell] = clerk.ditto


def _dates(desk: Desk, line: Line, stay: Stay, clerk: Clerk) -> None:
    for cell, day in (("fitted", stay.fitted), ("removed", stay.removed)):
        desk.date(line, cell, day, write_date(day, desk.rng.choice(clerk.dates)))


def _correct_once(desk: Desk) -> None:
    """Every shed's clerk corrected himself once at least: a figure struck out, the right one beside it."""
    slip = slip_elsewhere(desk.world, "shed")
    lines = [x for x in desk.paper.lines if "miles" not in x.marks and x.stay != slip.stay]
    if not any(mark.startswith("struck") for x in desk.paper.lines for mark in x.marks.values()):
        desk.strike(desk.rng.choice(lines), "miles")


def ledger_leaves(world: World, rng: Random) -> list[Paper]:
    """Three leaves of the boiler ledger, typed up from the boiler cards."""
    return [_leaf(world, part, rng) for part in ledger_boilers(world)]


def _leaf(world: World, part: Part, rng: Random) -> Paper:
    stays = ledger_stays(world, part)
    before = [s for s in world.railway.stays_of(part.component_id) if s not in stays]
    paper = Paper(
        card_id=f"S7-{part.number}",
        source_id="S7",
        form="ledger",
        subject_id=part.component_id,
        heading=part.number,
        heading_name="",
        printed={},
        covers=interval(max(part.built, date(LEDGER_OPENED, 1, 1)), stays[-1].removed),
        locator=f"leaf {part.number}",
        clerk=LEDGER_KEEPER,
    )
    desk = Desk(world, paper, rng)
    run = sum(s.miles for s in before)
    if before:
        line = desk.line("total", part.component_id)
        desk.figure(line, "total_miles", run, run)
        line.cells["remarks"] = "Brought forward"
    for stay in stays:
        run += stay.miles
        _ledger_line(desk, stay, run)
    return paper


def _ledger_line(desk: Desk, stay: Stay, run: int) -> None:
    line = desk.line("fitment", stay.component_id, stay)
    desk.engine_written(line, stay)
    desk.same_again(line, "engine", wanted=True)
    slip = slip_elsewhere(desk.world, "ledger")
    removed = slip.says if stay == slip.stay and isinstance(slip.says, date) else stay.removed
    desk.date(line, "fitted", stay.fitted, write_date(stay.fitted, desk.style()))
    desk.date(line, "removed", stay.removed, write_date(removed, desk.style()))
    desk.figure(line, "miles", stay.miles, stay.miles)
    desk.figure(line, "total_miles", run, run)
    desk.place(line, stay)
    desk.remark(line, "New")


def list_leaves(world: World, rng: Random) -> list[Paper]:
    """The typed list of the tank engines' boilers, without a ruling; one line of it stands there twice."""
    entries = listed_stays(world)
    twice = slip_elsewhere(world, "twice").stay
    at = entries.index(twice) + 1
    entries = [*entries[:at], twice, *entries[at:]]
    pages = range(0, len(entries), LIST_PAGE)
    return [_list_leaf(world, entries[p : p + LIST_PAGE], n, rng) for n, p in enumerate(pages, start=1)]


def _list_leaf(world: World, stays: list[Stay], page: int, rng: Random) -> Paper:
    paper = Paper(
        card_id=f"S8-{page}",
        source_id="S8",
        form="typed-list",
        subject_id="",
        heading="",
        heading_name="",
        printed={},
        covers=interval(stays[0].fitted, max(s.removed for s in stays)),
        locator=f"sheet {page}",
        clerk=STOREMAN,
    )
    desk = Desk(world, paper, rng)
    for stay in stays:
        line = desk.line("fitment", stay.component_id, stay)
        part = next(p for p in world.railway.parts if p.component_id == stay.component_id)
        line.cells["component"] = part.number
        line.meant["component"] = (part.component_id, True, part.component_id)
        desk.engine_written(line, stay)
        desk.dates(line, stay)
        desk.place(line, stay)
    return paper
