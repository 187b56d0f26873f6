"""What reading a written date takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from numbertaker.evidence.days import ALWAYS, Span
from numbertaker.evidence.edtf import Precision

CENTURY_MARGIN: Final = 8
"""By how many years a two-digit year may lie outside the card's own span; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Era:
    """The years that a card covers, both included: what gives a two-digit year its century."""

    first_year: int
    last_year: int
    margin: int = CENTURY_MARGIN

    def __post_init__(self) -> None:
        """Refuse an era that ends before it starts."""
        if self.last_year < self.first_year:
            raise ValueError(
                f"An era can't end in {self.last_year}, before its first year {self.first_year}."
            )


@dataclass(frozen=True, slots=True)
class OtherReading:
    """Something else that a text may say: its EDTF, and why it may be so as the end of a sentence."""

    edtf: str
    why: str


@dataclass(frozen=True, slots=True)
class WrittenDate:
    """A date as written and what it says.

    `edtf` is None where the text was not understood, and `problem` then says why as a whole sentence (a blank
    cell and a ditto mark are no problem). `candidates` are the spans in which the day may lie, qualifiers
    taken in ('c.1925' is 1924 to 1926); none where `edtf` is None, and then `hull` has no bounds.

    A century that can't be told leaves all that fit among the candidates, each named in `ambiguity`, which
    also lists readings that are not among them. `suggestions` are what a person may accept, and are never
    followed unasked.
    """

    text: str
    edtf: str | None = None
    candidates: tuple[Span, ...] = ()
    hull: Span = ALWAYS
    precision: Precision = "other"
    uncertain: bool = False
    approximate: bool = False
    ambiguity: tuple[OtherReading, ...] = ()
    suggestions: tuple[OtherReading, ...] = ()
    problem: str | None = None
    is_ditto: bool = False
    is_blank: bool = False
    illegible: bool = False
