"""What truly happens in an invented world: engines are built, exchange their boilers at works, and are withdrawn."""

from __future__ import annotations

import heapq
from dataclasses import dataclass, field
from datetime import date
from random import Random


@dataclass
class Engine:
    """One engine: its class, its days, and what it was called from when."""

    engine_id: str
    class_: str
    built: int
    withdrawn: int
    numbers: list[tuple[str, int, int]] = field(default_factory=list)

    def number_at(self, day: int) -> str:
        """The number that it bore on a day."""
        return next((n for n, a, b in self.numbers if a <= day <= b), self.numbers[-1][0])


@dataclass
class Boiler:
    """One component."""

    component_id: str
    number: str
    type_: str
    built: int
    condemned: int = 0


@dataclass
class Fitment:
    """One true stay."""

    id: str
    boiler: Boiler
    engine: Engine
    fitted: int
    removed: int
    miles: int


@dataclass
class World:
    """Everything that truly happened."""

    engines: list[Engine]
    boilers: list[Boiler]
    fitments: list[Fitment]


def make(rng: Random, components: int) -> World:
    """A world with so many components; class A engines carry type P boilers, class B type Q."""
    engines = _engines(rng, max(4, round(components * 0.72)))
    boilers: list[Boiler] = []
    fitments: list[Fitment] = []
    for class_, type_ in (("A", "P"), ("B", "Q")):
        _run_class(rng, [e for e in engines if e.class_ == class_], type_, boilers, fitments)
    fitments.sort(key=lambda f: (f.boiler.component_id, f.fitted))
    for number, fitment in enumerate(fitments):
        fitment.id = f"F{number:06d}"
    for boiler in boilers:
        last = max(f.removed for f in fitments if f.boiler is boiler)
        boiler.condemned = last + rng.randint(3, 60)
    return World(engines, boilers, fitments)


def _engines(rng: Random, count: int) -> list[Engine]:
    found = []
    used = iter(sorted(rng.sample(range(200, 200 + 3 * count), count)))
    for index in range(count):
        built = date(1905 + (index * 20) // count, rng.randint(1, 12), rng.randint(1, 28)).toordinal()
        withdrawn = built + int(365.25 * rng.uniform(22, 42))
        number = str(next(used))
        engine = Engine(f"E{index + 1:05d}", "A" if index < count * 0.55 else "B", built, withdrawn)
        engine.numbers = [(number, built, withdrawn)]
        if rng.random() < 0.08:
            changed = rng.randint(built + 2000, withdrawn - 1000)
            engine.numbers = [(number, built, changed - 1), (str(1000 + index), changed, withdrawn)]
        found.append(engine)
    _reuse(rng, found)
    return found


def _reuse(rng: Random, engines: list[Engine]) -> None:
    """Give the number of a withdrawn engine to one that is built a year or more later."""
    for late in engines:
        gone = [e for e in engines if e.withdrawn + 300 < late.built]
        if gone and rng.random() < 0.15:
            _, first, last = late.numbers[0]
            late.numbers[0] = (rng.choice(gone).numbers[-1][0], first, last)


def _run_class(
    rng: Random, engines: list[Engine], type_: str, boilers: list[Boiler], fitments: list[Fitment]
) -> None:
    """Overhauls in order of time: the boiler goes to the shop, and the engine takes one that is ready."""
    rate = rng.uniform(80, 110)
    ready: list[tuple[int, int, Boiler]] = []
    queue = [(e.built, i, e) for i, e in enumerate(engines)]
    heapq.heapify(queue)
    serial = 0
    while queue:
        day, index, engine = heapq.heappop(queue)
        usable = [item for item in ready if item[0] <= day and day - item[2].built < 365 * 30]
        if usable and (rng.random() < 0.75 or len(usable) > 3):
            item = rng.choice(usable)
            ready.remove(item)
            boiler = item[2]
        else:
            number = len(boilers) + 1
            boiler = Boiler(f"B{number:05d}", str(3000 + number), type_, day - rng.randint(0, 60))
            boilers.append(boiler)
        stay = int(365.25 * min(5.5, max(0.8, rng.lognormvariate(1.0, 0.3))))
        removed = min(day + stay, engine.withdrawn - rng.randint(0, 3))
        if removed - day < 60:
            if not any(f.boiler is boiler for f in fitments):
                boilers.remove(boiler)
            else:
                heapq.heappush(ready, (day, serial, boiler))
                serial += 1
            continue
        miles = int((removed - day) * rate * rng.lognormvariate(0, 0.18))
        fitments.append(Fitment("", boiler, engine, day, removed, miles))
        out = removed + rng.randint(15, 55)
        heapq.heappush(ready, (out, serial, boiler))
        serial += 1
        if removed + 200 < engine.withdrawn:
            heapq.heappush(queue, (out, index, engine))
