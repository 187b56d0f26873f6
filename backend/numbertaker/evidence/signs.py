"""Signs that stand for something other than the text: dittos, dashes, and what a transcriber adds.

Transcribers write `[?]` after what is unsure, `[illegible]` for what can't be read and
`[blank]` for a cell that was seen to be empty. The `marks` column of a line keeps the same
and more by field, as `engine=ditto;miles=struck:68,210`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from numbertaker.evidence.errors import BadInput

MarkKind: TypeAlias = Literal["ditto", "struck", "illegible", "blank"]
MARK_KINDS: Final[tuple[MarkKind, ...]] = ("ditto", "struck", "illegible", "blank")

UNSURE: Final = re.compile(r"\s*\[\s*\?\s*\]")
ILLEGIBLE: Final = re.compile(r"\[\s*illegible\s*\]", re.IGNORECASE)
BLANK: Final = re.compile(r"\[\s*blank\s*\]", re.IGNORECASE)

# Quotation marks as typewriters, printers and keyboards make them, alone or between dashes; 'do.' and such.
_DITTO: Final = re.compile(
    r"[-–—\s]*(?:[\"″〃“”„〞＂]|['’‘′,‚]{2}|,,)[-–—\s]*|d[o°º]\.?|ditto\.?|\(?(?:ditto|do\.)\)?",
    re.IGNORECASE,
)
_DASHES: Final = re.compile(r"[-–—−_.…\s]+")


def is_ditto(text: str) -> bool:
    """Whether a cell says 'as above', by a ditto mark or the word."""
    plain = UNSURE.sub("", text) if "[" in text else text
    return _DITTO.fullmatch(plain.strip()) is not None


def is_dash(text: str) -> bool:
    """Whether a cell holds only a dash or dots: somebody wrote that there is nothing to write."""
    return bool(text.strip()) and _DASHES.fullmatch(text.strip()) is not None


@dataclass(frozen=True, slots=True)
class Signs:
    """A text without the transcriber's signs, and which of them it had."""

    text: str
    uncertain: bool
    illegible: bool
    blank: bool
    ditto: bool


def read_signs(text: str) -> Signs:
    """Take the transcriber's signs out of a cell; `illegible` may be true of a part of it only."""
    plain, unsure, blanks, lost = text, 0, 0, 0
    if "[" in text:
        plain, unsure = UNSURE.subn("", text)
        plain, blanks = BLANK.subn("", plain)
        plain, lost = ILLEGIBLE.subn(" ", plain)
    return Signs(
        text=plain.strip(),
        uncertain=unsure > 0,
        illegible=lost > 0,
        blank=blanks > 0 or not text.strip(),
        ditto=is_ditto(plain),
    )


@dataclass(frozen=True, slots=True, order=True)
class Mark:
    """What was seen at one cell besides its text; `text` is the reading that was struck out, if legible."""

    field: str
    kind: MarkKind
    text: str = ""

    def __str__(self) -> str:
        """The mark as the `marks` column writes it; a semicolon or a percent sign is percent-encoded."""
        said = self.text.replace("%", "%25").replace(";", "%3B")
        return f"{self.field}={self.kind}:{said}" if self.text else f"{self.field}={self.kind}"


def read_marks(text: str) -> tuple[Mark, ...]:
    """Read a `marks` cell, in its order; BadInput where a part of it is no mark.

    >>> [mark.kind for mark in read_marks("engine=ditto;miles=struck:68,210")]
    ['ditto', 'struck']
    """
    return tuple(_mark(part.strip()) for part in text.split(";") if part.strip())


def _mark(part: str) -> Mark:
    field, equals, said = part.partition("=")
    kind, _, struck = said.partition(":")
    kind = kind.strip().casefold()
    if not equals or not field.strip() or kind not in MARK_KINDS:
        kinds = ", ".join(MARK_KINDS)
        raise BadInput(
            table="lines", column="marks", expected=f"FIELD=KIND with a kind of {kinds}", found=part
        )
    plain = re.sub("%3b", ";", struck, flags=re.IGNORECASE).replace("%25", "%")
    return Mark(field.strip(), kind, plain.strip())


def write_marks(marks: Iterable[Mark]) -> str:
    """The `marks` cell that `read_marks` reads back."""
    return ";".join(str(mark) for mark in marks)
