"""How many fitments are right, how tight their days are, and whether the miles of components hold."""

from __future__ import annotations

from collections import defaultdict
from statistics import median
from typing import Any

import numpy as np
from scipy.optimize import linear_sum_assignment

from numbertaker.evidence.days import from_iso

Json = dict[str, Any]
FAR = 10**7
_MISS = 40


def bounds(when: Json | None) -> tuple[int, int]:
    """The days between which an event is said to lie; an open end is very far."""
    if not when:
        return -FAR, FAR
    low, high = when["earliest"], when["latest"]
    return (from_iso(low) if low else -FAR), (from_iso(high) if high else FAR)


def matched(truth: Json, history: Json) -> tuple[list[tuple[Json, Json]], int]:
    """Fitments given, each with the true one of the same component and engine that it shares most days with,
    one to one; and how many were given.
    """
    true: dict[tuple[str, str], list[Json]] = defaultdict(list)
    for fitment in truth["fitments"]:
        true[fitment["component"], fitment["engine"]].append(fitment)
    given: dict[tuple[str, str], list[Json]] = defaultdict(list)
    for component in history["components"]:
        for fitment in component["fitments"]:
            given[component["component_id"], fitment["engine_id"]].append(fitment)
    pairs = []
    for key, fitments in given.items():
        shared = np.array([[_shared(f, t) for t in true[key]] for f in fitments])
        if shared.size:
            for one, other in zip(*linear_sum_assignment(-shared), strict=True):
                if shared[one, other] > 0:
                    pairs.append((fitments[one], true[key][other]))
    return pairs, sum(map(len, given.values()))


def _shared(given: Json, true: Json) -> float:
    first, last = bounds(given["fitted"])[0], bounds(given["removed"])[1]
    start, end = from_iso(true["fitted"]), from_iso(true["removed"])
    days = min(end, last) - max(start, first)
    return (
        1 + days / (max(end, min(last, end + 9999)) - min(start, max(first, start - 9999))) if days > 0 else 0
    )


def rates(truth: Json, history: Json) -> Json:
    """F1, F1 of those whose true days both lie inside closed intervals, and the width of the intervals."""
    pairs, given = matched(truth, history)
    whole = given + len(truth["fitments"])
    strict, widths, inside = 0, [], 0
    for fitment, true in pairs:
        held = True
        for event in ("fitted", "removed"):
            low, high = bounds(fitment[event])
            within = low <= from_iso(true[event]) <= high
            inside += within
            held &= within and low > -FAR and high < FAR
            widths.append(high - low + 1)
        strict += held
    return {
        "f1": 2 * len(pairs) / whole,
        "strict": 2 * strict / whole,
        "days": median(widths) if widths else 0,
        "inside": inside / max(1, len(widths)),
    }


def totals(truth: Json, history: Json) -> tuple[list[bool], list[float]]:
    """For each component whether its true miles lie within the interval, and the interval's score: its width
    and forty times what it misses by, as a share of the true miles (Gneiting and Raftery 2007, 6.2); at most
    2.
    """
    true: dict[str, int] = defaultdict(int)
    for fitment in truth["fitments"]:
        true[fitment["component"]] += fitment["miles"]
    held, scores = [], []
    for component in history["components"]:
        miles, right = component["miles"], true[component["component_id"]]
        if right and miles["low"] is not None and miles["high"] is not None:
            held.append(miles["low"] <= right <= miles["high"])
            missed = max(miles["low"] - right, right - miles["high"], 0)
            scores.append(min(2.0, (miles["high"] - miles["low"] + _MISS * missed) / right))
    return held, scores


def widened_by(truth: Json, history: Json, lines: dict[str, dict[str, str]]) -> float | None:
    """Where what is written of a day is true: the median width given, over that of the narrowest writing."""
    ratios = []
    for fitment, true in matched(truth, history)[0]:
        for event in ("fitted", "removed"):
            low, high = bounds(fitment[event])
            cells = [truth["cells"].get(line, {}).get(event) for line in fitment["evidence"] if line in lines]
            spans = [cell[2] for cell in cells if cell and cell[1] and cell[0] == true[event]]
            if spans and high - low < FAR:
                written = min(from_iso(b) - from_iso(a) + 1 for a, b in spans)
                ratios.append((high - low + 1) / written)
    return median(ratios) if ratios else None
