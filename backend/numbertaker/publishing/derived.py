"""What can be reckoned from a history, each as a range where the dates leave one, each with its inputs.

Every function is arithmetic on days and miles; the sentences are made in `reckoned.py`. Days in traffic count
from the day fitted to the day removed; a fitment without both ends is in none of the sums.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from numbertaker.evidence.days import Span
from numbertaker.publishing.comparisons import DAYS
from numbertaker.publishing.dates import when_span
from numbertaker.reconciling.history import Fitment, Miles


@dataclass(frozen=True, slots=True)
class Between:
    """A figure that lies between two, and the fitments that it was reckoned from, by place from 0."""

    low: float
    high: float
    fitments: tuple[int, ...]


def days_on(fitment: Fitment) -> tuple[int, int] | None:
    """The least and the most days of a stay; None where an end has no bound."""
    fitted, removed = when_span(fitment.fitted), when_span(fitment.removed)
    return _apart(fitted, removed)


def _apart(start: Span, end: Span) -> tuple[int, int] | None:
    """The least and the most days from one date to another that is not before it."""
    if start.first is None or start.last is None or end.first is None or end.last is None:
        return None
    return max(0, end.first - start.last), max(0, end.last - start.first)


def miles_a_year(fitments: tuple[Fitment, ...]) -> Between | None:
    """Average miles a year in traffic, over the stays with a stated or derived figure and both ends."""
    used, miles, least, most = [], 0, 0, 0
    for n, fitment in enumerate(fitments):
        figure, days = supported(fitment.miles), days_on(fitment)
        if figure is not None and days is not None and days[0] > 0:
            used.append(n)
            miles, least, most = miles + figure, least + days[0], most + days[1]
    if not used or not miles:
        return None
    return Between(miles * DAYS / most, miles * DAYS / least, tuple(used))


def days_between(fitments: tuple[Fitment, ...], gaps: Collection[int]) -> Between | None:
    """Days out of traffic between one stay and the next, all changes added up.

    `gaps` are the places before which the history has a gap: nothing is known of those times.
    """
    used: dict[int, None] = {}
    least = most = 0
    for n in range(1, len(fitments)):
        days = _apart(when_span(fitments[n - 1].removed), when_span(fitments[n].fitted))
        if n not in gaps and days is not None:
            used |= {n - 1: None, n: None}
            least, most = least + days[0], most + days[1]
    return Between(least, most, tuple(used)) if used else None


def changes(fitments: tuple[Fitment, ...], gaps: Collection[int]) -> int:
    """How many times it came off one stay and on to the next with both days known."""
    pairs = ((fitments[n - 1].removed, fitments[n].fitted) for n in range(1, len(fitments)) if n not in gaps)
    return sum(_apart(when_span(off), when_span(on)) is not None for off, on in pairs)


def share_of_life(fitments: tuple[Fitment, ...], born: Span, ended: Span) -> Between | None:
    """The part of its life, from nought to one, for which it is placed on an engine."""
    life = _apart(born, ended)
    used = [(n, days) for n, fitment in enumerate(fitments) if (days := days_on(fitment)) is not None]
    if life is None or life[0] <= 0 or not used:
        return None
    least, most = (sum(days[end] for _, days in used) for end in (0, 1))
    return Between(min(1.0, least / life[1]), min(1.0, most / life[0]), tuple(n for n, _ in used))


def longest(fitments: tuple[Fitment, ...]) -> tuple[Between, bool] | None:
    """The stay that was longest for certain, else the likeliest, with whether it is certain."""
    known = [(n, days) for n, fitment in enumerate(fitments) if (days := days_on(fitment)) is not None]
    if len(known) < 2:
        return None
    place, days = max(known, key=lambda row: (row[1][0] + row[1][1], -row[0]))
    certain = len(known) == len(fitments) and all(days[0] > most for n, (_, most) in known if n != place)
    return Between(days[0], days[1], (place,)), certain


def supported(figure: Miles | None) -> int | None:
    """The miles that the evidence supports: a stated or derived figure; an estimate is none."""
    return None if figure is None or figure.basis == "estimated" else figure.value
