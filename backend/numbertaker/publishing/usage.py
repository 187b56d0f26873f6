"""How dates and distances are said: British usage unless a document asks for another.

What a source says as written stays as written whatever the usage; only the program's own words follow it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias, get_args

from numbertaker.publishing import dates, figures
from numbertaker.publishing.dates import Order
from numbertaker.reconciling.history import When

Distance: TypeAlias = Literal["miles", "kilometres", "both"]
ORDERS: Final[tuple[Order, ...]] = get_args(Order)
DISTANCES: Final[tuple[Distance, ...]] = get_args(Distance)
KILOMETRES: Final = 1.609344
"""Kilometres in an international mile, exactly (1959 agreement; 1,760 yards of 0.9144 m)."""


def kilometres(value: int) -> int:
    """A figure of miles in whole kilometres."""
    return round(value * KILOMETRES)


@dataclass(frozen=True, slots=True)
class Usage:
    """The order of a date, and whether distances are told in miles, in kilometres, or in both."""

    dates: Order = "british"
    distance: Distance = "miles"

    @property
    def unit(self) -> str:
        """The unit at the head of a column."""
        return "Kilometres" if self.distance == "kilometres" else "Miles"

    def figure(self, value: int) -> str:
        """A distance for a table, without its unit."""
        return figures.grouped(kilometres(value) if self.distance == "kilometres" else value)

    def miles(self, value: int) -> str:
        """A distance with its unit, given in miles: '61,204 miles', '98,498 km'."""
        if self.distance == "miles":
            return figures.miles(value)
        metric = f"{figures.grouped(kilometres(value))} km"
        return metric if self.distance == "kilometres" else f"{figures.miles(value)} ({metric})"

    def mile_range(self, low: int | None, high: int | None) -> str:
        """The range that a distance lies in; empty where neither end is known."""
        if low is not None and high is not None:
            between = f"between {self.figure(low)} and {self.miles(high)}"
            return self.miles(low) if low == high else between
        if low is not None:
            return f"at least {self.miles(low)}"
        return "" if high is None else f"at most {self.miles(high)}"

    def date_words(self, text: str) -> str:
        """An EDTF date in words, without preposition."""
        return dates.date_words(text, self.dates)

    def date_phrase(self, text: str) -> str:
        """An EDTF date as a sentence takes it."""
        return dates.date_phrase(text, self.dates)

    def when_phrase(self, when: When | None) -> str:
        """An inferred date as a sentence takes it."""
        return dates.when_phrase(when, self.dates)

    def when_words(self, when: When | None) -> str:
        """An inferred date for a table."""
        return dates.when_words(when, self.dates)

    def day_words(self, day: int) -> str:
        """A day in full."""
        return dates.day_words(day, self.dates)


BRITISH: Final = Usage()
