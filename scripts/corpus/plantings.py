"""What is wrong with the papers on purpose, and on which stays of which components.

Each slip is made once, on one component, so that what it does to the evidence can be told from what the
others do. `choose` refuses a railway in which a slip would drag a second contradiction behind it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from random import Random
from typing import Final

from .pool import UnfitDrawError
from .railway import Railway, Stay, railways, renumbered
from .roster import MILES_A_YEAR, Locomotive

GAP_BOILER: Final = "52"


@dataclass(frozen=True, slots=True)
class Slip:
    """One planted fault: the stay it touches, and what the component's card says instead of the truth.

    `says` is a date for `overlap` and `reversed`, miles for `miles` and `total`, an engine's id for
    `withdrawn`, and None for `gap`, whose line was never written.
    """

    key: str
    stay: Stay
    says: date | int | str | None


@dataclass(frozen=True, slots=True)
class World:
    """The truth, and what the papers get wrong."""

    railway: Railway
    slips: tuple[Slip, ...]

    def slip(self, key: str) -> Slip:
        """The planted fault of this name."""
        return next(s for s in self.slips if s.key == key)

    def slip_at(self, stay: Stay | None) -> Slip | None:
        """The planted fault on this stay, if there is one."""
        return next((s for s in self.slips if s.stay == stay and s.key != "total"), None)


def _pick(rng: Random, found: list[Slip], key: str) -> Slip:
    if not found:
        raise UnfitDrawError(f"nowhere to plant {key}")
    return rng.choice(found)


def _inner(railway: Railway, kind: str = "boiler") -> list[tuple[Stay, Stay, Stay]]:
    """Every stay on an engine with the stays before and after it, all three on engines."""
    triples = []
    for part in (p for p in railway.parts if p.kind == kind):
        stays = railway.stays_of(part.component_id)
        triples += [t for t in zip(stays, stays[1:], stays[2:], strict=False) if all(s.engine_id for s in t)]
    return triples


def _lost(railway: Railway, stay: Stay) -> bool:
    """Whether the engine's own card does not survive."""
    return stay.engine_id is not None and not railway.engine(stay.engine_id).carded


def _years_later(day: date, years: int) -> date:
    return day.replace(year=day.year + years, day=min(day.day, 28))


def _free(railway: Railway, stay: Stay, first: date, last: date) -> bool:
    """Whether no other boiler stood on the engine of this stay between two days."""
    others = [s for s in railway.stays_on(stay.engine_id or "", "boiler") if s != stay]
    return all(s.removed < first or s.fitted > last for s in others)


def _gaps(railway: Railway) -> list[Slip]:
    """A stay of about four years on an engine whose card is lost, never written down."""
    return [
        Slip("gap", stay, None)
        for before, stay, after in _inner(railway)
        if _lost(railway, stay)
        and 1340 <= (stay.removed - stay.fitted).days <= 1600
        and 1911 <= stay.fitted.year <= 1945
        and before.engine_id != after.engine_id
    ]


def _overlaps(railway: Railway) -> list[Slip]:
    """A removal written a year late, so that the next fitment began before this one ended."""
    found = []
    for _, stay, after in _inner(railway):
        late = _years_later(stay.removed, 1)
        engine = stay.engine_id and railway.engine(stay.engine_id)
        if (
            isinstance(engine, Locomotive)
            and not engine.carded
            and stay.engine_id != after.engine_id
            and (late - after.fitted).days > 200
            and (after.removed - late).days > 300
            and (engine.withdrawn - late).days > 400
            and (stay.removed - stay.fitted).days > 1100
            and _free(railway, stay, stay.fitted, late + timedelta(days=120))
        ):
            found.append(Slip("overlap", stay, late))
    return found


def _reversals(railway: Railway) -> list[Slip]:
    """A removal whose year was mistyped, so that it comes before the fitting."""
    found = []
    for _, stay, after in _inner(railway):
        if not _lost(railway, stay) or stay.engine_id == after.engine_id or stay.removed.year % 10 != 8:
            continue
        early = stay.removed.replace(year=stay.removed.year - 5, day=min(stay.removed.day, 28))
        if 60 < (stay.fitted - early).days < 900:
            found.append(Slip("reversed", stay, early))
    return found


def swapped_digit(miles: int) -> int | None:
    """The figure with its thousands digit misread, 3 for 8 or 8 for 3, where that digit is one of them."""
    digit = miles // 1000 % 10
    return {3: miles + 5000, 8: miles - 5000}.get(digit)


def _mileages(railway: Railway) -> list[Slip]:
    """A mileage with a digit mistyped on the component's card; the engine's card has it right."""
    found = []
    for _, stay, _ in _inner(railway):
        engine = railway.engine(stay.engine_id or "")
        wrong = swapped_digit(stay.miles)
        years = (stay.removed - stay.fitted).days / 365.25
        usual = MILES_A_YEAR[engine.called("class", stay.fitted)] * years
        if (
            engine.carded
            and not engine.rebuilt
            and wrong
            and abs(wrong / usual - 1) < 0.1
            and stay.miles > 60_000
        ):
            found.append(Slip("miles", stay, wrong))
    return found


def _totals(railway: Railway) -> list[Slip]:
    """A total at the foot of a card with two of its digits changed about."""
    found = []
    for part in (p for p in railway.parts if p.kind == "boiler"):
        stays = railway.stays_of(part.component_id)
        digits = list(str(sum(s.miles for s in stays)))
        if len(digits) == 6 and digits[1] != digits[2] and 5 <= len(stays) <= 9:
            digits[1], digits[2] = digits[2], digits[1]
            found.append(Slip("total", stays[-1], int("".join(digits))))
    return found


def _after_withdrawal(railway: Railway) -> list[Slip]:
    """A fitment put down to an engine that had been withdrawn; it was another engine, whose card is lost."""
    found = []
    for _, stay, after in _inner(railway):
        if not _lost(railway, stay) or stay.engine_id == after.engine_id:
            continue
        class_ = railway.engine(stay.engine_id or "").called("class", stay.fitted)
        for other in railway.engines:
            late = (stay.fitted - other.withdrawn).days
            number = other.called("number", other.withdrawn)
            reused = (
                sum(b.value == number for e in railway.engines for b in e.borne if b.scheme == "number") > 1
            )
            if (
                not other.carded
                and other.called("class", other.withdrawn) == class_
                and 150 < late < 1200
                and not reused
            ):
                found.append(Slip("withdrawn", stay, other.engine_id))
    return found


_PLANTERS: Final = (
    ("gap", _gaps),
    ("reversed", _reversals),
    ("overlap", _overlaps),
    ("withdrawn", _after_withdrawal),
    ("total", _totals),
    ("miles", _mileages),
)


def _away_from_the_change(railway: Railway, slips: list[Slip]) -> bool:
    """Whether the engines whose names or numbers changed took a boiler both before and after the change."""
    changed = [
        e
        for e in railway.engines
        if len(e.borne) > 3 or (len(e.borne) == 3 and not e.called("name", e.built))
    ]
    for engine in changed:
        schemes = [b.scheme for b in engine.borne]
        change = next(
            b.first for b in engine.borne if schemes.count(b.scheme) == 2 and b.first != engine.built
        )
        stays = railway.stays_on(engine.engine_id, "boiler")
        if not any(s.removed < change for s in stays) or not any(s.fitted > change for s in stays):
            return False
    return True


def _stock_written_down(railway: Railway, slips: list[Slip]) -> bool:
    """Whether one or two components lay in stock, and none of them is among those with a slip."""
    idle = {s.component_id for s in railway.stays if s.engine_id is None}
    return 1 <= len(idle) <= 3 and not idle & {s.stay.component_id for s in slips}


def choose(railway: Railway, rng: Random) -> tuple[Slip, ...]:
    """Plant every kind of slip once, each on a component of its own."""
    slips: list[Slip] = []
    for key, planter in _PLANTERS:
        used = {s.stay.component_id for s in slips}
        slips.append(_pick(rng, [s for s in planter(railway) if s.stay.component_id not in used], key))
    if not _away_from_the_change(railway, slips) or not _stock_written_down(railway, slips):
        raise UnfitDrawError("a change that no boiler saw, or no stock")
    return tuple(slips)


def _numbered(railway: Railway, slips: tuple[Slip, ...]) -> World:
    """Give the silent boiler its number, and the others theirs in the order in which they were built."""
    boilers = [p for p in railway.parts if p.kind == "boiler"]
    gap = next(s for s in slips if s.key == "gap").stay.component_id
    first = int(GAP_BOILER) - [p.component_id for p in boilers].index(gap)
    numbers = {p.component_id: str(first + n) for n, p in enumerate(boilers)}
    ids = {old: f"B{number}" for old, number in numbers.items()}
    moved = tuple(replace(s, stay=replace(s.stay, component_id=ids[s.stay.component_id])) for s in slips)
    return World(renumbered(railway, numbers), moved)


def make_world(seed: int) -> World:
    """The first railway of this seed in which everything can be planted, with its slips."""
    for attempt, railway in enumerate(railways(seed)):
        try:
            world = _numbered(railway, choose(railway, Random(f"slips/{seed}/{attempt}")))
        except UnfitDrawError:
            continue
        return world
    raise UnfitDrawError(f"no railway grows from seed {seed}")
