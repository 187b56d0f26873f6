"""The engines of an invented railway: built in classes, renumbered, renamed, rebuilt and withdrawn.

The habits (numbers given out a second time, boilers shared by two classes, a float of spares) are common
practice and have no source; all names are made of syllables and mean nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random
from typing import Final

from .values import Bearing, Engine

SYLLABLES = (
    *("bren", "cal", "dor", "esk", "fen", "gar", "hol", "ister", "jun", "kel", "lor", "mav"),
    *("nor", "oss", "pen", "quil", "ras", "sel", "tor", "ul", "vel", "wen", "yar", "zel"),
)
SECOND = ("wick", "more", "thwaite", "field", "combe", "holm", "ley", "mere", "stow", "gate", "brook", "dale")
Fits = set[tuple[str, str]]


def invent_name(rng: Random) -> str:
    """A name that nothing bears."""
    return (rng.choice(SYLLABLES) + rng.choice(SYLLABLES[::2]) + rng.choice(SECOND)).capitalize()


def make_engines(rng: Random, count: int) -> tuple[dict[str, Engine], Fits]:
    """So many engines in classes, and which component type fits which class."""
    engines: dict[str, Engine] = {}
    fits: Fits = set()
    left, first_year, index = count, rng.randint(1888, 1904), 0
    while left > 0:
        size = left if left < 8 else min(left, rng.randint(6, 36))
        left -= size
        design = _design(rng, fits, f"{'ABCDEFGHJK'[index % 10]}{index // 10 + 1}", size)
        for k in range(size):
            built = date(first_year, 1, 1) + timedelta(days=int(k * rng.uniform(14, 40)) + rng.randint(0, 40))
            engine = design.engine(rng, len(engines) + 1, built)
            engines[engine.id] = engine
        first_year, index = first_year + rng.choice((0, 1, 2, 3, 6)), index + 1
        if first_year > 1926:
            first_year = rng.randint(1890, 1912)
    _number(rng, engines)
    _name(rng, engines)
    return engines, fits


@dataclass(frozen=True, slots=True)
class _Class:
    """One design: what it carries, and what a part of it may be rebuilt to carry."""

    name: str
    boiler: str
    tender: str
    rebuilt_boiler: str

    def engine(self, rng: Random, number: int, built: date) -> Engine:
        """One engine of the class with its life before it."""
        withdrawn = built + timedelta(days=int(365.25 * min(48, max(14, rng.gauss(30, 6)))))
        types = {"boiler": self.boiler, "tender": self.tender}
        engine = Engine(f"E{number:05d}", self.name, built, withdrawn, types)
        day = built + timedelta(days=int(365.25 * rng.uniform(9, 15)))
        if self.rebuilt_boiler and rng.random() < 0.5 and (withdrawn - day).days > 1200:
            engine.rebuilt, engine.rebuilt_class = day, self.name + "R"
            engine.rebuilt_type = self.rebuilt_boiler
        return engine


def _design(rng: Random, fits: Fits, name: str, size: int) -> _Class:
    # Some classes carry the boiler of an earlier one, as many railways' standard types did.
    shared = [b for b, _ in sorted(fits) if b.startswith("T")]
    boiler = rng.choice(shared) if shared and rng.random() < 0.25 else f"T{name}"
    tender = rng.choice(("W1", "W2", "W3"))
    fits |= {(boiler, name), (tender, name)}
    rebuilt = f"T{name}X" if size >= 10 and rng.random() < 0.4 else ""
    if rebuilt:
        fits |= {(rebuilt, name + "R"), (tender, name + "R")}
    return _Class(name, boiler, tender, rebuilt)


def _number(rng: Random, engines: dict[str, Engine]) -> None:
    """Give numbers: in blocks, some of them left by withdrawn engines; then one renumbering."""
    freed: list[tuple[date, str]] = []
    following = rng.choice((1, 101, 401))
    scheme_year = rng.randint(1912, 1930) if rng.random() < 0.6 else None
    moved = rng.choice((1000, 2000, 5000)) * (1 if len(engines) < 500 else 100)
    for engine in sorted(engines.values(), key=lambda e: (e.built, e.id)):
        old = [n for n in freed[:400] if n[0] + timedelta(days=90) < engine.built]
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
    """Name the engines of some classes, rename a few, and give every engine its class as a designation."""
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


_TRIES: Final = 200
"""How many names that are taken are tried before longer ones are."""


def _names_of(rng: Random, engine: Engine, used: set[str]) -> None:
    days = [engine.built]
    life = (engine.withdrawn - engine.built).days
    if rng.random() < 0.2:
        days.append(engine.built + timedelta(days=int(life * rng.uniform(0.25, 0.75))))
    ends = [*days[1:], engine.withdrawn]
    for first, last in zip(days, ends, strict=True):
        name, tries = invent_name(rng), 1
        while name in used:
            # On a very large railway the short names run out, and some are made of two.
            name, tries = invent_name(rng), tries + 1
            if tries > _TRIES:
                name = f"{name} {invent_name(rng)}"
        used.add(name)
        engine.bearings.append(Bearing(engine.id, "name", name, first, last))
