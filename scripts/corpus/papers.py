"""What stands on a card or page, cell by cell, before anything is drawn."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, TypeAlias

from .clerks import Clerk
from .railway import Stay

Meant: TypeAlias = tuple[
    object, bool, object
]  # what is true, whether what is written is true, what is written

COLUMNS: Final = {
    "component-card": (
        ("engine", "ENGINE No."),
        ("fitted", "FITTED"),
        ("removed", "REMOVED"),
        ("miles", "MILES"),
        ("total_miles", "TOTAL MILES"),
        ("place", "WORKS"),
        ("remarks", "REMARKS"),
    ),
    "engine-card": (
        ("component", "BOILER No."),
        ("fitted", "FITTED"),
        ("removed", "REMOVED"),
        ("miles", "MILES"),
        ("place", "WORKS"),
        ("remarks", "REMARKS"),
    ),
    "printed-list": (
        ("component", "Boiler"),
        ("engine", "Engine"),
        ("engine_name", "Name"),
        ("fitted", "Fitted"),
        ("removed", "Removed"),
        ("miles", "Miles"),
    ),
    "shed-card": (
        ("component", "BOILER No."),
        ("fitted", "PUT ON"),
        ("removed", "TAKEN OFF"),
        ("miles", "MILES RUN"),
        ("place", "WORKS"),
        ("remarks", "REMARKS"),
    ),
    "ledger": (
        ("engine", "Engine No."),
        ("fitted", "On"),
        ("removed", "Off"),
        ("miles", "Miles run"),
        ("total_miles", "Total miles"),
        ("place", "Works"),
        ("remarks", "Remarks"),
    ),
    "typed-list": (
        ("component", "Boiler"),
        ("engine", "Engine"),
        ("fitted", "Put in"),
        ("removed", "Taken out"),
        ("place", "Works"),
    ),
}
SIDE: Final = {
    "component-card": "component",
    "engine-card": "engine",
    "printed-list": "statement",
    "shed-card": "engine",
    "ledger": "component",
    "typed-list": "statement",
}
FORM_OF: Final = {"shed-card": "engine-card", "ledger": "component-card", "typed-list": "printed-list"}
"""Which of the usual forms a reader takes one of these for that nobody taught it."""


@dataclass(slots=True)
class Line:
    """One line as written. `marks`: cell to 'ditto' or 'struck:WHAT STOOD THERE'; `meant`: the truth."""

    row: int
    says: str
    cells: dict[str, str] = field(default_factory=dict)
    marks: dict[str, str] = field(default_factory=dict)
    meant: dict[str, Meant] = field(default_factory=dict)
    component_id: str | None = None
    stay: Stay | None = None


@dataclass(slots=True)
class Paper:
    """One card or page: its heading, its lines, and whose habits they show."""

    card_id: str
    source_id: str
    form: str
    subject_id: str
    heading: str
    heading_name: str
    printed: dict[str, str]  # further headings: printed words to what was typed after them
    covers: str
    locator: str
    clerk: Clerk
    second: tuple[int, Clerk] | None = None  # the line from which another hand goes on, and whose
    lines: list[Line] = field(default_factory=list)

    def line_id(self, line: Line) -> str:
        """The id of a line read from this card."""
        return f"{self.card_id}-{line.row}"
