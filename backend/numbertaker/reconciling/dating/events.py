"""An event under work: what is told of it, what bounds it, and what its neighbours make of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import log
from typing import Final, Literal, TypeAlias

from numbertaker.evidence.days import Day
from numbertaker.reconciling.dating.laws import UNKNOWN, Law
from numbertaker.reconciling.dating.regions import Regions, mass_in
from numbertaker.reconciling.dating.slips import Ways
from numbertaker.reconciling.entries import DateClaim, Entry, Posterior, Stay

Group: TypeAlias = Literal["order", "rate"]
Kind: TypeAlias = Literal["own", "component", "engine", "spare", "seen"]
Owner: TypeAlias = Stay | Entry
_HEARD: Final = 0.01


@dataclass(frozen=True, slots=True)
class Life:
    """The days between which something was there, and the log weight of lying outside."""

    first: Day
    last: Day
    outside: float


@dataclass(slots=True, eq=False)
class Event:
    """One event: a fitting, a removal, or a day that a line states of a component or an engine.

    `settled` says that independent claims agree on it, so that nothing around it can change much.
    """

    name: str
    owner: Owner
    claims: list[tuple[Entry, DateClaim]]
    told: list[Ways]
    life: Life
    settled: bool = False
    links: list[Link] = field(default_factory=list, repr=False)
    regions: Regions | None = None
    outside: list[float] = field(default_factory=list)
    parts: dict[int, list[float]] = field(default_factory=dict)
    heard: dict[int, Posterior] = field(default_factory=dict)
    belief: Posterior = ()

    @property
    def stated(self) -> bool:
        """Whether anything dates it."""
        return bool(self.told)

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
        self.belief = self.without(None)

    def without(self, link: Link | None) -> Posterior:
        """What is believed of it, but for what one neighbour said: told to that neighbour, so that nobody
        hears his own words again as another's.
        """
        if self.regions is None:
            return ()
        if self.settled and self.belief:
            return self.belief
        return self.regions.posterior(self.weights(link))

    def weights(self, link: Link | None = None, groups: Sequence[Group] = ("order", "rate")) -> list[float]:
        """The log weights of its regions, by claims, life and the links of some groups."""
        if self.regions is None:
            return []
        rows = [self.regions.claims, self.outside]
        rows += [
            self.parts[id(one)]
            for one in self.links
            if one is not link and one.group in groups and id(one) in self.parts
        ]
        return [sum(column) for column in zip(*rows, strict=True)]


@dataclass(slots=True, eq=False)
class Link:
    """One event before another: how long before, how sure it is that the two have to do with each other, and
    in what way: both of one stay, next on the chain of a component or of an engine, spare or seen between.
    """

    before: Event
    after: Event
    law: Law
    sure: float
    group: Group
    kind: Kind

    def __post_init__(self) -> None:
        """Make both events know of it."""
        self.before.links.append(self)
        self.after.links.append(self)

    def other(self, event: Event) -> Event:
        """The event at its other end."""
        return self.after if event is self.before else self.before

    def weigh(self, event: Event, heard: Posterior) -> list[float]:
        """The log factor of each region of one event, by what was heard of the other."""
        if event.regions is None:
            return []
        known = [(a, b, p) for a, b, p in heard if p > _HEARD]
        rest = 1 - self.sure * sum(p for _, _, p in known)
        law, sure, base = self.law, self.sure, rest * UNKNOWN
        if event is self.before:
            return [
                log(base + sure * sum(p * law.mean(a - middle, b - middle) for a, b, p in known))
                for middle in event.regions.middles
            ]
        return [
            log(base + sure * sum(p * law.mean(middle - b, middle - a) for a, b, p in known))
            for middle in event.regions.middles
        ]
