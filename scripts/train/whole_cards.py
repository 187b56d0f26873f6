"""Whole cards to calibrate on: the bench's seen and further forms, filled in with faces that nothing was
trained on (and that the bench does not keep unseen), columns shuffled at times, more struck out than by
clerks.
"""

# ruff: noqa: E402 (where the bench's own modules lie is said first)
from __future__ import annotations

import argparse
import json
import math
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any, Final

ROOT: Final = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / part) for part in ("backend", "scripts", "scripts/bench_parts", "scripts/train")]

import faces
from cards.faces import PRINTED, Faces
from cards.kinds import SEEN
from cards.kinds_wide import WIDE
from cards.making import SHIPPED, Drawer, Plan
from cards.texts import content

from corpus.hands import box_of
from corpus.kinds import Kind
from corpus.setting import Setting
from corpus.sheet import Box, Stroke

MADE: Final = "1"
STRUCK: Final = 0.02
"""How often a value is struck out, beside those that are anyhow."""
TYPED_OVER: Final = ("x", "X", "-", "=", "/")


def dev_faces(sort: faces.Sort) -> list[str]:
    """Faces held out of training that are none of the bench's unseen ones."""
    return [path.stem for path in faces.faces(sort, held_out=True) if path.stem not in faces.BENCH_UNSEEN]


class Struck(Setting):
    """Strikes out in every way that clerks and typists did."""

    def _strike(self, text: str, place: tuple[float, float, float], ink: float) -> Box:
        left, start, y = place
        at = max(left + 6, start - self.writer.wide(text) - 10)
        x, top, wide, high = box = box_of(self.writer.write(at, y, text, ink))
        rng = self.rng
        if not self.by_hand and rng.random() < 0.3:
            self.writer.write(at, y, rng.choice(TYPED_OVER) * len(text), ink * rng.uniform(0.8, 1.0))
            return box
        middle, far = top + high * rng.uniform(0.35, 0.62), rng.uniform(2, 9)
        slant = rng.gauss(0, 0.02) if rng.random() < 0.7 else rng.uniform(-0.15, 0.15)
        rise = max(-0.4 * high, min(0.4 * high, slant * wide))
        swing = high * rng.uniform(0.05, 0.2) if rng.random() < 0.25 else 0.0
        for k in range(2 if rng.random() < 0.2 else 1):
            points = []
            for n in range(25):
                t = n / 24
                level = middle + k * 0.25 * high + rise * (0.5 - t) + swing * math.sin(t * wide / high * 4)
                points.append((x - far + t * (wide + 2 * far), level))
            self.sheet.strokes.append(Stroke(tuple(points), rng.uniform(1.6, 6.0), rng.uniform(0.6, 1.0)))
        return box


class CalibratingDrawer(Drawer):
    """Draws with the faces held out."""

    def _setting(self, kind: Kind, rng: Random, plan: Plan) -> Setting:
        by_hand = rng.random() < 0.8 * kind.hand
        if kind.side != "statement" and rng.random() < 0.5:
            kind = replace(kind, columns=_shuffled(kind, rng))
        name = rng.choice(dev_faces("hand" if by_hand else "typed"))
        filled = content(kind, rng, rng.randint(6, 17))
        for line in filled.lines:
            for field in ("fitted", "removed", "miles", "engine", "place", "total_miles"):
                other = rng.choice(filled.lines).cells.get(field, "")
                plain = line.cells.get(field) and field not in line.marks and not line.runs
                if plain and other.strip('".do ') and rng.random() < STRUCK:
                    line.marks[field] = f"struck:{other}"
        printer = rng.choice((self.faces.path(PRINTED["seen"]), *SHIPPED))
        own = Faces(faces.FOLDER)
        return Struck(kind, filled, rng, (own.path(name), by_hand, printer))


def _shuffled(kind: Kind, rng: Random) -> tuple[Any, ...]:
    """The columns in another order, those of one group kept together, the remarks last."""
    groups: list[list[Any]] = []
    for column in kind.columns:
        if groups and column.group and groups[-1][-1].group == column.group:
            groups[-1].append(column)
        else:
            groups.append([column])
    last = [g for g in groups if g[0].field == "remarks"]
    first = [g for g in groups if g[0].field != "remarks"]
    rng.shuffle(first)
    return tuple(c for g in (*first, *last) for c in g)


def plans(each: int) -> Iterator[Plan]:
    """So many cards of each form and level, and a photograph of each form."""
    for kind in (*SEEN, *WIDE):
        for level in ("clean", "worn", "poor"):
            yield from (Plan(f"{kind.name}-{level}-{n}", "scan", level, (kind,)) for n in range(each))
        yield Plan(f"photo-{kind.name}", "photo", "photo", (kind,))


def make(out: Path, each: int, seed: int = 0) -> Path:
    """The folder with the cards, drawn if they are not there."""
    folder = out / f"calibrating-{seed}"
    stamp = folder / "made.txt"
    said = f"{MADE} {each}"
    if stamp.exists() and stamp.read_text(encoding="utf-8") == said:
        return folder
    (folder / "scans").mkdir(parents=True, exist_ok=True)
    drawer = CalibratingDrawer("seen", Faces(out / "faces"), folder / "scans", seed)
    entries = [entry for plan in plans(each) for entry in drawer.draw(plan)]
    (folder / "cells.json").write_text(json.dumps(entries), encoding="utf-8")
    stamp.write_text(said, encoding="utf-8")
    return folder


def main(argv: Sequence[str] | None = None) -> int:
    """Draw the cards."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=ROOT / "out" / "cards")
    parser.add_argument("--each", type=int, default=3)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args(argv)
    print(make(asked.out, asked.each, asked.seed))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
