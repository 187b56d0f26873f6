"""What is written of one fitment's miles, weighed by itself: papers, what was copied from them, and time.

Each original is one witness. A copy was made from the paper, not from our reading of it: one that says the
same shows no more than that the paper was read rightly, one that says otherwise that one of the two was not,
and one whose paper is lost speaks for it. A copy of a copy says nothing where the first copy is there.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from numbertaker.reconciling.entries import Draft, Entry, FigureClaim, Stay
from numbertaker.reconciling.miles.rates import Expected, expected
from numbertaker.reconciling.miles.slips import BY_CHANCE, Slips

_IN_TYPING: Final = 0.25
"""Which part of wrong figures that nobody read from a scan was mistyped; the rest stands so on the paper."""
_ODD: Final = 1.5
_ALIKE_WRONG: Final = 0.03
"""How likely two wrong figures are the same, or (below) one slip apart: few digits are taken for both."""
_APART_WRONG: Final = 0.003
_LOST_SLIP: Final = 0.03


@dataclass(frozen=True, slots=True)
class Paper:
    """One original: the figure read on it, None where it is lost or blank, and its slip; its copies' too.

    `read` is the part of the slip that lies in our reading, and so not in what others copied.
    """

    value: int | None
    slip: float
    copies: tuple[tuple[int, float], ...] = ()
    read: float = _IN_TYPING

    @property
    def figures(self) -> tuple[int, ...]:
        """Every figure that rests on this paper."""
        return (*(() if self.value is None else (self.value,)), *(value for value, _ in self.copies))

    def given(self, true: int, slips: Slips) -> float:
        """The probability of everything read on it and copied from it, if so many miles were run."""
        if not self.copies:
            return _told(true, self.value, self.slip, slips)
        part = self.slip * self.read
        whole = 0.0
        for stood in {true, *self.figures}:
            told = _told(true, stood, self.slip - part, slips) * _told(stood, self.value, part, slips)
            for value, slip in self.copies:
                told *= _told(stood, value, slip, slips)
            whole += told
        return whole

    @property
    def none_right(self) -> float:
        """The probability that none of its figures is right, each being some slip of what is."""
        if not self.copies:
            return self.slip
        written, read = self.slip * (1 - self.read), self.slip * self.read
        apart = together = 1.0
        for value, slip in self.copies:
            apart *= slip if value != self.value else 1.0
            together *= slip * _ALIKE_WRONG
        return written * apart + read * together


def _told(true: int, figure: int | None, slip: float, slips: Slips) -> float:
    if figure is None:
        return 1.0
    return 1 - slip if figure == true else slip * slips.share(true, figure)


@dataclass(slots=True)
class Weighed:
    """The miles of one fitment by what is written of it: the shares of the figures, and of none of them."""

    slips: Slips
    papers: tuple[Paper, ...]
    run: Expected
    shares: dict[int, float] = field(default_factory=dict)
    none: float = 1.0
    _whole: float = 1.0

    def at(self, miles: int) -> float:
        """The share of a figure that need not be written anywhere, on the scale of `shares`."""
        if miles <= 0:
            return 0.0
        weight = self.run.density(miles)
        for paper in self.papers:
            weight *= paper.given(miles, self.slips)
        return weight / self._whole

    def settle(self) -> Weighed:
        """Weigh every figure that is written, every one that lies a slip from two of them, and the rest."""
        written = sorted({value for paper in self.papers for value in paper.figures})
        if not written:
            return self
        found = {value: self.at(value) for value in (*written, *_crossed(written, self.slips))}
        none = self._none_of(written)
        self._whole = whole = none + sum(found.values())
        if whole <= 0:
            self.shares, self.none, self._whole = dict.fromkeys(found, 0.5 / len(found)), 0.5, 1.0
            return self
        self.shares = {value: weight / whole for value, weight in found.items()}
        self.none = none / whole
        return self

    def _none_of(self, written: list[int]) -> float:
        """That all are wrong: where a figure is far from what its time lets expect, its neighbours count."""
        wrong = 1.0
        for paper in self.papers:
            wrong *= paper.none_right
        wrong *= (_ALIKE_WRONG if len(written) == 1 else _APART_WRONG) ** (len(self.papers) - 1)
        near = max(self.run.density(value) for value in written)
        if all(abs(self.run.off(value)) > _ODD for value in written):
            near = max(near, sum(_around(value, self.run, self.slips) for value in written) / len(written))
        return wrong * (near + 0.06 * BY_CHANCE)


def _around(written: int, run: Expected, slips: Slips) -> float:
    """The density of the true miles among the figures that one digit makes of what is written."""
    text = str(written)
    whole = 0.0
    for k, digit in enumerate(text):
        for other in "0123456789":
            true = int(text[:k] + other + text[k + 1 :])
            if other != digit and true > 0:
                whole += run.density(true) * slips.digit(other, digit, len(text))
    return whole


def _crossed(written: list[int], slips: Slips) -> list[int]:
    """What may have stood where two figures differ in two digits: one digit of each."""
    if len(written) != 2 or slips.one_slip(written[0], written[1]):
        return []
    one, other = str(written[0]), str(written[1])
    differ = [k for k in range(len(one)) if one[k] != other[k]] if len(one) == len(other) else []
    if len(differ) != 2:
        return []
    k = differ[0]
    return [int(one[:k] + other[k] + one[k + 1 :]), int(other[:k] + one[k] + other[k + 1 :])]


def weigh(draft: Draft, slips: Slips, stay: Stay) -> Weighed:
    """The figures of one stay, by themselves."""
    return Weighed(slips, tuple(papers_of(draft, stay)), expected(draft, stay)).settle()


def papers_of(draft: Draft, stay: Stay) -> list[Paper]:
    """The originals that speak of a stay, with their copies and with what the same hand entered again."""
    told = [(e, e.miles) for e in stay.entries if e.miles is not None and not draft.refused(e.miles.key)]
    if not told:
        return []
    originals = {e.line.source_id: (e, claim) for e, claim in reversed(told) if not _repeats(stay, e)}
    copies: dict[str, list[tuple[int, float]]] = {}
    here = {e.line.source_id for e, _ in told}
    for entry, claim in told:
        if originals.get(entry.line.source_id, (None, None))[0] is entry:
            continue
        paper = entry.line.source_id if entry.source.parents == () else _made_from(draft, entry, here)
        if paper is not None:
            copies.setdefault(paper, []).append((claim.value, _copied(draft, entry, claim)))
    found = [
        Paper(claim.value, claim.slip, tuple(copies.pop(source, ())), _read_part(draft, entry))
        for source, (entry, claim) in originals.items()
    ]
    return found + [Paper(None, _LOST_SLIP, tuple(rest)) for _, rest in sorted(copies.items())]


def _read_part(draft: Draft, entry: Entry) -> float:
    """Which part of an original's slip is a misreading; a person who types does it half as often."""
    read = entry.line_of("miles").sureness("miles") is not None
    return draft.learnt.read_after * (1.0 if read else 0.5)


def _repeats(stay: Stay, entry: Entry) -> bool:
    return entry.copy or (entry in stay.twins and len(stay.entries) > len(stay.twins))


def _copied(draft: Draft, entry: Entry, claim: FigureClaim) -> float:
    if not entry.copy or claim.slip < 0.001:
        return claim.slip
    return max(claim.slip, draft.learnt.copied("figure", entry.source.kind))


def _made_from(draft: Draft, entry: Entry, here: Iterable[str]) -> str | None:
    """The original that a copy goes back to, past copies that are not there; None if one of these is there.

    A ring of sources that name each other ends where it began.
    """
    known = set(here)
    seen: set[str] = set()
    level = entry.source.parents
    while level:
        level = tuple(sorted(level, key=lambda name: (name not in known, name)))
        for name in level:
            source = draft.sources.get(name)
            original = source is None or not source.parents
            if name in known or original:
                return name if original else None
        seen.update(level)
        above = (draft.sources[name].parents for name in level)
        level = tuple(name for names in above for name in names if name not in seen)
    return None
