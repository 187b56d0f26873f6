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
    names_in_heading: bool
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
        names_in_heading=rng.random() < 0.5,
        stock_written=rng.random() < 0.3,
    )


def write_papers(rng: Random, world: World) -> None:
    """Every component card, engine card and list of the works."""
    hands = [make_clerk(rng) for _ in range(max(3, len(world.components) // 25))]
    office = _Office(rng, world, make_customs(rng), hands, _stays(world))
    for number, kind in enumerate(sorted({c.kind for c in world.components.values()})):
        own = f"S1{'' if number == 0 else kind[0].upper()}"
        world.sources.append(Source(own, "component-card", f"{kind.capitalize()} cards of the works"))
        world.cards += [office.component_card(own, c) for c in world.components.values() if c.kind == kind]
    world.sources.append(Source("S2", "engine-card", "Engine record cards of the works"))
    for engine in world.engines.values():
        world.cards += office.engine_cards(engine)
    office.works_list()
    if rng.random() < 0.5:
        office.withdrawal_list()


def add_line(rng: Random, clerk: Clerk, line: Line) -> Line:
    """Put a line on its card, with how surely it was read."""
    if clerk.read:
        line.reading = clerk.sureness(rng)
        if rng.random() < 0.3:
            line.reading_of = {name: clerk.sureness(rng) for name in line.cells}
    line.card.lines.append(line)
    return line


@dataclass(frozen=True, slots=True)
class _Office:
    """The works' office: who writes there, and what of."""

    rng: Random
    world: World
    customs: Customs
    hands: list[Clerk]
    stays: dict[str, list[Fitment]]

    def component_card(self, source: str, component: Component) -> Card:
        """The card of one component: built, its stays in order, what it lay spare, its end."""
        rng, customs = self.rng, self.customs
        clerk = rng.choice(self.hands)
        heading = rng.choice(HEADINGS[component.kind]).format(component.number)
        card = Card(source, "component", component.id, heading, clerk)
        stays = self.stays[component.id]
        second = rng.randrange(2, len(stays)) if len(stays) > 3 and rng.random() < customs.two_hands else 999
        with_totals, halves = rng.random() < customs.totals, rng.random() < customs.halves
        if rng.random() < 0.25:
            self._dated(card, clerk, "built", component.built)
        total = 0
        for k, stay in enumerate(stays):
            if k == second:
                clerk = rng.choice(self.hands)
            if k:
                self._spare(card, clerk, stays[k - 1], stay)
            total += stay.miles
            self._entry(card, clerk, stay, halves=halves, total=_total(clerk, total) if with_totals else {})
        if total and not with_totals and rng.random() < customs.closing_total:
            add_line(rng, clerk, Line("total", component.id, None, _total(clerk, total), card))
        if component.condemned and rng.random() < 0.45:
            self._dated(card, clerk, "condemned", component.condemned)
        return card

    def _dated(self, card: Card, clerk: Clerk, says: str, day: date) -> None:
        field = "fitted" if says == "built" else "removed"
        add_line(self.rng, clerk, Line(says, card.subject, None, {field: clerk.date(self.rng, day)}, card))

    def _spare(self, card: Card, clerk: Clerk, before: Fitment, after: Fitment) -> None:
        """Say that it lay spare, where the custom is to say so."""
        if (after.fitted - before.removed).days < 130 or self.rng.random() >= self.customs.spare_stated:
            return
        cells = {
            "fitted": clerk.date(self.rng, before.removed, plain=True),
            "removed": clerk.date(self.rng, after.fitted, plain=True),
        }
        if self.customs.stock_written:
            cells["engine"] = Cell("Stock", "state:stock", "state:stock")
        add_line(self.rng, clerk, Line("spare", card.subject, None, cells, card, place=before.works))

    def _miles(self, clerk: Clerk, stay: Fitment) -> dict[str, Cell]:
        if self.rng.random() < clerk.blank_miles:
            return {}
        return {"miles": Cell(clerk.figure(stay.miles), stay.miles, stay.miles)}

    def _entry(
        self, card: Card, clerk: Clerk, stay: Fitment, *, halves: bool, total: dict[str, Cell]
    ) -> None:
        """One fitment on a component card, as a whole line or as two halves."""
        rng, engine = self.rng, self.world.engines[stay.engine]
        cells = {"engine": self._engine(clerk, engine, stay)}
        extra = {}
        if self.customs.name_column and engine.named and cells["engine"].text.isdigit():
            extra["engine_name"] = engine.borne("name", stay.fitted)
        start = {"fitted": clerk.date(rng, stay.fitted)}
        tail: dict[str, Cell] = {}
        if halves or rng.random() >= clerk.blank_removed:
            tail["removed"] = clerk.date(rng, stay.removed)
        tail |= self._miles(clerk, stay) | total
        if not halves:
            self._put(card, clerk, stay, cells=cells | start | tail, extra=extra)
            return
        self._put(card, clerk, stay, says="fitted", cells=cells | start, extra=extra)
        again = Cell(engine.borne("number", stay.removed), engine.id, engine.id)
        self._put(card, clerk, stay, says="removed", cells={"engine": again} | tail)

    def _put(
        self,
        card: Card,
        clerk: Clerk,
        stay: Fitment,
        *,
        cells: dict[str, Cell],
        says: str = "fitment",
        extra: dict[str, str] | None = None,
    ) -> None:
        """Write the line, with a ditto where the line above names the same thing in the same words."""
        facing = "engine" if card.side == "component" else "component"
        above = _named_above(card, facing)
        same = above is not None and (above.text, above.literal) == (
            cells[facing].text,
            cells[facing].literal,
        )
        if same and self.rng.random() < clerk.ditto_share:
            cells[facing].text, cells[facing].ditto = clerk.ditto, True
        line = Line(says, stay.component, stay.id, cells, card, place=stay.works, extra=extra or {})
        add_line(self.rng, clerk, line)

    def _engine(self, clerk: Clerk, engine: Engine, stay: Fitment) -> Cell:
        name = engine.borne("name", stay.fitted)
        by_name = name and self.rng.random() < clerk.by_name
        return Cell(name if by_name else engine.borne("number", stay.fitted), engine.id, engine.id)

    def engine_cards(self, engine: Engine) -> list[Card]:
        """One card for each kind of component that the engine carried."""
        by_kind: dict[str, list[Fitment]] = defaultdict(list)
        for stay in self.stays[engine.id]:
            by_kind[self.world.components[stay.component].kind].append(stay)
        return [self._engine_card(engine, by_kind[kind]) for kind in sorted(by_kind)]

    def _engine_card(self, engine: Engine, stays: list[Fitment]) -> Card:
        clerk = self.rng.choice(self.hands)
        card = Card("S2", "engine", engine.id, self._heading(engine), clerk)
        names = [b.value for b in engine.bearings if b.scheme == "name"]
        if self.customs.name_column:
            card.heading_name = names[0] if names else ""
        elif self.customs.names_in_heading:
            card.heading = " ".join((card.heading, *names))
        for stay in stays:
            number = self.world.components[stay.component].number
            cells = {"component": Cell(number, stay.component, stay.component)}
            cells["fitted"] = clerk.date(self.rng, stay.fitted)
            if self.rng.random() >= clerk.blank_removed:
                cells["removed"] = clerk.date(self.rng, stay.removed)
            self._put(card, clerk, stay, cells=cells | self._miles(clerk, stay))
        return card

    def _heading(self, engine: Engine) -> str:
        """The number that the engine bore last, or that it was built with."""
        return engine.borne("number", engine.withdrawn if self.customs.heading_latest else engine.built)

    def works_list(self) -> None:
        """The list of engines built and withdrawn."""
        self.world.sources.append(Source("S3", "works-list", "List of engines built and withdrawn"))
        clerk = make_clerk(self.rng)
        for engine in self.world.engines.values():
            card = Card("S3", "engine", engine.id, self._heading(engine), clerk)
            self._listed(card, "built", engine.built)
            self._listed(card, "withdrawn", engine.withdrawn)
            self.world.cards.append(card)

    def withdrawal_list(self) -> None:
        """A list of engines withdrawn and components condemned, with some left out."""
        self.world.sources.append(Source("S6", "withdrawal-list", "List of withdrawals"))
        clerk = make_clerk(self.rng)
        for engine in self.world.engines.values():
            if self.rng.random() < 0.9:
                card = Card("S6", "engine", engine.id, engine.borne("number", engine.withdrawn), clerk)
                self._listed(card, "withdrawn", engine.withdrawn)
                self.world.cards.append(card)
        for component in self.world.components.values():
            if self.rng.random() < 0.4 and component.condemned:
                card = Card("S6", "component", component.id, component.number, clerk)
                self._listed(card, "condemned", component.condemned)
                self.world.cards.append(card)

    def _listed(self, card: Card, says: str, day: date) -> None:
        field = "fitted" if says == "built" else "removed"
        subject = card.subject if card.side == "component" else None
        cell = card.clerk.written(day, self.rng.random() < card.clerk.exact)
        add_line(self.rng, card.clerk, Line(says, subject, None, {field: cell}, card))


def _total(clerk: Clerk, total: int) -> dict[str, Cell]:
    return {"total_miles": Cell(clerk.figure(total), total, total)}


def _stays(world: World) -> dict[str, list[Fitment]]:
    """The stays of each component and on each engine, in order of time."""
    stays: dict[str, list[Fitment]] = defaultdict(list)
    for stay in sorted(world.fitments.values(), key=lambda f: (f.fitted, f.id)):
        stays[stay.component].append(stay)
        stays[stay.engine].append(stay)
    return stays


def _named_above(card: Card, field: str) -> Cell | None:
    """Whom the lines right above name in a column, through their dittos."""
    for line in reversed(card.lines):
        cell = line.cells.get(field)
        if cell is None or not cell.ditto:
            return cell
    return None
