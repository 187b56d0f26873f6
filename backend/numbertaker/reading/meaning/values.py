"""What is proposed, and what is known beforehand to propose it from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import exp, log
from typing import Any, TypeAlias

from numbertaker.reading.values import CellReading, LineReading


@dataclass(frozen=True, slots=True)
class Proposal:
    """A likelier text of a cell, the probability that it is right, and why, as the end of a sentence."""

    text: str
    confidence: float
    why: str

    def to_json(self) -> dict[str, Any]:
        """As 'cards as read' has it."""
        return {"text": self.text, "confidence": round(self.confidence, 4), "why": self.why}


Proposals: TypeAlias = dict[tuple[int, str], Proposal]


@dataclass(frozen=True, slots=True)
class Known:
    """Numbers and names that the archive's lists hold, bare and in small letters, by sort of subject; and
    places as many of its lines write them.
    """

    engines: frozenset[str] = frozenset()
    components: frozenset[str] = frozenset()
    places: frozenset[str] = frozenset()


def stated(line: LineReading, field: str) -> CellReading | None:
    """A cell with a text of its own; None where it is blank, marked or not there."""
    cell = line.cells.get(field)
    return None if cell is None or cell.mark or not cell.text.strip() else cell


def readings(cell: CellReading) -> Iterator[tuple[str, float]]:
    """The text that was seen and its alternatives, each with its natural log of probability."""
    for text, p in ((cell.text, cell.confidence), *cell.alternatives):
        if text.strip():
            yield text, log(min(0.9999, max(1e-6, p)))


def surely(gain: float) -> float:
    """The probability that a gain in natural log stands for, kept off the ends."""
    return min(0.995, max(0.005, 1 / (1 + exp(-max(-30.0, min(30.0, gain))))))
