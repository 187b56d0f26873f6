"""Confidence as rows that a person can read, in log2 odds that add up."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from numbertaker.linking import probability_of, weight_of
from numbertaker.reconciling.history import Reasons, Words

LEAST = 0.0005
MOST = 0.9999
_LIMIT = ("limit", "nothing on paper is taken to be quite certain")


def held(probability: float) -> float:
    """A probability kept off the ends: nothing about old papers is certain."""
    return min(MOST, max(LEAST, probability))


@dataclass(slots=True)
class Rows:
    """An explanation that grows row by row; its probability is that of the sum of its weights."""

    words: list[tuple[str, str]] = field(default_factory=list)
    weights: list[float] = field(default_factory=list)

    @classmethod
    def of(cls, what: str, probability: float, says: str) -> Rows:
        """Start with a probability."""
        return cls([(what, says)], [weight_of(held(probability))])

    def add(self, what: str, weight: float, says: str) -> None:
        """Add a row of a given weight."""
        self.words.append((what, says))
        self.weights.append(weight)

    def to(self, probability: float, what: str, says: str) -> None:
        """Add the row that brings the whole to a probability; none where nothing changes."""
        weight = weight_of(held(probability)) - self.weight
        if abs(weight) > 5e-4:
            self.add(what, weight, says)

    @property
    def weight(self) -> float:
        """The sum, in log2 odds."""
        return sum(self.weights)

    @property
    def probability(self) -> float:
        """What the sum stands for, kept off the ends."""
        return held(probability_of(self.weight))

    @property
    def reasons(self) -> Reasons:
        """The rows, with one more where the whole was kept off the ends."""
        return self.whole()[1]

    def whole(self) -> tuple[float, Reasons]:
        """The probability and the rows."""
        weight = self.weight
        plain = probability_of(weight)
        sure = held(plain)
        if sure == plain:
            return sure, Reasons(_same_words(*self.words), tuple(self.weights))
        rest = weight_of(sure) - weight
        return sure, Reasons(_same_words(*self.words, _LIMIT), (*self.weights, rest))


@lru_cache(maxsize=65_536)
def _same_words(*rows: tuple[str, str]) -> Words:
    """Equal words as one value: an archive has some hundreds of explanations, and millions of weights."""
    return Words(rows)
