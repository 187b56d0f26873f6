"""An event under work: what is told of it, what bounds it, and what its neighbours make of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import log
from typing import Any, Final, Literal, TypeAlias

from numbertaker.evidence.days import Day
from numbertaker.reconciling.dating.laws import UNKNOWN, Law, OfMiles
from numbertaker.reconciling.dating.regions import Regions, mass_in
from numbertaker.reconciling.dating.slips import Ways
from numbertaker.reconciling.entries import DateClaim, Dated, Entry, Posterior, Stay

Group: TypeAlias = Literal["order", "rate"]
Kind: TypeAlias = Literal["own", "component", "engine", "spare", "seen"]
KINDS: Final[tuple[Kind, ...]] = ("own", "seen", "spare", "component", "engine")
Owner: TypeAlias = Stay | Entry
_HEARD: Final = 0.01


@dataclass(frozen=True, slots=True)
class Life:
    """The days between which something was there, and the log weight of lying outside."""

    first: Day
    last: Day
    outside: float


_NONE: Final[dict[int, Any]] = {}


def _none() -> dict[int, Any]:
    """What an event that is not under work has heard and told, as one and the same value."""
    return _NONE


@dataclass(slots=True, eq=False)
class Event:
    """One event: a fitting, a removal, or a day that a line states of a component or an engine.

    `settled` says that independent claims agree on it, so that nothing around it can change much; `opened`
    that the ways are weighed in which its claims may be wrong, because something speaks against them. `home`
    is the stay with which it is made anew, none of a day that lines state.
    """

    name: str
    owner: Owner
    claims: list[tuple[Entry, DateClaim]]
    told: Sequence[Ways]
    life: Life
    settled: bool = False
    opened: bool = False
    home: Stay | None = None
    links: list[Link] = field(default_factory=list, repr=False)
    regions: Regions | None = None
    outside: Sequence[float] = ()
    parts: dict[int, list[float]] = field(default_factory=_none)
    heard: dict[int, Posterior] = field(default_factory=_none)
    told_to: dict[int, Posterior] = field(default_factory=_none)
    dated: Dated | None = None

    @property
    def stated(self) -> bool:
        """Whether anything dates it."""
        return bool(self.claims)

    def right(self, claim: DateClaim) -> float:
        """The probability that a claim of it is true, given everything."""
        return mass_in(self.without(None), claim.spans)

    def weigh(self, cuts: Sequence[Day], low: Day, high: Day) -> None:
        """Cut its time into regions and weigh its claims and its life."""
        self.regions = Regions(self.told, [*cuts, self.life.first, self.life.last + 1], low, high)
        self.outside = [
            0.0 if self.life.first <= middle <= self.life.last else self.life.outside
            for middle in self.regions.middles
        ]
        self.heard, self.parts, self.told_to = {}, {}, {}

    def without(self, link: Link | None) -> Posterior:
        """What is believed of it, but for what one neighbour said: told to that neighbour, so that nobody
        hears his own words again as another's.
        """
        if self.regions is None:
            return self.dated.regions if self.dated is not None else ()
        key = id(link) if id(link) in self.parts else 0
        if key not in self.told_to:
            self.told_to[key] = self.regions.posterior(self.weights(link))
        return self.told_to[key]

    def close(self, dated: Dated) -> None:
        """Keep what is known of it in the end, and let go of all that it was worked out with."""
        self.dated, self.regions, self.told, self.outside = dated, None, (), ()
        self.parts, self.heard, self.told_to = _none(), _none(), _none()

    def believes(self, link: Link | None) -> Posterior:
        """The same to three decimals, less what is hardly likely: what a neighbour hears of it."""
        return tuple((a, b, round(p, 3)) for a, b, p in self.without(link) if p > _HEARD)

    def hear(self, link: Link, heard: Posterior) -> None:
        """Weigh what a neighbour believes of itself."""
        self.heard[id(link)] = heard
        self.parts[id(link)] = link.weigh(self, heard)
        self.told_to.clear()

    def weights(self, link: Link | None = None, groups: Sequence[Group] = ("order", "rate")) -> list[float]:
        """The log weights of its regions, by claims, life and the links of some groups."""
        if self.regions is None:
            return []
        weights = self.regions.claims
        if any(self.outside):
            weights = [a + b for a, b in zip(weights, self.outside, strict=True)]
        for one in self.links:
            part = self.parts.get(id(one))
            if part is not None and one is not link and one.group in groups:
                weights = [a + b for a, b in zip(weights, part, strict=True)]
        return weights


@dataclass(slots=True, eq=False)
class Link:
    """One event before another: how long before, how sure it is that the two have to do with each other, and
    in what way: both of one stay, next on the chain of a component or of an engine, spare or seen between.

    `by` is the law of it; one of miles is made when it is first asked for, which of settled events it is not.
    """

    before: Event
    after: Event
    by: Law | OfMiles
    sure: float
    group: Group
    kind: Kind

    def __post_init__(self) -> None:
        """Make both events know of it."""
        self.before.links.append(self)
        self.after.links.append(self)

    @property
    def law(self) -> Law:
        """How long before."""
        if not isinstance(self.by, Law):
            self.by = self.by.law()
        return self.by

    @property
    def ease(self) -> float:
        """The log factor where one event lies from the other as far as is most usual."""
        return log((1 - self.sure) * UNKNOWN + self.sure * self.law.peak)

    def rank(self, event: Event) -> tuple[object, ...]:
        """The place among the links of one event, which does not depend on how these came about."""
        other = self.other(event)
        return (KINDS.index(self.kind), self.before is event, other.owner.rank, other.name)

    def other(self, event: Event) -> Event:
        """The event at its other end."""
        return self.after if event is self.before else self.before

    def weigh(self, event: Event, heard: Posterior) -> list[float]:
        """The log factor of each region of one event, by what was heard of the other."""
        if event.regions is None:
            return []
        known = [(a, b, self.sure * p) for a, b, p in heard]
        base = max(1 - self.sure, 1 - sum(p for _, _, p in known)) * UNKNOWN
        edges, days = event.regions.edges, event.regions.days
        likely = [base] * len(days)
        for a, b, p in known:
            sums = self.law.before(edges, a, b) if event is self.before else self.law.after(edges, a, b)
            share = p / (b - a + 1)
            likely = [so_far + share * one / n for so_far, one, n in zip(likely, sums, days, strict=True)]
        return [log(one) for one in likely]
