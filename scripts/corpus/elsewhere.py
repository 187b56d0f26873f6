"""What survives besides the works' own cards, and what is wrong in it on purpose.

The sheds kept a card of each engine while it was stationed there, by hand. A ledger was written up from the
boiler cards, and somebody typed a list of what the tank engines carried. Each of the three has a slip of its
own; everything is chosen from the finished railway, so that nothing in the works' papers depends on it.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from random import Random
from typing import Final

from .plantings import GAP_BOILER, Slip, World, swapped_digit
from .pool import UnfitDrawError
from .railway import Part, Stay
from .roster import MILES_A_YEAR, Locomotive

SHED_ENGINES: Final = ("232", "210", "65", "221", "61", "226", "68", "204")
SHED_LINES: Final = 7  # on a card at most
LEDGER_OPENED: Final = 1927
LIST_YEARS: Final = range(1922, 1940)


def shed_engines(world: World) -> list[Locomotive]:
    """The engines of which a shed's card survives, in the order in which the cards are filed."""
    at = {e.called("number", e.built): e for e in world.railway.engines if e.carded}
    return [at[number] for number in SHED_ENGINES]


def shed_stays(world: World, engine: Locomotive) -> list[Stay]:
    """The boilers on an engine while it was at the shed: some in succession, from the middle of its life."""
    stays = world.railway.stays_on(engine.engine_id, "boiler")
    first = max(0, len(stays) - SHED_LINES - 1)
    return stays[first : first + SHED_LINES]


def _in_order(world: World) -> list[Part]:
    """The boilers in which nothing of the works' own papers is wrong."""
    slipped = {s.stay.component_id for s in world.slips}
    parts = [p for p in world.railway.parts if p.kind == "boiler" and p.component_id not in slipped]
    return [p for p in parts if all(s.engine_id for s in world.railway.stays_of(p.component_id))]


def ledger_boilers(world: World) -> list[Part]:
    """The boilers of the ledger's surviving leaves: one that was at work when it was opened, two new ones."""
    old = [p for p in _in_order(world) if p.built.year < LEDGER_OPENED - 4]
    new = [p for p in _in_order(world) if p.built.year >= LEDGER_OPENED]
    running = [p for p in old if len(ledger_stays(world, p)) >= 5]
    return [running[-1], *new[:2]]


def ledger_stays(world: World, part: Part) -> list[Stay]:
    """The stays of a boiler that the ledger has: those that began after it was opened."""
    return [s for s in world.railway.stays_of(part.component_id) if s.fitted.year >= LEDGER_OPENED]


def listed_stays(world: World) -> list[Stay]:
    """The stays on the typed list: the boilers of the tank engines over some years, in order of time."""
    tank = {p.component_id for p in world.railway.parts if p.kind == "boiler" and p.type == "B"}
    slipped = {s.stay for s in world.slips}
    wanted = [
        s
        for s in world.railway.stays
        if s.component_id in tank and s.fitted.year in LIST_YEARS and s.engine_id and s not in slipped
    ]
    return sorted(wanted, key=lambda s: (s.fitted, s.component_id))


@lru_cache(maxsize=4)
def slips_elsewhere(world: World) -> tuple[Slip, ...]:
    """One slip in each of the three: miles on a shed's card, a date in the ledger, a line typed twice."""
    rng = Random(f"elsewhere/{GAP_BOILER}")
    return tuple(
        _one(rng, found, key)
        for key, found in (
            ("shed", list(_shed_miles(world))),
            ("ledger", list(_ledger_dates(world))),
            ("twice", [Slip("twice", s, None) for s in listed_stays(world)[3:-6]]),
        )
    )


def slip_elsewhere(world: World, key: str) -> Slip:
    """The slip of this name."""
    return next(s for s in slips_elsewhere(world) if s.key == key)


def _one(rng: Random, found: list[Slip], key: str) -> Slip:
    if not found:
        raise UnfitDrawError(f"nowhere to plant {key}")
    return rng.choice(found)


def _shed_miles(world: World) -> Iterable[Slip]:
    """A mileage copied with a digit wrong onto a shed's card; both cards of the works have it right."""
    sound = {p.component_id for p in _in_order(world)}
    for engine in shed_engines(world):
        for stay in shed_stays(world, engine)[1:-1]:
            wrong = swapped_digit(stay.miles)
            years = (stay.removed - stay.fitted).days / 365.25
            usual = MILES_A_YEAR[engine.called("class", stay.fitted)] * years
            if stay.component_id in sound and wrong and abs(wrong / usual - 1) < 0.12:
                yield Slip("shed", stay, wrong)


def _ledger_dates(world: World) -> Iterable[Slip]:
    """A removal that is copied a year too early; the boiler's card and the engine's have it right."""
    for part in ledger_boilers(world):
        for stay in ledger_stays(world, part)[1:-1]:
            carded = world.railway.engine(stay.engine_id or "").carded
            if carded and (stay.removed - stay.fitted).days > 1000:
                early = stay.removed.replace(year=stay.removed.year - 1, day=min(stay.removed.day, 28))
                yield Slip("ledger", stay, early)
