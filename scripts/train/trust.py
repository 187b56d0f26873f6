"""Fit what each witness of a table weighs, and measure how well the sum tells tables that are wholly right.

Tables are found on the cards to develop on (the bench's seen and wide forms) and on harder copies of them,
fainter and coarser, since few are wrong as they come. Each form is left out once: weights fitted on all
others are asked about it, and what is said of all forms together is the figure that counts. The weights that
are shipped are fitted on all.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import sys
import zlib
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final, TypeAlias

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
ROOT: Final = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / part) for part in ("backend", "scripts", "scripts/bench_parts")]

DRAWN: Final = 30.0
"""How strongly weights are drawn to what was believed of them before any table was seen (L2, in units of a
witness's own spread)."""
BELIEVED, BELIEVED_OF_STRONG = 0.5, 2.0
STRONG: Final = (
    "aligned", "cells_together", "headed", "none_lost", "titles_inside", "titles_together", "whole_titles",
    "written",
)  # fmt: skip
"""Witnesses that hardly ever doubt a table that is right: few tables can tell what they are worth."""
SETS: Final = (
    ("seen", 0, False),
    ("wide", 0, False),
    ("wide", 1, False),
    ("wide", 0, True),
    ("seen", 0, True),
)
"""Half, seed, and whether the cards are made harder."""


def harder(scan: Any, name: str, *, poor: bool) -> Any:
    """A scan that is coarser, fainter and noisier; always the same one for a name."""
    import cv2
    import numpy as np

    rng = np.random.default_rng(zlib.crc32(name.encode()))
    scale = rng.uniform(0.8, 1.0) if poor else rng.uniform(0.6, 0.85)
    small = cv2.resize(scan, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), rng.uniform(0.4, 1.0)).astype(np.float32)
    paper = np.percentile(small.reshape(-1, 3)[::50], 70, axis=0)
    small = paper - (paper - small) * rng.uniform(0.45, 1.0)
    small += rng.normal(0, rng.uniform(3, 9), small.shape[:2])[..., None]
    _, filed = cv2.imencode(".jpg", np.clip(small, 0, 255).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, 50])
    size = (scan.shape[1], scan.shape[0])
    return cv2.resize(cv2.imdecode(filed, cv2.IMREAD_COLOR), size, interpolation=cv2.INTER_LINEAR)


Picture: TypeAlias = tuple[Path, list[dict[str, Any]], bool]
"""A picture, the cards on it, and whether it is made harder."""


def pictures(cards: Path) -> list[Picture]:
    """The pictures of all sets that have a card with ink, drawn where they are not there yet."""
    from cards.making import cards_in, make_cards
    from cards.measure import inked

    folders = [(make_cards(half, cards, seed), hard) for half, seed, hard in SETS]
    return [
        (path, entries, hard)
        for folder, hard in folders
        for path, entries in cards_in(folder)
        if any(inked(entry) for entry in entries)
    ]


def tables(picture: Picture) -> list[dict[str, Any]]:
    """Each table that was found where a card is: its form, its witnesses, whether it is wholly right."""
    from cards.measure import compare
    from tables import best_grid, grid_of

    from numbertaker.reading.finding import tables_of
    from numbertaker.reading.pages import open_page
    from numbertaker.reading.table import Table

    path, entries, hard = picture
    scan = open_page(path.read_bytes(), 1, name=path.name)
    if hard:
        scan = harder(scan, path.name, poor=entries[0]["level"] == "poor")
    found = tables_of(scan, _reader())
    grids = [grid_of(desk, table) for desk, table in found]
    told = []
    for entry in entries:
        grid, _ = best_grid(entry, grids, found)
        table = next((t for g, (_, t) in zip(grids, found, strict=True) if g is grid and g), None)
        if isinstance(table, Table) and table.seen:
            told.append(
                {
                    "form": entry["kind"],
                    "card": f"{path.parent.parent.name}/{path.name}",
                    "hard": hard,
                    "seen": dict(table.seen),
                    "whole": compare(entry, grid).whole,
                }
            )
    return told


@cache
def _reader() -> Any:
    """What reads titles, once a process."""
    import cv2

    from numbertaker.reading.recognisers import choose

    cv2.setNumThreads(1)
    return choose("general")


def fit(x: Any, y: Any, believed: Any) -> tuple[Any, float]:
    """Weights, none below 0, and offset: the likeliest under a normal prior round what was believed."""
    import numpy as np
    from scipy.optimize import minimize

    middle, spread = x.mean(axis=0), x.std(axis=0) + 0.05
    z, sign = (x - middle) / spread, np.where(y, 1.0, -1.0)

    def loss(w: Any) -> tuple[float, Any]:
        margin = sign * (z @ w[:-1] + w[-1])
        slope = -sign / (1 + np.exp(margin))
        off = w[:-1] - believed * spread
        gradient = np.append(z.T @ slope + DRAWN * off, slope.sum())
        return float(np.logaddexp(0, -margin).sum() + DRAWN * (off**2).sum() / 2), gradient

    bounds = [(0, None)] * x.shape[1] + [(None, None)]
    best = minimize(loss, np.zeros(x.shape[1] + 1), jac=True, method="L-BFGS-B", bounds=bounds).x
    weights = best[:-1] / spread
    return weights, float(best[-1] - (weights * middle).sum())


def left_out(x: Any, y: Any, forms: Any, believed: Any) -> Any:
    """For each table the log-odds that weights fitted on other forms give it."""
    import numpy as np

    out = np.zeros(len(y))
    for form in np.unique(forms):
        weights, offset = fit(x[forms != form], y[forms != form], believed)
        out[forms == form] = x[forms == form] @ weights + offset
    return out


def collected(cards: Path, workers: int) -> list[dict[str, Any]]:
    """The tables of all sets."""
    with multiprocessing.get_context("spawn").Pool(workers) as pool:
        return [told for some in pool.imap(tables, pictures(cards)) for told in some]


def main(argv: Sequence[str] | None = None) -> int:
    """Collect, measure, fit, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cards", type=Path, default=ROOT / "out" / "cards", help="where cards are drawn")
    parser.add_argument(
        "--keep", type=Path, help="a file for what was collected; read again where it is there"
    )
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--out", type=Path, default=ROOT / "backend/numbertaker/reading/trust.json")
    asked = parser.parse_args(argv)
    import numpy as np
    from cards.measure import auroc

    kept = asked.keep and asked.keep.exists()
    told = (
        json.loads(asked.keep.read_text(encoding="utf-8")) if kept else collected(asked.cards, asked.workers)
    )
    if asked.keep and not kept:
        asked.keep.write_text(json.dumps(told), encoding="utf-8")
    names = sorted(told[0]["seen"])
    x = np.array([[t["seen"][name] for name in names] for t in told])
    y, forms = np.array([t["whole"] for t in told]), np.array([t["form"] for t in told])
    believed = np.array([BELIEVED_OF_STRONG if name in STRONG else BELIEVED for name in names])
    odds = left_out(x, y, forms, believed)
    plain = [(float(o), bool(w)) for o, w, t in zip(odds, y, told, strict=True) if not t["hard"]]
    every = auroc([(float(o), bool(w)) for o, w in zip(odds, y, strict=True)])
    weights, offset = fit(x, y, believed)
    told_of = {
        "version": 1,
        "made_on": "tables of the bench's seen and wide forms, and of harder copies of their cards",
        "tables": len(y),
        "wrong": int((~y).sum()),
        "left_out_forms_auroc": round(every, 3),
        "offset": round(offset, 3),
        "weights": {n: round(float(w), 3) for n, w in zip(names, weights, strict=True) if w > 0.005},
    }
    asked.out.write_text(json.dumps(told_of, indent=1) + "\n", encoding="utf-8")
    print(f"{len(y)} tables, {int((~y).sum())} of them wrong, {len(set(forms))} forms")
    print(f"forms left out: AUROC {every:.3f}; of cards as they come {auroc(plain):.3f} ({len(plain)})")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
