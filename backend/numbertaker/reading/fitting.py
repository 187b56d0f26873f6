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

from numbertaker.reading.columns import Column, sure_of, without_empty
from numbertaker.reading.cuts import NARROWEST, Cutting, Span, Weighed, cutting_of, title_gain
from numbertaker.reading.geometry import Array
from numbertaker.reading.headings import plain
from numbertaker.reading.learnt import LearntForm
from numbertaker.reading.rivals import NEVER
from numbertaker.reading.titles import title_text

FITS: Final = 0.63
"""A learnt form that fits at least so well is taken for the card's own; below it none of these is the
answer.
"""
FITS_IF_NAMED, FITS_UNREAD, TOLD = 0.5, 0.2, 0.55
"""A form that was named is taken at less; at little where no more than a share `TOLD` of the titles was read:
those can't speak against it.
"""
REWORDED: Final = 0.9
"""How far a title agrees that has the same meaning in other words."""
WELL, BETTER = 0.6, 0.25
"""A named form that fits so well is taken at once; one that fits worse not where another does by so much."""
HOPELESS: Final = 0.3
"""A form whose columns agree less than this even with the best places for each does not fit."""
LIKE: Final = 0.6
"""Titles less alike than this are two."""
TITLED, UNTITLED, OTHER = 1.3, 0.4, 1.0
"""What a column gains by its title, and loses by having none and by having another's."""
WIDE, WIDTHS_APART = 0.5, 0.18
"""What a column gains by its share of the width, and how far off, as a logarithm, it hardly does."""
READ: Final = 0.6
"""A word read less surely than this contradicts nothing."""
NOTHING: Final = 0.12
"""Between two places where less than this share of the rows is written there is one gap."""
UNSAID: Final = 0.4
"""How far a column agrees whose title was not read."""
FOREIGN: Final = 1.2
"""What a field counts against a form that has it not or elsewhere, in the units of one sure ruling."""
NAMED: Final = 0.9
"""A title that matches a wording so well names its field beyond doubt."""
OUTSIDE: Final = 0.5
"""What a side of the table may lose by stray writing before it counts, in the units of one sure ruling."""
LOST: Final = 4.0
"""A form that needs cuts worse by so much, in the units of one sure ruling, fits a third as well."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A form laid over a card: which of the card's cuts are its own, how far each column agrees, and how well
    all of it fits, 0 to 1.
    """

    form: LearntForm
    path: tuple[int, ...]
    agreed: tuple[float, ...]
    score: float

    def cutting(self, weighed: Weighed) -> Cutting:
        """Its cuts, and how they stand against all others of the card."""
        return cutting_of(weighed, self.path)

    def columns(self, cutting: Cutting, *, ruled: bool) -> list[Column]:
        """The card's columns, as the form names them."""
        spans = cutting.spans
        edges = [sure_of(s.left, ruled=ruled, outer=k == 0) for k, s in enumerate(spans)]
        edges.append(sure_of(spans[-1].right, ruled=ruled, outer=True))
        sure = [min(pair) for pair in pairwise(edges)]
        named = zip(spans, self.form.titles, self.form.fields, sure, strict=True)
        return [Column(s.left.at, s.right.at, title, field, p) for s, title, field, p in named]


@dataclass(frozen=True, slots=True)
class Said:
    """What stands over every column that a card may have, one entry for each: its two cuts, its words (as a
    place in `texts`), the field that they mean and how well, whether they were read, and what they gained.
    """

    left: Array
    right: Array
    texts: tuple[str, ...]
    text: Array
    field: Array
    score: Array
    worded: Array
    legible: Array
    gained: Array


def said_of(weighed: Weighed) -> Said:
    """Read off once what every form is then held to."""
    spans, cap = list(weighed.spans.values()), weighed.evidence.cap
    plainly = {s.words: plain(title_text(s.words, cap)) for s in spans}
    texts = tuple(sorted(set(plainly.values())))
    place = {text: n for n, text in enumerate(texts)}
    left, right = np.array(list(weighed.spans), np.int64).T
    return Said(
        left, right, texts,
        np.array([place[plainly[s.words]] for s in spans]),
        np.array([s.match.field for s in spans], np.object_),
        np.array([s.match.score for s in spans]),
        np.array([bool(s.words) for s in spans]),
        np.array([_legible(s) for s in spans]),
        np.array([title_gain(weighed.evidence, s) for s in spans]),
    )  # fmt: skip


def best_fit(weighed: Weighed, forms: Sequence[LearntForm], named: str = "") -> Fitted | None:
    """The form that fits best; None where none fits well enough, which for one that was named is less.

    Another than the one named is taken where that one fits badly and the other much better.
    """
    if not forms:
        return None
    said = said_of(weighed)
    own = next((fit(weighed, form, said) for form in forms if form.name == named), None)
    if own and own.score >= WELL:
        return own
    others = [fit(weighed, form, said) for form in forms if form.name != named]
    other = max((f for f in others if f and f.score >= FITS), key=lambda f: f.score, default=None)
    if own is None or (other and other.score > own.score + BETTER):
        return other
    return own if own.score >= (FITS_IF_NAMED if _speaks(weighed, own.form) else FITS_UNREAD) else other


def _speaks(weighed: Weighed, form: LearntForm) -> bool:
    """Whether a card's own titles are read well enough to contradict the form that it is said to have."""
    free = max(weighed.best.values())[1]
    named = sum(bool(weighed.spans[pair].match.field) for pair in pairwise(free))
    return named > TOLD * len(form.fields)


def fit(weighed: Weighed, form: LearntForm, said: Said | None = None) -> Fitted | None:
    """Lay a form over a card as well as it goes; None where there is no room for its columns."""
    said = said or said_of(weighed)
    agreed = _agreement(said, form)
    if agreed.max(axis=1).mean() < HOPELESS:
        return None
    gains = _gains(weighed, said, agreed)
    path = _best_path(weighed, gains)
    if path is None:
        return None
    at = np.array([cut.at for cut in weighed.cuts])
    share = np.maximum(at[None, :] - at[:, None], 1e-9) / (at[path[-1]] - at[path[0]])
    off = np.log(share)[None] - np.log(np.diff(form.edges))[:, None, None]
    path = _best_path(weighed, gains + WIDE * np.exp(-((off / WIDTHS_APART) ** 2))) or path
    path = _as_found(weighed, path)
    place = {pair: n for n, pair in enumerate(weighed.spans)}
    own = tuple(float(agreed[k, place[pair]]) for k, pair in enumerate(pairwise(path)))
    against = len(_foreign(weighed, form)) + _contradicted(weighed, path, own)
    lost = _unlike(weighed, path) + FOREIGN * against
    return Fitted(form, path, own, float(np.mean(own) * np.exp(-lost / LOST)))


def _as_found(weighed: Weighed, path: Sequence[int]) -> tuple[int, ...]:
    """The same cuts, each where the card's own best cuts have one in the same gap: a form says which gaps
    part its columns, the card where in a gap the cut lies best, and where its margins begin.
    """
    own, free = list(path), max(weighed.best.values())[1]
    for n, k in enumerate(path):
        fits = [f for f in free if _one_gap(weighed, f, k) and _has_room(weighed, own, n, f)]
        if k not in fits and fits:
            own[n] = min(fits, key=lambda f: abs(weighed.cuts[f].at - weighed.cuts[k].at))
    spans = without_empty(
        [weighed.spans[pair] for pair in pairwise(free)], weighed.evidence.cap, ruled=weighed.evidence.ruled
    )
    left, right = (weighed.cuts.index(cut) for cut in (spans[0].left, spans[-1].right))
    if left > own[0] and _has_room(weighed, own, 0, left):
        own[0] = left
    if right < own[-1] and _has_room(weighed, own, len(own) - 1, right):
        own[-1] = right
    return tuple(own)


def _has_room(weighed: Weighed, path: Sequence[int], n: int, cut: int) -> bool:
    """Whether the n-th of some cuts may lie on another place, its neighbours staying where they are."""
    before = n == 0 or (path[n - 1], cut) in weighed.spans
    return before and (n + 1 == len(path) or (cut, path[n + 1]) in weighed.spans)


def _one_gap(weighed: Weighed, a: int, b: int) -> bool:
    """Whether hardly anything is written between two cuts, and no title."""
    between = weighed.spans.get((min(a, b), max(a, b)))
    if between is None:
        return abs(weighed.cuts[a].at - weighed.cuts[b].at) < 2 * NARROWEST * weighed.evidence.cap
    return between.filled < NOTHING and not between.words


def _foreign(weighed: Weighed, form: LearntForm) -> set[str]:
    """The fields that the card's titles name beyond doubt and that the form has not."""
    free = max(weighed.best.values())[1]
    spans = [weighed.spans[pair] for pair in pairwise(free)]
    return {s.match.field for s in spans if s.match.score >= NAMED and s.match.field} - set(form.fields)


def _contradicted(weighed: Weighed, path: Sequence[int], agreed: Sequence[float]) -> int:
    """How many columns have a title that beyond doubt means something else than the form's."""
    meant = [weighed.spans[pair].match for pair in pairwise(path)]
    return sum(m.score >= NAMED and own < UNSAID for m, own in zip(meant, agreed, strict=True))


def _unlike(weighed: Weighed, path: Sequence[int]) -> float:
    """What speaks against some cuts, whatever stands over them: clear places that they pass over, places
    where nothing speaks for a cut, and writing left outside.
    """
    inner = weighed.gains.inner
    free = max(weighed.best.values())[1]
    passed = [k for k in free if path[0] < k < path[-1] and not any(_one_gap(weighed, k, p) for p in path)]
    made = [k for k in path[1:-1] if k not in free]
    outside = weighed.gains.left[path[0]], weighed.gains.right[path[-1]]
    return float(
        sum(max(0.0, inner[k]) for k in passed)
        + sum(max(0.0, -inner[k]) for k in made)
        + sum(max(0.0, -gain - OUTSIDE) for gain in outside)
    )


def _agreement(said: Said, form: LearntForm) -> Array:
    """How far each column of the form agrees with what stands over each that the card may have, 0 to 1."""
    titles = [plain(title) for title in form.titles]
    # worn letters part: 'MI LES'
    closed = [[t.replace(" ", "") for t in both] for both in (said.texts, titles)]
    alike = np.maximum(cdist(said.texts, titles, scorer=fuzz.ratio), cdist(*closed, scorer=fuzz.ratio)) / 100
    alike = alike[said.text].T
    out = np.where(alike >= LIKE, alike, np.where(said.legible, 0.0, UNSAID))
    for k, field in enumerate(form.fields):
        meant = REWORDED * said.score if field else np.full(len(said.score), 0.5)
        out[k] = np.maximum(out[k], np.where(said.field == field, meant, 0.0))
    return np.where(said.worded, out, UNSAID)


def _legible(span: Span) -> bool:
    """Whether the words over a column were read, so that they may contradict a form."""
    read = [w for w in span.words if sum(c.isalpha() for c in w.text) > 2 and w.confidence > READ]
    return bool(span.match.field) or bool(read)


def _gains(weighed: Weighed, said: Said, agreed: Array) -> Array:
    """What each of the form's columns gains between each two cuts."""
    out = np.repeat(weighed.gains.columns[None], len(agreed), axis=0)
    other = np.where(said.field != "", -OTHER, -UNTITLED)
    titled = np.where(
        said.worded & (agreed > UNSAID), TITLED * agreed**2, np.where(said.worded, other, -UNTITLED)
    )
    out[:, said.left, said.right] += titled - said.gained
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
