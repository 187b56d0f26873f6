"""The papers of the works: component cards, engine cards and lists, written truly by clerks with habits."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from random import Random

from .clerks import Clerk, make_clerk
from .values import Card, Cell, Component, Engine, Fitment, Line, Source, World

HEADINGS = {"boiler": ("{}", "Boiler {}", "No. {}"), "tender": ("{}", "Tender {}", "No. {}")}


@dataclass(frozen=True, slots=True)
class Customs:
    """What is done throughout one world."""

    spare_stated: float
    totals: float
    halves: float
    closing_total: float
    heading_latest: bool
    two_hands: float
    name_column: bool
    stock_written: bool


def make_customs(rng: Random) -> Customs:
    """The customs of one world."""
    return Customs(
        spare_stated=rng.choice((0.0, 0.0, 0.5, 0.95)),
        totals=rng.choice((0.3, 0.6, 0.9)),
        halves=rng.choice((0.03, 0.1, 0.25)),
        closing_total=rng.choice((0.1, 0.3)),
        heading_latest=rng.random() < 0.5,
        two_hands=rng.choice((0.05, 0.2)),
        name_column=rng.random() < 0.3,
        stock_written=rng.random() < 0.3,
    )


def write_papers(rng: Random, world: World) -> None:
    """Every component card, engine card and list of the works."""
    customs = make_customs(rng)
    hands = [make_clerk(rng) for _ in range(max(3, len(world.components) // 25))]
    for number, kind in enumerate(sorted({c.kind for c in world.components.values()})):
        own = f"S1{'' if number == 0 else kind[0].upper()}"
        world.sources.append(Source(own, "component-card", f"{kind.capitalize()} cards of the works"))
        for component in world.components.values():
            if component.kind == kind:
                world.cards.append(_component_card(rng, world, customs, own, component, hands))
    world.sources.append(Source("S2", "engine-card", "Engine record cards of the works"))
    for engine in world.engines.values():
        world.cards += _engine_cards(rng, world, customs, engine, hands)
    _works_lists(rng, world, customs)


def add_line(rng: Random, card: Card, clerk: Clerk, line: Line) -> Line:
    """Put a line on a card, with how surely it was read."""
    if clerk.read:
        line.reading = clerk.sureness(rng)
        if rng.random() < 0.3:
            line.reading_of = {name: clerk.sureness(rng) for name in line.cells}
    card.lines.append(line)
    return line


def _by_time(fitments: list[Fitment]) -> list[Fitment]:
    return sorted(fitments, key=lambda f: (f.fitted, f.id))


def _component_card(
    rng: Random, world: World, customs: Customs, source: str, component: Component, hands: list[Clerk]
) -> Card:
    clerk = rng.choice(hands)
    heading = rng.choice(HEADINGS[component.kind]).format(component.number)
    card = Card(source, "component", component.id, heading, clerk)
    stays = _by_time([f for f in world.fitments.values() if f.component == component.id])
    second = rng.randrange(2, len(stays)) if len(stays) > 3 and rng.random() < customs.two_hands else 999
    with_totals, halves = rng.random() < customs.totals, rng.random() < customs.halves
    if rng.random() < 0.25:
        cell = clerk.date(rng, component.built)
        add_line(rng, card, clerk, Line("built", component.id, None, {"fitted": cell}, card))
    total = 0
    for k, stay in enumerate(stays):
        if k == second:
            clerk = rng.choice(hands)
        if k:
            _spare(rng, customs, card, clerk, stays[k - 1], stay)
        total += stay.miles
        _entry(rng, world, card, clerk, stay, total if with_totals else None, halves, customs)
    _closing(rng, customs, card, clerk, component, total if stays and not with_totals else None)
    return card


def _closing(
    rng: Random, customs: Customs, card: Card, clerk: Clerk, component: Component, total: int | None
) -> None:
    if total and rng.random() < customs.closing_total:
        cells = {"total_miles": Cell(clerk.figure(total), total, total)}
        add_line(rng, card, clerk, Line("total", component.id, None, cells, card))
    if component.condemned and rng.random() < 0.45:
        cell = clerk.date(rng, component.condemned)
        add_line(rng, card, clerk, Line("condemned", component.id, None, {"removed": cell}, card))


def _spare(rng: Random, customs: Customs, card: Card, clerk: Clerk, before: Fitment, after: Fitment) -> None:
    """Say that it lay spare, where the custom is to say so."""
    if (after.fitted - before.removed).days < 130 or rng.random() >= customs.spare_stated:
        return
    cells = {
        "fitted": clerk.date(rng, before.removed, plain=True),
        "removed": clerk.date(rng, after.fitted, plain=True),
    }
    if customs.stock_written:
        cells["engine"] = Cell("Stock", "state:stock", "state:stock")
    line = Line("spare", card.subject, None, cells, card, place=before.works)
    add_line(rng, card, clerk, line)


def _miles(rng: Random, clerk: Clerk, stay: Fitment) -> dict[str, Cell]:
    if rng.random() < clerk.blank_miles:
        return {}
    return {"miles": Cell(clerk.figure(stay.miles), stay.miles, stay.miles)}


def _entry(
    rng: Random,
    world: World,
    card: Card,
    clerk: Clerk,
    stay: Fitment,
    total: int | None,
    halves: bool,
    customs: Customs,
) -> None:
    """One fitment on a component card, as a whole line or as two halves."""
    engine = world.engines[stay.engine]
    cells = {"engine": _engine_cell(rng, clerk, engine, stay.fitted)}
    ends = {"fitted": clerk.date(rng, stay.fitted)}
    tail: dict[str, Cell] = {}
    if rng.random() >= clerk.blank_removed or halves:
        tail["removed"] = clerk.date(rng, stay.removed)
    tail |= _miles(rng, clerk, stay)
    if total is not None:
        tail["total_miles"] = Cell(clerk.figure(total), total, total)
    extra = {}
    if customs.name_column and engine.named and not cells["engine"].text.isalpha():
        extra["engine_name"] = engine.borne("name", stay.fitted)
    if not halves:
        _put(rng, card, clerk, stay, "fitment", cells | ends | tail, extra)
        return
    _put(rng, card, clerk, stay, "fitted", cells | ends, extra)
    again = Cell(engine.borne("number", stay.removed), engine.id, engine.id)
    _put(rng, card, clerk, stay, "removed", {"engine": again} | tail, {})


def _put(
    rng: Random,
    card: Card,
    clerk: Clerk,
    stay: Fitment,
    says: str,
    cells: dict[str, Cell],
    extra: dict[str, str],
) -> None:
    """Write the line, with a ditto where the line above names the same thing in the same words."""
    facing = "engine" if card.side == "component" else "component"
    above = card.lines[-1].cells.get(facing) if card.lines else None
    same = above is not None and above.literal == cells[facing].literal
    if same and rng.random() < clerk.ditto_share and _said_above(card, facing) == cells[facing].text:
        cells[facing].text, cells[facing].ditto = clerk.ditto, True
    add_line(
        rng, card, clerk, Line(says, stay.component, stay.id, cells, card, place=stay.works, extra=extra)
    )


def _said_above(card: Card, field: str) -> str:
    for line in reversed(card.lines):
        cell = line.cells.get(field)
        if cell is None:
            return ""
        if not cell.ditto:
            return cell.text
    return ""


def _engine_cell(rng: Random, clerk: Clerk, engine: Engine, day: date) -> Cell:
    name = engine.borne("name", day)
    text = name if name and rng.random() < clerk.by_name else engine.borne("number", day)
    return Cell(text, engine.id, engine.id)


def _engine_cards(
    rng: Random, world: World, customs: Customs, engine: Engine, hands: list[Clerk]
) -> list[Card]:
    """One card for each kind of component that the engine carried."""
    cards = []
    by_kind: dict[str, list[Fitment]] = defaultdict(list)
    for stay in world.fitments.values():
        if stay.engine == engine.id:
            by_kind[world.components[stay.component].kind].append(stay)
    for kind in sorted(by_kind):
        clerk = rng.choice(hands)
        day = engine.withdrawn if customs.heading_latest else engine.built
        card = Card("S2", "engine", engine.id, engine.borne("number", day), clerk)
        card.heading_name = engine.borne("name", day) if customs.name_column else ""
        for stay in _by_time(by_kind[kind]):
            number = world.components[stay.component].number
            cells = {"component": Cell(number, stay.component, stay.component)}
            cells["fitted"] = clerk.date(rng, stay.fitted)
            if rng.random() >= clerk.blank_removed:
                cells["removed"] = clerk.date(rng, stay.removed)
            _put(rng, card, clerk, stay, "fitment", cells | _miles(rng, clerk, stay), {})
        cards.append(card)
    return cards


def _works_lists(rng: Random, world: World, customs: Customs) -> None:
    """The list of engines built and withdrawn, and in some worlds a list of withdrawals."""
    world.sources.append(Source("S3", "works-list", "List of engines built and withdrawn"))
    clerk = make_clerk(rng)
    for engine in world.engines.values():
        card = Card("S3", "engine", engine.id, engine.borne("number", engine.built), clerk)
        if customs.heading_latest:
            card.heading = engine.borne("number", engine.withdrawn)
        _stated(rng, card, clerk, "built", "fitted", engine.built)
        _stated(rng, card, clerk, "withdrawn", "removed", engine.withdrawn)
        world.cards.append(card)
    if rng.random() < 0.5:
        _withdrawal_list(rng, world, make_clerk(rng))


def _withdrawal_list(rng: Random, world: World, clerk: Clerk) -> None:
    world.sources.append(Source("S6", "withdrawal-list", "List of engines withdrawn and boilers condemned"))
    for engine in world.engines.values():
        if rng.random() < 0.9:
            card = Card("S6", "engine", engine.id, engine.borne("number", engine.withdrawn), clerk)
            _stated(rng, card, clerk, "withdrawn", "removed", engine.withdrawn)
            world.cards.append(card)
    for component in world.components.values():
        if rng.random() < 0.4 and component.condemned:
            card = Card("S6", "component", component.id, component.number, clerk)
            _stated(rng, card, clerk, "condemned", "removed", component.condemned, component.id)
            world.cards.append(card)


def _stated(
    rng: Random, card: Card, clerk: Clerk, says: str, field: str, day: date, subject: str | None = None
) -> None:
    cell = clerk.written(day, rng.random() < clerk.exact)
    add_line(rng, card, clerk, Line(says, subject, None, {field: cell}, card))
