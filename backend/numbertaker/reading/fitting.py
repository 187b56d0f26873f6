"""Lay a learnt form over a card: the best set of cuts that makes the form's own columns, in their order.

A form is a prior, no stencil: the paper of its kin was printed and typed anew. Each of its columns looks for
its title (or another wording of its field) and for its share of the table's width, and pays for what rulings
and gaps say against its place, as every set of cuts does (`cuts`). The best places are found by dynamic
programming over columns and cuts (Bellman, 1957), the widths in a second round, once the first has said how
wide the table is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from rapidfuzz import fuzz
from rapidfuzz.process import cdist

from numbertaker.reading.columns import Column, sure_of
from numbertaker.reading.cuts import Cutting, Span, Weighed, cutting_of, title_gain
from numbertaker.reading.geometry import Array
from numbertaker.reading.headings import plain
from numbertaker.reading.learnt import LearntForm
from numbertaker.reading.rivals import NEVER
from numbertaker.reading.titles import title_text

FITS: Final = 0.7
"""A learnt form that fits at least so well is taken for the card's own; below it none of these is the
answer.
"""
FITS_IF_NAMED: Final = 0.5
REWORDED: Final = 0.9
"""How far a title agrees that has the same meaning in other words."""
LIKE: Final = 0.6
"""Titles less alike than this are two."""
TITLED, UNTITLED, OTHER = 1.3, 0.4, 1.0
"""What a column gains by its title, and loses by having none and by having another's."""
WIDE, WIDTHS_APART = 0.5, 0.18
"""What a column gains by its share of the width, and how far off, as a logarithm, it hardly does."""
UNSAID: Final = 0.4
"""How far a column agrees whose title was not read."""
FOREIGN: Final = 1.2
"""What a field that the form has not counts against it, in the units of one sure ruling."""
NAMED: Final = 0.9
"""A title that matches a wording so well names its field beyond doubt."""
OUTSIDE: Final = 0.5
"""What a side of the table may lose by stray writing before it counts, in the units of one sure ruling."""
LOST: Final = 4.0
"""A form that needs cuts worse by so much, in the units of one sure ruling, fits a third as well."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A form laid over a card: where its cuts come to lie, how far each column agrees, and how well all of it
    fits, 0 to 1.
    """

    form: LearntForm
    cutting: Cutting
    agreed: tuple[float, ...]
    score: float

    def columns(self, *, ruled: bool) -> list[Column]:
        """The card's columns, as the form names them."""
        spans = self.cutting.spans
        edges = [sure_of(s.left, ruled=ruled, outer=k == 0) for k, s in enumerate(spans)]
        edges.append(sure_of(spans[-1].right, ruled=ruled, outer=True))
        return [
            Column(s.left.at, s.right.at, title, field, min(edges[k], edges[k + 1]))
            for k, (s, title, field) in enumerate(zip(spans, self.form.titles, self.form.fields, strict=True))
        ]


def best_fit(weighed: Weighed, forms: Sequence[LearntForm], named: str = "") -> Fitted | None:
    """The form that fits best; None where none fits well enough, which for one that was named is less."""
    own = [fit(weighed, form) for form in forms if form.name == named]
    if own and own[0] and own[0].score >= FITS_IF_NAMED:
        return own[0]
    others = [fit(weighed, form) for form in forms if form.name != named]
    return max((f for f in others if f and f.score >= FITS), key=lambda f: f.score, default=None)


def fit(weighed: Weighed, form: LearntForm) -> Fitted | None:
    """Lay a form over a card as well as it goes; None where there is no room for its columns."""
    agreed = _agreement(weighed, form)
    gains = _gains(weighed, agreed)
    path = _best_path(weighed, gains)
    if path is None:
        return None
    at = np.array([cut.at for cut in weighed.cuts])
    share = np.maximum(at[None, :] - at[:, None], 1e-9) / (at[path[-1]] - at[path[0]])
    off = np.log(share)[None] - np.log(np.diff(form.edges))[:, None, None]
    path = _best_path(weighed, gains + WIDE * np.exp(-((off / WIDTHS_APART) ** 2))) or path
    cutting = cutting_of(weighed, path)
    own = tuple(float(agreed[k, a, b]) for k, (a, b) in enumerate(pairwise(path)))
    lost = _unlike(weighed, path) + FOREIGN * len(_foreign(weighed, form))
    return Fitted(form, cutting, own, float(np.mean(own) * np.exp(-lost / LOST)))


def _foreign(weighed: Weighed, form: LearntForm) -> set[str]:
    """The fields that the card's titles name beyond doubt and that the form has not."""
    free = max(weighed.best.values())[1]
    spans = [weighed.spans[pair] for pair in pairwise(free)]
    return {s.match.field for s in spans if s.match.score >= NAMED and s.match.field} - set(form.fields)


def _unlike(weighed: Weighed, path: Sequence[int]) -> float:
    """What speaks against some cuts, whatever stands over them: clear places that they pass over, places
    where nothing speaks for a cut, and writing left outside.
    """
    inner, at = weighed.gains.inner, np.array([cut.at for cut in weighed.cuts])
    free = max(weighed.best.values())[1]
    near = 0.8 * weighed.evidence.cap
    passed = [k for k in free if path[0] < k < path[-1] and np.abs(at[list(path)] - at[k]).min() > near]
    made = [k for k in path[1:-1] if k not in free]
    outside = weighed.gains.left[path[0]], weighed.gains.right[path[-1]]
    return float(
        sum(max(0.0, inner[k]) for k in passed)
        + sum(max(0.0, -inner[k]) for k in made)
        + sum(max(0.0, -gain - OUTSIDE) for gain in outside)
    )


def _agreement(weighed: Weighed, form: LearntForm) -> Array:
    """How far each column of the form agrees with what stands over each two cuts, 0 to 1."""
    cap, count = weighed.evidence.cap, len(weighed.cuts)
    said = {key: plain(title_text(span.words, cap)) for key, span in weighed.spans.items()}
    texts = sorted(set(said.values()))
    alike = cdist(texts, [plain(title) for title in form.titles], scorer=fuzz.ratio) / 100
    place = {text: n for n, text in enumerate(texts)}
    out = np.full((len(form.fields), count, count), UNSAID)
    for (i, j), text in said.items():
        if text:
            out[:, i, j] = _agree(weighed.spans[i, j], alike[place[text]], form)
    return out


def _agree(span: Span, alike: Array, form: LearntForm) -> Array:
    """How far a column with words over it agrees with each of the form's."""
    out = np.where(alike >= LIKE, alike, 0.0)
    for k, field in enumerate(form.fields):
        if field and field == span.match.field:
            out[k] = max(out[k], REWORDED * span.match.score)
        elif not field and not span.match.field:
            out[k] = max(out[k], 0.5)
    return out


def _gains(weighed: Weighed, agreed: Array) -> Array:
    """What each of the form's columns gains between each two cuts."""
    out = np.repeat(weighed.gains.columns[None], len(agreed), axis=0)
    for (i, j), span in weighed.spans.items():
        own = agreed[:, i, j]
        if span.words:
            titled = np.where(own > 0, TITLED * own**2, -OTHER if span.match.field else -UNTITLED)
        else:
            titled = np.full(len(own), -UNTITLED)
        out[:, i, j] += titled - title_gain(weighed.evidence, span)
    return out


def _best_path(weighed: Weighed, gains: Array) -> tuple[int, ...] | None:
    """The best cuts for as many columns as there are gains of, left to right."""
    score, before = weighed.gains.left, []
    for k, own in enumerate(gains):
        trial = (score + (weighed.gains.inner if k else 0.0))[:, None] + own
        before.append(trial.argmax(axis=0))
        score = trial.max(axis=0)
    score = score + weighed.gains.right
    path = [int(score.argmax())]
    if score[path[0]] < NEVER / 2:
        return None
    for back in reversed(before):
        path.append(int(back[path[-1]]))
    return tuple(reversed(path))
