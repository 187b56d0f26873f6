"""Comparisons that an author or a source makes, recomputed: so many times round the Earth, so many years.

A comparison is written in one line, `SENTENCE :: QUANTITY TIMES MEASURE`, and may end in `@ SOURCE, PLACE`
where a source makes it::

    It ran thirty times round the Earth. :: miles 30 equator @ S7, page 12
    That is 12 journeys from end to end. :: miles 12 between 54.10,-2.60 55.02,-1.40
    It served for twice the usual 20 years. :: years 2 years 20

Distances on the Earth are of WGS 84 (NGA.STND.0036), by `pyproj`.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal, TypeAlias

from numbertaker.evidence.errors import BadInput

Quantity: TypeAlias = Literal["miles", "days", "years", "engines", "fitments"]
Range: TypeAlias = tuple[float, float]

METRES: Final = 1609.344
"""Metres in a mile, exactly."""
DAYS: Final = 365.2425
"""Days in a year of the Gregorian calendar, on average: 146,097 in 400 years."""
_DEGREES: Final = r"(-?\d+(?:\.\d+)?),(-?\d+(?:\.\d+)?)"
_FORM: Final = re.compile(
    r"(?P<says>.*?)\s*::\s*(?P<quantity>miles|days|years|engines|fitments)\s+(?P<times>\d+(?:\.\d+)?)\s+"
    rf"(?P<measure>equator|meridian|between\s+{_DEGREES}\s+{_DEGREES}|(?:miles|days|years|count)\s+[\d,.]*\d)"
    r"(?:\s*@\s*(?P<source>[^,]+?)(?:,\s*(?P<place>.*))?)?\s*",
    re.DOTALL,
)
_EXPECTED: Final = (
    "'SENTENCE :: QUANTITY TIMES MEASURE', as in 'It ran thirty times round the Earth. :: miles 30 equator'; "
    "the quantity is miles, days, years, engines or fitments, the measure equator, meridian, "
    "between LAT,LON LAT,LON, or miles, days, years or count with a number"
)
_OF_KIND: Final = {
    "miles": ("equator", "meridian", "between", "miles"),
    "days": ("days", "years"),
    "years": ("days", "years"),
    "engines": ("count",),
    "fitments": ("count",),
}


@dataclass(frozen=True, slots=True)
class Comparison:
    """What is compared with what: `quantity` of the component is said to be `times` as much as the measure.

    `measure` is in miles for miles, in days for days and years, and a bare number for counts; `named` says
    what it is. `source_id` and `place` cite who made it; empty where the author did.
    """

    says: str
    quantity: Quantity
    times: str
    measure: float
    named: str
    source_id: str = ""
    place: str = ""

    def claimed(self) -> Range:
        """The ratio as claimed, as wide as its last digit leaves open: 30 is from 29.5 to 30.5."""
        half = 0.5 * 10 ** -len(self.times.partition(".")[2])
        return float(self.times) - half, float(self.times) + half

    def found(self, quantity: Range) -> Range:
        """The ratio that the figures give; the quantity in miles, days or a count."""
        return quantity[0] / self.measure, quantity[1] / self.measure

    def stands(self, quantity: Range) -> bool:
        """Whether the claimed ratio can be true of the figures."""
        (low, high), (least, most) = self.claimed(), self.found(quantity)
        return low <= most and least <= high


def parse_comparison(text: str) -> Comparison:
    """A comparison from its line; BadInput that says what was expected."""
    form = _FORM.fullmatch(text.strip())
    if form is None:
        raise BadInput(expected=_EXPECTED, found=text)
    quantity, words = form["quantity"], form["measure"].split()
    if words[0] not in _OF_KIND[quantity]:
        known = ", ".join(_OF_KIND[quantity])
        raise BadInput(f"Expected {quantity} to be compared with {known}, found {words[0]}.")
    measure, named = _measure(words)
    if measure <= 0:
        raise BadInput(f"Expected a measure greater than nought, found {form['measure']}.")
    source, place = form["source"] or "", form["place"] or ""
    return Comparison(form["says"], _quantity(quantity), form["times"], measure, named, source, place)


def _quantity(word: str) -> Quantity:
    known: dict[str, Quantity] = {name: name for name in ("miles", "days", "years", "engines", "fitments")}
    return known[word]


def _measure(words: list[str]) -> tuple[float, str]:
    kind = words[0]
    if kind == "equator":
        return equator() / METRES, "the equator (WGS 84)"
    if kind == "meridian":
        return meridian() / METRES, "a meridian all round (WGS 84)"
    if kind == "between":
        (lat1, lon1), (lat2, lon2) = (tuple(map(float, pair.split(","))) for pair in words[1:3])
        named = f"the distance from {words[1]} to {words[2]} (WGS 84)"
        return between(lat1, lon1, lat2, lon2) / METRES, named
    number = float(words[1].replace(",", ""))
    named = f"{words[1]} {'' if kind == 'count' else kind}".strip()
    return (number * DAYS if kind == "years" else number), named


def equator() -> float:
    """The length of the equator in metres."""
    return 2 * math.pi * float(_geod().a)


def meridian() -> float:
    """The length of a meridian all round in metres."""
    return 4 * between(0, 0, 90, 0)


def between(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    """The shortest way between two points on the ellipsoid, in metres; degrees north and east."""
    for latitude in (lat1, lat2):
        if not -90 <= latitude <= 90:
            raise BadInput(f"Expected a latitude from -90 to 90 degrees, found {latitude:g}.")
    _, _, metres = _geod().inv(lon1, lat1, lon2, lat2)
    return float(metres)


@cache
def _geod():  # type: ignore[no-untyped-def]
    from pyproj import Geod

    return Geod(ellps="WGS84")
