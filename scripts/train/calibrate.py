"""Learn how far a cell can be trusted, from cards read whole, and write the weights that the reader has.

Cards are drawn with faces that nothing was trained on (`whole_cards.py`), read as a user's would be, and each
cell's traits (`numbertaker.reading.cell_traits`) kept beside whether all of it is right. Trees of few
questions are grown on that (gradient boosting: Friedman, 2001), rising in every trait in which they ought to;
what they say of forms left out becomes honest by a rising line (isotonic regression: Zadrozny and Elkan,
2002).
"""

# ruff: noqa: E402 (the threads of numpy are counted when it is imported)
from __future__ import annotations

import argparse
import itertools
import json
import multiprocessing
import os
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
ROOT: Final = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / part) for part in ("backend", "scripts", "scripts/bench_parts", "scripts/train")]

import numpy as np
import numpy.typing as npt

Pair = tuple[float, bool]
PRIOR: Final = 0.5
"""Cells, half of them wrong, that are added to each step: what was counted never says 'always'."""
RISING: Final = frozenset({"table", "edge", "seen", "margin", "fits", "card", "column", "shape"})
"""The more of these, the likelier a cell is right."""
SURE: Final = 0.98


@dataclass(frozen=True, slots=True)
class Case:
    """A cell as read: its traits, whether it is right, and where it comes from."""

    row: tuple[float, ...]
    right: bool
    who: str
    level: str
    form: str
    face: str


class Told(float):
    """A confidence that remembers what it was made from."""

    row: tuple[float, ...]

    @classmethod
    def of(cls, traits: Any) -> Told:
        from numbertaker.reading.cell_traits import row_of

        told = cls(0.75)  # neither sure nor so doubtful that a ditto would be called blank
        told.row = tuple(float(x) for x in row_of(traits))
        return told


def cases_of(path: Path, entry: dict[str, Any], reader: Any) -> tuple[list[Case], list[tuple[str, Pair]]]:
    """The cells of one card as read, and the readings of its heading."""
    from cells import class_of, line_at

    from numbertaker.reading import confidence
    from numbertaker.reading.card import read_picture
    from numbertaker.reading.pages import open_page

    confidence.of_cell, confidence.of_heading = Told.of, lambda kind, p: p
    card = read_picture(open_page(path.read_bytes(), 1, name=path.name), None, reader)[0]
    lines = {"lines": [_as_seen(line) for line in card.lines]}
    rows: dict[int, list[dict[str, Any]]] = defaultdict(list)
    heads = []
    for cell in entry["cells"]:
        if cell["row"] > 0 and cell["field"] != "runs":
            rows[cell["row"]].append(cell)
        elif cell["field"] in card.heading:
            got = card.heading[cell["field"]]
            kind = "number" if cell["field"] == "heading" else "name"
            heads.append((kind, (float(got.confidence), got.text == cell["text"])))
    out = []
    about = ("hand" if entry["hand"] else "typed", entry["level"], entry["kind"], entry["face"])
    for cells in rows.values():
        line = line_at(lines, cells)
        for cell in cells if line else ():
            got = line["cells"].get(cell["field"])
            if got and isinstance(got["confidence"], Told):
                true = class_of(cell["text"], cell.get("mark", ""))
                same = true == class_of(got["text"], line["marks"].get(cell["field"], ""))
                right = same and (true in ("ditto", "blank") or got["text"] == cell["text"])
                out.append(Case(got["confidence"].row, right, *about))
    return out, heads


def _as_seen(line: Any) -> dict[str, Any]:
    cells = {
        name: {"text": c.text, "confidence": c.confidence, "box": c.box} for name, c in line.cells.items()
    }
    return {"cells": cells, "marks": line.marks}


_READER: list[Any] = []


def _drawn_and_read(task: tuple[int, int, int]) -> tuple[list[Case], list[tuple[str, Pair]]]:
    """Draw one card and read it: of a seed, with so many of each form and level, the `number`th."""
    import cv2
    import whole_cards
    from cards.faces import Faces

    from numbertaker.reading.recognisers import choose

    cv2.setNumThreads(1)
    seed, each, number = task
    _READER[:] = _READER or [choose()]
    plan = list(whole_cards.plans(each))[number]
    with tempfile.TemporaryDirectory() as folder:
        faces = Faces(ROOT / "out" / "cards" / "faces")
        entry = whole_cards.CalibratingDrawer("seen", faces, Path(folder), seed).draw(plan)[0]
        return cases_of(Path(folder) / entry["scan"], entry, _READER[0])


def collected(asked: argparse.Namespace) -> tuple[list[Case], list[tuple[str, Pair]]]:
    """Cases from cards drawn by several workers, as many as come in the time allowed."""
    import whole_cards

    plans = len(list(whole_cards.plans(asked.each)))
    tasks = [(seed, asked.each, n) for seed in asked.seeds for n in range(plans)]
    cases, heads, began = list[Case](), list[tuple[str, Pair]](), time.monotonic()
    # a card of every form before the second of any, wherever the time runs out
    tasks.sort(key=lambda task: (task[0], task[2] % 7, task[2]))
    with multiprocessing.get_context("spawn").Pool(asked.workers) as pool:
        for more, told in pool.imap_unordered(_drawn_and_read, tasks):
            cases += more
            heads += told
            if time.monotonic() - began > asked.seconds:
                pool.terminate()
                break
    return cases, heads


def keep(path: Path, cases: Sequence[Case], heads: Sequence[tuple[str, Pair]]) -> None:
    """Write cases and headings to a file."""
    np.savez_compressed(
        path,
        rows=np.array([c.row for c in cases], np.float32),
        right=np.array([c.right for c in cases]),
        about=np.array([(c.who, c.level, c.form, c.face) for c in cases]),
        heads=np.array([(kind, str(p), str(int(right))) for kind, (p, right) in heads]),
    )


def kept(paths: Sequence[Path]) -> tuple[Any, Any, Any, list[tuple[str, Pair]]]:
    """Rows, rights, about and headings out of files."""
    files = [np.load(path) for path in paths]
    rows, right, about = (np.concatenate([f[name] for f in files]) for name in ("rows", "right", "about"))
    heads = [(str(k), (float(p), r == "1")) for f in files for k, p, r in f["heads"]]
    return rows, right, about, heads


def grown(rows: Any, right: Any) -> Any:
    """Trees for cases."""
    from sklearn.ensemble import HistGradientBoostingClassifier

    from numbertaker.reading.cell_traits import NAMES

    model = HistGradientBoostingClassifier(
        learning_rate=0.08, max_iter=140, max_leaf_nodes=12, min_samples_leaf=40, l2_regularization=2.0,
        monotonic_cst=[int(name in RISING) for name in NAMES], early_stopping=False, random_state=1,
    )  # fmt: skip
    return model.fit(rows, right)


def trees_of(model: Any) -> list[dict[str, Any]]:
    """The model's trees as lists of nodes; the first says how often cells are right at all."""
    start = float(model._baseline_prediction.ravel()[0])
    out = [{"trait": [0], "bound": [0.0], "low": [0], "high": [0], "says": [round(start, 4)]}]
    for (tree,) in model._predictors:
        nodes = tree.nodes
        leaf = nodes["is_leaf"] == 1
        out.append({
            "trait": np.where(leaf, 0, nodes["feature_idx"]).tolist(),
            "bound": [round(float(x), 5) for x in np.where(leaf, 0, nodes["num_threshold"])],
            "low": np.where(leaf, 0, nodes["left"]).tolist(),
            "high": np.where(leaf, 0, nodes["right"]).tolist(),
            "says": [round(float(x), 5) for x in np.where(leaf, nodes["value"], 0)],
        })  # fmt: skip
    return out


def left_out(rows: Any, right: Any, groups: Any, parts: int = 5) -> npt.NDArray[np.float64]:
    """What trees say of each case that grew without its group (its form, or its face)."""
    names = sorted(set(groups))
    part = np.array([names.index(g) % parts for g in groups])
    said = np.zeros(len(rows))
    for k in range(parts):
        model = grown(rows[part != k], right[part != k])
        said[part == k] = model.predict_proba(rows[part == k])[:, 1]
    return said


def curve_of(pairs: Sequence[Pair]) -> dict[str, Any]:
    """A rising line through what was counted (isotonic regression), as points at the middle of its steps."""
    from sklearn.isotonic import IsotonicRegression

    from numbertaker.reading.confidence import logit

    x, y = np.array([logit(p) for p, _ in pairs]), np.array([right for _, right in pairs], float)
    fitted = IsotonicRegression(out_of_bounds="clip").fit_transform(x, y)
    points = list[tuple[float, float]]()
    for value in np.unique(fitted):
        there = fitted == value
        share = (y[there].sum() + PRIOR / 2) / (there.sum() + PRIOR)
        points.append((round(float(x[there].mean()), 4), round(float(share), 5)))
    rising = [points[0]]
    for at, share in points[1:]:
        if at > rising[-1][0]:
            rising.append((at, max(share, rising[-1][1])))
    return {"points": rising, "cells": len(pairs), "right": int(y.sum())}


def at_curve(curve: dict[str, Any], said: Any) -> npt.NDArray[np.float64]:
    """What the curve makes of what was said."""
    from numbertaker.reading.confidence import Curve

    line = Curve(tuple(curve["points"]), curve["cells"])
    return np.array([line.at(float(p)) for p in said])


def tell(name: str, p: Any, right: Any, about: Any) -> None:
    """Print how honest confidences are, and how many are sure."""
    from cells import calibration_error

    error = calibration_error(list(zip(p.tolist(), right.tolist(), strict=True)))
    print(f"{name}: calibration error {error:.4f}")
    for who, level in itertools.product(("typed", "hand"), ("clean", "worn", "poor", "photo")):
        there = (about[:, 0] == who) & (about[:, 1] == level)
        if there.any():
            sure = there & (p >= SURE)
            error = calibration_error(list(zip(p[there].tolist(), right[there].tolist(), strict=True)))
            print(
                f"  {who:6} {level:6} {there.sum():6} cells, {100 * right[there].mean():6.2f} % right; sure "
                f"{100 * sure.sum() / there.sum():5.1f} %, of them right {100 * right[sure].mean():6.2f} % "
                f"({(~right[sure]).sum()} wrong); calibration error {error:.4f}"
            )


def fitted(files: Sequence[Path], out: Path, reader: str) -> None:
    """Fit on kept cases, say what forms and faces left out make of it, and write the weights."""
    from numbertaker.reading.cell_traits import NAMES

    rows, right, about, heads = kept(files)
    for name, column in (("faces left out", 3), ("forms left out", 2)):
        said = left_out(rows, right, about[:, column])
        honest = at_curve(curve_of(list(zip(said.tolist(), right.tolist(), strict=True))), said)
        tell(name, honest, right, about)
    told = {
        "version": 2,
        "made_on": f"{len(rows)} cells of cards in faces that nothing was trained on (whole_cards.py)",
        "reader": reader,
        "traits": list(NAMES),
        "headings": {
            kind: curve_of([pair for k, pair in heads if k == kind]) for kind in sorted({k for k, _ in heads})
        },
        "curve": curve_of(list(zip(said.tolist(), right.tolist(), strict=True))),
        "trees": trees_of(grown(rows, right)),
    }
    out.write_text(_written(told), encoding="utf-8")


def _written(told: dict[str, Any]) -> str:
    """As JSON, a line for each tree and curve."""
    trees = ",\n  ".join(json.dumps(tree) for tree in told.pop("trees"))
    head = json.dumps(told, indent=1)
    return f'{head[:-2]},\n "trees": [\n  {trees}\n ]\n}}\n'


def main(argv: Sequence[str] | None = None) -> int:
    """Collect cases, or fit on kept ones, or both."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=Path, nargs="+", default=[ROOT / "out" / "cases.npz"])
    parser.add_argument("--collect", action="store_true", help="read cards into the first of the files")
    parser.add_argument("--fit", action="store_true", help="fit on the files of cases, and write the weights")
    parser.add_argument("--seeds", type=int, nargs="+", default=[1])
    parser.add_argument("--each", type=int, default=3, help="cards of each form and level")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--seconds", type=float, default=1e9, help="take no more cards after so long")
    parser.add_argument("--out", type=Path, default=ROOT / "backend/numbertaker/reading/confidence.json")
    asked = parser.parse_args(argv)
    if asked.collect:
        cases, heads = collected(asked)
        keep(asked.cases[0], cases, heads)
        right, forms = sum(case.right for case in cases), {case.form for case in cases}
        print(f"{len(cases)} cells, {right} right, of {len(forms)} forms")
    if asked.fit:
        from numbertaker.reading.recognisers import choose

        fitted(asked.cases, asked.out, choose().name)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
