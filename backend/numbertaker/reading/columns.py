"""The columns of a table, out of the best set of cuts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from numbertaker.reading.cuts import Cut, Cutting, Span
from numbertaker.reading.headings import match_heading
from numbertaker.reading.marks import Box
from numbertaker.reading.titles import Word, title_text

UNCROSSED: Final = 0.97
TICKED: Final = 0.85
"""A margin has ticks in fewer rows than this."""
NEAR: Final = 1.2
"""A word over several columns stands at most so far from the middle of each, in widths of it."""
TICK, STRIP = 1.7, 0.8
"""A tick in the margin is narrower than the one, and the strip beside it wider than the other, in heights of
a capital.
"""
OF_SEVERAL: Final = frozenset({"date", "dates", "miles", "mileage"})
"""Words that stand over several columns (common practice, no source)."""
EVENTS, SHORT = frozenset({"fitted", "removed"}), 3
"""So do these, over titles that are longer than 'to' or 'at'."""
IDLE: Final = 0.15
"""A column in which less than this share of the rows is written may be none."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column from `left` to `right`; `sure` is the probability-like evidence for its edges, 0 to 1."""

    left: float
    right: float
    title: str
    field: str
    sure: float


def columns_of(
    cutting: Cutting,
    cap: float,
    *,
    ruled: bool,
    over: Sequence[Word] = (),
    further: Mapping[str, Sequence[str]] | None = None,
) -> list[Column]:
    """The columns; where two titles mean one field, the worse keeps its printed words only.

    A title that means nothing by itself is asked again with the word that stands over it and its neighbours:
    'MILES' over 'Run' and 'To date'.
    """
    spans = [
        span if span.match.field else _under(span, over, cap, further)
        for span in (_by_last_line(s, cap, further) for s in without_empty(cutting.spans, cap, ruled=ruled))
    ]
    edges = [sure_of(s.left, ruled=ruled, outer=i == 0) for i, s in enumerate(spans)]
    edges.append(sure_of(spans[-1].right, ruled=ruled, outer=True))
    columns = [
        Column(s.left.at, s.right.at, title_text(s.words, cap), s.match.field, min(edges[i], edges[i + 1]))
        for i, s in enumerate(spans)
    ]
    return _unrepeated(columns, spans)


def _under(span: Span, over: Sequence[Word], cap: float, further: Mapping[str, Sequence[str]] | None) -> Span:
    """A column with what it means under the nearest word over several columns, if it means anything so."""
    near = [w for w in over if abs(w.box.middle - (span.left.at + span.right.at) / 2) < NEAR * _wide(span)]
    if not near or not span.words:
        return span
    word = min(near, key=lambda w: abs(w.box.middle - (span.left.at + span.right.at) / 2))
    return replace(span, match=match_heading(f"{word.text} {title_text(span.words, cap)}", further))


def _by_last_line(span: Span, cap: float, further: Mapping[str, Sequence[str]] | None) -> Span:
    """A column with what the last line of its title means, if it means more than the whole: the word over it
    is one of several columns, and happens to stand right over this one ('DATE' over 'To').
    """
    if not span.words:
        return span
    lowest = max(w.box.level for w in span.words)
    last = [w for w in span.words if w.box.level > lowest - 0.6 * cap]
    over = [w.text.strip(" .").lower() for w in span.words if w not in last]
    title = title_text(last, cap)
    if not over or not set(over) <= (OF_SEVERAL | EVENTS if len(title) > SHORT else OF_SEVERAL):
        return span
    match = match_heading(title, further)
    return replace(span, match=match) if match.score > span.match.score else span


def _wide(span: Span) -> float:
    return span.right.at - span.left.at


def without_empty(spans: Sequence[Span], cap: float, *, ruled: bool = False) -> tuple[Span, ...]:
    """Leave out columns in which hardly anything is written and whose title means nothing.

    At the sides of a table they are its margins; within it a title's second word, or a crease beside a
    ruling: there
    they go to the neighbour whose title does not lose by it.
    """
    kept = list(spans)
    while len(kept) > 2 and _margin(kept[0], open_=ruled and _open(kept[0].left, kept[0].right)):
        kept.pop(0)
    while len(kept) > 2 and _margin(kept[-1], open_=ruled and _open(kept[-1].right, kept[-1].left)):
        kept.pop()
    k = 1
    while k < len(kept) - 1:
        if _idle(kept[k]) or _said_twice(kept, k):
            for a, b in ((k - 1, k), (k, k + 1)):
                both = _merged(kept[a], kept[b], cap)
                if _loses_nothing(both, kept[a] if b == k else kept[b], kept[k]):
                    kept[a : b + 1] = [both]
                    k -= 1
                    break
        k += 1
    return tuple(kept)


def _open(outer: Cut, inner: Cut) -> bool:
    """Whether a ruled table's outermost column has a ruling on its inner side alone."""
    return outer.ruling < 0.1 and inner.ruling > 0.6


def _margin(span: Span, *, open_: bool) -> bool:
    """Whether the first or last column is the card's margin: no title, and ticks or specks in some rows, or
    no ruling at its outer side.
    """
    titled = any(sum(c.isalpha() for c in w.text) > 1 for w in span.words)
    return _idle(span) or (not titled and not span.match.field and (span.filled < TICKED or open_))


def _idle(span: Span) -> bool:
    return not span.match.field and span.filled < IDLE


def _loses_nothing(both: Span, neighbour: Span, empty: Span) -> bool:
    """Whether a column with the title of an empty one added still means what it meant."""
    if empty.match.field and neighbour.match.field:
        return both.match.field == neighbour.match.field
    return both.match.score >= max(neighbour.match.score, empty.match.score) - 0.02


def _said_twice(spans: Sequence[Span], k: int) -> bool:
    """Whether nothing is written in a column and another has its field: 'put in' beside 'Boiler'."""
    field = spans[k].match.field
    others = (s for i, s in enumerate(spans) if i != k and s.match.field == field)
    return spans[k].filled == 0 and any(s.match.score >= spans[k].match.score for s in others)


def _merged(a: Span, b: Span, cap: float) -> Span:
    words = (*a.words, *b.words)
    match = match_heading(title_text(words, cap))
    best = max((match, a.match, b.match), key=lambda m: m.score) if not a.words or not b.words else match
    return Span(a.left, b.right, words, best, max(a.filled, b.filled))


def without_ticks(
    columns: Sequence[Column], runs: Sequence[Sequence[Box]], words: Sequence[Word], cap: float
) -> list[Column]:
    """The columns, those at the sides without the ticks that somebody made in the margin: narrow marks with
    a clear strip between them and the writing, outside of all titles.
    """
    out = list(columns)
    first, last = out[0], out[-1]
    titles = [w.box for w in words if sum(c.isalpha() for c in w.text) > 1]
    left, right = (min(b.left for b in titles), max(b.right for b in titles)) if titles else (0.0, 0.0)
    own = [[b for b in row if first.left < b.middle < min(first.right, left)] for row in runs]
    place = _beside_ticks([(b.left, b.right) for row in own for b in row], first.left, left, cap)
    if place is not None:
        out[0] = replace(first, left=place)
    own = [[b for b in row if max(last.left, right) < b.middle < last.right] for row in runs]
    place = _beside_ticks([(-b.right, -b.left) for row in own for b in row], -last.right, -right, cap)
    if place is not None:
        out[-1] = replace(out[-1], right=-place)
    return out


def _beside_ticks(
    runs: Sequence[tuple[float, float]], side: float, titled: float, cap: float
) -> float | None:
    """Where a margin with ticks in it ends; None where there are no ticks, or no clear strip beside them.

    `runs` are from where to where the writing goes that begins before the titles do.
    """
    ticks = [run for run in runs if run[1] - run[0] < TICK * cap and run[1] < titled - STRIP * cap]
    if len(ticks) < 2:
        return None
    end = max(b for _, b in ticks)
    others = [a for a, b in runs if (a, b) not in ticks]
    begin = min([titled, *others])
    return (end + begin) / 2 if begin - end > STRIP * cap and end > side else None


def sure_of(cut: Cut, *, ruled: bool, outer: bool) -> float:
    """How far a cut is trusted: by its ruling, or by the gap that it stands in."""
    if outer:
        return UNCROSSED - 0.3 * min(1.0, cut.crossed)
    seen = max(cut.ruling, 0.0 if ruled else cut.gap * 0.95)
    return float(np.clip(0.55 + 0.44 * seen - (0.35 if ruled else 0.9) * cut.crossed, 0.05, 0.99))


def _unrepeated(columns: Sequence[Column], spans: Sequence[Span]) -> list[Column]:
    best: dict[str, int] = {}
    for k, span in enumerate(spans):
        name = span.match.field
        if name and (name not in best or span.match.score > spans[best[name]].match.score):
            best[name] = k
    return [c if not c.field or best[c.field] == k else replace(c, field="") for k, c in enumerate(columns)]
