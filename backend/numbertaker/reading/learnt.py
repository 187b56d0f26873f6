"""Forms learnt from one corrected card: its columns, titles and paper. A learnt form is data, and light to
import: a server lists and takes in forms without ever loading what reads pictures.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from numbertaker.evidence.errors import BadInput
from numbertaker.reading.lines import FIELDS

if TYPE_CHECKING:
    from numbertaker.reading.columns import Column
    from numbertaker.reading.geometry import Plane

FORMAT: Final = "numbertaker-form/1"
SIDES: Final = ("component", "engine", "statement")
FEWEST, MOST = 2, 16
"""How many columns a form has."""


@dataclass(frozen=True, slots=True)
class LearntForm:
    """The layout of a kind of card.

    `fields` and `titles` go by column ('' for a column that no field means), `edges` from 0 at the table's
    left side
    to 1 at its right; `paper` is the usual colour of its paper, red-green-blue.
    """

    name: str
    side: str
    fields: tuple[str, ...]
    titles: tuple[str, ...]
    edges: tuple[float, ...]
    ruled: bool
    paper: tuple[int, int, int]

    def to_json(self) -> dict[str, Any]:
        """The form as it is kept and shared."""
        columns = [{"field": f, "title": t} for f, t in zip(self.fields, self.titles, strict=True)]
        return {
            "format": FORMAT, "name": self.name, "side": self.side, "columns": columns,
            "edges": [round(e, 4) for e in self.edges], "ruled": self.ruled, "paper": list(self.paper),
        }  # fmt: skip

    @classmethod
    def of_json(cls, body: Mapping[str, Any]) -> LearntForm:
        """A form that somebody shared; `BadInput` says what is wrong with one that is none."""
        try:
            if body["format"] != FORMAT:
                raise ValueError(f"its format is {body['format']!r}")
            columns = body["columns"]
            edges = tuple(float(e) for e in body["edges"])
            red, green, blue = (int(v) for v in body["paper"])
            form = cls(
                str(body["name"]), str(body["side"]), tuple(str(c["field"]) for c in columns),
                tuple(str(c["title"]) for c in columns), edges, bool(body["ruled"]), (red, green, blue),
            )  # fmt: skip
            if wrong := form._wrong():
                raise ValueError(wrong)
        except (KeyError, TypeError, ValueError) as error:
            raise BadInput(
                f"Expected a form in the format {FORMAT}, found something else: {error}."
            ) from error
        return form

    def _wrong(self) -> str:
        """What is wrong with a form that came from elsewhere; '' where nothing is."""
        named = [field for field in self.fields if field]
        rising = all(b > a for a, b in pairwise(self.edges))
        ends = self.edges[:1] == (0,) and self.edges[-1:] == (1,)
        if len(self.edges) != len(self.fields) + 1 or not (rising and ends):
            return "its edges are not one more than its columns, rising from 0 to 1"
        if not FEWEST <= len(self.fields) <= MOST:
            return f"it has {len(self.fields)} columns, of {FEWEST} to {MOST}"
        if unknown := sorted(set(named) - set(FIELDS)):
            return f"{unknown[0]!r} is no field of a line; there are {', '.join(FIELDS)}"
        if len(named) != len(set(named)):
            return f"two of its columns hold {max(named, key=named.count)!r}"
        if self.side not in SIDES:
            return f"it tells of {self.side!r}, which is none of {', '.join(SIDES)}"
        return "" if all(0 <= v <= 255 for v in self.paper) else "its paper has no colour of 0 to 255"


@dataclass(frozen=True, slots=True)
class Learnt:
    """The learnt forms that a card may have, and the one that it is said to have ('' where nobody says)."""

    forms: tuple[LearntForm, ...] = ()
    named: str = ""


NOTHING_LEARNT: Final = Learnt()


def learn(name: str, side: str, columns: Sequence[Column], plane: Plane, *, ruled: bool) -> LearntForm:
    """The form of a card whose columns are known to be right."""
    import numpy as np

    left, right = columns[0].left, columns[-1].right
    edges = [(c.left - left) / (right - left) for c in columns]
    blue, green, red = (int(v) for v in np.median(plane.paper.reshape(-1, 3), axis=0))
    return LearntForm(
        name, side, tuple(c.field for c in columns), tuple(c.title for c in columns), (*edges, 1.0), ruled,
        (red, green, blue),
    )  # fmt: skip
