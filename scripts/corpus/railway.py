"""What truly happened: which component was on which engine from which day to which, and what it ran."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from random import Random
from typing import Final

from .pool import Piece, Pool, Slot, UnfitDrawError
from .roster import (
    BOILER_TYPE,
    CLOSED,
    LESSER_WORKS,
    MILES_A_YEAR,
    TENDER_CLASSES,
    TENDER_TYPE,
    WORKS,
    Locomotive,
    make_roster,
)

BOILERS_OF_TYPE: Final = {"A": 12, "B": 6, "C": 6}
TENDERS: Final = 5


@dataclass(frozen=True, slots=True)
class Stay:
    """One component on one engine (`engine_id` None: it lay in stock), with what it ran there."""

    component_id: str
    engine_id: str | None
    fitted: date
    removed: date
    miles: int
    works: str


@dataclass(frozen=True, slots=True)
class Part:
    """One boiler or tender with its exact days."""

    component_id: str
    number: str
    kind: str
    type: str
    built: date
    condemned: date


@dataclass(frozen=True, slots=True)
class Railway:
    """The whole truth."""

    engines: tuple[Locomotive, ...]
    parts: tuple[Part, ...]
    stays: tuple[Stay, ...]

    def engine(self, engine_id: str) -> Locomotive:
        """The engine with this id."""
        return next(e for e in self.engines if e.engine_id == engine_id)

    def stays_of(self, component_id: str) -> list[Stay]:
        """The stays of one component in order of time."""
        return sorted((s for s in self.stays if s.component_id == component_id), key=lambda s: s.fitted)

    def stays_on(self, engine_id: str, kind: str) -> list[Stay]:
        """The stays on one engine of components of one kind, in order of time."""
        kinds = {p.component_id: p.kind for p in self.parts}
        mine = (s for s in self.stays if s.engine_id == engine_id and kinds[s.component_id] == kind)
        return sorted(mine, key=lambda s: s.fitted)


def _slots(engines: tuple[Locomotive, ...], type_: str) -> list[Slot]:
    slots = []
    for engine in engines:
        for borne in (b for b in engine.borne if b.scheme == "class" and BOILER_TYPE[b.value] == type_):
            start = borne.first + timedelta(days=24) if borne.first == engine.rebuilt else borne.first
            end = (
                borne.last - timedelta(days=26)
                if engine.rebuilt and borne.first != engine.rebuilt
                else borne.last
            )
            slots.append(Slot(engine, start, end - timedelta(days=3), engine.carded))
    return slots


def _tender_pieces(rng: Random, engines: tuple[Locomotive, ...]) -> list[Piece]:
    """Tenders go round the engines whose own cards are lost: engine cards have no column for them."""
    slots = [
        Slot(e, e.built, e.withdrawn - timedelta(days=3), carded=False)
        for e in engines
        if not e.carded and e.called("class", e.built) in TENDER_CLASSES
    ]
    pool = Pool(rng, slots, TENDERS)
    for slot in rng.sample([s for s in slots if s.start.year < 1925], TENDERS):
        pool.fit(pool.new_piece(slot.start), slot, slot.start)
    return pool.run()


def _miles(rng: Random, slot: Slot, first: date, last: date) -> int:
    rate = MILES_A_YEAR[slot.engine.called("class", first)] * min(1.12, max(0.88, rng.gauss(1.0, 0.05)))
    return round((last - first).days / 365.25 * rate)


def _stays(rng: Random, piece: Piece, component_id: str) -> list[Stay]:
    stays = []
    for slot, first, last in sorted(piece.stays, key=lambda s: s[1]):
        works = WORKS if rng.random() < 0.82 else rng.choice(LESSER_WORKS)
        miles = 0 if slot is None else _miles(rng, slot, first, last)
        engine_id = None if slot is None else slot.engine.engine_id
        stays.append(Stay(component_id, engine_id, first, last, miles, works))
    return stays


def _acceptable(pieces: list[Piece], quota: int) -> bool:
    on_engines = [sum(slot is not None for slot, _, _ in p.stays) for p in pieces]
    return (
        len(pieces) == quota
        and all(5 <= n <= 13 for n in on_engines)
        and all(p.condemned <= CLOSED for p in pieces)
    )


def _attempt(rng: Random) -> Railway:
    engines = make_roster(rng)
    parts: list[Part] = []
    stays: list[Stay] = []
    drawn: list[tuple[str, str, Piece]] = []
    for type_, quota in BOILERS_OF_TYPE.items():
        drawn += [("boiler", type_, p) for p in _pieces_of(rng, engines, type_, quota)]
    drawn.sort(key=lambda d: d[2].built)
    tenders = _tender_pieces(rng, engines)
    if not _acceptable(tenders, TENDERS):
        raise UnfitDrawError("tenders")
    drawn += [("tender", TENDER_TYPE, p) for p in sorted(tenders, key=lambda p: p.built)]
    for order, (kind, type_, piece) in enumerate(drawn):
        number = str(41 + order) if kind == "boiler" else str(11 + order - sum(BOILERS_OF_TYPE.values()))
        component_id = f"{'B' if kind == 'boiler' else 'T'}{number}"
        parts.append(Part(component_id, number, kind, type_, piece.built, piece.condemned))
        stays += _stays(rng, piece, component_id)
    return Railway(engines, tuple(parts), tuple(stays))


def _pieces_of(rng: Random, engines: tuple[Locomotive, ...], type_: str, quota: int) -> list[Piece]:
    """One pool, drawn again until it comes out as planned."""
    for _ in range(2000):
        try:
            pieces = Pool(rng, _slots(engines, type_), quota).run()
        except UnfitDrawError:
            continue
        if _acceptable(pieces, quota):
            return pieces
    raise UnfitDrawError(f"no pool of type {type_}")


def railways(seed: int) -> Iterator[Railway]:
    """The railways that grow from this seed, in a fixed order; the first that suits can be taken."""
    for attempt in range(400):
        try:
            yield _attempt(Random(f"{seed}/{attempt}"))
        except UnfitDrawError:
            continue


def renumbered(railway: Railway, number_of: dict[str, str]) -> Railway:
    """The same railway with other numbers, and ids to match, for some of its components."""
    ids = {old: f"{old[0]}{number}" for old, number in number_of.items()}
    parts = tuple(
        replace(
            p,
            component_id=ids.get(p.component_id, p.component_id),
            number=number_of.get(p.component_id, p.number),
        )
        for p in railway.parts
    )
    stays = tuple(replace(s, component_id=ids.get(s.component_id, s.component_id)) for s in railway.stays)
    return Railway(railway.engines, parts, stays)
