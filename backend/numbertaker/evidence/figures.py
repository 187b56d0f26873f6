"""Figures as written: '61,204', '61 204', '61,204 mls.', a ditto mark, a dash.

Nothing is guessed: what is not a whole number in one of the known groupings is a problem, with
what it may have meant as a suggestion.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, TypeAlias

from numbertaker.evidence.signs import Mark, is_dash, read_signs

Unit: TypeAlias = Literal["miles"]

_UNIT: Final = r"(?:\s*(?P<unit>miles?|mls|mil|ms|m)\.?)?"
_GROUPS: Final = "|".join(
    (
        r"\d{1,3}(?: ?, ?\d{3})+",
        r"\d{1,3}(?:[ \u00a0\u2009\u202f]\d{3})+",
        r"\d{1,3}(?:['’]\d{3})+",
        r"\d{1,3}(?:\.\d{3})+",
        r"\d+",
    )
)
_FIGURE: Final = re.compile(rf"(?P<figure>{_GROUPS}){_UNIT}", re.ASCII | re.IGNORECASE)
_NONE_RUN: Final = re.compile(r"nil\.?|none\.?|nought", re.IGNORECASE)
_FRACTION: Final = re.compile(r".*(?:[½¼¾⅓⅔⅛]|\d\s*/\s*\d|\.\d{1,2}(?!\d)).*", re.DOTALL)
_DIGITS_ONLY: Final = re.compile(r"[\d,.\s'’]*\d[\d,.\s'’]*")
_LOOKALIKES: Final = str.maketrans(
    {"O": "0", "o": "0", "l": "1", "I": "1", "|": "1", "Z": "2", "S": "5", "s": "5", "B": "8", "b": "6"}
)


@dataclass(frozen=True, slots=True)
class WrittenFigure:
    """A figure as written and its value, a whole number; None where it says none.

    `problem` is a whole sentence where something stands there that is no figure. `struck` is the reading
    that was struck out and replaced by this one. `suggestions` are values that a person may accept; they
    are never taken unasked.
    """

    text: str
    value: int | None = None
    unit: Unit | None = None
    struck: str | None = None
    uncertain: bool = False
    is_ditto: bool = False
    is_blank: bool = False
    illegible: bool = False
    problem: str | None = None
    suggestions: tuple[int, ...] = ()


@lru_cache(maxsize=65_536)
def read_figure(text: str, marks: tuple[Mark, ...] = ()) -> WrittenFigure:
    """Read a figure as written; `marks` are those of its own cell. Never raises.

    'nil' is the value 0; a dash says that nothing was written, and is blank. A full stop between groups of
    three ('61.204') is read as a separator, since registers have no thousandths of a mile.
    """
    signs = read_signs(text)
    kinds = {mark.kind for mark in marks}
    struck = next((mark.text for mark in marks if mark.kind == "struck"), None)
    value, unit, problem = (None, None, None)
    ditto = signs.ditto or "ditto" in kinds
    blank = signs.blank or "blank" in kinds or is_dash(signs.text)
    lost = signs.illegible or "illegible" in kinds
    if not (ditto or blank or lost):
        value, unit, problem = _value(signs.text)
    return WrittenFigure(
        text=text,
        value=value,
        unit=unit,
        struck=struck,
        uncertain=signs.uncertain,
        is_ditto=ditto,
        is_blank=blank and not ditto,
        illegible=lost,
        problem="A part of the figure is illegible." if lost else problem,
        suggestions=() if problem is None else _suggestions(signs.text),
    )


def _value(text: str) -> tuple[int | None, Unit | None, str | None]:
    if _NONE_RUN.fullmatch(text):
        return 0, None, None
    match = _FIGURE.fullmatch(text)
    if match is not None:
        return int(_digits(match["figure"])), "miles" if match["unit"] else None, None
    return None, None, _problem(text)


def _digits(text: str) -> str:
    return re.sub(r"\D", "", text)


def _problem(text: str) -> str:
    if _FRACTION.fullmatch(text):
        return f"'{text}' has a fraction: expected whole miles."
    if _DIGITS_ONLY.fullmatch(text):
        return f"The digits of '{text}' are not in groups of three: expected 61,204 or 61204, say."
    return f"'{text}' is no figure: expected one such as 61,204."


def _suggestions(text: str) -> tuple[int, ...]:
    """The figure with letters read as digits, or with its digits grouped as they should be."""
    match = _FIGURE.fullmatch(text.translate(_LOOKALIKES))
    if match is not None:
        return (int(_digits(match["figure"])),)
    if _DIGITS_ONLY.fullmatch(text) and not _FRACTION.fullmatch(text):
        return (int(_digits(text)),)
    return ()
