"""Count how often cells of each confidence are right, and write the curves that the reader ships with.

Readings are counted on cells cut out by their true boxes (the developing half of the bench's cards) and on
renderings of faces that the recogniser was not trained on; dittos, blanks, strokes and how far a table's
word is to be trusted on the cards as read.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

ROOT: Final = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / part) for part in ("backend", "scripts", "scripts/bench_parts", "scripts/train")]

Pair = tuple[float, bool]
SURELY: Final = 0.95
"""Cells that are read right with this probability or more tell how often cells are in their place."""
PRIOR: Final = 0.5
"""Cells, half of them wrong, that are added to each step: what was counted never says 'always'."""


class Told(float):
    """A confidence that remembers what it was made from: what kind of cell, its probability and the table's
    trust."""

    parts: tuple[str, float, float]

    @classmethod
    def of(cls, what: str, p: float, g: float) -> Told:
        told = cls(p)
        told.parts = (what, p, g)
        return told


def readings_by_true_boxes(folder: Path, reader: Any) -> Iterator[tuple[str, Pair]]:
    """Kind of field, and probability with whether it is right, of plain cells cut out where they truly
    are."""
    import numpy as np
    from cards.making import cards_in

    from numbertaker.reading.crops import cut_out, grown
    from numbertaker.reading.fields import kind_of, weigh
    from numbertaker.reading.geometry import carry, lay_flat
    from numbertaker.reading.marks import Box
    from numbertaker.reading.pages import open_page
    from numbertaker.reading.recognisers import Crop
    from numbertaker.reading.strikes import told

    for path, entries in cards_in(folder):
        if len(entries) != 1 or entries[0]["case"] != "scan":
            continue
        scan = open_page(path.read_bytes(), 1, name=path.name)
        plane = lay_flat(scan)
        cells = (
            [c for c in entries[0]["cells"] if c["text"] and c["row"] > 0 and not c.get("mark")]
            if plane
            else []
        )
        crops, kept = [], []
        for cell in cells:
            x, y, w, h = cell["box"]
            quad = carry(plane.to_flat, np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h]], float))
            (left, top), (right, bottom) = quad.min(axis=0), quad.max(axis=0)
            cap = plane.letters.cap
            if cell["field"] != "runs" and bottom - top < 2.2 * cap:
                box = grown(Box(left, top, right, bottom), 0.39 * cap, 0.28 * cap)
                crops.append(Crop(cut_out(scan, plane, box)))
                kept.append(cell)
        for cell, reading in zip(kept, reader.read(crops), strict=True):
            kind = kind_of(cell["field"])
            best = weigh(told(reading).plain, kind)
            yield kind, (best.confidence, best.text == cell["text"])


def readings_of_renderings(count: int, reader: Any) -> Iterator[tuple[str, Pair]]:
    """The same of renderings of faces that were held out."""
    import samples

    from numbertaker.reading.fields import weigh
    from numbertaker.reading.recognisers import Crop
    from numbertaker.reading.strikes import told

    source = samples.Source(424_242, held_out=True)
    drawn = [
        source.draw(kind=kind)
        for kind in ("number", "figure", "date", "name", "remark")
        for _ in range(count)
    ]
    kinds: dict[str, Any] = {"remark": "words"}
    for sample, reading in zip(drawn, reader.read([Crop(s.picture) for s in drawn]), strict=True):
        kind = kinds.get(sample.kind, sample.kind)
        best = weigh(told(reading).plain, kind)
        yield kind, (best.confidence, best.text == sample.says)


def cells_as_read(folder: Path, reader: Any) -> Iterator[tuple[str, float, float, bool]]:
    """What a cell was told to be, how surely, the table's trust, and whether all of it is right."""
    from cards.making import cards_in
    from cells import class_of, line_at

    from numbertaker.reading import confidence
    from numbertaker.reading.card import read_picture
    from numbertaker.reading.pages import open_page

    confidence.of_cell = Told.of
    for path, entries in cards_in(folder):
        if len(entries) != 1 or entries[0]["case"] in ("nothing", "halved"):
            continue
        card = read_picture(open_page(path.read_bytes(), 1, name=path.name), None, reader)[0]
        seen = {"lines": [_as_seen(line) for line in card.lines]}
        rows: dict[int, list[dict[str, Any]]] = defaultdict(list)
        for cell in entries[0]["cells"]:
            if cell["row"] > 0 and cell["field"] != "runs":
                rows[cell["row"]].append(cell)
        for cells in rows.values():
            line = line_at(seen, cells)
            for cell in cells if line else ():
                got = line["cells"].get(cell["field"])
                if got and isinstance(got["confidence"], Told):
                    true = class_of(cell["text"], cell.get("mark", ""))
                    same = true == class_of(got["text"], line["marks"].get(cell["field"], ""))
                    right = same and (true in ("ditto", "blank") or got["text"] == cell["text"])
                    yield (*got["confidence"].parts, right)


def _as_seen(line: Any) -> dict[str, Any]:
    cells = {
        name: {"text": c.text, "confidence": c.confidence, "box": c.box} for name, c in line.cells.items()
    }
    return {"cells": cells, "marks": line.marks}


def curve_of(pairs: Sequence[Pair]) -> dict[str, Any]:
    """A rising line through what was counted (isotonic regression), as points at the middle of its steps."""
    import numpy as np
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


def curves_as_read(told: Sequence[tuple[str, float, float, bool]], made: dict[str, Any]) -> dict[str, Any]:
    """The curves of marks and of places, from cells as read and the curves of readings."""
    from numbertaker.reading.confidence import PLACE, Curve

    pairs: dict[str, list[Pair]] = defaultdict(list)
    for what, p, g, right in told:
        if what not in PLACE:
            pairs[what].append((g if what == "blank" else p, right))
        elif Curve(tuple(made[what]["points"])).at(p) > SURELY:  # if it is wrong, it stood elsewhere
            pairs[PLACE[what]].append((g, right))
    return {name: curve_of(counted) for name, counted in sorted(pairs.items())}


def main(argv: Sequence[str] | None = None) -> int:
    """Count, and write the curves."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--cards", type=Path, default=ROOT / "out" / "cards", help="where the bench's cards are drawn"
    )
    parser.add_argument("--renderings", type=int, default=250, help="of each kind of field")
    parser.add_argument("--out", type=Path, default=ROOT / "backend/numbertaker/reading/confidence.json")
    asked = parser.parse_args(argv)
    import cv2
    from cards.making import make_cards

    from numbertaker.reading.recognisers import choose

    cv2.setNumThreads(1)
    folder, reader = make_cards("seen", asked.cards), choose()
    texts: dict[str, list[Pair]] = defaultdict(list)
    for kind, pair in (
        *readings_by_true_boxes(folder, reader),
        *readings_of_renderings(asked.renderings, reader),
    ):
        texts[kind].append(pair)
    made = {kind: curve_of(pairs) for kind, pairs in sorted(texts.items())}
    made |= curves_as_read(list(cells_as_read(folder, reader)), made)
    text = {
        "version": 1,
        "made_on": "the bench's seen cards and renderings of held-out faces",
        "reader": reader.name,
        "curves": made,
    }
    asked.out.write_text(json.dumps(text, indent=1) + "\n", encoding="utf-8")
    for name, curve in made.items():
        print(f"{name:8} {curve['cells']:5} cells, {curve['right']} right, top {curve['points'][-1]}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
