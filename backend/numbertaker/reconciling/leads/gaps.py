"""The engines that could have carried a component in a gap, ranked by probability, with reasons.

The weight of an engine is the probability that a fitment on it would leave these traces: it begins as long
after the removal before the gap as components usually lie, and as soon after the removal before the engine's
own hole as engines usually stand in works; it lasts as long as fitments do; it ends likewise. To that come
what the engine's cards should have shown, where the component has been, and who has looked there already.
Holes are shared: where other components could as well have filled one, each gets less of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from math import exp, log, pi, sqrt
from typing import Final

from numbertaker.evidence.days import Day
from numbertaker.evidence.decisions import Looked, Ruled
from numbertaker.reconciling.history import History
from numbertaker.reconciling.leads.places import Place, places_of
from numbertaker.reconciling.leads.slots import Hole, Known, Slots, overlapping, slots_of
from numbertaker.reconciling.learning import SHIPPED, Learnt
from numbertaker.reconciling.settings import DEFAULT, Settings
from numbertaker.reconciling.wording import day, spell

_SILENT: Final = 300.0
"""A time as long as this is worth a lead, however long components lie here."""
_IN_WORKS: Final = 50.0
"""Days an engine stands in works to have its component changed; common practice, no source."""
_FITMENT: Final = (log(950.0), 0.55)
_LIES: Final = (log(80.0), 0.8)
_LIES_LONG: Final = 0.25
_LONG: Final = 900.0
_NEXT_SHOPPING: Final = 0.85
"""How often the hole of an engine is filled by one fitment alone."""
_STEPS: Final = (45.0, 120.0, 300.0, 700.0, 1500.0)
_SHORTEST: Final = 60.0
_SAME: Final = 31
_LOOKED: Final = 0.06
_AT_HOME: Final = 0.6
_SPREAD_DATES: Final = 45.0
_ON_NONE: Final = 4e-5
"""The density of the end of an idle time, on the scale of the traces of a fitment."""
_GIVEN: Final = 12
_RIVALS: Final = 30
_TRUSTED: Final = 0.33
_NONE_OF_THEM: Final = 1.5
"""What is weighed hangs together, so that weights set engines further apart than they are: odds count with
this power, and that none of them had it with this factor. Fitted by likelihood on the gaps of five worlds of
our own, of both generators, from which some fitments had been taken (`scripts/bench_parts/leads.py`)."""


@dataclass(frozen=True, slots=True)
class Gap:
    """Time for which a component is unaccounted for, between two of its fitments."""

    component_id: str
    before: Known
    after: Known
    first: float
    last: float

    @property
    def days(self) -> float:
        """How long it is."""
        return self.last - self.first


@dataclass(frozen=True, slots=True)
class Lead:
    """One engine that could have carried the component in a gap: how likely, why, and where it would show."""

    engine_id: str
    probability: float
    first: Day
    last: Day
    reasons: tuple[str, ...]
    places: tuple[Place, ...]


@dataclass(slots=True)
class _Weighed:
    engine_id: str
    weight: float
    hole: Hole
    looked: float = 1.0
    why: list[str] = field(default_factory=list)


class Leads:
    """Everything that is asked of a history to find leads in it; made once for many gaps."""

    def __init__(
        self, history: History, ruled: Ruled, learnt: Learnt = SHIPPED, settings: Settings = DEFAULT
    ) -> None:
        """Sort the fitments into slots."""
        self.ruled, self.learnt = ruled, learnt
        self.slots: Slots = slots_of(history, ruled.evidence)
        # Where components often lie for years that is no finding, but a fitment may hide in it all the same.
        self.longest = min(_SILENT, learnt.apart.longest + settings.gap_days)
        self._looked: Mapping[tuple[str, str], tuple[Looked, ...]] = ruled.looked

    @cached_property
    def gaps(self) -> dict[str, list[Gap]]:
        """The gaps of every component."""
        return {name: list(self._gaps(name, known)) for name, known in self.slots.of_component.items()}

    def _gaps(self, component_id: str, known: list[Known]) -> Iterator[Gap]:
        for before, after in pairwise(known):
            if before.end is None or after.start is None:
                continue
            told = self.slots.spare.get(component_id, [])
            first, last = _longest(before.end, after.start, told)
            if last - first > self.longest:
                yield Gap(component_id, before, after, first, last)

    def engines(self, gap: Gap) -> list[Lead]:
        """The engines that could have carried the component in a gap, the likeliest first; probabilities are
        shares of all engines, and of that it was on none.
        """
        kind = self.slots.kind(gap.component_id)
        weighed = [w for engine in self.slots.index.engines for w in self._on(gap, engine, kind)]
        weighed.sort(key=lambda w: (-w.weight, w.engine_id))
        near = weighed[:_RIVALS]
        for one in near:
            one.weight *= self._share(gap, one, kind)
            one.weight = one.looked * one.weight**_TRUSTED
        near.sort(key=lambda w: (-w.weight, w.engine_id))
        once = {w.engine_id: w for w in reversed(near) if w.weight > 0}
        ranked = sorted(once.values(), key=lambda w: (-w.weight, w.engine_id))
        whole = sum(one.weight for one in ranked) + _NONE_OF_THEM * _idle(gap.days) ** _TRUSTED
        return [self._lead(gap, one, one.weight / whole) for one in ranked[:_GIVEN]]

    def _on(self, gap: Gap, engine_id: str, kind: str) -> Iterator[_Weighed]:
        """The holes of one engine that a fitment in the gap could fill, weighed."""
        if not self.slots.index.fits(gap.component_id, engine_id, int(gap.first), int(gap.last)):
            return
        for hole in overlapping(self.slots.holes(engine_id, kind), gap.first, gap.last):
            weight = _traces(gap, hole)
            if weight > 0:
                found = _Weighed(engine_id, weight, hole)
                self._habits(gap, found)
                self._cards(found)
                self._looks(gap, found)
                yield found

    def _habits(self, gap: Gap, found: _Weighed) -> None:
        """A component goes where it has been: to the same engine, to the same class."""
        mine = self.slots.of_component[gap.component_id]
        if any(k.engine_id == found.engine_id for k in (gap.before, gap.after)):
            found.weight *= 1 + _AT_HOME
            found.why.append("It had the component right before or after.")
        classes = {self._class(k.engine_id, k.start) for k in mine}
        own = self._class(found.engine_id, gap.first)
        if own and own in classes:
            found.why.append(f"The component was on other engines of class {own}.")
        elif own:
            found.weight *= 1 - _AT_HOME

    def _class(self, engine_id: str, at: float | None) -> str:
        first = int(at or 1)
        found = self.slots.index.classes_at(engine_id, first, first)
        return found[0] if found else ""

    def _cards(self, found: _Weighed) -> None:
        """A card of the engine that is there on both sides of the hole should have had the line."""
        if found.hole.before is not None and found.hole.after is not None:
            found.weight *= 0.3 + self.learnt.lost["line/engine"].share
        else:
            found.why.append("Nothing is known of it on one side of that time.")

    def _looks(self, gap: Gap, found: _Weighed) -> None:
        for looked in self._looked.get((found.engine_id, gap.component_id), ()):
            shared = min(gap.last, looked.last) - max(gap.first, looked.first)
            part = min(1.0, max(0.0, shared / gap.days))
            found.looked *= 1 - part * (1 - _LOOKED)
            if part > 0:
                found.why.append(f"{looked.by} looked in {looked.source or 'its papers'} and found nothing.")

    def _share(self, gap: Gap, one: _Weighed, kind: str) -> float:
        """How much of a hole falls to this gap, among the gaps of all components that could fill it."""
        rivals = 0.0
        for name, gaps in self.gaps.items():
            if name == gap.component_id or self.slots.kind(name) != kind:
                continue
            for other in gaps:
                apart = other.last < one.hole.first or one.hole.last < other.first
                if not apart and self.slots.index.fits(
                    name, one.engine_id, int(other.first), int(other.last)
                ):
                    rivals += _traces(other, one.hole)
        mine = _traces(gap, one.hole)
        return mine / (mine + rivals) if mine > 0 else 0.0

    def _lead(self, gap: Gap, one: _Weighed, probability: float) -> Lead:
        hole = one.hole
        first, last = int(max(gap.first, hole.first)), int(min(gap.last, hole.last))
        told = [_slot_says(hole), _meets(gap, hole), *one.why]
        row = self.slots.index.components.get(gap.component_id)
        if row is not None and row.type:
            told.append(f"It could carry a component of type {row.type}.")
        return Lead(
            one.engine_id,
            probability,
            first,
            last,
            tuple(text for text in told if text),
            places_of(self.ruled.evidence, self.slots.index, one.engine_id, first, last),
        )


def leads_of(leads: Leads, component_id: str) -> list[tuple[Gap, list[Lead]]]:
    """Every gap of one component with its leads, in order of time."""
    return [(gap, leads.engines(gap)) for gap in leads.gaps.get(component_id, [])]


def _longest(first: float, last: float, told: list[tuple[Day, Day]]) -> tuple[float, float]:
    """The longest run of days between two that no line accounts for."""
    holes: list[tuple[float, float]] = []
    at = first
    for start, end in sorted(told):
        holes.append((at, min(float(start), last)))
        at = max(at, float(end))
    holes.append((at, last))
    return max(holes, key=lambda hole: (hole[1] - hole[0], -hole[0]))


def _traces(gap: Gap, hole: Hole) -> float:
    """The probability of the ends of gap and hole, if one fitment lay in both; with the ends of the fitment
    summed over the days that come into question.
    """
    weight = 0.0
    for start, share in _starts(gap, hole):
        for end, other in _ends(gap, hole):
            days = end - start
            if days >= _SHORTEST:
                weight += share * other * lasts(days)
    return weight


def _starts(gap: Gap, hole: Hole) -> list[tuple[float, float]]:
    """Days on which the fitment may have begun, each with its weight."""
    firm = hole.before is not None
    found = [
        (hole.first + _IN_WORKS, (_NEXT_SHOPPING if firm else 0.3) * lay(hole.first + _IN_WORKS - gap.first))
    ]
    free = (1 - _NEXT_SHOPPING if firm else 0.7) / len(_STEPS)
    begin = max(gap.first, hole.first)
    found += [
        (begin + step, free * lay(begin + step - gap.first) * _unusual(hole.days))
        for step in _STEPS
        if begin + step < min(gap.last, hole.last)
    ]
    return found


def _ends(gap: Gap, hole: Hole) -> list[tuple[float, float]]:
    """The same for the days on which it may have ended."""
    firm = hole.after is not None
    found = [
        (hole.last - _IN_WORKS, (_NEXT_SHOPPING if firm else 0.3) * lay(gap.last - hole.last + _IN_WORKS))
    ]
    free = (1 - _NEXT_SHOPPING if firm else 0.7) / len(_STEPS)
    end = min(gap.last, hole.last)
    found += [
        (end - step, free * lay(gap.last - end + step) * _unusual(hole.days))
        for step in _STEPS
        if end - step > max(gap.first, hole.first)
    ]
    return found


def _unusual(days: float) -> float:
    """A fitment that begins anywhere in a long hole is one of several in it."""
    return min(1.0, 1500.0 / max(1500.0, days))


def lay(days: float) -> float:
    """The probability of lying so many days between two engines; a few days before hold for loose dates."""
    if days < 10.0:
        return 0.5 * exp(-((10.0 - days) ** 2) / (2 * _SPREAD_DATES**2)) * lay(10.0)
    return (1 - _LIES_LONG) * _log_normal(days, *_LIES) + _LIES_LONG * exp(-days / _LONG) / _LONG


def lasts(days: float) -> float:
    """The probability that a fitment lasts so many days."""
    return _log_normal(days, *_FITMENT)


def _log_normal(days: float, middle: float, spread: float) -> float:
    z = (log(days) - middle) / spread
    return exp(-z * z / 2) / (days * spread * sqrt(2 * pi))


def _idle(days: float) -> float:
    """The weight of the component having been on no engine at all."""
    return _LIES_LONG * exp(-days / _LONG) / _LONG * _ON_NONE


def _slot_says(hole: Hole) -> str:
    if hole.before is not None and hole.after is not None:
        return (
            f"Nothing is known to have been on it from {day(int(hole.first))} to {day(int(hole.last))},"
            f" {spell(hole.days)}."
        )
    if hole.before is None:
        return f"Nothing is known to have been on it before {day(int(hole.last))}."
    return f"Nothing is known to have been on it after {day(int(hole.first))}."


def _meets(gap: Gap, hole: Hole) -> str:
    """How well the ends of both times go together."""
    said = []
    if hole.before is not None and 0 <= hole.first - gap.first + _IN_WORKS <= 400:
        said.append(f"it went into works {_apart(hole.first - gap.first, 'after')} the gap begins")
    if hole.after is not None and 0 <= gap.last - hole.last + _IN_WORKS <= 400:
        said.append(
            f"it came out of works with the next one {_apart(gap.last - hole.last, 'before')} it ends"
        )
    text = ", and ".join(said)
    return f"{text[0].upper()}{text[1:]}." if text else ""


def _apart(days: float, where: str) -> str:
    """'5 months after', or 'when' where it is the same month."""
    return "when" if days < _SAME else f"{spell(days)} {where}"
