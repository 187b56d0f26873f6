"""Forms learnt from one corrected card: its columns, titles and paper, and how well they fit another card.

A learnt form is data. It is laid over a new card by sliding and stretching it between every two places
where the
table may begin and end; what counts is how many of its edges then lie on a ruling or a gap, and how alike
the printed
words are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from rapidfuzz import fuzz

from numbertaker.evidence.errors import BadInput
from numbertaker.reading.columns import Column
from numbertaker.reading.cuts import Cut, Evidence, candidates
from numbertaker.reading.geometry import Array, Plane
from numbertaker.reading.headings import plain
from numbertaker.reading.titles import title_text

FORMAT: Final = "numbertaker-form/1"
FITS: Final = 0.75
"""A learnt form that fits at least so well is taken for the card's own; below it none of these is the
answer.
"""
FITS_IF_NAMED: Final = 0.5
NARROWEST_TABLE: Final = 12
"""In heights of a capital."""


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
class Fitted:
    """A form laid over a card: where its edges come to lie, and how well that fits, 0 to 1."""

    form: LearntForm
    edges: tuple[float, ...]
    support: tuple[float, ...]
    score: float

    def columns(self) -> list[Column]:
        """The card's columns."""
        sure = [0.6 + 0.39 * s for s in self.support]
        return [
            Column(a, b, title, field, min(sure[k], sure[k + 1]))
            for k, (a, b, title, field) in enumerate(
                zip(self.edges, self.edges[1:], self.form.titles, self.form.fields, strict=False)
            )
        ]


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


def best_fit(evidence: Evidence, forms: Sequence[LearntForm], named: str = "") -> Fitted | None:
    """The form that fits best; None where none fits well enough, which for one that was named is less."""
    fitted = [fit(evidence, form) for form in forms]
    good = [f for f in fitted if f and f.score >= (FITS_IF_NAMED if f.form.name == named else FITS)]
    return max(good, key=lambda f: (f.form.name == named, f.score), default=None)


def fit(evidence: Evidence, form: LearntForm) -> Fitted | None:
    """Lay a form over a card as well as it goes."""
    cuts = candidates(evidence)
    at = np.array([cut.at for cut in cuts])
    worth = np.array([_worth(cut) for cut in cuts])
    relative = np.array(form.edges)
    best: tuple[float, Array, Array] | None = None
    for i in range(len(cuts)):
        for j in range(i + 1, len(cuts)):
            if at[j] - at[i] < NARROWEST_TABLE * evidence.cap:
                continue
            places = at[i] + relative * (at[j] - at[i])
            near = np.abs(places[:, None] - at[None, :])
            support = (np.clip(1 - near / evidence.cap, 0, 1) * worth[None, :]).max(axis=1)
            value = float(support[1:-1].mean()) if len(support) > 2 else 0.0
            value += 0.1 * float(support[0] + support[-1])
            if best is None or value > best[0]:
                nearest = near.argmin(axis=1)
                snapped = np.where(near.min(axis=1) < 0.8 * evidence.cap, at[nearest], places)
                best = value, snapped, support
    if best is None:
        return None
    edges = tuple(float(x) for x in best[1])
    inner = float(best[2][1:-1].mean()) if len(edges) > 2 else 0.0
    score = 0.5 * inner + 0.5 * _alike(evidence, edges, form.titles) if evidence.header else inner
    return Fitted(form, edges, tuple(float(s) for s in best[2]), score)


def _worth(cut: Cut) -> float:
    """How much an edge gains by lying on a place."""
    return max(cut.ruling, cut.gap) * (1 - min(1.0, cut.crossed))


def _alike(evidence: Evidence, edges: Sequence[float], titles: Sequence[str]) -> float:
    """How alike the words over the columns are to a form's titles, over those that the form has."""
    scores = []
    for a, b, title in zip(edges, edges[1:], titles, strict=False):
        if not title:
            continue
        words = [w for w in evidence.header if a <= w.box.middle < b]
        scores.append(fuzz.ratio(plain(title_text(words, evidence.cap)), plain(title)) / 100)
    return float(np.mean(scores)) if scores else 0.5
