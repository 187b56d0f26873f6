"""Joining the two ledgers: lines of both sides joined rightly, beside simpler ways to join them.

    ./scripts/bench ledgers     (python scripts/bench_parts/ledgers.py --components 300 for larger worlds)

*jointly* is the program; *best first* takes the same weights, the greatest first, as long as neither line is
taken; *text alike* joins what rapidfuzz finds most alike as text (both names, both dates, the miles, dittos
written out), best first, from 80 of 100 on. A pair is right if both lines tell of one true fitment.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT / "scripts" / "bench_parts")]

import numpy as np  # noqa: E402
from rapidfuzz import fuzz, process  # noqa: E402
from reconciling import HANDS, load, write  # noqa: E402

from numbertaker.evidence.decisions import follow  # noqa: E402
from numbertaker.reconciling import DEFAULT, SHIPPED, begun  # noqa: E402
from numbertaker.reconciling.claims import read_lines  # noqa: E402
from numbertaker.reconciling.entries import Entry, Rank  # noqa: E402
from numbertaker.reconciling.headings import link_headings  # noqa: E402
from numbertaker.reconciling.pairing import Pairs, pair_sides  # noqa: E402

ALIKE = 80.0
Places = list[tuple[Rank, Rank]]


def read(package: Path) -> Pairs:
    """The lines of a package, read, headed, and weighed against one another."""
    draft = begun(follow(load(package)), DEFAULT, SHIPPED)
    for step in (read_lines, link_headings, pair_sides):
        step(draft)
    if draft.pairs is None:
        raise AssertionError("pairing keeps its pairs")
    return draft.pairs


def jointly(pairs: Pairs) -> Places:
    """The program's own choice."""
    found = [(entry.rank, pairs.together(entry)[1]) for entry in pairs.own.lines.values()]
    return [(rank, mirror.rank) for rank, mirror in found if mirror is not None]


def best_first(pairs: Pairs) -> Places:
    """The same weights, the greatest first."""
    return _greedily((edge.weight, edge.one, edge.other) for edge in pairs.edges())


def text_alike(pairs: Pairs) -> Places:
    """Only the likeness of what is written."""
    own, mirror = (sorted(side.lines.items()) for side in (pairs.own, pairs.mirror))
    if not own or not mirror:
        return []
    texts = [[_text(entry) for _, entry in side] for side in (own, mirror)]
    like = process.cdist(*texts, scorer=fuzz.ratio, score_cutoff=ALIKE)
    return _greedily((float(like[a, b]), own[a][0], mirror[b][0]) for a, b in np.argwhere(like > 0))


WAYS: tuple[tuple[str, Callable[[Pairs], Places]], ...] = (
    ("jointly", jointly),
    ("best first", best_first),
    ("text alike", text_alike),
)


def _text(entry: Entry) -> str:
    heading = "".join(c for c in entry.line.heading or entry.line.heading_name if c.isalnum())
    engine = entry.engine.bare if entry.engine else ""
    component = entry.component.bare if entry.component else ""
    names = (heading, engine) if entry.side == "component" else (component, heading)
    dates = (entry.fitted.edtf if entry.fitted else "", entry.removed.edtf if entry.removed else "")
    return " ".join((*names, *dates, str(entry.miles.value) if entry.miles else ""))


def _greedily(edges: Iterable[tuple[float, Rank, Rank]]) -> Places:
    ones: set[Rank] = set()
    others: set[Rank] = set()
    chosen: Places = []
    for _, one, other in sorted(edges, key=lambda edge: (-edge[0], edge[1], edge[2])):
        if one not in ones and other not in others:
            ones.add(one)
            others.add(other)
            chosen.append((one, other))
    return chosen


def counted(pairs: Pairs, places: Places, truth: dict[str, Any]) -> tuple[int, int, int]:
    """Pairs that are right, pairs made, and pairs that could have been made."""
    own, mirror = (
        {rank: truth["lines"][entry.id][2] for rank, entry in side.lines.items()}
        for side in (pairs.own, pairs.mirror)
    )
    right = sum(own[a] is not None and own[a] == mirror[b] for a, b in places)
    return right, len(places), len({f for f in own.values() if f} & {f for f in mirror.values() if f})


def main(argv: Sequence[str] | None = None) -> int:
    """Print how many lines each way joins rightly, over worlds of both generators."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--components", type=int, default=60)
    parser.add_argument("--seeds", type=int, default=2, help="how many worlds of each profile")
    parser.add_argument("--first-seed", type=int, default=1)
    given = parser.parse_args(argv)
    print(f"{'worlds':18}{'way':12}{'right':>7}{'wrong':>7}{'missed':>8}{'F1':>9}")
    for hand in HANDS:
        for profile in ("typical", "hard"):
            sums = {name: [0, 0, 0] for name, _ in WAYS}
            for seed in range(given.first_seed, given.first_seed + given.seeds):
                with tempfile.TemporaryDirectory() as name:
                    write(hand, profile, seed, given.components, Path(name))
                    truth = json.loads((Path(name) / "truth.json").read_text(encoding="utf-8"))
                    pairs = read(Path(name) / "package")
                for way, join in WAYS:
                    found = counted(pairs, join(pairs), truth)
                    sums[way] = [a + b for a, b in zip(sums[way], found, strict=True)]
            for way, (right, made, there) in sums.items():
                score = 2 * right / max(1, made + there)
                head = f"{hand} {profile}"
                print(f"{head:18}{way:12}{right:>7}{made - right:>7}{there - right:>8}{score:>9.4f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
