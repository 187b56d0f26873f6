"""Forms learnt from one corrected card: its columns, titles and paper. A learnt form is data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from numbertaker.evidence.errors import BadInput
from numbertaker.reading.columns import Column
from numbertaker.reading.geometry import Plane

FORMAT: Final = "numbertaker-form/1"


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
            if (
                len(edges) != len(columns) + 1
                or edges[0] != 0
                or edges[-1] != 1
                or sorted(edges) != list(edges)
            ):
                raise ValueError("its edges are not one more than its columns, rising from 0 to 1")
        except (KeyError, TypeError, ValueError) as error:
            raise BadInput(
                f"Expected a form in the format {FORMAT}, found something else: {error}."
            ) from error
        return form


@dataclass(frozen=True, slots=True)
class Learnt:
    """The learnt forms that a card may have, and the one that it is said to have ('' where nobody says)."""

    forms: tuple[LearntForm, ...] = ()
    named: str = ""


NOTHING_LEARNT: Final = Learnt()


def learn(name: str, side: str, columns: Sequence[Column], plane: Plane, *, ruled: bool) -> LearntForm:
    """The form of a card whose columns are known to be right."""
    left, right = columns[0].left, columns[-1].right
    edges = [(c.left - left) / (right - left) for c in columns]
    blue, green, red = (int(v) for v in np.median(plane.paper.reshape(-1, 3), axis=0))
    return LearntForm(
        name, side, tuple(c.field for c in columns), tuple(c.title for c in columns), (*edges, 1.0), ruled,
        (red, green, blue),
    )  # fmt: skip
