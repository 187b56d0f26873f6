"""The forms of cards: which columns they have, in which order, and which one fits what was found.

A form is data. `KNOWN` has the three of which every register of the trade has some kind (common practice,
no source); others are added by passing them beside these.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

NONE_OF_THESE: Final = "none"


@dataclass(frozen=True, slots=True)
class Form:
    """The layout of a kind of card. `columns` are fields of a line, in order; `optional` may be missing."""

    name: str
    side: str
    columns: tuple[str, ...]
    optional: frozenset[str] = frozenset()

    def fit(self, fields: Sequence[str], side: str) -> float:
        """How well a card's columns and the side named in its heading agree with this form, 0 to 1."""
        found = {f for f in fields if f}
        needed = set(self.columns) - self.optional
        share = len(found & set(self.columns)) / max(1, len(found | needed))
        return share * (1.0 if not side or side == self.side else 0.3)


KNOWN: Final = (
    Form(
        "component-card",
        "component",
        ("engine", "engine_name", "fitted", "removed", "miles", "total_miles", "place", "remarks"),
        frozenset({"engine_name", "total_miles", "place", "remarks"}),
    ),
    Form(
        "engine-card",
        "engine",
        ("component", "fitted", "removed", "miles", "total_miles", "place", "remarks"),
        frozenset({"total_miles", "place", "remarks"}),
    ),
    Form(
        "printed-list",
        "statement",
        (
            "component",
            "engine",
            "engine_name",
            "fitted",
            "removed",
            "miles",
            "total_miles",
            "place",
            "remarks",
        ),
        frozenset({"engine_name", "miles", "total_miles", "place", "remarks"}),
    ),
)
WORST: Final = 0.55
"""A form that fits less well than this is none of these."""


def best_form(fields: Sequence[str], side: str, forms: Sequence[Form] = KNOWN) -> Form | None:
    """The form that fits best; None where none does."""
    subjects = {"component", "engine"} & set(fields)
    told = side or ("statement" if len(subjects) == 2 else "")
    if len(subjects) == 2 and told != "statement":
        # Both columns stand on the card: whatever word is at its head, each line names both.
        told = "statement"
    best = max(forms, key=lambda form: form.fit(fields, told))
    return best if best.fit(fields, told) >= WORST else None
