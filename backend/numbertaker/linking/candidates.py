"""Whom a written number or name may mean, with a probability for each and one for nobody.

The weights are those of Fellegi and Sunter, "A theory for record linkage", JASA 64 (1969): each thing
compared adds log2(m/u), where m is how often it agrees for the one who is meant and u how often by chance;
the sum M, with the prior, gives the probability. Number, name and date are compared once each; number and
class are not independent and never added up. 'Nobody in the tables' is the alternative of weight 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
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
from numbertaker.linking.index import EVER_FIRST, EVER_LAST, Borne, Index, Sort, Text
from numbertaker.linking.similarity import NAME_CUTOFF, name_share, slip_share

OPEN_BELOW: Final = 0.5
"""Where no candidate is at least this probable, the link stays open."""

IN_TABLES: Final = 0.98
"""How often a number that is written means somebody in the tables."""

READ_RIGHT: Final = 0.97
RULED: Final = 0.9999
"""How sure it is whom a person has ruled to be meant."""
_BORNE_THEN: Final = (0.98, 0.5)
NOBODY: Final = ""


@dataclass(frozen=True, slots=True)
class Weight:
    """One row of a link's explanation, in log2 odds."""

    what: str
    weight: float
    says: str


@dataclass(frozen=True, slots=True)
class Bearer:
    """Somebody whom a text may mean, and what speaks for that, in log2 odds; `exact` where the text is theirs
    letter for letter, `then` if borne then. Many cells say the same: they have these in common.
    """

    subject_id: str
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


@dataclass(frozen=True, slots=True)
class Candidate:
    """Somebody who may be meant, and how probably."""

    subject_id: str
    probability: float
    weight: float
    exact: bool
    then: bool


@dataclass(frozen=True, slots=True)
class Ranked:
    """The bearers whom a cell may mean, best first; a tie is broken by id.

    `whole` is the sum of their odds and that of nobody, which is 1; None where a person ruled.
    """

    bearers: tuple[Bearer, ...]
    whole: float | None

    def get(self, subject_id: str | None) -> Bearer | None:
        """The one of them with this id, if any. They are looked through, since there are few."""
        for bearer in self.bearers:
            if bearer.subject_id == subject_id:
                return bearer
        return None

    def probability(self, bearer: Bearer) -> float:
        """How probably one of them is meant."""
        return RULED if self.whole is None else exp2(bearer.weight) / self.whole

    def likely(self, least: float, wanted: str | None) -> Ranked:
        """Those who bore the very text, those likelier than this, and one who is wanted in any case."""
        kept = tuple(
            bearer
            for bearer in self.bearers
            if bearer.exact or bearer.subject_id == wanted or self.probability(bearer) > least
        )
        return self if len(kept) == len(self.bearers) else Ranked(kept, self.whole)

    def candidates(self) -> list[Candidate]:
        """Each with the probability, best first, and `NOBODY` at the end: together they come to 1."""
        found = [
            Candidate(b.subject_id, self.probability(b), b.weight, b.exact, b.then) for b in self.bearers
        ]
        if self.whole is not None:
            found.append(Candidate(NOBODY, 1.0 / self.whole, 0.0, False, False))
        return found


NO_ONE: Final = Ranked((), 1.0)


def ruled(subject_id: str) -> Ranked:
    """The one whom a person has ruled to be meant."""
    return Ranked((Bearer(subject_id, 13.0, True, True),), None)


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
) -> Ranked:
    """Whom one cell may mean.

    `first` and `last` are the days between which the thing was called so; `misread` is how often a cell of
    this kind is read wrongly (0 to 1).
    """
    text: Text = (sort, written.number, written.name)
    alike = index.alike.get(text)
    if alike is None:
        alike = index.alike[text] = _possible(index, written, sort)
    # Many cells say the same of about the same time: what tells them apart is only who bore it then.
    then = 0
    for place, (borne, _) in enumerate(alike):
        if borne.at(first, last):
            then |= 1 << place
    known = index.ranked.get((text, misread))
    if known is None:
        known = index.ranked[text, misread] = Told(len(alike))
    found = known.by_then.get(then)
    if found is None:
        found = known.by_then[then] = _ranked(known.bearers(index, text, then, misread))
    return found


class Told:
    """What a text tells, misread so often: who ranks how, by who of those who bore it or one like it bore it
    then, a bit for each; and what speaks for each of them, as far as it was asked for.
    """

    __slots__ = ("_if_not", "_if_then", "by_then")

    def __init__(self, count: int) -> None:
        """Rank nobody yet of so many."""
        self.by_then: dict[int, Ranked] = {}
        self._if_then: list[Bearer | None] = [None] * count
        self._if_not: list[Bearer | None] = [None] * count

    def bearers(self, index: Index, text: Text, then: int, misread: float) -> Iterator[Bearer]:
        """What speaks for each, if these bore it then."""
        for place, told in enumerate(index.alike[text]):
            at = then >> place & 1 == 1
            made = self._if_then if at else self._if_not
            known = made[place]
            if known is None:
                known = made[place] = _bearer(index.size(text[0]), *told, misread, then=at)
            yield known


def _bearer(size: int, borne: Borne, share: float | None, misread: float, *, then: bool) -> Bearer:
    prior, rarity = log2(IN_TABLES / size / (1 - IN_TABLES)), log2(size)
    text = log2(1 - misread if share is None else max(misread * share, 1e-9)) + rarity
    return Bearer(borne.subject_id, prior + text + _dated(then), share is None, then, borne, text)


def _ranked(bearers: Iterable[Bearer]) -> Ranked:
    """The best that speaks for each, best first."""
    scored: dict[str, Bearer] = {}
    for bearer in bearers:
        known = scored.get(bearer.subject_id)
        if known is None or bearer.weight > known.weight:
            scored[bearer.subject_id] = bearer
    whole = 1.0 + sum(exp2(bearer.weight) for bearer in scored.values())
    return Ranked(tuple(sorted(scored.values(), key=lambda b: (-b.weight, b.subject_id))), whole)


@cache
def _dated(then: bool) -> float:
    m, u = _BORNE_THEN
    return match_weight(m, u, agrees=then)


def best(ranked: Ranked, least: float = OPEN_BELOW) -> str | None:
    """The id of whoever is meant at least so probably, at least a half; None where the link stays open."""
    for bearer in ranked.bearers:
        return bearer.subject_id if ranked.probability(bearer) >= max(least, OPEN_BELOW) else None
    return None


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
