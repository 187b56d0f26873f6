"""What an EDTF text means, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from numbertaker.evidence.days import Span

Precision: TypeAlias = Literal["day", "month", "year", "other"]
DateKind: TypeAlias = Literal["date", "interval", "one-of", "all-of", "datetime"]
Bound: TypeAlias = Literal["stated", "open", "unknown"]
Unit: TypeAlias = Literal["day", "month", "year"]


@dataclass(frozen=True, slots=True)
class Step:
    """The unit in which a date was written: a day, ten years for `201X`, three months for a season."""

    unit: Unit
    count: int = 1


@dataclass(frozen=True, slots=True)
class Single:
    """One date of an EDTF text: the spans it may mean, and the steps by which each qualifier loosens it.

    `approximate` and `uncertain` hold a step for each component so qualified: a qualifier on the
    right of a component loosens by that component's unit, and carries what is left of it along.
    """

    candidates: tuple[Span, ...]
    precision: Precision
    level: int
    step: Step
    approximate: tuple[Step, ...] = ()
    uncertain: tuple[Step, ...] = ()
    season: bool = False

    @property
    def hull(self) -> Span:
        """From the first candidate day to the last."""
        return Span(self.candidates[0].first, self.candidates[-1].last)


@dataclass(frozen=True, slots=True)
class Range:
    """From one date to another; a date that stands alone is both. None where the end is open or unknown."""

    start: Single | None
    end: Single | None

    @property
    def alone(self) -> bool:
        """Whether this is one date and no range."""
        return self.start is self.end


@dataclass(frozen=True, slots=True)
class Edtf:
    """A parsed EDTF text.

    `candidates` are the nominal spans, ordered, disjoint and not touching, with qualifiers left out of
    account (`widened` takes them in). For `interval` and `all-of` they are the days that are covered, for
    the other kinds the days among which the one that is meant lies. An end that is `open` and one that is
    `unknown` both leave the span unbounded, and are told apart by `start` and `end`.
    """

    text: str
    level: int
    kind: DateKind
    precision: Precision
    candidates: tuple[Span, ...]
    hull: Span
    uncertain: bool = False
    approximate: bool = False
    start: Bound = "stated"
    end: Bound = "stated"
    ranges: tuple[Range, ...] = field(default=(), repr=False, compare=False)

    def __str__(self) -> str:
        """The text that was parsed."""
        return self.text
