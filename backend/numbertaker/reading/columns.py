"""The columns of a table: from its header's words, its upright rulings and the gaps in its writing.

The header says how many columns there are and about where; a ruling, or the gap that fewest words of the
body cross, says where one ends. Each cut keeps the evidence for it as a score, since a
wrong cut makes confident nonsense of two cells.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from numbertaker.reading.geometry import Array
from numbertaker.reading.headings import NO_MATCH, Match, match_heading
from numbertaker.reading.marks import Box
from numbertaker.reading.rulings import Ruling

RULED: Final = 0.3
"""A ruling of at least this weight divides words."""


@dataclass(frozen=True, slots=True)
class Word:
    """A printed or written word on the flat picture, as read."""

    box: Box
    text: str
    confidence: float


@dataclass(frozen=True, slots=True)
class Title:
    """What stands over one column: its words, their box, and the field that they mean."""

    box: Box
    text: str
    match: Match


@dataclass(frozen=True, slots=True)
class Column:
    """A column from `left` to `right`; `sure` is the probability-like evidence for its edges, 0 to 1."""

    left: float
    right: float
    title: str
    field: str
    sure: float


def joined(boxes: Sequence[Box]) -> Box:
    return Box(
        min(b.left for b in boxes),
        min(b.top for b in boxes),
        max(b.right for b in boxes),
        max(b.bottom for b in boxes),
    )


def divided(a: float, b: float, rulings: Sequence[Ruling], level: float) -> bool:
    """Whether a ruling stands between two places at a height."""
    return any(a < r.at < b and r.weight >= RULED and r.start - 8 < level < r.end + 8 for r in rulings)


def group_titles(
    words: Sequence[Word],
    rulings: Sequence[Ruling],
    cap: float,
    further: Mapping[str, Sequence[str]] | None = None,
) -> list[Title]:
    """Join the words of a header to titles so that most titles mean a field ('TOTAL' + 'MILES')."""
    best: list[tuple[float, list[Title]]] = [(0.0, [])]
    for end in range(1, len(words) + 1):
        options = []
        for start in range(max(0, end - 4), end):
            group = words[start:end]
            if any(not _may_join(a, b, rulings, cap) for a, b in pairwise(group)):
                continue
            title = _title(group, further)
            value = title.match.score**2 - 0.25 if title.match.field else -0.3
            gaps = sum(max(0.0, b.box.left - a.box.right) for a, b in pairwise(group))
            options.append((best[start][0] + value - 0.02 * gaps / cap, [*best[start][1], title]))
        best.append(max(options, key=lambda o: o[0]))
    return best[-1][1]


def _may_join(a: Word, b: Word, rulings: Sequence[Ruling], cap: float) -> bool:
    if b.box.left - a.box.right > 3.2 * cap:
        return False
    return not divided(a.box.right - 2, b.box.left + 2, rulings, a.box.level)


def _title(group: Sequence[Word], further: Mapping[str, Sequence[str]] | None) -> Title:
    text = " ".join(w.text for w in group)
    return Title(joined([w.box for w in group]), text, match_heading(text, further))


def named_fields(titles: Sequence[Title]) -> int:
    """How many different fields a header names."""
    return len({t.match.field for t in titles if t.match.field})


def unrepeated(titles: Sequence[Title]) -> list[Title]:
    """Where two titles mean one field, the worse one keeps its printed words only."""
    best: dict[str, float] = {}
    for t in titles:
        best[t.match.field] = max(best.get(t.match.field, 0.0), t.match.score)
    out: list[Title] = []
    for t in titles:
        if t.match.field and t.match.score == best[t.match.field]:
            best[t.match.field] = 2.0
            out.append(t)
        else:
            out.append(Title(t.box, t.text, NO_MATCH))
    return out


def find_columns(
    titles: Sequence[Title], rulings: Sequence[Ruling], covers: tuple[Array, Array], rows: int, cap: float,
    *, ruled: bool = False,
) -> list[Column]:  # fmt: skip
    """Cut between the titles. `covers` count, for each x, the rows that have words over it, and phrases.

    A gap is looked for between words; a ruling must not stand within phrases ('Nov | 1909'). `ruled` says
    that the
    rulings are those of one table, so that the outer ones bound it whatever is written beyond them.
    """
    cover = covers[0]
    top = joined([t.box for t in titles])
    near = [r for r in rulings if r.end > top.top and r.weight >= RULED]
    edges: list[tuple[float, float]] = [_left_edge(titles[0], near, cover, cap, ruled)]
    names: list[Title] = []
    for a, b in pairwise(titles):
        between = _cuts_between(a, b, near, covers, rows=rows, cap=cap)
        names += [a, *(_unnamed(x, a) for x in between[1:])]
        edges += between
    names.append(titles[-1])
    edges.append(_right_edge(titles[-1], near, cover, cap, ruled))
    return [
        Column(left[0], right[0], t.text, t.match.field, min(left[1], right[1]))
        for left, right, t in zip(edges, edges[1:], names, strict=False)
    ]


def _unnamed(edge: tuple[float, float], beside: Title) -> Title:
    return Title(Box(edge[0], beside.box.top, edge[0], beside.box.bottom), "", NO_MATCH)


def _cuts_between(
    a: Title, b: Title, near: Sequence[Ruling], covers: tuple[Array, Array], *, rows: int, cap: float
) -> list[tuple[float, float]]:
    """The cut between two titles; two cuts where two rulings enclose a column that has lost its title."""
    cover, phrases = covers
    inside = [r for r in near if a.box.right - 0.4 * cap < r.at < b.box.left + 0.4 * cap]
    # writing stands over a ruling here and there, but not in every third row
    inside = [r for r in inside if _crossed(phrases, r.at, cap) <= 0.34 * max(1, rows)]
    if len(inside) >= 2 and inside[-1].at - inside[0].at > 3 * cap:
        between = cover[int(inside[0].at + cap) : int(inside[-1].at - cap)]
        if len(between) and between.max() >= 0.3 * max(1, rows):
            return [(inside[0].at, 0.6), (inside[-1].at, 0.6)]
    if inside:
        best = max(inside, key=lambda r: r.weight - 1.5 * _crossed(cover, r.at, cap) / max(1, rows))
        crossed = _crossed(cover, best.at, cap) / max(1, rows)
        return [(best.at, float(np.clip(0.75 + 0.25 * best.weight - 0.8 * crossed, 0.05, 1)))]
    return [_gap_between(a, b, cover, rows, cap)]


def _crossed(cover: Array, at: float, cap: float) -> float:
    """Rows whose writing covers a place, looked at with a little tolerance."""
    r = max(1, int(0.15 * cap))
    return float(cover[max(0, int(at) - r) : int(at) + r + 1].min())


def _gap_between(a: Title, b: Title, cover: Array, rows: int, cap: float) -> tuple[float, float]:
    """The middle of the widest stretch that the fewest rows cross."""
    left, right = int(a.box.middle), int(b.box.middle)
    stretch = cover[left : right + 1].astype(np.float64).copy()
    for box in (a.box, b.box):
        stretch[max(0, int(box.left) - left) : max(0, int(box.right) - left)] += 0.34 * rows
    least = stretch.min()
    low = np.flatnonzero(stretch <= least + 0.5)
    breaks = np.flatnonzero(np.diff(low) > 1)
    starts, ends = np.concatenate([[0], breaks + 1]), np.concatenate([breaks, [len(low) - 1]])
    k = int(np.argmax(low[ends] - low[starts]))
    wide = float(low[ends[k]] - low[starts[k]] + 1)
    sure = np.clip(wide / cap, 0.1, 1.5) / 1.5 * 0.4 + 0.6 - 1.2 * least / max(1, rows)
    return left + float(low[starts[k]] + low[ends[k]]) / 2, float(np.clip(sure, 0.05, 1))


def _left_edge(
    first: Title, near: Sequence[Ruling], cover: Array, cap: float, ruled: bool
) -> tuple[float, float]:
    """The nearest ruling left of the first title, else where the body's writing under it begins."""
    at = [r.at for r in near if first.box.left - 9 * cap < r.at < first.box.left + 0.3 * cap]
    at = [x for x in at if ruled or cover[max(0, int(x - 4 * cap)) : int(x)].max(initial=0) <= 1]
    if at:
        return max(at), 1.0
    x = int(first.box.left)
    while x > 0 and cover[max(0, x - int(1.5 * cap)) : x].any():
        x -= 1
    return max(0.0, x - 0.6 * cap), 0.95


def _right_edge(
    last: Title, near: Sequence[Ruling], cover: Array, cap: float, ruled: bool
) -> tuple[float, float]:
    """The first ruling right of the last title with no writing beyond it, else the picture's edge."""
    at = [r.at for r in near if r.at > last.box.right - 0.3 * cap]
    at = [x for x in at if ruled or cover[int(x) + 1 : int(x + 4 * cap)].max(initial=0) <= 1]
    return (min(at), 1.0) if at else (float(len(cover)), 0.95)
