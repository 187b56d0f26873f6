"""What a form is, and what is written on a card of it, as data: before anything is set or drawn."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Ruling = Literal["full", "faint", "verticals", "levels", "none"]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its field ('' for one that no field means), its printed words, '|' between two lines of them.

    `group` is a word printed over this and the next columns of the same group: a merged header cell.
    """

    field: str
    titles: tuple[str, ...]
    group: str = ""


@dataclass(frozen=True, slots=True)
class Kind:
    """A form. `heads` are the printed words before the number at its head; `hand`: how often it is inked by
    hand.

    Oddities that only some forms have: `typed_titles`, whose titles are written like the lines under them;
    `dotted` upright rulings; `double` ones, at some edges; `merged`, how often a text stands over several
    cells of a line; `tight`, rows so close that letters nearly touch; `opening`, lines above the titles that
    name things too.
    """

    name: str
    form: str
    side: str
    columns: tuple[Column, ...]
    ruling: tuple[Ruling, ...]
    heads: tuple[str, ...] = ()
    hand: float = 0.3
    carried: bool = False
    totals: bool = False
    typed_titles: bool = False
    dotted: bool = False
    double: bool = False
    merged: float = 0.0
    tight: bool = False
    opening: bool = False


@dataclass(slots=True)
class Entry:
    """One line as written. `marks`: field to 'ditto' or 'struck:WHAT'; `runs` is a text that runs over all
    columns, `merged` one that stands over several cells, from the first column that it takes up.
    """

    cells: dict[str, str] = field(default_factory=dict)
    marks: dict[str, str] = field(default_factory=dict)
    runs: str = ""
    merged: tuple[str, str] | None = None


@dataclass(slots=True)
class Content:
    """A card's number, name and lines."""

    number: str
    name: str
    lines: list[Entry]
