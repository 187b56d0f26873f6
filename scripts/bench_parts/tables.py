"""Finding tables on the bench's own cards: columns, rows, whole tables, by form and wear, and what it
costs.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT / "scripts"), str(ROOT / "scripts" / "bench_parts")]


class Words:
    """Reads words with the recogniser, and counts what that costs."""

    def __init__(self, recogniser: Any) -> None:
        self.recogniser, self.seconds = recogniser, 0.0

    def read(self, crops: Any) -> Any:
        """Read crops."""
        start = time.process_time()
        out = self.recogniser.read(crops)
        self.seconds += time.process_time() - start
        return out

    @property
    def name(self) -> str:
        """The recogniser's name."""
        return str(self.recogniser.name)


def main(argv: Sequence[str] | None = None) -> int:
    """Find the tables of a half of the bench's cards and print how many are right."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--half",
        choices=("seen", "wide", "unseen"),
        default="seen",
        help="'wide' are further forms to develop on; 'unseen' is for the last run only",
    )
    parser.add_argument("--out", type=Path, default=ROOT / "out" / "cards", help="where the cards are drawn")
    parser.add_argument("--seed", type=int, default=0, help="other cards of the same forms and faces")
    parser.add_argument("--only", default="", help="pictures whose name has this in it")
    parser.add_argument("--list", action="store_true", dest="listed", help="say what is wrong with each card")
    asked = parser.parse_args(argv)
    import cv2
    from cards.making import cards_in, make_cards

    from numbertaker.reading.recognisers import choose

    cv2.setNumThreads(1)
    folder = make_cards(asked.half, asked.out, asked.seed)
    tally = Tally()
    words = Words(choose("general"))
    for path, entries in cards_in(folder):
        if asked.only in path.name:
            tally.card(path, entries, words, asked.listed)
    tally.report()
    return 0


class Tally:
    """Counts by case, level and form."""

    def __init__(self) -> None:
        self.groups: dict[str, list[Any]] = defaultdict(list)
        self.scored: list[tuple[float, bool]] = []
        self.seconds: list[tuple[float, float]] = []
        self.nothing: list[str] = []

    def card(self, path: Path, entries: list[dict[str, Any]], words: Words, listed: bool) -> None:
        """Find the tables of one picture and hold them to its truth."""
        from cards.measure import compare, inked

        from numbertaker.reading.finding import tables_of
        from numbertaker.reading.pages import open_page

        scan = open_page(path.read_bytes(), 1, name=path.name)
        words.seconds, start = 0.0, time.process_time()
        found = tables_of(scan, words)
        whole = time.process_time() - start
        self.seconds.append((whole - words.seconds, words.seconds))
        grids = [grid_of(desk, table) for desk, table in found]
        if not any(inked(entry) for entry in entries):
            rows = sum(grid.rows for grid in grids if grid)
            self.nothing.append(f"{path.name}: {rows} rows found")
            return
        for entry in entries:
            grid, sure = best_grid(entry, grids, found)
            result = compare(entry, grid)
            self.scored.append((sure, result.whole))
            for key in {entry["case"], f"{entry['case']}/{entry['level']}", f"form {entry['kind']}", "all",
                        f"{entry['level']}/{'hand' if entry['hand'] else 'typed'}"}:  # fmt: skip
                self.groups[key].append(result)
            if listed and (not result.whole or result.named[0] < result.named[1]):
                what = "; ".join(result.wrong) or f"named {result.named}: {grid.fields if grid else ''}"
                how = f"{entry['ruling']:9} {'hand' if entry['hand'] else 'type'}"
                print(f"{path.name:28} {how} {sure:.2f} {what}", flush=True)

    def report(self) -> None:
        """Print the counts."""
        from cards.measure import auroc

        for key, results in sorted(self.groups.items()):
            sums = [
                (sum(getattr(r, what)[0] for r in results), sum(getattr(r, what)[1] for r in results))
                for what in ("columns", "rows", "cells", "named")
            ]
            shares = "  ".join(
                f"{what} {a:4}/{b:4} {100 * a / max(1, b):5.1f} %"
                for what, (a, b) in zip(("columns", "rows", "cells", "named"), sums, strict=True)
            )
            print(f"{key:16} whole {sum(r.whole for r in results):3}/{len(results):3}  {shares}")
        print(
            f"confidence of a table predicts 'wholly right': AUROC {auroc(self.scored):.3f} "
            f"over {len(self.scored)} tables"
        )
        for line in self.nothing:
            print("no card:", line)
        own = sorted(a for a, _ in self.seconds)
        print(
            f"table finding: median {own[len(own) // 2]:.2f} s, "
            f"mean {sum(own) / len(own):.2f} s of one core a picture, and "
            f"{sum(b for _, b in self.seconds) / len(own):.2f} s to read words"
        )


def grid_of(desk: Any, table: Any) -> Any:
    """A found table as the measure wants it; None where none was found."""
    import numpy as np
    from cards.measure import Grid

    from numbertaker.reading.geometry import carry
    from numbertaker.reading.ground import LIFT
    from numbertaker.reading.table import Table

    if not isinstance(table, Table):
        return None

    own = np.cumsum([not row.joins for row in table.rows]) - 1

    def at(box: Sequence[int]) -> tuple[int | None, int | None]:
        x, y = carry(desk.plane.to_flat, np.array([[box[0] + box[2] / 2, box[1] + box[3] / 2]]))[0]
        place = next(
            (i for i, r in enumerate(table.rows) if r.top <= y + LIFT * (r.bottom - r.top) < r.bottom), None
        )
        row = None if place is None else int(own[place])
        column = next((k for k, c in enumerate(table.columns) if c.left <= x < c.right), None)
        return row, column

    return Grid(at, int(own[-1]) + 1 if len(own) else 0, tuple(c.field for c in table.columns))


def best_grid(entry: dict[str, Any], grids: list[Any], found: list[Any]) -> tuple[Any, float]:
    """Of the tables on a picture the one in which most of a card's cells lie, and how sure it is."""
    from cards.measure import inked

    from numbertaker.reading.card import table_trust

    best, sure, most = None, 0.0, 0
    for grid, (_, table) in zip(grids, found, strict=True):
        if grid is None:
            continue
        inside = sum(None not in grid.at(c["box"]) for c in inked(entry))
        if inside > most:
            best, sure, most = grid, table_trust(table), inside
    return best, sure


if __name__ == "__main__":
    raise SystemExit(main())
