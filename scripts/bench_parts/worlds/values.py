"""The values of a world: what was, what was written of it, and what went wrong in the writing."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

Literal = Any  # an id, a figure, or the first and last day that a written date may mean


@dataclass(slots=True)
class Bearing:
    """A number, name or class that something bore from one day to another."""

    subject: str
    scheme: str
    value: str
    first: date | None
    last: date | None


@dataclass(slots=True)
class Engine:
    """An engine's true life. `shops` are its planned days in works."""

    id: str
    class_: str
    built: date
    withdrawn: date
    type_of_kind: dict[str, str]
    rebuilt: date | None = None
    rebuilt_class: str = ""
    rebuilt_type: str = ""
    named: bool = False
    bearings: list[Bearing] = field(default_factory=list)

    def class_at(self, day: date) -> str:
        """The class it belonged to on a day."""
        return self.rebuilt_class if self.rebuilt and day >= self.rebuilt else self.class_

    def type_at(self, kind: str, day: date) -> str:
        """The type of component of one kind that it carried on a day."""
        if kind == "boiler" and self.rebuilt and day >= self.rebuilt:
            return self.rebuilt_type
        return self.type_of_kind[kind]

    def borne(self, scheme: str, day: date) -> str:
        """The number, name or class that it bore on a day; empty where it had none."""
        own = [b for b in self.bearings if b.scheme == scheme and b.first and b.first <= day]
        return own[-1].value if own else ""


@dataclass(slots=True)
class Component:
    """A component's true life."""

    id: str
    kind: str
    type: str
    built: date
    life_days: int
    condemned: date | None = None
    number: str = ""


@dataclass(slots=True)
class Fitment:
    """One stay of one component on one engine."""

    id: str
    component: str
    engine: str
    fitted: date
    removed: date
    miles: int
    works: str


@dataclass(slots=True)
class Cell:
    """One cell: the text, what is true, and what the text says when it is taken at its word."""

    text: str
    value: Any
    literal: Literal
    ditto: bool = False

    def holds(self) -> bool:
        """Whether what is written is true."""
        if isinstance(self.literal, tuple):
            return bool(self.literal[0] <= self.value <= self.literal[1])
        return bool(self.literal == self.value)


@dataclass(slots=True, eq=False)
class Line:
    """One line of one card, with the truth it is about."""

    says: str
    component: str | None
    fitment: str | None
    cells: dict[str, Cell]
    card: Card
    place: str = ""
    remarks: str = ""
    reading: float | None = None
    reading_of: dict[str, float] = field(default_factory=dict)
    extra: dict[str, str] = field(default_factory=dict)
    touched: bool = False
    id: str = ""


@dataclass(slots=True, eq=False)
class Card:
    """One card or page of a source, in the hand of one clerk (or two)."""

    source: str
    side: str
    subject: str
    heading: str
    clerk: Any
    lines: list[Line] = field(default_factory=list)
    heading_name: str = ""
    misheaded: str = ""
    lost: bool = False
    id: str = ""
    covers: str = ""

    def settle_covers(self) -> None:
        """Note the years that the card covers, before anything is lost from it."""
        days = [c.value for line in self.lines for c in line.cells.values() if isinstance(c.value, date)]
        self.covers = f"{min(days).year}/{max(days).year}" if days else ""


@dataclass(slots=True)
class Source:
    """A source of the package."""

    id: str
    kind: str
    title: str
    compiled_from: str = ""


@dataclass(slots=True, eq=False)
class Fault:
    """Something wrong, the lines it touches, and the kinds of finding that would name it."""

    kind: str
    lines: list[Line]
    fields: list[str]
    accept: tuple[str, ...]
    visible: bool = False
    sought: list[Line] = field(default_factory=list)


@dataclass(slots=True)
class World:
    """Everything: the truth, the papers and the faults."""

    seed: int
    profile: str
    engines: dict[str, Engine] = field(default_factory=dict)
    components: dict[str, Component] = field(default_factory=dict)
    fitments: dict[str, Fitment] = field(default_factory=dict)
    fits: set[tuple[str, str]] = field(default_factory=set)
    sources: list[Source] = field(default_factory=list)
    cards: list[Card] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    has_cards_table: bool = False

    @property
    def lines(self) -> list[Line]:
        """Every line that survives, in the order of the cards."""
        return [line for card in self.cards if not card.lost for line in card.lines]
