"""The words over a table's columns: which rows of writing are its header, and how their words make titles."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from numbertaker.reading.headings import match_heading
from numbertaker.reading.marks import Box
from numbertaker.reading.rulings import Ruling

RULED = 0.3
"""A ruling of at least this weight divides words."""


@dataclass(frozen=True, slots=True)
class Word:
    """A printed or written word on the flat picture, as read."""

    box: Box
    text: str
    confidence: float


def joined(boxes: Sequence[Box]) -> Box:
    """The box round some boxes (at least one)."""
    return Box(
        min(b.left for b in boxes),
        min(b.top for b in boxes),
        max(b.right for b in boxes),
        max(b.bottom for b in boxes),
    )


def title_text(words: Sequence[Word], cap: float) -> str:
    """Words of one title in the order of reading: line by line, left to right."""
    lines: list[list[Word]] = []
    for word in sorted(words, key=lambda w: w.box.level):
        near = min(0.8 * cap, 0.7 * max(word.box.height, lines[-1][0].box.height)) if lines else 0.0
        if lines and word.box.level - lines[-1][0].box.level < near:
            lines[-1].append(word)
        else:
            lines.append([word])
    return " ".join(w.text for line in lines for w in sorted(line, key=lambda w: w.box.left))


def divided(a: float, b: float, rulings: Sequence[Ruling], level: float) -> bool:
    """Whether a ruling stands between two places at a height."""
    return any(a < r.at < b and r.weight >= RULED and r.start - 8 < level < r.end + 8 for r in rulings)


def named_by(
    words: Sequence[Word],
    rulings: Sequence[Ruling],
    cap: float,
    further: Mapping[str, Sequence[str]] | None = None,
) -> frozenset[str]:
    """The fields that one row of words names, neighbouring words joined so that most of them do."""
    best: list[tuple[float, frozenset[str]]] = [(0.0, frozenset())]
    for end in range(1, len(words) + 1):
        options = []
        for start in range(max(0, end - 4), end):
            group = words[start:end]
            if any(not _may_join(a, b, rulings, cap) for a, b in pairwise(group)):
                continue
            match = match_heading(" ".join(w.text for w in group), further)
            value = match.score**2 - 0.25 if match.field else -0.3
            gaps = sum(max(0.0, b.box.left - a.box.right) for a, b in pairwise(group))
            fields = best[start][1] | ({match.field} if match.field else set())
            options.append((best[start][0] + value - 0.02 * gaps / cap, fields))
        best.append(max(options, key=lambda o: (o[0], len(o[1]))))
    return best[-1][1]


def _may_join(a: Word, b: Word, rulings: Sequence[Ruling], cap: float) -> bool:
    if b.box.left - a.box.right > 3.2 * cap:
        return False
    return not divided(a.box.right - 2, b.box.left + 2, rulings, a.box.level)
