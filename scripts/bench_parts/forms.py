"""Tables found with forms that were each learnt from one clean card: named, left to the program to choose,
and with the right one left out; beside the finder without forms, on the same cards.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT / "scripts"), str(ROOT / "scripts" / "bench_parts")]

from tables import Words, best_grid, grid_of  # noqa: E402 - its first lines hold libraries to one thread

WAYS: Final = ("no forms", "named", "chosen", "left out")
TAUGHT_BY: Final = 9001
"""The seed of the cards that forms are learnt from: cards of it are never read."""


class Kept(Words):
    """Reads words, none of them twice: every way is asked of the same crops."""

    def __init__(self, recogniser: Any) -> None:
        super().__init__(recogniser)
        self.known: dict[tuple[Any, ...], Any] = {}

    def read(self, crops: Any) -> Any:
        """Read crops; those that were read before cost nothing."""
        start = time.process_time()
        keys = [(c.picture.shape, c.picture.tobytes(), c.kind) for c in crops]
        new = {key: crop for key, crop in zip(keys, crops, strict=True) if key not in self.known}
        self.known.update(zip(new, self.recogniser.read(list(new.values())) if new else (), strict=True))
        self.seconds += time.process_time() - start
        return [self.known[key] for key in keys]


@dataclass(slots=True)
class Told:
    """What came of one card read in one way; `same` says that the form taken has the very fields of the right
    one, so that taking it for that one changes nothing.
    """

    entry: Mapping[str, Any]
    way: str
    result: Any
    form: str
    same: bool
    seconds: float


def main(argv: Sequence[str] | None = None) -> int:
    """Learn a form from one clean card of each kind, read other cards with them, and print the counts."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--half", choices=("seen", "wide", "unseen"), default="seen")
    parser.add_argument("--out", type=Path, default=ROOT / "out" / "cards", help="where the cards are drawn")
    parser.add_argument("--seed", type=int, default=0, help="other cards of the same forms and faces")
    parser.add_argument("--only", default="", help="pictures whose name has this in it")
    parser.add_argument("--list", action="store_true", dest="listed", help="say what is wrong with each card")
    asked = parser.parse_args(argv)
    import cv2
    from cards.making import cards_in, make_cards

    from numbertaker.reading.recognisers import choose

    cv2.setNumThreads(1)
    words, told = Kept(choose("general")), []
    forms = learnt_forms(asked.half, asked.out, words)
    for path, entries in cards_in(make_cards(asked.half, asked.out, asked.seed)):
        if asked.only in path.name and not path.name.startswith("halved"):
            told += read_in_all_ways(path, entries, forms, words, listed=asked.listed)
            words.known.clear()
    report(told)
    return 0


def learnt_forms(half: str, out: Path, words: Words) -> dict[str, Any]:
    """A form of each kind of card, from one clean card whose columns are known to be right."""
    from cards.faces import fetch
    from cards.making import Drawer, plans

    folder = out / f"{half}-taught" / "scans"
    folder.mkdir(parents=True, exist_ok=True)
    drawer = Drawer(half, fetch(out / "faces"), folder, TAUGHT_BY)
    taught = [plan for plan in plans(half) if plan.name.endswith("-clean-0")]
    return {plan.kinds[0].name: taught_by(folder, drawer.draw(plan)[0], words) for plan in taught}


def taught_by(folder: Path, entry: Mapping[str, Any], words: Words) -> Any:
    """The form that a card teaches once its columns are corrected: by its true cells, titles and fields."""
    from numbertaker.reading.finding import tables_of
    from numbertaker.reading.learnt import learn
    from numbertaker.reading.pages import open_page

    path = folder / entry["scan"]
    ((desk, _), *_) = tables_of(open_page(path.read_bytes(), 1, name=path.name), words)
    columns = true_columns(desk, entry)
    ruled = entry["ruling"] in ("full", "faint", "verticals")
    return learn(entry["kind"], entry["side"], columns, desk.plane, ruled=ruled)


def true_columns(desk: Any, entry: Mapping[str, Any]) -> list[Any]:
    """A card's columns on its flat picture: edges half way between the cells of two columns, or on the ruling
    there.
    """
    import numpy as np

    from numbertaker.reading.columns import Column
    from numbertaker.reading.geometry import carry

    reach: dict[str, list[float]] = defaultdict(list)
    for cell in entry["cells"]:
        if cell["row"] > 0 and cell["field"] != "runs" and (cell["text"] or not reach[cell["field"]]):
            x, y, w, h = cell["box"]
            ends = carry(desk.plane.to_flat, np.array([[x, y + h / 2], [x + w, y + h / 2]]))[:, 0]
            reach[cell["field"]] += [float(v) for v in ends]
    names = [name for name, _ in entry["columns"]]
    cap = desk.plane.letters.cap
    rulings = [r.at for r in desk.ground.upright if r.weight > 0.3]
    edges = [min(reach[names[0]]) - 0.5 * cap]
    for a, b in pairwise(names):
        low, high = sorted((max(reach[a]), min(reach[b])))
        on = [at for at in rulings if low - 0.5 * cap < at < high + 0.5 * cap]
        edges.append(on[0] if on else (low + high) / 2)
    edges.append(max(reach[names[-1]]) + 0.5 * cap)
    return [
        Column(a, b, title, "" if name[0].isupper() else name, 1.0)
        for a, b, (name, title) in zip(edges, edges[1:], entry["columns"], strict=False)
    ]


def read_in_all_ways(
    path: Path, entries: list[dict[str, Any]], forms: Mapping[str, Any], words: Kept, *, listed: bool
) -> list[Told]:
    """One picture read without forms, with the form named, chosen, and left out."""
    from cards.measure import compare, inked

    from numbertaker.reading.finding import tables_of
    from numbertaker.reading.learnt import Learnt
    from numbertaker.reading.pages import open_page

    scan = open_page(path.read_bytes(), 1, name=path.name)
    kinds = {entry.get("kind", "") for entry in entries} - {""}
    every = tuple(forms.values())
    ways = {
        "no forms": Learnt(),
        "named": Learnt(every, next(iter(kinds)) if len(kinds) == 1 else ""),
        "chosen": Learnt(every),
        "left out": Learnt(tuple(f for f in every if f.name not in kinds)),
    }
    out = []
    for way, learnt in ways.items():
        words.seconds, start = 0.0, time.process_time()
        found = tables_of(scan, words, None, learnt)
        seconds = time.process_time() - start - words.seconds
        grids = [grid_of(desk, table) for desk, table in found]
        for place, entry in enumerate(entries):
            if not inked(entry):
                form = next((_name_of(table) for _, table in found if _name_of(table)), "")
                out.append(Told(entry, way, None, form, False, seconds))
                continue
            grid, _ = best_grid(entry, grids, found)
            result = compare(entry, grid)
            table = found[grids.index(grid)][1] if grid else None
            name, right = _name_of(table), forms[entry["kind"]]
            same = name in forms and forms[name].fields == right.fields
            out.append(Told(entry, way, result, name, same, seconds / len(entries)))
            if listed and not result.whole:
                how = f"{entry['ruling']:9} {'hand' if entry['hand'] else 'type'}"
                print(f"{path.name:28} {place} {how} {way:8} {_name_of(table):10} {'; '.join(result.wrong)}",
                      flush=True)  # fmt: skip
    return out


def _name_of(table: Any) -> str:
    fitted = getattr(table, "form", None)
    return fitted.form.name if fitted else ""


def report(told: Sequence[Told]) -> None:
    """Print columns, whole tables, choices and times by way and level."""
    read = [t for t in told if t.result is not None]
    for level in sorted({t.entry["level"] for t in read}):
        for way in WAYS:
            own = [t for t in read if t.way == way and t.entry["level"] == level]
            print(f"{level:6} {way:9} {_counts(own)}")
    for way in WAYS:
        own = [t for t in told if t.way == way]
        times = sorted(t.seconds for t in own)
        print(
            f"{way:9} {_counts([t for t in own if t.result is not None])}\n          "
            f"form right {sum(t.form == t.entry.get('kind') for t in own if t.result)}, "
            f"none of these {sum(not t.form for t in own if t.result)}, "
            f"of the same columns {sum(t.same and t.form != t.entry['kind'] for t in own if t.result)}, "
            f"wrong {sum(bool(t.form) and not t.same for t in own if t.result)}; "
            f"on what is no card {sum(bool(t.form) for t in own if not t.result)}; "
            f"median {times[len(times) // 2]:.3f} s, mean {sum(times) / len(times):.3f} s a card"
        )


def _counts(own: Sequence[Told]) -> str:
    shares = []
    for what in ("columns", "rows", "cells", "named"):
        right, of = (sum(getattr(t.result, what)[n] for t in own) for n in (0, 1))
        shares.append(f"{what} {right:4}/{of:4} {100 * right / max(1, of):5.1f} %")
    return f"whole {sum(t.result.whole for t in own):3}/{len(own):3}  {'  '.join(shares)}"


if __name__ == "__main__":
    raise SystemExit(main())
