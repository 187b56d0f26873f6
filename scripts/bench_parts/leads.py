"""Leads: is the true engine among the first three of a gap, beside 'fits, slot free, nearest in class'?

    .venv/bin/python scripts/bench_parts/leads.py [WORLD…]

A world is a folder with `package` and `truth.json`; without any, worlds of both generators are made. A gap is
time between two fitments of a history in which a true fitment lies that the history has not. The other column
is what a patient reader would do: of the engines that fit and whose slot is free all the time, those of the
class that had the component before, the nearest numbers first. So that there is something to count, all lines
of some fitments are taken out first.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from random import Random
from time import process_time
from typing import Any, TypeAlias

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "backend"))

sys.path.insert(0, str(Path(__file__).resolve().parent))

from reconciling import HANDS, load, write

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import Evidence
from numbertaker.reconciling import learn, reconcile
from numbertaker.reconciling.leads.gaps import Gap, Leads
from numbertaker.reconciling.leads.slots import Slots

FIRST = 3
LOST = 0.06
SEED, COMPONENTS = 230, 150
Json: TypeAlias = dict[str, Any]


@dataclass(slots=True)
class Tally:
    """How often a true engine was among the first few."""

    asked: int = 0
    ours: int = 0
    theirs: int = 0
    gaps: int = 0
    seconds: float = 0.0

    def __str__(self) -> str:
        """One line of the table."""
        missed, other = self.asked - self.ours, self.asked - self.theirs
        return (
            f"{self.asked} true engines in {self.gaps} gaps; among the first {FIRST}: leads {self.ours},"
            f" nearest in class {self.theirs}; misses {missed} against {other}"
            f" ({missed / other if other else 0:.2f}); {1000 * self.seconds / max(1, self.gaps):.0f} ms a gap"
        )


def nearest_in_class(slots: Slots, gap: Gap) -> list[str]:
    """Engines that fit, with a free slot, of the class before; nearest numbers first."""
    index, kind = slots.index, slots.kind(gap.component_id)
    before = gap.before.engine_id
    own = set(index.classes_at(before, int(gap.first), int(gap.last)))

    def number(engine: str) -> int:
        digits = "".join(c for c in index.label(engine, int(gap.first)) if c.isdigit())
        return int(digits) if digits else 0

    free = [
        engine
        for engine in index.engines
        if index.fits(gap.component_id, engine, int(gap.first), int(gap.last))
        and any(h.first <= gap.first + 200 and gap.last - 200 <= h.last for h in slots.holes(engine, kind))
    ]
    return sorted(
        free,
        key=lambda e: (
            not own & set(index.classes_at(e, int(gap.first), int(gap.last))),
            abs(number(e) - number(before)),
            e,
        ),
    )


def with_losses(evidence: Evidence, truth: Json, seed: str) -> Evidence:
    """The evidence without any line of some fitments: what was lost on both sides and was never copied."""
    rng = Random(seed)
    of_line = {line: row[2] for line, row in truth["lines"].items() if row[2]}
    gone = {fitment for fitment in sorted(set(of_line.values())) if rng.random() < LOST}
    return replace(
        evidence, lines=tuple(row for row in evidence.lines if of_line.get(row.line_id) not in gone)
    )


def measure(world: Path, tally: Tally) -> None:
    """Add one world's gaps to the tally."""
    told = json.loads((world / "truth.json").read_text(encoding="utf-8"))
    ruled = follow(with_losses(load(world / "package"), told, world.name))
    history = reconcile(ruled, learnt=(learnt := learn(ruled)))
    truth: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
    for f in told["fitments"]:
        days = date.fromisoformat(f["fitted"]).toordinal(), date.fromisoformat(f["removed"]).toordinal()
        truth[f["component"]].append((*days, f["engine"]))
    leads = Leads(history, ruled, learnt)
    for component, gaps in leads.gaps.items():
        for gap in gaps:
            missing = [e for a, b, e in truth[component] if gap.first - 60 <= a and b <= gap.last + 60]
            if not missing:
                continue
            start = process_time()
            ours = [lead.engine_id for lead in leads.engines(gap)][:FIRST]
            tally.seconds += process_time() - start
            theirs = nearest_in_class(leads.slots, gap)[:FIRST]
            tally.gaps += 1
            for engine in missing:
                tally.asked += 1
                tally.ours += engine in ours
                tally.theirs += engine in theirs


def main() -> None:
    """Measure every world named, or some of our own, and all together."""
    every = Tally()
    with tempfile.TemporaryDirectory() as folder:
        for world in [Path(name) for name in sys.argv[1:]] or made(Path(folder)):
            tally = Tally()
            measure(world, tally)
            print(f"{world.name}: {tally}")
            for part in ("asked", "ours", "theirs", "gaps", "seconds"):
                setattr(every, part, getattr(every, part) + getattr(tally, part))
    print(f"all: {every}")


def made(folder: Path) -> list[Path]:
    """A typical and a hard world of each generator."""
    worlds = []
    for hand in HANDS:
        for profile in ("typical", "hard"):
            worlds.append(folder / f"{hand}-{profile}")
            write(hand, profile, SEED, COMPONENTS, worlds[-1])
    return worlds


if __name__ == "__main__":
    main()
