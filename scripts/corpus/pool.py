"""How components of one type go round the engines that can carry them, visit by visit.

An engine comes into the works every few years. Its component goes back on it, is exchanged with an engine in
the works at the same time, goes to an engine whose own card is lost, lies in stock, or is condemned. It is
never without a place for longer than the works needs, unless it lies in stock and somebody wrote that down.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random
from typing import Final

from .roster import Locomotive

NEVER: Final = date(2000, 1, 1)


class UnfitDrawError(Exception):
    """These draws lead to no railway that fits the plan; the next draws may."""


@dataclass(slots=True)
class Slot:
    """The place for a component on an engine while the engine can carry that type."""

    engine: Locomotive
    start: date
    end: date
    carded: bool
    holds: Piece | None = None
    since: date = NEVER
    free_from: date = date(1900, 1, 1)
    promised: bool = False


@dataclass(slots=True)
class Piece:
    """A component while its life is being drawn."""

    serial: int
    built: date
    life: int  # days
    condemned: date = NEVER
    stays: list[tuple[Slot | None, date, date]] = field(default_factory=list)


class Pool:
    """All components of one type and the engines that can carry them, walked through time visit by visit."""

    def __init__(self, rng: Random, slots: list[Slot], quota: int) -> None:
        self.rng, self.slots, self.quota = rng, slots, quota
        self.pieces: list[Piece] = []
        self.heap: list[tuple[date, int, Slot]] = []
        self.count = 0

    def after(self, day: date, low: int, high: int) -> date:
        """A day drawn from `low` to `high` days after another."""
        return day + timedelta(days=self.rng.randint(low, high))

    def new_piece(self, day: date) -> Piece:
        """Build a component, a few weeks before it is wanted."""
        if len(self.pieces) >= self.quota:
            raise UnfitDrawError("no component left to build")
        piece = Piece(len(self.pieces), self.after(day, -28, -6), self.rng.randint(26 * 365, 38 * 365))
        self.pieces.append(piece)
        return piece

    def fit(self, piece: Piece, slot: Slot, day: date) -> None:
        """Put a component on; its next visit to the works is drawn now."""
        if slot.holds is not None or day < slot.free_from:
            raise UnfitDrawError("two components in one place")
        slot.holds, slot.since, slot.promised = piece, day, False
        leave = self.after(day, 880, 1700)
        if (slot.end - leave).days < 500:
            leave = slot.end
        self.schedule(leave, slot)

    def schedule(self, day: date, slot: Slot) -> None:
        """Arrange an engine's next visit to the works."""
        self.count += 1
        heapq.heappush(self.heap, (day, self.count, slot))

    def take_off(self, slot: Slot, day: date) -> Piece:
        """Take the component off an engine and write down its stay."""
        piece = slot.holds
        if piece is None or day <= slot.since:
            raise UnfitDrawError("nothing to take off")
        piece.stays.append((slot, slot.since, day))
        slot.holds, slot.free_from = None, day + timedelta(days=10)
        return piece

    def tired(self, piece: Piece, day: date) -> bool:
        """Whether a component is past its life."""
        return (day - piece.built).days > piece.life

    def donor(self, day: date, *, carded: bool, least: int = 430) -> Slot | None:
        """An engine whose component can be taken now: long enough on, and with long enough to run."""
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

    def home(self, day: date) -> Slot | None:
        """An engine without a surviving card that can take a component from now on for two years at least."""
        room = [
            s
            for s in self.slots
            if not s.carded
            and s.holds is None
            and not s.promised
            and s.free_from <= day
            and s.start < day
            and (s.end - day).days > 760
        ]
        return self.rng.choice(room) if room else None

    def condemn(self, piece: Piece, day: date) -> None:
        """Condemn a component, some days after it came off."""
        piece.condemned = self.after(day, 4, 38)

    def place(self, piece: Piece, day: date) -> None:
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

    def visit_carded(self, slot: Slot, day: date) -> None:
        """An engine whose card survives comes in, and leaves with a component unless it is withdrawn."""
        piece = self.take_off(slot, day)
        if day >= slot.end:
            self.place(piece, day)
        elif self.tired(piece, day):
            self.replace(slot, piece, day)
        elif self.rng.random() < 0.2:
            self.fit(piece, slot, self.after(day, 20, 50))
        else:
            self.exchange(slot, piece, day)

    def replace(self, slot: Slot, old: Piece, day: date) -> None:
        """Give an engine another component for one that is condemned."""
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

    def exchange(self, slot: Slot, piece: Piece, day: date) -> None:
        """Swap with another engine in the works, or give it to a lost engine and take another's."""
        other = self.donor(day, carded=self.rng.random() < 0.5)
        if other is None:
            self.fit(piece, slot, self.after(day, 20, 50))
            return
        off = self.after(day, 0, 8)
        gained = self.take_off(other, off)
        self.fit(gained, slot, self.after(off, 16, 42))
        if other.carded or ((other.end - off).days > 760 and self.rng.random() < 0.5):
            self.fit(piece, other, self.after(off, 16, 42))
        else:
            self.place(piece, day)

    def visit_lost(self, slot: Slot, day: date) -> None:
        """An engine whose card is lost comes in: it may leave the tale without a component."""
        piece = self.take_off(slot, day)
        if (
            day < slot.end
            and (slot.end - day).days > 760
            and self.rng.random() < 0.25
            and not self.tired(piece, day)
        ):
            self.fit(piece, slot, self.after(day, 20, 50))
        else:
            self.place(piece, day)

    def begin(self, slot: Slot, *, newest: float) -> None:
        """A new engine gets its first component: a new one, or one that another engine gives up."""
        giver = self.donor(slot.start, carded=False)
        if len(self.pieces) < self.quota and (giver is None or self.rng.random() < newest):
            self.fit(self.new_piece(slot.start), slot, slot.start)
        elif giver is not None:
            piece = self.take_off(giver, self.after(slot.start, -40, -16))
            self.fit(piece, slot, slot.start)
        else:
            raise UnfitDrawError("a new engine without a component")

    def run(self, *, newest: float = 0.6) -> list[Piece]:
        """Walk through time to the end; `newest` is how likely a new engine gets a new component."""
        for slot in (s for s in self.slots if s.carded):
            self.schedule(slot.start, slot)
        while self.heap:
            day, _, slot = heapq.heappop(self.heap)
            if slot.carded and day == slot.start and slot.holds is None:
                self.begin(slot, newest=newest)
            elif slot.holds is not None and self.due(slot, day):
                (self.visit_carded if slot.carded else self.visit_lost)(slot, day)
        return self.pieces

    def due(self, slot: Slot, day: date) -> bool:
        """Whether this visit is still the one arranged when the component was put on."""
        return (day - slot.since).days >= 400 or day == slot.end
