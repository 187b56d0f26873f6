"""What truly happened: which boiler was on which engine from which day to which, and what it ran.

Boilers go round a pool of engines that can carry them. An engine comes into the works every few years; its
boiler goes back on it, is exchanged with an engine in the works at the same time, goes to an engine whose own
card is lost, lies in stock, or is condemned. A boiler is never left without a place for longer than the works
needs, unless it lies in stock and somebody wrote that down.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from random import Random
from typing import Final

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
NEVER: Final = date(2000, 1, 1)


class NoSuchRailway(Exception):
    """These draws lead to no railway that fits the plan; the next draws may."""


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


@dataclass(slots=True)
class _Slot:
    """The place for a component on an engine while the engine can carry that type."""

    engine: Locomotive
    start: date
    end: date
    carded: bool
    holds: _Piece | None = None
    since: date = NEVER
    free_from: date = date(1900, 1, 1)
    promised: bool = False


@dataclass(slots=True)
class _Piece:
    """A component while its life is being drawn."""

    serial: int
    built: date
    life: int  # days
    condemned: date = NEVER
    stays: list[tuple[_Slot | None, date, date]] = field(default_factory=list)


class _Pool:
    """All components of one type and the engines that can carry them, walked through time visit by visit."""

    def __init__(self, rng: Random, slots: list[_Slot], quota: int) -> None:
        self.rng, self.slots, self.quota = rng, slots, quota
        self.pieces: list[_Piece] = []
        self.heap: list[tuple[date, int, _Slot]] = []
        self.count = 0

    def after(self, day: date, low: int, high: int) -> date:
        return day + timedelta(days=self.rng.randint(low, high))

    def new_piece(self, day: date) -> _Piece:
        if len(self.pieces) >= self.quota:
            raise NoSuchRailway("no component left to build")
        piece = _Piece(len(self.pieces), self.after(day, -28, -6), self.rng.randint(26 * 365, 38 * 365))
        self.pieces.append(piece)
        return piece

    def fit(self, piece: _Piece, slot: _Slot, day: date) -> None:
        """Put a component on; its next visit to the works is drawn now."""
        if slot.holds is not None or day < slot.free_from:
            raise NoSuchRailway("two components in one place")
        slot.holds, slot.since, slot.promised = piece, day, False
        leave = self.after(day, 880, 1700)
        if (slot.end - leave).days < 500:
            leave = slot.end
        self.schedule(leave, slot)

    def schedule(self, day: date, slot: _Slot) -> None:
        self.count += 1
        heapq.heappush(self.heap, (day, self.count, slot))

    def take_off(self, slot: _Slot, day: date) -> _Piece:
        piece = slot.holds
        if piece is None or day <= slot.since:
            raise NoSuchRailway("nothing to take off")
        piece.stays.append((slot, slot.since, day))
        slot.holds, slot.free_from = None, day + timedelta(days=10)
        return piece

    def tired(self, piece: _Piece, day: date) -> bool:
        return (day - piece.built).days > piece.life

    def donor(self, day: date, *, carded: bool, least: int = 430) -> _Slot | None:
        """An engine whose component can be taken now: long enough on, and long enough still to run afterwards."""
        fit = [
            s
            for s in self.slots
            if s.holds is not None
            and s.carded == carded
            and not s.promised
            and (day - s.since).days > least
            and (not carded or (s.end - day).days > 600)
            and not self.tired(s.holds, day)
        ]
        return self.rng.choice(fit) if fit else None

    def home(self, day: date) -> _Slot | None:
        """An engine without a surviving card that can take a component from now on for two years at least."""
        room = [
            s
            for s in self.slots
            if not s.carded and s.holds is None and not s.promised and s.free_from <= day
            and s.start < day and (s.end - day).days > 760
        ]
        return self.rng.choice(room) if room else None

    def condemn(self, piece: _Piece, day: date) -> None:
        piece.condemned = self.after(day, 4, 38)

    def place(self, piece: _Piece, day: date) -> None:
        """Find the next place for a component that has none: another engine, the stock, or the scrap road."""
        slot = None if self.tired(piece, day) else self.home(day)
        if slot is None:
            self.condemn(piece, day)
            return
        if self.rng.random() < 0.1 and not any(s is None for s, _, _ in piece.stays):
            until = self.after(day, 170, 330)
            if (slot.end - until).days > 760:
                piece.stays.append((None, self.after(day, 3, 12), until))
                day = until
        self.fit(piece, slot, self.after(day, 16, 44))

    def visit_carded(self, slot: _Slot, day: date) -> None:
        piece = self.take_off(slot, day)
        if day >= slot.end:
            self.place(piece, day)
        elif self.tired(piece, day):
            self.replace(slot, piece, day)
        elif self.rng.random() < 0.2:
            self.fit(piece, slot, self.after(day, 20, 50))
        else:
            self.exchange(slot, piece, day)

    def replace(self, slot: _Slot, old: _Piece, day: date) -> None:
        giver = self.donor(day, carded=False)
        if giver is not None and (len(self.pieces) >= self.quota or self.rng.random() < 0.4):
            off = self.after(day, 0, 8)
            self.fit(self.take_off(giver, off), slot, self.after(off, 16, 40))
            self.condemn(old, day)
        elif len(self.pieces) < self.quota:
            on = self.after(day, 20, 48)
            self.fit(self.new_piece(on), slot, on)
            self.condemn(old, day)
        else:
            self.fit(old, slot, self.after(day, 20, 50))

    def exchange(self, slot: _Slot, piece: _Piece, day: date) -> None:
        """Swap with another engine in the works, or give the component to a lost engine and take another's."""
        other = self.donor(day, carded=self.rng.random() < 0.5)
        if other is None:
            self.fit(piece, slot, self.after(day, 20, 50))
            return
        off = self.after(day, 0, 8)
        gained = self.take_off(other, off)
        self.fit(gained, slot, self.after(off, 16, 42))
        if other.carded or (other.end - off).days > 760 and self.rng.random() < 0.5:
            self.fit(piece, other, self.after(off, 16, 42))
        else:
            self.place(piece, day)

    def visit_lost(self, slot: _Slot, day: date) -> None:
        piece = self.take_off(slot, day)
        if day < slot.end and (slot.end - day).days > 760 and self.rng.random() < 0.25 and not self.tired(piece, day):
            self.fit(piece, slot, self.after(day, 20, 50))
        else:
            self.place(piece, day)

    def begin(self, slot: _Slot, *, newest: float) -> None:
        """A new engine gets its first component: a new one, or one that another engine gives up."""
        giver = self.donor(slot.start, carded=False)
        if len(self.pieces) < self.quota and (giver is None or self.rng.random() < newest):
            self.fit(self.new_piece(slot.start), slot, slot.start)
        elif giver is not None:
            piece = self.take_off(giver, self.after(slot.start, -40, -16))
            self.fit(piece, slot, slot.start)
        else:
            raise NoSuchRailway("a new engine without a component")

    def run(self, *, newest: float = 0.6) -> list[_Piece]:
        for slot in (s for s in self.slots if s.carded):
            self.schedule(slot.start, slot)
        while self.heap:
            day, _, slot = heapq.heappop(self.heap)
            if slot.carded and day == slot.start and slot.holds is None:
                self.begin(slot, newest=newest)
            elif slot.holds is not None and self.due(slot, day):
                (self.visit_carded if slot.carded else self.visit_lost)(slot, day)
        return self.pieces

    def due(self, slot: _Slot, day: date) -> bool:
        """Whether this visit is still the one arranged when the component was put on."""
        return (day - slot.since).days >= 400 or day == slot.end


def _slots(engines: tuple[Locomotive, ...], type_: str) -> list[_Slot]:
    slots = []
    for engine in engines:
        for borne in (b for b in engine.borne if b.scheme == "class" and BOILER_TYPE[b.value] == type_):
            start = borne.first + timedelta(days=24) if borne.first == engine.rebuilt else borne.first
            end = borne.last - timedelta(days=26) if engine.rebuilt and borne.first != engine.rebuilt else borne.last
            slots.append(_Slot(engine, start, end - timedelta(days=3), engine.carded))
    return slots


def _tender_pieces(rng: Random, engines: tuple[Locomotive, ...]) -> list[_Piece]:
    """Tenders go round the engines whose own cards are lost: engine cards have no column for them."""
    slots = [
        _Slot(e, e.built, e.withdrawn - timedelta(days=3), carded=False)
        for e in engines
        if not e.carded and e.called("class", e.built) in TENDER_CLASSES
    ]
    pool = _Pool(rng, slots, TENDERS)
    for slot in rng.sample([s for s in slots if s.start.year < 1925], TENDERS):
        pool.fit(pool.new_piece(slot.start), slot, slot.start)
    return pool.run()


def _miles(rng: Random, slot: _Slot, first: date, last: date) -> int:
    rate = MILES_A_YEAR[slot.engine.called("class", first)] * min(1.12, max(0.88, rng.gauss(1.0, 0.05)))
    return round((last - first).days / 365.25 * rate)


def _stays(rng: Random, piece: _Piece, component_id: str) -> list[Stay]:
    stays = []
    for slot, first, last in sorted(piece.stays, key=lambda s: s[1]):
        works = WORKS if rng.random() < 0.82 else rng.choice(LESSER_WORKS)
        miles = 0 if slot is None else _miles(rng, slot, first, last)
        stays.append(Stay(component_id, slot and slot.engine.engine_id, first, last, miles, works))
    return stays


def _acceptable(pieces: list[_Piece], quota: int) -> bool:
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
    drawn: list[tuple[str, str, _Piece]] = []
    for type_, quota in BOILERS_OF_TYPE.items():
        drawn += [("boiler", type_, p) for p in _pieces_of(rng, engines, type_, quota)]
    drawn.sort(key=lambda d: d[2].built)
    tenders = _tender_pieces(rng, engines)
    if not _acceptable(tenders, TENDERS):
        raise NoSuchRailway("tenders")
    drawn += [("tender", TENDER_TYPE, p) for p in sorted(tenders, key=lambda p: p.built)]
    for order, (kind, type_, piece) in enumerate(drawn):
        number = str(41 + order) if kind == "boiler" else str(11 + order - sum(BOILERS_OF_TYPE.values()))
        component_id = f"{'B' if kind == 'boiler' else 'T'}{number}"
        parts.append(Part(component_id, number, kind, type_, piece.built, piece.condemned))
        stays += _stays(rng, piece, component_id)
    return Railway(engines, tuple(parts), tuple(stays))


def _pieces_of(rng: Random, engines: tuple[Locomotive, ...], type_: str, quota: int) -> list[_Piece]:
    """One pool, drawn again until it comes out as planned."""
    for _ in range(2000):
        try:
            pieces = _Pool(rng, _slots(engines, type_), quota).run()
        except NoSuchRailway:
            continue
        if _acceptable(pieces, quota):
            return pieces
    raise NoSuchRailway(f"no pool of type {type_}")


def railways(seed: int) -> Iterator[Railway]:
    """The railways that grow from this seed, in a fixed order; the first that suits can be taken."""
    for attempt in range(400):
        try:
            yield _attempt(Random(f"{seed}/{attempt}"))
        except NoSuchRailway:
            continue


def renumbered(railway: Railway, number_of: dict[str, str]) -> Railway:
    """The same railway with other numbers, and ids to match, for some of its components."""
    ids = {old: f"{old[0]}{number}" for old, number in number_of.items()}
    parts = tuple(
        replace(p, component_id=ids.get(p.component_id, p.component_id), number=number_of.get(p.component_id, p.number))
        for p in railway.parts
    )
    stays = tuple(replace(s, component_id=ids.get(s.component_id, s.component_id)) for s in railway.stays)
    return Railway(railway.engines, parts, stays)
