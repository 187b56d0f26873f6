"""A hand as its corrections tell of it, and the cells that it is learnt from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import log
from typing import Final, TypeAlias

Pair: TypeAlias = tuple[str, str]
"""A sign as it stands on the card, and what it was read as; '' where one is lost or none stands there."""

_FIGURES: Final = "174T3856060849477935686936391859" + "0O0Q0D1l1I1i5S8B2Z6b9g9q"
_LETTERS: Final = "eceooacoaonunhmnrnriitltilIlftflvyuvijbhCGOQODEFPRMNHNVYUV.,"
ALIKE: Final = frozenset(
    "".join(sorted(signs[at : at + 2])) for signs in (_FIGURES, _LETTERS) for at in range(0, len(signs), 2)
)
"""Signs that are mistaken for one another in any hand (a weak prior of our own)."""
OFTEN, SELDOM, LOST = 0.004, 0.0008, 0.002
"""How often a sign is read as a look-alike, as another given sign, or is lost or made up, in any hand."""
USUAL: Final = 4.0
"""What is usual weighs as much as so many cells of the hand's own."""
LEAST: Final = 2
"""One cell is no pattern: a confusion counts from so many cells on."""
ENOUGH: Final = 3
"""From so many signs on it counts how often a sign that was read is truly another."""
HELD_BACK: Final = 2.0
"""So many signs that were read rightly are added to those that were counted."""
STEP: Final = 0.25
NEVER: Final = -20.0
"""The natural log of odds that are as good as none."""


@dataclass(frozen=True, slots=True)
class LookedOver:
    """A cell that a person looked over: what was read, and what stands there. `said` where the person said
    so of this very cell, by correcting or confirming it."""

    field: str
    read: str
    true: str
    said: bool = True


@dataclass(frozen=True, slots=True)
class Confusion:
    """A sign that was read as another in `cells` of the `of` cells looked over in which it stands."""

    sign: str
    read: str
    cells: int
    of: int

    def says(self) -> str:
        """The count as a part of a sentence."""
        counted = f"in {self.cells} of {self.of} cells looked over in this source"
        if not self.sign:
            return f"'{self.read}' was read where nothing stands {counted}"
        if not self.read:
            return f"'{self.sign}' was not seen {counted}"
        return f"'{self.sign}' was read as '{self.read}' {counted}"


@dataclass(frozen=True)
class Hand:
    """What was counted in the cells of a source that were looked over.

    `misread` and `met` count cells, by pair and by the sign that truly stands there; `words` counts cells by
    sort of field and word; `mended` says for a word as read what it was corrected to, and in how many cells;
    `new` is by sort of field how often a word stood there for the only time. `taken` and `seen` count signs,
    by pair and by what was read.
    """

    cells: int = 0
    corrected: int = 0
    misread: Mapping[Pair, int] = field(default_factory=dict)
    met: Mapping[str, int] = field(default_factory=dict)
    words: Mapping[tuple[str, str], int] = field(default_factory=dict)
    mended: Mapping[tuple[str, str], Mapping[str, int]] = field(default_factory=dict)
    new: Mapping[str, float] = field(default_factory=dict)
    taken: Mapping[Pair, int] = field(default_factory=dict)
    seen: Mapping[str, int] = field(default_factory=dict)

    @cached_property
    def confusions(self) -> tuple[Confusion, ...]:
        """The confusions that count, those in most cells first."""
        found = [
            Confusion(*pair, cells, max(cells, self.met.get(pair[0], 0)))
            for pair, cells in self.misread.items()
            if cells >= LEAST
        ]
        return tuple(sorted(found, key=lambda c: (-c.cells, c.of, c.sign, c.read)))

    @cached_property
    def _of(self) -> Mapping[Pair, Confusion]:
        return {(c.sign, c.read): c for c in self.confusions}

    @cached_property
    def _faults(self) -> Mapping[str, float]:
        """By sign, how much oftener than usual it is misread by this hand."""
        more: dict[str, float] = {}
        for c in self.confusions:
            own = (c.cells + USUAL * usually(c.sign, c.read)) / (c.of + USUAL)
            more[c.sign] = more.get(c.sign, 0.0) + own - usually(c.sign, c.read)
        return more

    def confusion(self, sign: str, read: str) -> Confusion | None:
        """What was counted of a pair; None where it is too little."""
        return self._of.get((sign, read))

    def shift(self, sign: str, read: str) -> float:
        """How much likelier than in any hand this sign is read so, as a natural log; 0 where not known.

        The share is smoothed: what is usual counts as `USUAL` cells.
        """
        if sign == read:
            return _stepped(log(max(0.05, 1 - self._faults.get(sign, 0.0))))
        known = self._of.get((sign, read))
        if known is None:
            return 0.0
        usual = usually(sign, read)
        return max(0.0, _stepped(log((known.cells + USUAL * usual) / (known.of + USUAL) / usual)))

    def odds(self, sign: str, read: str) -> float:
        """The natural log of the odds that what was read as one sign is truly the other, as often as it was
        so in the cells looked over, held a little lower; far below 0 where that is not known."""
        known, cells = self._of.get((sign, read)), self.taken.get((sign, read), 0)
        if known is None or not sign or not read or cells < ENOUGH:
            return NEVER
        share = cells / (self.seen[read] + HELD_BACK)
        return _stepped(log(share / (1 - share)))


def _stepped(weight: float) -> float:
    """A weight in steps: one cell more that says the same changes nothing, and nothing is weighed anew."""
    return round(weight / STEP) * STEP


UNKNOWN: Final = Hand()
"""A hand of which nothing was looked over yet."""


def usually(sign: str, read: str) -> float:
    """How often a sign is read as another in any hand."""
    if not sign or not read:
        return LOST
    return OFTEN if "".join(sorted((sign, read))) in ALIKE else SELDOM
