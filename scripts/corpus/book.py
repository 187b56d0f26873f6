"""The printed list that a society made from the boiler cards, and four of its pages."""

from __future__ import annotations

from random import Random
from typing import Final

from .clerks import PRINTER
from .desk import Desk
from .papers import Paper
from .plantings import World
from .railway import Part, Stay

LIST_LINES: Final = 27  # on a page
PAGES: Final = 4
FIRST_PAGE: Final = 14


def _list_boilers(world: World, rng: Random) -> list[Part]:
    """The boilers on the surviving pages: the one with the miscopied mileage, and others without a slip."""
    slipped = {s.stay.component_id for s in world.slips}
    miscopied = world.slip("miles").stay.component_id
    clean = [p for p in world.railway.parts if p.kind == "boiler" and p.component_id not in slipped]
    clean = [p for p in clean if all(s.engine_id for s in world.railway.stays_of(p.component_id))]
    chosen, lines = {miscopied}, len(world.railway.stays_of(miscopied))
    for part in rng.sample(clean, len(clean)):
        more = len(world.railway.stays_of(part.component_id))
        if lines + more <= PAGES * LIST_LINES:
            chosen.add(part.component_id)
            lines += more
    return [p for p in world.railway.parts if p.component_id in chosen]


def _list_line(desk: Desk, part: Part, stay: Stay, *, first: bool) -> None:
    line = desk.line("fitment", part.component_id, stay)
    line.cells["component"] = part.number if first or line.row == 1 else desk.paper.clerk.ditto
    line.meant["component"] = (part.component_id, True, part.component_id)
    if line.cells["component"] == desk.paper.clerk.ditto:
        line.marks["component"] = "ditto"
    engine = desk.engine_written(line, stay)
    name = engine.called("name", stay.fitted)
    if name:
        line.cells["engine_name"] = name
    desk.dates(line, stay)
    desk.miles(line, stay)


def list_pages(world: World, rng: Random) -> list[Paper]:
    """The surviving pages, each with its lines; a boiler may run on over the foot of a page."""
    entries = [
        (part, stay, n == 0)
        for part in _list_boilers(world, rng)
        for n, stay in enumerate(world.railway.stays_of(part.component_id))
    ]
    pages = []
    for start in range(0, len(entries), LIST_LINES):
        number = FIRST_PAGE + start // LIST_LINES
        paper = Paper(
            card_id=f"S4-{number}",
            source_id="S4",
            form="printed-list",
            subject_id="",
            heading="",
            heading_name="",
            printed={"PAGE": str(number)},
            covers="1903/1962",
            locator=f"p. {number}",
            clerk=PRINTER,
        )
        desk = Desk(world, paper, rng)
        for part, stay, first in entries[start : start + LIST_LINES]:
            _list_line(desk, part, stay, first=first)
        pages.append(paper)
    return pages
