"""The engines of an invented railway: built in classes, renumbered, renamed, rebuilt and withdrawn.

The habits (numbers given out a second time, boilers shared by two classes, a float of spares) are common
practice and have no source; all names are made of syllables and mean nothing.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from .values import Bearing, Engine

SYLLABLES = ["bren", "cal", "dor", "esk", "fen", "gar", "hol", "ister", "jun", "kel", "lor", "mav", "nor", "oss", "pen", "quil", "ras", "sel", "tor", "ul", "vel", "wen", "yar", "zel"]
SECOND = ["wick", "more", "thwaite", "field", "combe", "holm", "ley", "mere", "stow", "gate", "brook", "dale"]


def invent_name(rng: Random) -> str:
    """A name that nothing bears."""
    return (rng.choice(SYLLABLES) + rng.choice(SYLLABLES[::2]) + rng.choice(SECOND)).capitalize()


def make_engines(rng: Random, count: int) -> tuple[dict[str, Engine], set[tuple[str, str]]]:
    """So many engines in classes, and which component type fits which class."""
    engines: dict[str, Engine] = {}
    fits: set[tuple[str, str]] = set()
    left, first_year, index = count, rng.randint(1888, 1904), 0
    while left > 0:
        size = left if left < 8 else min(left, rng.randint(6, 36))
        left -= size
        _make_class(rng, engines, fits, f"{'ABCDEFGHJK'[index % 10]}{index // 10 + 1}", size, first_year)
        first_year, index = first_year + rng.choice((0, 1, 2, 3, 6)), index + 1
        if first_year > 1926:
            first_year = rng.randint(1890, 1912)
    _number(rng, engines)
    _name(rng, engines)
    return engines, fits


def _make_class(
    rng: Random, engines: dict[str, Engine], fits: set[tuple[str, str]], name: str, size: int, year: int
) -> None:
    # Every third class carries the boiler of the class before it, as many railways' standard types did.
    shared = [b for b, _ in sorted(fits) if b.startswith("T")]
    boiler = rng.choice(shared) if shared and rng.random() < 0.25 else f"T{name}"
    tender = rng.choice(("W1", "W2", "W3"))
    fits |= {(boiler, name), (tender, name)}
    rebuild = f"T{name}X" if size >= 10 and rng.random() < 0.4 else ""
    if rebuild:
        fits |= {(rebuild, name + "R"), (tender, name + "R")}
    for k in range(size):
        built = date(year, 1, 1) + timedelta(days=int(k * rng.uniform(14, 40)) + rng.randint(0, 40))
        withdrawn = built + timedelta(days=int(365.25 * min(48, max(14, rng.gauss(30, 6)))))
        engine = Engine(
            f"E{len(engines) + 1:05d}", name, built, withdrawn, {"boiler": boiler, "tender": tender}
        )
        if rebuild and rng.random() < 0.5:
            engine.rebuilt = built + timedelta(days=int(365.25 * rng.uniform(9, 15)))
            engine.rebuilt_class, engine.rebuilt_type = name + "R", rebuild
            if engine.rebuilt > withdrawn - timedelta(days=1200):
                engine.rebuilt = None
        engines[engine.id] = engine


def _number(rng: Random, engines: dict[str, Engine]) -> None:
    """Give numbers: in blocks, some of them numbers that withdrawn engines have left; then one renumbering."""
    freed: list[tuple[date, str]] = []
    following = rng.choice((1, 101, 401))
    scheme_year = rng.randint(1912, 1930) if rng.random() < 0.6 else None
    moved = rng.choice((1000, 2000, 5000))
    for engine in sorted(engines.values(), key=lambda e: (e.built, e.id)):
        old = [n for n in freed if n[0] + timedelta(days=90) < engine.built]
        if old and rng.random() < 0.5:
            pick = rng.choice(old)
            freed.remove(pick)
            number = pick[1]
        else:
            number, following = str(following), following + rng.choice((1, 1, 1, 2))
        engine.bearings.append(Bearing(engine.id, "number", number, engine.built, engine.withdrawn))
        if scheme_year and engine.class_[0] in "ACEG" and _lives(engine, scheme_year):
            day = date(scheme_year, rng.randint(1, 12), rng.randint(1, 28))
            engine.bearings[0].last = day
            engine.bearings.append(
                Bearing(engine.id, "number", str(int(number) + moved), day, engine.withdrawn)
            )
            if int(number) < moved:
                freed.append((day, number))
        else:
            freed.append((engine.withdrawn, number))


def _lives(engine: Engine, year: int) -> bool:
    return engine.built < date(year, 1, 1) and engine.withdrawn > date(year + 1, 1, 1)


def _name(rng: Random, engines: dict[str, Engine]) -> None:
    """Name the engines of some classes, rename a few of them, and give every engine its class as a designation."""
    named = {c for c in sorted({e.class_ for e in engines.values()}) if rng.random() < 0.3}
    used: set[str] = set()
    for engine in engines.values():
        engine.bearings.append(
            Bearing(engine.id, "class", engine.class_, engine.built, engine.rebuilt or engine.withdrawn)
        )
        if engine.rebuilt:
            engine.bearings.append(
                Bearing(engine.id, "class", engine.rebuilt_class, engine.rebuilt, engine.withdrawn)
            )
        if engine.class_ in named:
            engine.named = True
            _names_of(rng, engine, used)


def _names_of(rng: Random, engine: Engine, used: set[str]) -> None:
    days = [engine.built]
    life = (engine.withdrawn - engine.built).days
    if rng.random() < 0.2:
        days.append(engine.built + timedelta(days=int(life * rng.uniform(0.25, 0.75))))
    ends = [*days[1:], engine.withdrawn]
    for first, last in zip(days, ends, strict=True):
        name = invent_name(rng)
        while name in used:
            name = invent_name(rng)
        used.add(name)
        engine.bearings.append(Bearing(engine.id, "name", name, first, last))
