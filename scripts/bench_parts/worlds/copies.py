"""What others made of the papers: published lists that copy one another, photographs and letters."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
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
    known = [line for card in cards if rng.random() < share for line in card.lines]
    first = _Compiler(rng, world, "S4", rng.choice((0.0, 0.3))).page(known, 0.97)
    spoil(first)
    second = _Compiler(rng, world, "S5", rng.choice((0.0, 0.5))).page(first.lines, rng.choice((0.25, 0.5)))
    spoil(second)
    world.cards += [first, second]


@dataclass(slots=True)
class _Compiler:
    """Who copies a list out of others' papers: his source, his hand, how often he drops the day of a date."""

    rng: Random
    world: World
    source: str
    coarse: float
    clerk: Clerk = field(init=False)

    def __post_init__(self) -> None:
        self.clerk = make_clerk(self.rng)

    def page(self, lines: list[Line], share: float) -> Card:
        """A list of that share of the lines."""
        page = Card(self.source, "statement", "", "", self.clerk)
        for line in lines:
            if line.fitment and line.says in ("fitment", "fitted") and self.rng.random() < share:
                add_line(self.rng, self.clerk, self._copied(line, page))
        return page

    def _copied(self, line: Line, page: Card) -> Line:
        """The line as the compiler took it over: his style, the card's mistakes."""
        source, touched = dict(line.cells), line.touched
        other = _other_half(line)
        if other is not None:
            touched |= other.touched
            source |= {k: v for k, v in other.cells.items() if k != "engine"}
        cells = {name: _named(self.world, source.get(name), line) for name in ("engine", "component")}
        for name in ("fitted", "removed"):
            if name in source:
                cells[name] = self._restyled(source[name])
        if "miles" in source:
            miles = source["miles"]
            cells["miles"] = Cell(self.clerk.figure(miles.literal), miles.value, miles.literal)
        return Line("fitment", line.component, line.fitment, cells, page, touched=touched)

    def _restyled(self, cell: Cell) -> Cell:
        first, last = cell.literal
        if first == last:
            return self.clerk.written(first, self.rng.random() >= self.coarse, cell.value)
        if (first, last) == month_span(first):
            return self.clerk.written(first, False, cell.value)
        return Cell(cell.text, cell.value, cell.literal)


def _other_half(line: Line) -> Line | None:
    if line.says != "fitted":
        return None
    halves = (o for o in line.card.lines if o.fitment == line.fitment and o.says == "removed")
    return next(halves, None)


def _named(world: World, cell: Cell | None, line: Line) -> Cell:
    """Who the card means, by the number that stands there (a ditto is written out)."""
    stay = world.fitments[line.fitment or ""]
    if cell is None:  # a component card's own component stands in its heading
        return Cell(world.components[stay.component].number, stay.component, stay.component)
    if not cell.ditto:
        return Cell(cell.text, cell.value, cell.literal)
    engine = world.engines.get(cell.literal)
    if engine is None:
        return Cell(cell.text, cell.value, None)
    text = engine.borne("number", stay.fitted) or engine.borne("number", engine.built)
    return Cell(text, cell.value, cell.literal)


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
            add_line(rng, clerk, Line("carried", stay.component, stay.id, cells, card))
            world.cards.append(card)
