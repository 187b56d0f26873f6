"""The engines of the Merrowdale & Ostrey Railway: who they were, before anything happened to them.

All of it is invented: the railway, its works, its classes and its names.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random
from typing import Final

RAILWAY: Final = "Merrowdale & Ostrey Railway"
WORKS: Final = "Brackwith"
LESSER_WORKS: Final = ("Ostrey", "Thrunby", "Skelholm")

BOILER_TYPE: Final = {"K": "A", "G": "A", "L": "B", "N": "C"}
MILES_A_YEAR: Final = {"K": 32_500, "G": 22_500, "L": 26_500, "N": 36_000}
CLASS_NOTE: Final = {
    "K": "4-4-0 passenger engines",
    "G": "0-6-0 goods engines",
    "L": "0-6-2 tank engines",
    "N": "4-6-0 mixed traffic engines",
}
TENDER_TYPE: Final = "T3"
TENDER_CLASSES: Final = ("K", "G", "N")

OPENED, CLOSED = date(1903, 1, 1), date(1962, 9, 8)


@dataclass(frozen=True, slots=True)
class Borne:
    """A number, name or class, and the days between which it was borne (inclusive)."""

    scheme: str
    value: str
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Locomotive:
    """One engine with its exact days; `carded` when its own register card survives."""

    engine_id: str
    built: date
    withdrawn: date
    carded: bool
    borne: tuple[Borne, ...]
    span_only: bool = False
    rebuilt: date | None = None

    def called(self, scheme: str, day: date) -> str:
        """The number, name or class borne on a day, or the one last borne before it; '' if there is none."""
        mine = [b for b in self.borne if b.scheme == scheme]
        held = [b for b in mine if b.first <= day <= b.last]
        earlier = [b for b in mine if b.first <= day]
        return (held or earlier[-1:] or mine or [Borne(scheme, "", day, day)])[0].value


@dataclass(frozen=True, slots=True)
class _Plan:
    """A row of the roster: class, number, years of building and withdrawal, and whether a card survives."""

    class_: str
    number: str
    built: int
    withdrawn: int
    carded: bool
    name: str = ""
    then: str = ""  # what befell its designations: 'renamed:Name', 'renumbered:123', 'rebuilt:N'
    year: int = 0


# Number 207 was given out twice: to a passenger engine of 1906 and, after its withdrawal, to a goods engine.
_ROSTER: Final = (
    _Plan("K", "201", 1903, 1936, True, "Merrowdale"),
    _Plan("K", "202", 1904, 1938, True, "Ostrey Belle", "renamed:Thrunby Keep", 1919),
    _Plan("K", "203", 1904, 1934, False, "Skelholm Tarn"),
    _Plan("K", "204", 1905, 1937, True, "Aldermoss"),
    _Plan("K", "205", 1906, 1935, False, "Quarrenby"),
    _Plan("K", "207", 1906, 1928, True, "Hurlow Beacon"),
    _Plan("K", "208", 1908, 1953, True, "Corvane", "rebuilt:N", 1927),
    _Plan("K", "209", 1909, 1939, False, "Bryleth"),
    _Plan("K", "210", 1913, 1951, True, "Penwarrow"),
    _Plan("K", "211", 1914, 1952, False, "Dunhallow Pike"),
    _Plan("K", "212", 1921, 1956, False, "Tolverdale"),
    _Plan("G", "31", 1905, 1938, True, "", "renumbered:238", 1923),
    _Plan("G", "231", 1907, 1936, False),
    _Plan("G", "232", 1908, 1940, True),
    _Plan("G", "233", 1910, 1946, False),
    _Plan("G", "234", 1912, 1949, False),
    _Plan("G", "235", 1916, 1955, True),
    _Plan("G", "236", 1917, 1957, False),
    _Plan("G", "237", 1923, 1958, True),
    _Plan("G", "239", 1924, 1959, False),
    _Plan("G", "240", 1926, 1960, False),
    _Plan("G", "207", 1930, 1961, True),
    _Plan("L", "61", 1907, 1939, True),
    _Plan("L", "62", 1907, 1937, False),
    _Plan("L", "63", 1909, 1948, True),
    _Plan("L", "64", 1910, 1946, False),
    _Plan("L", "65", 1914, 1953, True),
    _Plan("L", "66", 1919, 1957, False),
    _Plan("L", "67", 1922, 1959, False),
    _Plan("L", "68", 1925, 1961, True),
    _Plan("L", "69", 1926, 1960, False),
    _Plan("N", "221", 1920, 1957, True, "Lady Amabel Orne"),
    _Plan("N", "222", 1920, 1955, False, "Hethering Priory"),
    _Plan("N", "223", 1921, 1958, True, "Wyverne Hollow"),
    _Plan("N", "224", 1924, 1959, False, "Sannoch Water"),
    _Plan("N", "225", 1927, 1960, False, "Eskerdine"),
    _Plan("N", "226", 1928, 1961, True, "Carrowby Fold"),
    _Plan("N", "227", 1931, 1962, False, "Mossingthorpe"),
    _Plan("N", "228", 1934, 1962, True, "Orrowby Chase"),
    _Plan("L", "70", 1928, 1962, False),
)


def _day_in(rng: Random, year: int, first: int = 40, last: int = 330) -> date:
    day = date(year, 1, 1) + timedelta(days=rng.randint(first, last))
    return min(day, CLOSED - timedelta(days=rng.randint(3, 60))) if year == CLOSED.year else day


def _designations(plan: _Plan, built: date, withdrawn: date, change: date | None) -> tuple[Borne, ...]:
    """The numbers, names and classes of one engine; a change divides one of them in two at `change`."""
    what, _, new = plan.then.partition(":")
    changed = {"renamed": "name", "renumbered": "number", "rebuilt": "class"}.get(what)
    spans = []
    for scheme, value in (("number", plan.number), ("name", plan.name), ("class", plan.class_)):
        if scheme == changed and change is not None:
            spans.append(Borne(scheme, value, built, change - timedelta(days=1)))
            spans.append(Borne(scheme, new, change, withdrawn))
        elif value:
            spans.append(Borne(scheme, value, built, withdrawn))
    return tuple(spans)


def make_roster(rng: Random) -> tuple[Locomotive, ...]:
    """All engines, their exact days drawn within the years of the roster."""
    engines = []
    for count, plan in enumerate(_ROSTER, start=1):
        span_only = plan.number == "201"
        built = date(1903, 6, rng.randint(3, 27)) if span_only else _day_in(rng, plan.built)
        withdrawn = _day_in(rng, plan.withdrawn)
        change = _day_in(rng, plan.year, 60, 300).replace(day=1) if plan.then else None
        engines.append(
            Locomotive(
                engine_id=f"E{count:02d}",
                built=built,
                withdrawn=withdrawn,
                carded=plan.carded,
                borne=_designations(plan, built, withdrawn, change),
                span_only=span_only,
                rebuilt=change if plan.then.startswith("rebuilt") else None,
            )
        )
    return tuple(engines)
