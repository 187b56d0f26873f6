"""What truly happened: components go round the engines at overhauls, with a float of spares between them."""

from __future__ import annotations

import heapq
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from .roster import invent_name, make_engines
from .values import Component, Engine, Fitment, World

FLOAT = 0.16  # spares per engine
SHARE_OF_LATER = 0.35  # components built after the first, per engine


@dataclass(slots=True)
class _Shop:
    """The works' books while time runs: who is free, and how many may still be built."""

    rng: Random
    world: World
    kind: str
    prefix: str
    budget: int
    built: int = 0
    pool: dict[str, list[tuple[date, str]]] = field(default_factory=lambda: defaultdict(list))
    works: list[str] = field(default_factory=list)
    rate: dict[str, float] = field(default_factory=dict)

    def build(self, type_: str, day: date) -> Component:
        """A new component of a type, ready a little before the day."""
        self.budget, self.built = self.budget - 1, self.built + 1
        component = Component(
            f"{self.prefix}{self.built:05d}",
            self.kind,
            type_,
            day - timedelta(days=self.rng.randint(5, 60)),
            int(365.25 * min(45, max(11, self.rng.gauss(26, 7)))),
        )
        self.world.components[component.id] = component
        return component

    def choose(self, engine: Engine, day: date, own: str | None) -> tuple[str, date]:
        """The component that goes on at a day, and the day it does."""
        type_ = engine.type_at(self.kind, day)
        free = [p for p in self.pool[type_] if p[0] <= day]
        own_fits = own is not None and self.world.components[own].type == type_
        if own_fits and (self.rng.random() < 0.3 or not (free or self.budget)):
            return str(own), day
        if free and (self.rng.random() < 0.8 or not self.budget):
            pick = self.rng.choice(free)
            self.pool[type_].remove(pick)
            return pick[1], day
        if self.budget:
            return self.build(type_, day).id, day
        if own_fits:
            return str(own), day
        return self._wait(type_, day)

    def _wait(self, type_: str, day: date) -> tuple[str, date]:
        waiting = sorted(self.pool[type_])
        if not waiting:  # never hold an engine back for ever: one more is built than was meant
            return self.build(type_, day).id, day
        self.pool[type_].remove(waiting[0])
        return waiting[0][1], max(day, waiting[0][0])

    def take_off(self, component_id: str, day: date, type_: str) -> None:
        """Send a removed component to repair and stock, or condemn it at the end of its life."""
        component = self.world.components[component_id]
        spent = (day - component.built).days > component.life_days
        if spent and (self.budget or self.pool[type_]):
            component.condemned = day + timedelta(days=self.rng.randint(1, 70))
        else:
            self.pool[type_].append((day + timedelta(days=self.rng.randint(20, 120)), component_id))


def make_railway(components: int, profile: str, seed: int, rng: Random) -> World:
    """A world of about so many components, with its truth and no papers yet.

    How many components a fleet needs is known only when time has run, so the fleet is sized by trying.
    """
    share, tried = 1.0, []
    with_tenders, draw = components >= 40 and rng.random() < 0.4, rng.random()
    for k in range(12):
        world = _try(components, share, with_tenders, Random(f"{draw}/{k}"), World(seed, profile))
        tried.append(world)
        if abs(len(world.components) - components) <= max(1, components // 40):
            break
        share *= (components / len(world.components)) ** 0.8
    return min(tried, key=lambda w: abs(len(w.components) - components))


def _try(components: int, share: float, with_tenders: bool, rng: Random, world: World) -> World:
    tenders = round(components * share * 0.25) if with_tenders else 0
    boilers = round(components * share) - tenders
    count = max(4, round(boilers / (1 + FLOAT + SHARE_OF_LATER)))
    world.engines, world.fits = make_engines(rng, count)
    works = [invent_name(rng) for _ in range(rng.randint(1, 4))]
    rate = {c: rng.uniform(17000, 36000) for c in sorted({e.class_ for e in world.engines.values()})}
    _run(_Shop(rng, world, "boiler", "B", boilers, works=works, rate=rate), list(world.engines.values()))
    if tenders:
        some = list(world.engines.values())[: max(3, round(tenders / (1 + FLOAT + SHARE_OF_LATER)))]
        _run(_Shop(rng, world, "tender", "W", tenders, works=works, rate=rate), some)
    _number_components(rng, world)
    return world


def _run(shop: _Shop, engines: list[Engine]) -> None:
    """Let time run from the first engine built to the last withdrawn."""
    visits = [(e.built, k) for k, e in enumerate(engines)]
    heapq.heapify(visits)
    on: dict[int, tuple[str, date]] = {}
    while visits:
        day, k = heapq.heappop(visits)
        engine, carried = engines[k], on.pop(k, None)
        back = day if carried is None else day + timedelta(days=shop.rng.randint(20, 85))
        if carried:
            _close(shop, engine, carried, day)
        if day >= engine.withdrawn:
            if carried:
                shop.take_off(carried[0], day, shop.world.components[carried[0]].type)
            continue
        own = carried[0] if carried else None
        chosen, back = shop.choose(engine, back, own)
        if own and chosen != own:
            shop.take_off(own, day, shop.world.components[own].type)
        if back >= engine.withdrawn - timedelta(days=30):
            shop.take_off(chosen, back, shop.world.components[chosen].type)
            continue
        on[k] = chosen, back
        heapq.heappush(visits, (_next_visit(shop.rng, engine, back), k))
    _condemn_the_rest(shop)


def _next_visit(rng: Random, engine: Engine, back: date) -> date:
    day = back + timedelta(days=int(min(2600, max(150, rng.gauss(1080, 330)))))
    if engine.rebuilt and back < engine.rebuilt < day:
        day = engine.rebuilt
    return min(day, engine.withdrawn) if (engine.withdrawn - day).days > 120 else engine.withdrawn


def _close(shop: _Shop, engine: Engine, carried: tuple[str, date], day: date) -> None:
    days = (day - carried[1]).days
    miles = int(shop.rate[engine.class_] * days / 365.25 * shop.rng.lognormvariate(0, 0.17))
    number = len(shop.world.fitments) + 1
    works = shop.rng.choice(shop.works)
    fitment = Fitment(f"F{number:06d}", carried[0], engine.id, carried[1], day, max(1, miles), works)
    shop.world.fitments[fitment.id] = fitment


def _condemn_the_rest(shop: _Shop) -> None:
    last: dict[str, date] = {}
    for fitment in shop.world.fitments.values():
        last[fitment.component] = max(last.get(fitment.component, fitment.removed), fitment.removed)
    for component in shop.world.components.values():
        if component.kind == shop.kind and component.condemned is None:
            end = last.get(component.id, component.built)
            component.condemned = end + timedelta(days=shop.rng.randint(1, 120))


def _number_components(rng: Random, world: World) -> None:
    """Number the components in the order of building; a few take the number of one long condemned."""
    following = {
        "boiler": rng.choice((3001, 1201, 7001)),
        "tender": 201 if len(world.components) < 2000 else 100001,
    }
    reuse = rng.choice((0.0, 0.0, 0.04))
    gone: list[Component] = []
    for component in sorted(world.components.values(), key=lambda c: (c.built, c.id)):
        left = next((g for g in gone if _left_its_number(g, component)), None)
        if left and rng.random() < reuse:
            component.number = left.number
            gone.remove(left)
        else:
            component.number = str(following[component.kind])
            following[component.kind] += rng.choice((1, 1, 1, 1, 2, 3))
        gone.append(component)


def _left_its_number(gone: Component, new: Component) -> bool:
    """Whether one was condemned long enough before another was built to leave it its number."""
    return gone.kind == new.kind and gone.condemned is not None and (new.built - gone.condemned).days > 400
