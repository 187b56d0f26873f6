"""Fit the weights of confidence on worlds of our own making: `python scripts/train/confidence.py`.

Each world is invented and written down with faults (`scripts/bench_parts/worlds`), with its own rates of
error: those of the generator times a factor drawn for every kind of fault, and parted between clerks and
readers as it falls out, so that no single mixture of faults is learnt. It is reconciled as the program does
it, learning first from itself. Then, for each kind of statement, a logistic regression is fitted to the
terms, those below nought and those above with a weight each: a sum of broken lines, an additive model (T.
Hastie and R. Tibshirani, "Generalized Additive Models", 1990). It is drawn towards what the steps before give
by themselves (weight one for their log odds, nought for all else), and keeps the sign that the meaning of a
term demands. The result is `weighing/weights.json`, with seeds and counts. Only this script wants scipy's
optimiser; the program adds up.
"""

from __future__ import annotations

import argparse
import csv
import gzip
import json
import pickle
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import exp, log
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any, Final

import numpy as np
from scipy.optimize import minimize

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT / "scripts" / "bench_parts")]

from measuring.cells import is_true  # noqa: E402
from worlds import world as generator  # noqa: E402
from worlds.files import write_world  # noqa: E402

from numbertaker.evidence.days import from_iso  # noqa: E402
from numbertaker.evidence.decisions import follow  # noqa: E402
from numbertaker.evidence.records import RECORDS, Evidence  # noqa: E402
from numbertaker.reconciling import DEFAULT, learn, settled  # noqa: E402
from numbertaker.reconciling.cells import stated_of  # noqa: E402
from numbertaker.reconciling.entries import Draft, Entry  # noqa: E402
from numbertaker.reconciling.gathering import belongs, fitment  # noqa: E402
from numbertaker.reconciling.weighing.conflicts import Conflicts  # noqa: E402
from numbertaker.reconciling.weighing.findings import finding_terms, kind_of  # noqa: E402
from numbertaker.reconciling.weighing.fitments import fitment_terms  # noqa: E402
from numbertaker.reconciling.weighing.terms import FARTHEST, Term  # noqa: E402
from numbertaker.reconciling.weighing.weights import FORMAT  # noqa: E402

WEIGHTS: Final = ROOT / "backend" / "numbertaker" / "reconciling" / "weighing" / "weights.json"
PROFILES: Final = ("typical", "typical", "hard", "clean")
VARIED: Final = 0.5
"""Standard deviation of the log of the factor by which each rate of error is varied."""
EITHER: Final = ("date_slip", "miles_misread", "transposed", "number_misread")
"""The slips that clerks make as well as readers."""
_TABLES: Final = ("ON_LINES", "IN_READING", "ON_CARDS")
_RATES: Final = ("COPYING", "LISTING", "SIGHTING", "HEADING", "LOST_LINE", "LOST_CARD")
DRAWN: Final = 3.0
"""How strongly a weight is drawn towards what it was before, in cells of a difference of one."""
START_DRAWN: Final = 30.0
"""The same for the start of cells, whose terms are log odds of their own: it would else go by how often cells
were wrong in these very worlds.
"""
FREE_START: Final = 0.1
"""The same of fitments and findings: where no case was ever false, something less than certain is left."""
STRUCTURAL: Final = frozenset(
    {
        *("read", "figures", "totals", "column", "sure"),
        *("agreement of dates", "life of dates", "order of dates", "rate of dates", "found"),
    }
)
RISING: Final = STRUCTURAL | {
    *("agree", "copies agree", "loosely", "other date", "its miles", "component", "engine", "pair"),
    *("told", "copies", "same miles", "date", "surer"),
}
FALLING: Final = frozenset({"against", "copies against", "backwards", "hearsay", "close by"})
FEWEST: Final = 300
FEWEST_FINDINGS: Final = 40
"""A kind of statement with fewer cases keeps the weights that it has."""


@dataclass(frozen=True, slots=True)
class Case:
    """One statement: its kind, the values of its terms, whether it is true, and the world it is from."""

    kind: str
    terms: dict[str, float]
    true: bool
    world: int


def cases_of(components: int, profile: str, seed: int) -> list[Case]:
    """The statements of one world that can be true or false, with their terms."""
    with TemporaryDirectory() as folder:
        write_world(_varied_world(components, profile, seed), Path(folder))
        ruled = follow(_evidence(Path(folder) / "package"))
        known = json.loads((Path(folder) / "truth.json").read_text(encoding="utf-8"))
    return list(cases_in(ruled, known, seed))


def cases_in(ruled: Any, known: dict[str, Any], seed: int) -> Iterator[Case]:
    """The statements of some evidence whose truth is known."""
    draft = settled(ruled, DEFAULT, learn(ruled))
    conflicts = Conflicts(finding for finding, _ in draft.findings.values())
    yield from fitments_in(draft, conflicts, known, seed)
    yield from findings_in(draft, known, seed)
    for entry in draft.entries:
        name = belongs(draft, entry)
        for stated in stated_of(draft, entry, _given(draft, entry, conflicts), conflicts):
            cell = known["cells"].get(stated.key.line_id, {}).get(stated.key.field)
            about = known["lines"][stated.key.line_id][0]
            if cell is None or about is None or stated.rows is not None:
                continue
            plain = {"field": stated.key.field, "meaning": stated.meaning}
            true = name == about and bool(is_true(plain, cell[0], cell[2]))
            yield Case(stated.kind, _values(stated.terms), true, seed)


def _given(draft: Draft, entry: Entry, conflicts: Conflicts) -> bool:
    """Whether the stay of a line is part of the history."""
    return entry.stay is not None and fitment(draft, entry.stay, conflicts) is not None


def fitments_in(draft: Draft, conflicts: Conflicts, known: dict[str, Any], seed: int) -> Iterator[Case]:
    """The putative fitments of a draft; of several that overlap one true fitment the surest is true."""
    true: dict[tuple[str, str], list[tuple[int, int]]] = defaultdict(list)
    for one in known["fitments"]:
        span = from_iso(one["fitted"]), from_iso(one["removed"])
        true[one["component"], one["engine"]].append(span)
    for stay in sorted(draft.stays, key=lambda s: (-s.sure, s.rank)):
        if stay.rough is None or stay.engine_id is None or stay.component_id is None:
            continue
        start, end = stay.dates.get("fitted"), stay.dates.get("removed")
        first = start.first if start else int(stay.rough[0])
        last = end.last if end else int(stay.rough[1])
        left = true[stay.component_id, stay.engine_id]
        match = max(left, key=lambda s: min(s[1], last) - max(s[0], first), default=None)
        holds = match is not None and min(match[1], last) > max(match[0], first)
        if holds and match is not None:
            left.remove(match)
        yield Case("fitment", _values(fitment_terms(draft, stay, conflicts)), holds, seed)


def findings_in(draft: Draft, known: dict[str, Any], seed: int) -> Iterator[Case]:
    """The findings of a draft; one is true that names a line which a fault touched."""
    touched = {line for line, row in known["lines"].items() if row[1]}
    for finding, _ in draft.findings.values():
        right = not touched.isdisjoint(finding.lines)
        yield Case(kind_of(finding), _values(finding_terms(finding)), right, seed)


def _values(terms: Iterable[Term]) -> dict[str, float]:
    """The values of terms by name; several of one name add up."""
    found: dict[str, float] = defaultdict(float)
    for term in terms:
        found[term.name] += min(FARTHEST, max(-FARTHEST, term.value))
    return dict(found)


def _varied_world(components: int, profile: str, seed: int) -> Any:
    """A world with every rate of error multiplied by a factor of its own.

    Slips that a clerk and a reader can both make are parted between the two as well: a clerk's slip is copied
    by whoever compiles from the card, a reader's is not.
    """
    rng, before = Random(f"rates/{seed}"), {name: getattr(generator, name) for name in (*_TABLES, *_RATES)}
    varied = {
        name: {key: share * exp(rng.gauss(0, VARIED)) for key, share in before[name].items()}
        for name in _TABLES
    }
    for name in EITHER:
        whole = sum(varied[table].pop(name, 0.0) for table in ("ON_LINES", "IN_READING"))
        part = rng.random()
        varied["ON_LINES"][name], varied["IN_READING"][name] = whole * part, whole * (1 - part)
    for name in _TABLES:
        setattr(generator, name, varied[name])
    for name in _RATES:
        setattr(generator, name, before[name] * exp(rng.gauss(0, VARIED)))
    try:
        return generator.make_world(components, profile, seed)
    finally:
        for name, value in before.items():
            setattr(generator, name, value)


def _evidence(package: Path) -> Evidence:
    """The tables of a package as an import has them."""
    found: dict[str, Any] = {}
    for record in RECORDS:
        file = package / f"{record.TABLE}.csv"
        if file.exists() and record.TABLE != "readings":
            with file.open(newline="", encoding="utf-8") as rows:
                found[record.TABLE] = tuple(record.from_row(row) for row in csv.DictReader(rows))
    return Evidence(**found)


@dataclass(slots=True)
class Fit:
    """The fit of one kind: names of the terms, and for each the two weights."""

    names: list[str]
    start: float
    below: np.ndarray
    above: np.ndarray

    def given(self, cases: list[Case]) -> np.ndarray:
        """The probabilities of cases."""
        x = matrix(cases, self.names)
        weights = np.concatenate([[self.start], self.below, self.above]) * log(2)
        return np.clip(1 / (1 + np.exp(-x @ weights)), 0.0005, 0.9999)

    def plain(self) -> dict[str, Any]:
        """As it ships; a term that hardly counts is left out."""
        weights = {
            name: [round(float(a), 3), round(float(b), 3)]
            for name, a, b in zip(self.names, self.below, self.above, strict=True)
            if max(abs(a), abs(b)) > 5e-3
        }
        return {"start": round(float(self.start), 3), "weights": weights}


def matrix(cases: list[Case], names: list[str]) -> np.ndarray:
    """A column of ones, the values below nought, and those above."""
    place = {name: n for n, name in enumerate(names)}
    x = np.zeros((len(cases), 1 + 2 * len(names)))
    x[:, 0] = 1
    for row, case in enumerate(cases):
        for name, value in case.terms.items():
            at = place.get(name)
            if at is not None and value:
                x[row, 1 + at + (len(names) if value > 0 else 0)] = value
    return x


def fit(cases: list[Case]) -> Fit:
    """The weights that make the cases likeliest, drawn towards those of the steps before (maximum a
    posteriori under a normal prior), within the signs that their meaning demands.
    """
    names = sorted({name for case in cases for name in case.terms})
    x = matrix(cases, names) * log(2)
    y = np.array([case.true for case in cases], dtype=float)
    prior = np.array([0.0, *(2 * [float(name in STRUCTURAL) for name in names])])
    of_cells = not cases[0].kind.startswith(("finding", "fitment"))
    drawn = np.array([START_DRAWN if of_cells else FREE_START, *(2 * len(names) * [DRAWN])])
    bounds = [(None, None), *(2 * [_bounds(name) for name in names])]

    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        z = x @ w
        away = w - prior
        value = float(np.logaddexp(0, z).sum() - y @ z + away @ (drawn * away) / 2)
        return value, x.T @ (1 / (1 + np.exp(-z)) - y) + drawn * away

    found = minimize(loss, prior, jac=True, method="L-BFGS-B", bounds=bounds, options={"maxiter": 500})
    count = len(names)
    return Fit(names, float(found.x[0]), found.x[1 : 1 + count], found.x[1 + count :])


def _bounds(name: str) -> tuple[float | None, float | None]:
    if name in RISING:
        return (0.0, 3.0)
    if name in FALLING or name.startswith("in "):
        return (None, 0.0)
    return (None, None)


def by_kind(cases: Iterable[Case]) -> dict[str, list[Case]]:
    """Cases by kind of statement, in a fixed order."""
    found: dict[str, list[Case]] = defaultdict(list)
    for case in cases:
        found[case.kind].append(case)
    return dict(sorted(found.items()))


def report(kind: str, given: np.ndarray, cases: list[Case]) -> None:
    """How a fit does: counts, Brier score, and calibration error in fifteen bins of equal count."""
    y = np.array([case.true for case in cases], dtype=float)
    order = np.argsort(given, kind="stable")
    off = sum(len(b) * abs(given[b].mean() - y[b].mean()) for b in np.array_split(order, 15) if len(b))
    brier = float(np.mean((given - y) ** 2))
    print(f"{kind:18} {len(y):7} false {int((1 - y).sum()):5} brier {brier:.5f} ece {off / len(y):.5f}")


def worlds(components: int, count: int, first: int) -> Iterator[tuple[int, str, int]]:
    """The worlds to train on: profiles in turn."""
    for n in range(count):
        yield components, PROFILES[n % len(PROFILES)], first + n


def main() -> None:
    """Make the worlds, fit, and write the weights."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--components", type=int, default=200)
    asked.add_argument("--worlds", type=int, default=32)
    asked.add_argument("--seed", type=int, default=2000)
    asked.add_argument("--keep", type=Path, help="a folder in which the cases of each world are kept")
    asked.add_argument("--out", type=Path, default=WEIGHTS)
    given = asked.parse_args()
    cases: list[Case] = []
    for one in worlds(given.components, given.worlds, given.seed):
        cases += _kept(given.keep, one)
    before = json.loads(given.out.read_text(encoding="utf-8"))["kinds"]
    made, counts = dict(before), {}
    for kind, some in by_kind(cases).items():
        false = sum(not case.true for case in some)
        counts[kind] = [len(some), false]
        if len(some) >= (FEWEST_FINDINGS if kind.startswith("finding") else FEWEST):
            fitted = fit(some)
            report(kind, fitted.given(some), some)
            made[kind] = fitted.plain()
    about = {
        "by": "scripts/train/confidence.py", "components": given.components,
        "worlds": given.worlds, "first_seed": given.seed, "cells_and_false_ones": counts,
    }  # fmt: skip
    given.out.write_text(_written({"format": FORMAT, "made": about}, made), encoding="utf-8")


def _written(head: dict[str, Any], kinds: dict[str, Any]) -> str:
    """The file: a line a term, so that a change of one weight is a change of one line."""
    rows = [f' "{name}": {json.dumps(value)}' for name, value in head.items()]
    told = []
    for name, kind in sorted(kinds.items()):
        terms = [f'   "{term}": {json.dumps(pair)}' for term, pair in sorted(kind["weights"].items())]
        inner = ",\n".join(terms)
        told.append(f'  "{name}": {{"start": {kind["start"]}, "weights": {{\n{inner}\n  }}}}')
    kinds_text = ",\n".join(told)
    return "{\n" + ",\n".join([*rows, f' "kinds": {{\n{kinds_text}\n }}']) + "\n}\n"


def _kept(folder: Path | None, one: tuple[int, str, int]) -> list[Case]:
    """The cases of a world, kept from an earlier run where a folder is given."""
    file = folder / "{}-{}-{}.pickle.gz".format(*one) if folder else None
    if file is not None and file.exists():
        return pickle.loads(gzip.decompress(file.read_bytes()))  # noqa: S301 - our own file
    cases = cases_of(*one)
    if file is not None:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(gzip.compress(pickle.dumps(cases), 1))
    return cases


if __name__ == "__main__":
    main()
