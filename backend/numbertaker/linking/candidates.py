"""Whom a written number or name may mean, with a probability for each and one for nobody.

The weights are those of Fellegi and Sunter, "A theory for record linkage", JASA 64 (1969): each thing
compared adds log2(m/u), where m is how often it agrees for the one who is meant and u how often by chance;
the sum M, with the prior, gives the probability. Number, name and date are compared once each; number and
class are not independent and never added up. 'Nobody in the tables' is the alternative of weight 0.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from math import exp2, log2
from typing import Final

from rapidfuzz import process
from rapidfuzz.distance import OSA
from rapidfuzz.fuzz import ratio

from numbertaker.evidence.days import Day
from numbertaker.evidence.designations import WrittenNumber
from numbertaker.evidence.errors import BadInput
from numbertaker.linking.index import EVER_FIRST, EVER_LAST, Borne, Index, Sort
from numbertaker.linking.similarity import NAME_CUTOFF, name_share, slip_share

OPEN_BELOW: Final = 0.5
"""Where no candidate is at least this probable, the link stays open."""

IN_TABLES: Final = 0.98
"""How often a number that is written means somebody in the tables."""

READ_RIGHT: Final = 0.97
_BORNE_THEN: Final = (0.98, 0.5)
NOBODY: Final = ""


@dataclass(frozen=True, slots=True)
class Weight:
    """One row of a link's explanation, in log2 odds."""

    what: str
    weight: float
    says: str


@dataclass(frozen=True, slots=True)
class Candidate:
    """Somebody whom a cell may mean; `exact` where the text is theirs letter for letter, `then` if borne
    then.
    """

    subject_id: str
    probability: float
    weight: float
    exact: bool
    then: bool
    borne: Borne | None = None
    text: float = 0.0

    @property
    def reasons(self) -> tuple[Weight, ...]:
        """The rows that add up to the weight."""
        if self.borne is None:
            return ()
        what, date = f"{self.borne.scheme} {self.borne.value}", _dated(self.then)
        like = "stands there letter for letter" if self.exact else "is like what stands there"
        when = "it was borne at that time" if self.then else "it was not borne at that time"
        return (
            Weight("prior", self.weight - self.text - date, "one of those in the tables"),
            Weight("text", self.text, f"{what} {like}"),
            Weight("date", date, when),
        )


def match_weight(m: float, u: float, *, agrees: bool = True) -> float:
    """log2(m/u) where the two agree, log2((1-m)/(1-u)) where they do not; BadInput for shares of 0 or 1.

    >>> round(match_weight(0.97, 0.03), 3)
    5.015
    """
    if not (0 < m < 1 and 0 < u < 1):
        raise BadInput(expected="shares between 0 and 1, ends left out", found=f"m={m}, u={u}")
    return log2(m / u) if agrees else log2((1 - m) / (1 - u))


def probability_of(weight: float) -> float:
    """2^M / (1 + 2^M).

    >>> probability_of(2)
    0.8
    """
    return 1 / (1 + exp2(-weight)) if weight > -500 else 0.0


def weight_of(probability: float) -> float:
    """The log2 odds of a probability; BadInput at 0 and 1."""
    return match_weight(probability, 1 - probability) if 0 < probability < 1 else _no_odds(probability)


def _no_odds(probability: float) -> float:
    raise BadInput(expected="a probability between 0 and 1, ends left out", found=str(probability))


def link_candidates(
    index: Index,
    written: WrittenNumber,
    sort: Sort = "engine",
    first: Day = EVER_FIRST,
    last: Day = EVER_LAST,
    *,
    misread: float = 1 - READ_RIGHT,
) -> tuple[Candidate, ...]:
    """The candidates of one cell, best first, the last one `NOBODY`; their probabilities add up to 1.

    `first` and `last` are the days between which the thing was called so; `misread` is how often a cell of
    this kind is read wrongly (0 to 1). A tie is broken by id.
    """
    key = (sort, written.number, written.name)
    if key not in index.alike:
        index.alike[key] = _possible(index, written, sort)
    alike = index.alike[key]
    # Many cells say the same of about the same time: what tells them apart is only who bore it then.
    then = tuple(borne.at(first, last) for borne, _ in alike)
    known = index.ranked.get((key, then, misread))
    if known is None:
        known = index.ranked[key, then, misread] = _ranked(index, sort, alike, then, misread)
    return known


def _ranked(
    index: Index,
    sort: Sort,
    alike: list[tuple[Borne, float | None]],
    then: tuple[bool, ...],
    misread: float,
) -> tuple[Candidate, ...]:
    size = index.size(sort)
    prior, rarity = log2(IN_TABLES / size / (1 - IN_TABLES)), log2(size)
    scored: dict[str, tuple[float, float, bool, bool, Borne]] = {}
    for (borne, share), at in zip(alike, then, strict=True):
        text = log2(1 - misread if share is None else max(misread * share, 1e-9)) + rarity
        total = prior + text + _dated(at)
        known = scored.get(borne.subject_id)
        if known is None or total > known[0]:
            scored[borne.subject_id] = (total, text, share is None, at, borne)
    whole = 1.0 + sum(exp2(total) for total, *_ in scored.values())
    found = [
        Candidate(subject, exp2(total) / whole, total, exact, at, borne, text)
        for subject, (total, text, exact, at, borne) in scored.items()
    ]
    found.sort(key=lambda c: (-c.weight, c.subject_id))
    return (*found, Candidate(NOBODY, 1.0 / whole, 0.0, False, False))


@cache
def _dated(then: bool) -> float:
    m, u = _BORNE_THEN
    return match_weight(m, u, agrees=then)


def best(candidates: Iterable[Candidate], least: float = OPEN_BELOW) -> str | None:
    """The id of whoever is meant at least so probably; None where the link stays open."""
    top = max(candidates, key=lambda c: c.probability)
    return top.subject_id if top.subject_id and top.probability >= least else None


def _possible(index: Index, written: WrittenNumber, sort: Sort) -> list[tuple[Borne, float | None]]:
    """Everybody who bore the text or one like it; no share where it is the same letter for letter."""
    found: list[tuple[Borne, float | None]] = []
    if written.number:
        found += [(borne, None) for borne in index.bearers(written.number, sort)]
        found += _like_number(index, written.number, sort)
    if written.name:
        exact = index.named(written.name, sort)
        found += [(borne, None) for borne in exact] or _like_name(index, written.name, sort)
    return found


def _like_number(index: Index, number: str, sort: Sort) -> list[tuple[Borne, float | None]]:
    near = [value for value in index.near_numbers(number, sort) if value != number]
    return [
        (borne, slip_share(value, number))
        for value in near
        if OSA.distance(value, number, score_cutoff=1) <= 1
        for borne in index.bearers(value, sort)
    ]


def _like_name(index: Index, name: str, sort: Sort) -> list[tuple[Borne, float | None]]:
    near = process.extract(
        name.casefold(), index.names(sort), scorer=ratio, score_cutoff=NAME_CUTOFF, limit=5
    )
    return [(borne, name_share(value, name)) for value, _, _ in near for borne in index.named(value, sort)]
