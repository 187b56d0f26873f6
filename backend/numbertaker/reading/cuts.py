"""Where one column ends and the next begins: one score for a whole set of cuts, and the best set.

Rulings, the gaps in the writing and the words of the header all speak for or against a cut; a column gains
by a title that means a field and loses by being empty. Dynamic programming over the candidates, left to
right, finds the best set for each number of columns (Bellman, 1957); the distance from the best to the best
with another number is part of how far the table is trusted.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from numbertaker.reading.geometry import Array
from numbertaker.reading.headings import Match, match_heading
from numbertaker.reading.marks import Box
from numbertaker.reading.rivals import NEVER, Gains, Rivals, hold_against, path_to
from numbertaker.reading.rulings import Ruling
from numbertaker.reading.titles import Word, title_text

MOST_COLUMNS: Final = 16
NARROWEST: Final = 1.3
"""The narrowest column, in heights of a capital."""
HARDLY: Final = 0.3
"""A column that means nothing and in which less than this share of the rows is written is partly empty."""


@dataclass(frozen=True, slots=True)
class Weights:
    """What speaks for and against a cut or a column, in the units of one sure ruling. Set while looking at
    the seen half of the bench's cards; `scripts/bench tables` measures them.
    """

    ruling: float = 1.0
    stray: float = 0.4  # the same where the rulings are those of no table: a crease, an edge
    unruled: float = -1.1  # a cut where a ruled table has no ruling
    gap: float = 0.9
    crossed: float = 3.0
    through_title: float = 0.8
    within_title: float = 0.55  # between words that stand as near as those of one title
    cut: float = 0.3
    titled: float = 1.3
    other_title: float = 0.2
    untitled: float = 0.9  # between two rulings
    untitled_open: float = 1.9
    empty: float = 2.4
    empty_titled: float = 0.35
    empty_open: float = 1.4  # without rulings, under a title that means a field
    passed: float = 1.2  # a ruling passed over
    outside: float = 2.0  # writing left out at the sides
    beyond: float = 0.5  # the same, where no title stands over it


W: Final = Weights()


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the cuts are weighed by.

    `runs` are the runs of writing of each row of the body, `fine` the same divided at every gap between
    letters, `header` the words over them, `rulings` the upright rulings of the table; `ruled` whether they
    are those of one table. Lengths in pixels of the flat picture.
    """

    runs: Sequence[Sequence[Box]]
    fine: Sequence[Sequence[Box]]
    header: Sequence[Word]
    rulings: Sequence[Ruling]
    ruled: bool
    cap: float
    width: int
    further: Mapping[str, Sequence[str]] | None = None


@dataclass(frozen=True, slots=True)
class Cut:
    """A place for a cut; `ruling` is the weight of the ruling there (0 for none), `crossed` the share of rows
    whose writing it goes through, `gap` the share of rows that have a clear gap there.
    """

    at: float
    ruling: float
    crossed: float
    gap: float


@dataclass(frozen=True, slots=True)
class Span:
    """One column between two cuts: its title, what that means, and the share of rows with writing in it."""

    left: Cut
    right: Cut
    words: tuple[Word, ...]
    match: Match
    filled: float


@dataclass(frozen=True, slots=True)
class Cutting:
    """The best set of cuts; `margin` is how much better it is than the best of another number, `rivals` than
    those that differ in one cut, `other` how clear a place for a cut there is that it has not.
    """

    spans: tuple[Span, ...]
    score: float
    margin: float
    rivals: Rivals
    other: float


@dataclass(frozen=True, slots=True)
class Weighed:
    """Every place for a cut and every column between two of them, with what each gains or loses."""

    evidence: Evidence
    cuts: tuple[Cut, ...]
    spans: Mapping[tuple[int, int], Span]
    gains: Gains
    best: Mapping[int, tuple[float, tuple[int, ...]]]
    """For each number of columns the best score, and the cuts that have it, left to right."""


def weigh(evidence: Evidence) -> Weighed | None:
    """Weigh all sets of cuts; None where there are not two columns of writing."""
    cuts = candidates(evidence)
    if len(cuts) < 3:
        return None
    spans = _spans(evidence, cuts)
    strong = [(r.at, r.weight) for r in evidence.rulings if r.weight >= 0.3]
    value = {
        key: _value(evidence, span, _passed(strong, span, 0.8 * evidence.cap)) for key, span in spans.items()
    }
    score, before = _table(evidence, cuts, value)
    ends = np.array([_outer(evidence, cut, right=True) for cut in cuts])
    whole = score[:, 1:] + ends[:, None]
    most = [(int(j), n) for n, j in enumerate(whole.argmax(axis=0), start=1)]
    best = {
        n: (float(whole[j, n - 1]), path_to(before, j, n)) for j, n in most if whole[j, n - 1] > NEVER / 2
    }
    return Weighed(evidence, tuple(cuts), spans, _gains(evidence, cuts, value, ends), best) if best else None


def best_cutting(evidence: Evidence, weighed: Weighed | None = None) -> Cutting | None:
    """The best columns; None where there are not two columns of writing."""
    weighed = weighed or weigh(evidence)
    if weighed is None:
        return None
    return cutting_of(weighed, max(weighed.best.values(), key=lambda found: found[0])[1])


def cutting_of(weighed: Weighed, path: Sequence[int]) -> Cutting:
    """Some cuts, left to right, and how they stand against all others."""
    evidence, cuts, gains = weighed.evidence, weighed.cuts, weighed.gains
    chosen = tuple(weighed.spans[a, b] for a, b in pairwise(path))
    score = float(gains.left[path[0]] + gains.inner[list(path[1:-1])].sum() + gains.right[path[-1]])
    score += float(sum(gains.columns[a, b] for a, b in pairwise(path)))
    others = max((value for n, (value, _) in weighed.best.items() if n != len(chosen)), default=NEVER)
    near = 0.8 * evidence.cap
    apart = [k for k in range(path[0], path[-1]) if min(abs(cuts[k].at - cuts[p].at) for p in path) > near]
    clear = [max(cuts[k].ruling * evidence.ruled, cuts[k].gap - 3 * cuts[k].crossed) for k in apart]
    against = hold_against(gains, path[1:-1], apart)
    return Cutting(chosen, score, score - others, against, max(clear, default=0.0))


def _gains(
    evidence: Evidence, cuts: Sequence[Cut], value: Mapping[tuple[int, int], float], right: Array
) -> Gains:
    """What each cut gains as a side and within the table, and each column between two of them."""
    columns = np.full((len(cuts), len(cuts)), NEVER)
    for (i, j), gain in value.items():
        columns[i, j] = gain
    left = np.array([_outer(evidence, cut, right=False) for cut in cuts])
    return Gains(left, right, np.array([_inner(evidence, cut) for cut in cuts]), columns)


def candidates(evidence: Evidence) -> list[Cut]:
    """Rulings; the clearest place of each gap; and the sides of all writing."""
    cap, width = evidence.cap, evidence.width
    cover, rows = _cover(evidence.runs, width), max(1, len(evidence.runs))
    fine = _cover(evidence.fine, width)
    places: list[tuple[float, float]] = [(r.at, r.weight) for r in evidence.rulings if r.weight >= 0.12]
    for at in (*_gaps(evidence, cover), *_sides(evidence)):
        if all(abs(at - other) > 0.8 * cap for other, _ in places):
            places.append((at, 0.0))
    reach = max(1, int(0.12 * cap))
    out = []
    for at, weight in sorted(places):
        written = fine if weight and evidence.ruled else cover
        near = written[max(0, int(at) - reach) : min(width, int(at) + reach + 1)]
        crossed = float(near.min(initial=rows)) / rows if len(near) else 0.0
        out.append(Cut(at, weight, crossed, _clear(evidence, at)))
    return out


def _cover(runs: Sequence[Sequence[Box]], width: int) -> Array:
    """For each x the number of rows whose writing covers it."""
    cover = np.zeros(width + 1, np.int32)
    for row in runs:
        for b in row:
            cover[max(0, int(b.left)) : min(width, int(b.right)) + 1] += 1
    return cover


def _gaps(evidence: Evidence, cover: Array) -> list[float]:
    """The clearest place of each stretch that few rows cross, words of the header counting with them."""
    rows, cap = max(1, len(evidence.runs)), evidence.cap
    low = cover <= max(0.34 * rows, 1.0 if rows > 3 else 0.0)
    mixed = cover.astype(np.float64)
    for w in evidence.header:
        mixed[max(0, int(w.box.left)) : max(0, int(w.box.right)) + 1] += 0.3 * rows
    edges = np.flatnonzero(np.diff(np.concatenate([[0], low.astype(np.int8), [0]])))
    found: list[float] = []
    for a, b in zip(edges[::2], edges[1::2], strict=True):
        if b - a >= 0.4 * cap:
            found += _clearest(mixed[a:b], float(a), cap)
    return found


def _clearest(stretch: Array, start: float, cap: float) -> list[float]:
    """Middles of the plateaus of least cover within a stretch, clearest first, not too near one another."""
    out: list[float] = []
    left = stretch.copy()
    for _ in range(4):
        least = left.min()
        if not np.isfinite(least):
            break
        low = np.flatnonzero(left <= least + 0.25)
        breaks = np.flatnonzero(np.diff(low) > 1)
        starts, ends = np.concatenate([[0], breaks + 1]), np.concatenate([breaks, [len(low) - 1]])
        k = int(np.argmax(low[ends] - low[starts]))
        a, b = int(low[starts[k]]), int(low[ends[k]])
        out.append(start + (a + b) / 2)
        left[max(0, a - int(cap)) : b + int(cap) + 1] = np.inf
    return out


def _sides(evidence: Evidence) -> tuple[float, float]:
    """A little outside of where the writing begins and ends, stray words left out of account."""
    starts = sorted(row[0].left for row in evidence.runs if row)
    ends = sorted(row[-1].right for row in evidence.runs if row)
    starts += [w.box.left for w in evidence.header]
    ends += [w.box.right for w in evidence.header]
    room = 0.6 * evidence.cap
    if not starts:
        return 1.0, float(evidence.width - 1)
    return max(1.0, min(starts) - room), min(evidence.width - 1.0, max(ends) + room)


def _clear(evidence: Evidence, at: float) -> float:
    """Of the rows with writing on both sides of a place, the share that has a clear gap there."""
    both, clear = 0, 0.0
    for row in evidence.runs:
        left = max((b.right for b in row if b.middle < at), default=None)
        right = min((b.left for b in row if b.middle >= at), default=None)
        if left is None or right is None:
            continue
        both += 1
        clear += float(np.clip(((right - left) / evidence.cap - 0.8) / 0.9, 0, 1))
    return clear / both if both else 0.0


def _spans(evidence: Evidence, cuts: Sequence[Cut]) -> dict[tuple[int, int], Span]:
    """Every possible column."""
    filled = _filled(evidence, cuts)
    out = {}
    for i, left in enumerate(cuts):
        for j in range(i + 1, len(cuts)):
            right = cuts[j]
            if right.at - left.at < NARROWEST * evidence.cap:
                continue
            words = tuple(w for w in evidence.header if left.at <= w.box.middle < right.at)
            if len(words) > 7:
                break
            match = match_heading(title_text(words, evidence.cap), evidence.further)
            out[i, j] = Span(left, right, words, match, float(filled[i, j]))
    return out


def _filled(evidence: Evidence, cuts: Sequence[Cut]) -> Array:
    """For each two cuts the share of the written rows that have the middle of a run between them."""
    at = np.array([cut.at for cut in cuts])
    rows = [np.sort([b.middle for b in row]) for row in evidence.runs if row]
    up_to = np.array([np.searchsorted(m, at, side="right") for m in rows]).reshape(len(rows), len(cuts))
    before = np.array([np.searchsorted(m, at, side="left") for m in rows]).reshape(len(rows), len(cuts))
    count = (before[:, None, :] > up_to[:, :, None]).sum(axis=0)
    return np.asarray(count / max(1, len(rows)))


def _passed(strong: Sequence[tuple[float, float]], span: Span, near: float) -> float:
    """The weight of the rulings within a column: `strong` are their places and weights."""
    return sum(weight for at, weight in strong if span.left.at + near < at < span.right.at - near)


def _value(evidence: Evidence, span: Span, passed: float) -> float:
    """What a column gains or loses by its title, its writing and the rulings within it."""
    out = title_gain(evidence, span) - W.passed * passed * (1 if evidence.ruled else 0.3)
    out -= _empty(evidence, span)
    out -= W.through_title * sum(
        b.box.left + 0.2 * evidence.cap < span.right.at < b.box.right - 0.2 * evidence.cap for b in span.words
    )
    return out


def title_gain(evidence: Evidence, span: Span) -> float:
    """What a column gains or loses by its title."""
    if span.match.field:
        return W.titled * span.match.score**2
    if any(sum(c.isalpha() for c in w.text) > 1 for w in span.words):
        return -W.other_title
    if not evidence.header:
        return 0.0
    between = evidence.ruled and min(span.left.ruling, span.right.ruling) > 0.5
    return -(W.untitled if between else W.untitled_open)


def _empty(evidence: Evidence, span: Span) -> float:
    """What a column loses by having nothing written in it; a part of that where it means nothing and hardly
    anything is. Without rulings the one gap in the writing would else pay for both cuts.
    """
    if span.filled >= HARDLY:
        return 0.0
    ruled = evidence.ruled and min(span.left.ruling, span.right.ruling) > 0.5
    if span.filled > 0:
        return 0.0 if ruled or span.match.field else W.empty * (1 - span.filled / HARDLY)
    if ruled:
        return W.empty_titled if span.words else W.empty
    return W.empty_open if span.match.field else W.empty


def _inner(evidence: Evidence, cut: Cut) -> float:
    """What a cut between two columns gains or loses by itself."""
    hidden = 1 - 0.6 * cut.ruling if evidence.ruled else 1.0
    ruling = W.ruling if evidence.ruled else W.stray
    out = ruling * cut.ruling + W.gap * cut.gap * hidden - W.crossed * cut.crossed - W.cut
    if evidence.ruled:
        out += W.unruled * (1 - min(1.0, 1.5 * cut.ruling))
    else:
        out -= W.within_title * _within_title(evidence, cut.at)
    return out - W.through_title * sum(
        w.box.left + 0.2 * evidence.cap < cut.at < w.box.right - 0.2 * evidence.cap for w in evidence.header
    )


def _within_title(evidence: Evidence, at: float) -> float:
    """1 where a place stands between two words as near as those of one title, 0 where they stand apart."""
    cap = evidence.cap
    left = max((w.box for w in evidence.header if w.box.middle < at), key=lambda b: b.right, default=None)
    right = min((w.box for w in evidence.header if w.box.middle >= at), key=lambda b: b.left, default=None)
    if left is None or right is None or abs(left.level - right.level) > 0.6 * cap:
        return 0.0
    return float(np.clip((1.3 - (right.left - left.right) / cap) / 0.7, 0, 1))


def _outer(evidence: Evidence, cut: Cut, *, right: bool) -> float:
    """What a cut gains or loses as the side of the table: a ruling there, and the writing left outside."""
    rows, header = max(1, len(evidence.runs)), evidence.header
    edge = (
        max((w.box.right for w in header), default=0.0)
        if right
        else min((w.box.left for w in header), default=0.0)
    )
    under = beyond = 0
    for row in evidence.runs:
        out = [b for b in row if (b.middle > cut.at) == right]
        titled = any((b.left < edge) if right else (b.right > edge) for b in out)
        under += bool(out) and (titled or not header)
        beyond += bool(out) and not titled and bool(header)
    outside = W.outside * under / rows + W.beyond * beyond / rows
    outside += W.outside * sum((w.box.middle > cut.at) == right for w in header)
    ruled = (cut.ruling - 0.5) if evidence.ruled else 0.0
    return ruled - outside - W.crossed * 0.5 * cut.crossed


def _table(
    evidence: Evidence, cuts: Sequence[Cut], value: Mapping[tuple[int, int], float]
) -> tuple[Array, Array]:
    """Best score of a table from its left side to each cut, by the number of columns; and the cut before."""
    count = len(cuts)
    score = np.full((count, MOST_COLUMNS + 1), -1e9)
    before = np.full((count, MOST_COLUMNS + 1), -1, np.int32)
    score[:, 0] = [_outer(evidence, cut, right=False) for cut in cuts]
    inner = np.array([_inner(evidence, cut) for cut in cuts])
    for j in range(count):
        for i in range(j):
            if (i, j) not in value:
                continue
            gain = np.full(MOST_COLUMNS, inner[i])
            gain[0] = 0.0  # the left side has been paid for
            trial = score[i, :MOST_COLUMNS] + gain + value[i, j]
            better = trial > score[j, 1:]
            score[j, 1:][better] = trial[better]
            before[j, 1:][better] = i
    return score, before
