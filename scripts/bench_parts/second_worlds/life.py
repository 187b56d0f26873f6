"""What was: engines, components, and who carried what from when to when."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

NAMES = (
    "Orrest",
    "Calder Fell",
    "Wynn",
    "Hartlow",
    "Mere",
    "Stennet",
    "Brackmoor",
    "Fallow",
    "Ulla Water",
    "Pendrake",
)
TAILS = ("Hall", "Bridge", "Castle", "Vale", "Head", "Abbey", "Cross", "Tower")


@dataclass(slots=True, eq=False)
class Engine:
    """An engine, and the numbers and names that it bore (scheme, value, from, to)."""

    id: str
    kind: str
    built: date
    withdrawn: date
    marks: list[tuple[str, str, date, date]] = field(default_factory=list)

    def number(self, day: date) -> str:
        """The number borne on a day; the first or last one outside its life."""
        numbers = [m for m in self.marks if m[0] == "number"]
        return next(
            (m[1] for m in numbers if m[2] <= day <= m[3]), numbers[-1 if day > numbers[-1][3] else 0][1]
        )

    def name(self, day: date) -> str:
        """The name borne on a day, if any."""
        return next((m[1] for m in self.marks if m[0] == "name" and m[2] <= day <= m[3]), "")


@dataclass(slots=True, eq=False)
class Component:
    """A component; `free` is the day from which it lies in the works."""

    id: str
    number: str
    type: str
    built: date
    free: date
    condemned: date | None = None


@dataclass(slots=True, eq=False)
class Stay:
    """A true fitment."""

    id: str
    component: Component
    engine: Engine
    fitted: date
    removed: date
    miles: int


@dataclass(slots=True, eq=False)
class Life:
    """A whole invented line."""

    engines: list[Engine]
    components: list[Component]
    stays: list[Stay]
    pairs: list[tuple[str, str]]


def days(count: float) -> timedelta:
    """A span of so many whole days."""
    return timedelta(days=round(count))


def live(rng: Random, components: int) -> Life:
    """A life with about as many components as asked for."""
    life = Life([], [], [], [])
    number, serial = 100, 3000
    sort = 0
    while len(life.components) < components:
        sort += 1
        size = min(rng.randint(8, 20), max(4, (components - len(life.components)) * 2 // 3))
        rate = rng.uniform(70, 125)
        start = date(rng.randint(1896, 1926), rng.randint(1, 12), 1)
        kind, step, apart = f"{'ABCDEFGH'[sort % 8]}{sort}", rng.randint(1, 2), rng.uniform(20, 60)
        engines = [_engine(rng, kind, number + n * step, start + days(n * apart)) for n in range(size)]
        number += size * 2 + rng.randint(0, 10)
        life.engines += engines
        life.pairs.append((f"D{sort}", engines[0].kind))
        serial = _run(rng, life, engines, f"D{sort}", serial=serial, rate=rate)
    _reuse(rng, life)
    return life


def _engine(rng: Random, kind: str, number: int, built: date) -> Engine:
    withdrawn = built + days(rng.uniform(17, 38) * 365.25)
    engine = Engine(f"E{number:05d}", kind, built, withdrawn)
    turn = built + days(rng.uniform(0.3, 0.7) * (withdrawn - built).days)
    if rng.random() < 0.15:
        engine.marks = [("number", str(number), built, turn), ("number", str(number + 4000), turn, withdrawn)]
    else:
        engine.marks = [("number", str(number), built, withdrawn)]
    if rng.random() < 0.2:
        first, second = f"{rng.choice(NAMES)} {rng.choice(TAILS)}", f"{rng.choice(NAMES)} {rng.choice(TAILS)}"
        engine.marks.append(("name", first, built, turn if rng.random() < 0.4 else withdrawn))
        if engine.marks[-1][3] == turn and second != first:
            engine.marks.append(("name", second, turn, withdrawn))
    return engine


def _run(rng: Random, life: Life, engines: list[Engine], type_: str, *, serial: int, rate: float) -> int:
    """Exchange the components of one class at works until its engines are gone."""
    pool: list[Component] = []
    calls = sorted((engine.built, place) for place, engine in enumerate(engines))
    while calls:
        day, place = calls.pop(0)
        engine = engines[place]
        able = [c for c in pool if c.free + days(25) <= day and c.condemned is None]
        if able and rng.random() < 0.9:
            component = rng.choice(able)
            pool.remove(component)
        else:
            serial += 1
            component = Component(f"C{serial:06d}", str(serial), type_, day - days(rng.uniform(5, 60)), day)
            life.components.append(component)
        until = min(engine.withdrawn, day + days(max(150, rng.gauss(1150, 420))))
        if (engine.withdrawn - until).days < 250:
            until = engine.withdrawn
        run = round((until - day).days * rate * rng.lognormvariate(0, 0.16))
        life.stays.append(Stay(f"T{len(life.stays) + 1:06d}", component, engine, day, until, max(run, 900)))
        component.free = until
        if (until - component.built).days > rng.uniform(20, 34) * 365:
            component.condemned = until + days(rng.uniform(3, 90))
        else:
            pool.append(component)
        if until < engine.withdrawn:
            calls.append((until + days(rng.uniform(18, 75)), place))
            calls.sort()
    for component in pool:
        component.condemned = component.free + days(rng.uniform(3, 200))
    return serial


def _reuse(rng: Random, life: Life) -> None:
    """Give the number of an engine that is gone to one that came later."""
    for engine in life.engines:
        gone = [e for e in life.engines if e.withdrawn + days(100) < engine.built]
        if gone and rng.random() < 0.06:
            number = rng.choice(gone).marks[0][1]
            engine.marks[0] = ("number", number, *engine.marks[0][2:])
