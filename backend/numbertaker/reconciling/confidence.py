"""Confidence as rows that a person can read, in log2 odds that add up."""

from __future__ import annotations

from dataclasses import dataclass, field

from numbertaker.linking import probability_of, weight_of
from numbertaker.reconciling.history import Reason

LEAST = 0.0005
MOST = 0.9999


def held(probability: float) -> float:
    """A probability kept off the ends: nothing about old papers is certain."""
    return min(MOST, max(LEAST, probability))


@dataclass(slots=True)
class Rows:
    """An explanation that grows row by row; its probability is that of the sum of its weights."""

    rows: list[Reason] = field(default_factory=list)

    @classmethod
    def of(cls, what: str, probability: float, says: str) -> Rows:
        """Start with a probability."""
        return cls([Reason(what, weight_of(held(probability)), says)])

    def add(self, what: str, weight: float, says: str) -> None:
        """Add a row of a given weight."""
        self.rows.append(Reason(what, weight, says))

    def to(self, probability: float, what: str, says: str) -> None:
        """Add the row that brings the whole to a probability; none where nothing changes."""
        weight = weight_of(held(probability)) - sum(row.weight for row in self.rows)
        if abs(weight) > 5e-4:
            self.add(what, weight, says)

    @property
    def weight(self) -> float:
        """The sum, in log2 odds."""
        return sum(row.weight for row in self.rows)

    @property
    def probability(self) -> float:
        """What the sum stands for, kept off the ends."""
        return self.whole()[0]

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """The rows, with one more where the whole was kept off the ends."""
        return self.whole()[1]

    def whole(self) -> tuple[float, tuple[Reason, ...]]:
        """The probability and the rows."""
        weight = self.weight
        plain = probability_of(weight)
        sure = held(plain)
        if sure == plain:
            return sure, tuple(self.rows)
        rest = weight_of(sure) - weight
        return sure, (*self.rows, Reason("limit", rest, "nothing on paper is taken to be quite certain"))
