"""What others made of the papers: published lists that copy one another, photographs and letters."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from random import Random

from .clerks import Clerk, make_clerk, month_span
from .office import add_line
from .values import Card, Cell, Line, Source, World


def publish(rng: Random, world: World, spoil: Callable[[Card], None]) -> None:
    """A society's list compiled from the component cards, and a pocket book compiled from that list.

    `spoil` plants what the compiler miscopied, so that the pocket book takes over the list's own mistakes.
    """
    cards = [c for c in world.cards if c.source.startswith("S1")]
    own = ";".join(sorted({c.source for c in cards}))
    world.sources.append(Source("S4", "published", "A society's list of fitments", own))
    world.sources.append(Source("S5", "published", "A pocket book of fitments", "S4"))
    share = rng.choice((0.35, 0.7, 0.95))
    first = _list(rng, world, "S4", [c for c in cards if rng.random() < share], make_clerk(rng), 0.97)
    spoil(first)
    second = _list(rng, world, "S5", [first], make_clerk(rng), rng.choice((0.25, 0.5)))
    spoil(second)
    world.cards += [first, second]


def _list(rng: Random, world: World, source: str, cards: list[Card], clerk: Clerk, share: float) -> Card:
    page = Card(source, "statement", "", "", clerk)
    coarse = rng.choice((0.0, 0.3))
    for card in cards:
        for line in card.lines:
            if line.fitment and rng.random() < share and line.says in ("fitment", "fitted"):
                copied = _copied(rng, world, line, page, clerk, coarse)
                add_line(rng, page, clerk, copied)
    return page


def _copied(rng: Random, world: World, line: Line, page: Card, clerk: Clerk, coarse: float) -> Line:
    """The line as the compiler took it over: his style, the card's mistakes."""
    stay = world.fitments[line.fitment or ""]
    source = dict(line.cells)
    other = _other_half(line)
    touched = line.touched
    if other is not None:
        touched |= other.touched
        source |= {k: v for k, v in other.cells.items() if k != "engine"}
    cells = {"engine": _named(world, source.get("engine"), line, "engine")}
    cells["component"] = _named(world, source.get("component"), line, "component")
    for name in ("fitted", "removed"):
        if name in source:
            cells[name] = _restyled(rng, source[name], clerk, coarse)
    if "miles" in source:
        miles = source["miles"]
        cells["miles"] = Cell(clerk.figure(miles.literal), miles.value, miles.literal)
    return Line("fitment", stay.component, stay.id, cells, page, original=line, touched=touched)


def _other_half(line: Line) -> Line | None:
    if line.says != "fitted":
        return None
    halves = (o for o in line.card.lines if o.fitment == line.fitment and o.says == "removed")
    return next(halves, None)


def _named(world: World, cell: Cell | None, line: Line, field: str) -> Cell:
    """Who the card means, by the number that stands there (a ditto is written out)."""
    stay = world.fitments[line.fitment or ""]
    if cell is None:
        return Cell(world.components[stay.component].number, stay.component, stay.component)
    if not cell.ditto:
        return Cell(cell.text, cell.value, cell.literal)
    engine = world.engines.get(cell.literal)
    text = engine.borne("number", stay.fitted) if engine else cell.text
    return Cell(text or (engine.borne("number", engine.built) if engine else ""), cell.value, cell.literal)


def _restyled(rng: Random, cell: Cell, clerk: Clerk, coarse: float) -> Cell:
    first, last = cell.literal
    if (last - first).days == 0:
        return clerk.written(first, rng.random() >= coarse, cell.value)
    if (first, last) == month_span(first):
        return clerk.written(first, False, cell.value)
    return Cell(cell.text, cell.value, cell.literal)


def look_about(rng: Random, world: World) -> None:
    """Photographs and letters: each saw one component on one engine on one day."""
    world.sources.append(Source("S7", "photograph", "Dated photographs"))
    world.sources.append(Source("S8", "letter", "Letters of a district inspector"))
    stays = list(world.fitments.values())
    clerk = make_clerk(rng)
    share = rng.choice((0.01, 0.03, 0.06))
    for source in ("S7", "S8"):
        for stay in rng.sample(stays, max(1, int(len(stays) * share))):
            days = (stay.removed - stay.fitted).days
            if days < 60:
                continue
            seen = stay.fitted + timedelta(days=rng.randint(15, days - 15))
            engine = world.engines[stay.engine]
            cells = {
                "engine": Cell(engine.borne("number", seen), engine.id, engine.id),
                "component": Cell(world.components[stay.component].number, stay.component, stay.component),
                "fitted": clerk.written(seen, rng.random() < 0.6),
            }
            card = Card(source, "statement", "", "", clerk)
            add_line(rng, card, clerk, Line("carried", stay.component, stay.id, cells, card))
            world.cards.append(card)
