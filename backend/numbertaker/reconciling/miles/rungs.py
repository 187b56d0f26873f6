"""A card with running totals as a ladder: its lines in order, and the fitments between them that it lacks."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log
from typing import Final

from numbertaker.reconciling.entries import Draft, Entry, FigureClaim, Stay
from numbertaker.reconciling.learning.learnt import Learnt
from numbertaker.reconciling.miles.figures import Weighed
from numbertaker.reconciling.miles.rates import Expected

_ONE_FITMENT: Final = 1000.0
_IN_WORKS: Final = 40.0
_SHORTEST: Final = 10.0
_SURE_AT_MOST: Final = 0.985
_LEAST_LOST: Final = 0.0005
_LIES_LONG: Final = 0.05
_LONG: Final = 1500.0
_FITMENT_LONG: Final = Expected(log(_ONE_FITMENT), 0.6, known=True)
_NOTHING: Final = Expected(log(90_000.0), 0.8, known=False)


@dataclass(slots=True)
class Rung:
    """One step of a running total: a line of the card, its foot, or a fitment that only others tell of.

    `there` is how surely the fitment was; `lost` how likely a line was lost above this one, and `hole` the
    miles that it would then have had; `begins` is a total brought forward from where nothing is told of.
    """

    entry: Entry | None
    stay: Stay | None
    weighed: Weighed | None
    total: FigureClaim | None
    there: float = 1.0
    lost: float = 0.0
    hole: Expected = _NOTHING
    begins: bool = False

    @property
    def claim(self) -> FigureClaim | None:
        """The figure that its total was made with: that of the line, else what the facing card has."""
        if self.entry is not None and self.entry.miles is not None:
            return self.entry.miles
        return (
            next((e.miles for e in self.stay.witnesses if e.miles), None) if self.stay is not None else None
        )

    def as_written(self, figure: int | None) -> bool:
        """Whether nothing that is written of its miles is wrong if they are so many."""
        if self.stay is None:
            return True
        claim = self.claim
        return claim is None or claim.value == figure


def running(entries: list[Entry]) -> list[Entry]:
    """The entries of a card that its running total runs through, in their order."""
    return [e for e in entries if e.twin is None and e.says in {"fitment", "total"}]


def rungs_of(draft: Draft, entries: list[Entry]) -> list[Rung]:
    """The ladder of a component's card up to its last total; empty where no total stands on it."""
    line = running(entries)
    while line and (line[-1].total is None or draft.refused(line[-1].total.key)):
        line.pop()
    component = entries[0].component_id or ""
    chain = draft.on_component.get(component, [])
    place = {stay: k for k, stay in enumerate(chain)}
    on_card = {e.stay for e in line if e.stay is not None}
    found: list[Rung] = []
    at = 0
    before: Stay | None = None
    if line and line[0].says == "total":
        # Brought forward: what others tell of the time before this card stands above its first line.
        at = min((place[stay] for stay in on_card if stay in place), default=0)
        for stay in chain[:at]:
            found.append(_unlisted(draft, component, before, stay))
            before = stay
    brought = bool(line) and line[0].says == "total" and not found
    for entry in line:
        here = place.get(entry.stay, -1) if entry.stay is not None else -1
        for stay in chain[at:here] if here > at else ():
            if stay not in on_card:
                found.append(_unlisted(draft, component, before, stay))
                before = stay
        found.append(_listed(draft, component, before, entry))
        before, at = entry.stay or before, max(at, here + 1)
    if brought:
        found[0].begins = True
    return found


def _unlisted(draft: Draft, component: str, before: Stay | None, stay: Stay) -> Rung:
    rung = Rung(None, stay, stay.weighed, None, there=min(_SURE_AT_MOST, stay.sure))
    _lose(draft, rung, component, before)
    return rung


def _listed(draft: Draft, component: str, before: Stay | None, entry: Entry) -> Rung:
    total = None if entry.total is None or draft.refused(entry.total.key) else entry.total
    stay = entry.stay if entry.says == "fitment" else None
    rung = Rung(entry, stay, stay.weighed if stay is not None else None, total)
    if entry.says == "fitment":
        _lose(draft, rung, component, before)
    return rung


def _lose(draft: Draft, rung: Rung, component: str, before: Stay | None) -> None:
    """How likely a line was lost above a rung: as often as cards lose one, and as its days leave room."""
    base = min(0.3, draft.learnt.lost["line/component"].share)
    days = _apart(draft, component, before, rung.stay) if rung.stay is not None else None
    if days is None:
        rung.lost = base / 3
        rung.hole = Expected(draft.learnt.ran("").log_rate + log(_ONE_FITMENT), 0.8, known=False)
        return
    rung.lost, rung.hole = lost_in(draft.learnt, base, days)


def lost_in(learnt: Learnt, base: float, days: float) -> tuple[float, Expected]:
    """How likely time that nothing accounts for holds a fitment that is not told of, and how far that ran.

    `base` is how likely that is before one knows how long the time was. Time in works goes by what is usual
    here; one time in twenty a component lies longer, for years.
    """
    days, apart = max(_SHORTEST, days), learnt.apart
    usual = Expected(
        log(apart.low * apart.high) / 2, max(0.4, log(apart.high / apart.low) / 1.349), known=True
    )
    idle = (1 - _LIES_LONG) * usual.density(days) + _LIES_LONG * exp(-days / _LONG) / _LONG
    odds = base * _FITMENT_LONG.density(days) / idle
    rate = learnt.ran("").log_rate
    return (
        min(_SURE_AT_MOST, max(_LEAST_LOST, odds / (odds + 1 - base))),
        Expected(rate + log(max(_SHORTEST, days - _IN_WORKS)), 0.4, known=True),
    )


def hidden_in(draft: Draft, component: str, days: float) -> tuple[float, Expected]:
    """How likely a time holds a fitment of which nothing survives, on neither card, and how far that ran."""
    lost = draft.learnt.lost
    facing = lost["line/engine"].share + lost["card/engine"].share
    own = lost["line/component"].share if _has_card(draft, component) else 1.0
    return lost_in(draft.learnt, min(0.5, own * facing), days)


def _has_card(draft: Draft, component: str) -> bool:
    return any(stay.own is not None for stay in draft.on_component.get(component, ()))


def _apart(draft: Draft, component: str, before: Stay | None, stay: Stay) -> float | None:
    """The days between the end of one and the start of the next that nothing accounts for."""
    start = stay.dates.get("fitted")
    if start is None or start.sure < 0.5:
        return None
    to = sum(start.likeliest) / 2
    if before is None:
        built = draft.index.life(component).start.last
        return None if built is None else to - built
    end = before.dates.get("removed")
    if end is None or end.sure < 0.5:
        return None
    since = sum(end.likeliest) / 2
    spare = 0.0
    for entry in draft.spare.get(component, ()):
        if entry.fitted and entry.removed:
            spare += max(0.0, min(to, entry.removed.last) - max(since, entry.fitted.first))
    return to - since - spare
