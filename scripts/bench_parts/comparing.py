"""The reader beside plain Tesseract and beside a recogniser of whole pages, on the same cards in one run."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, TypeAlias

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_THREAD_LIMIT"):
    os.environ.setdefault(_name, "1")
ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT / "scripts"), str(ROOT / "scripts" / "bench_parts")]

SURE: Final = 0.98
HAND: Final = {
    "engine": "numbers", "component": "numbers", "miles": "miles", "total_miles": "miles",
    "fitted": "dates", "removed": "dates",
}  # fmt: skip
"""What handwriting is told of, by field."""
NEAR: Final = 12
"""A word belongs to a cell if its middle lies within so many pixels of it."""

Word: TypeAlias = tuple[float, float, str]
"""The middle of a word on the picture, across and down, and what it says."""


@dataclass
class Way:
    """One way of reading, and what came of it: right or wrong by group and class of cell."""

    name: str
    right: dict[tuple[str, str], list[bool]] = field(default_factory=lambda: defaultdict(list))
    errors: int = 0
    signs: int = 0
    sure: list[tuple[float, bool]] = field(default_factory=list)
    seconds: float = 0.0
    cards: int = 0

    def add(self, cell: dict[str, Any], group: str, text: str, mark: str, sure: float | None) -> None:
        """Compare one cell."""
        from numbertaker.reading.hands.aligning import errors_between

        true = class_of(cell["text"], cell.get("mark", ""))
        seen = class_of(text, mark)
        if true == "struck":
            self.right["struck, told", ""].append(seen == "struck")
            return
        right = seen == true and (true in ("ditto", "blank") or text == cell["text"])
        self.right[f"{group} plain" if true == "plain" else true, ""].append(right)
        if true == "plain":
            self.right["field", cell["field"]].append(right)
            if group.startswith("hand") and cell["field"] in HAND:
                self.right[f"{group} {HAND[cell['field']]}", ""].append(right)
            self.errors += errors_between(cell["text"], text)
            self.signs += len(cell["text"])
        if sure is not None:
            self.sure.append((sure, right))


def class_of(text: str, mark: str) -> str:
    """Plain, blank, ditto or struck."""
    sort = mark.partition(":")[0]
    return sort if sort in ("ditto", "struck") else "plain" if text else "blank"


def true_cells(entry: dict[str, Any]) -> list[dict[str, Any]]:
    """The cells of a card's table whose columns mean a field; texts that run over all columns left out."""
    return [
        c for c in entry["cells"] if c["row"] > 0 and c["field"] != "runs" and not c["field"][0].isupper()
    ]


def by_cells(way: Way, entry: dict[str, Any], group: str, path: Path, reader: Any) -> None:
    """Read the card as the program does, with one recogniser or another."""
    from cells import line_at

    from numbertaker.reading.card import read_picture
    from numbertaker.reading.pages import open_page

    start = spent()
    card = read_picture(open_page(path.read_bytes(), 1, name=path.name), None, reader)[0].to_json()
    way.seconds += spent() - start
    _add_table(way, entry, group, path, getattr(reader, "recogniser", reader))
    rows: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for cell in true_cells(entry):
        rows[cell["row"]].append(cell)
    for own in rows.values():
        line = line_at(card, own)
        for cell in own:
            got = (line or {"cells": {}})["cells"].get(cell["field"])
            if got is None and not cell["text"]:
                continue  # a blank cell of a table that was not found
            got = got or {"text": "", "confidence": 0.0}
            mark = line["marks"].get(cell["field"], "") if line else ""
            way.add(cell, group, got["text"], mark, float(got["confidence"]))


def _add_table(way: Way, entry: dict[str, Any], group: str, path: Path, reader: Any) -> None:
    """Hold the table to the card: its headings are read by the way's own recogniser."""
    from cards.measure import compare
    from tables import best_grid, grid_of

    from numbertaker.reading.finding import tables_of
    from numbertaker.reading.pages import open_page

    found = tables_of(open_page(path.read_bytes(), 1, name=path.name), reader)
    grid, _ = best_grid(entry, [grid_of(desk, table) for desk, table in found], found)
    table = compare(entry, grid)
    way.right[f"tables wholly right, {group}", ""].append(table.whole)
    for name, (right, of) in (("found", table.columns), ("named", table.named)):
        way.right[f"columns {name}, {group}", ""].extend([True] * right + [False] * (of - right))


def by_words(way: Way, entry: dict[str, Any], group: str, words: Sequence[Word]) -> None:
    """Hold the words of a whole page to the card; they are placed by the true boxes, kinder than life."""
    for cell in true_cells(entry):
        x, y, w, h = cell["box"]
        inside = [
            t for cx, cy, t in words if x - NEAR <= cx <= x + w + NEAR and y - NEAR <= cy <= y + h + NEAR
        ]
        way.add(cell, group, " ".join(inside), "", None)


def tesseract_words(path: Path) -> list[Word]:
    """The words of a page by plain Tesseract (mode 6)."""
    import pytesseract

    from numbertaker.reading.pages import open_image

    told = pytesseract.image_to_data(
        open_image(path.read_bytes(), 1), config="--psm 6", output_type=pytesseract.Output.DICT
    )
    places = zip(told["left"], told["top"], told["width"], told["height"], told["text"], strict=True)
    return [(x + w / 2, y + h / 2, t) for x, y, w, h, t in places if t.strip()]


def recogniser_words(path: Path) -> list[Word]:
    """The words of a page by the general recogniser with its own text detector."""
    from numbertaker.reading.pages import open_page

    if not _rapid:
        from rapidocr import RapidOCR

        quiet = {"Global.log_level": "critical", "EngineConfig.onnxruntime.intra_op_num_threads": 1}
        _rapid.append(RapidOCR(params=quiet))
    told = _rapid[0](open_page(path.read_bytes(), 1, name=path.name), return_word_box=True)
    words = []
    for line in told.word_results or ():
        for text, _, corners in line:
            xs, ys = [x for x, _ in corners], [y for _, y in corners]
            words.append((sum(xs) / len(xs), sum(ys) / len(ys), text))
    return words


_rapid: Final[list[Any]] = []


def spent() -> float:
    """Seconds of processor that this process and the programs that it called have taken."""
    return sum(os.times()[:4])


class Kept:
    """A recogniser that keeps what it was given, and counts what it costs."""

    def __init__(self, recogniser: Any) -> None:
        self.recogniser, self.name = recogniser, recogniser.name
        self.batches: list[list[Any]] = []
        self.seconds = 0.0

    def read(self, crops: Any) -> Any:
        """Read crops."""
        self.batches.append(list(crops))
        start = spent()
        out = self.recogniser.read(crops)
        self.seconds += spent() - start
        return out


def chosen(folder: Path, count: int) -> list[tuple[Path, dict[str, Any]]]:
    """So many cards of each level, scanned one by one; typed and by hand as they come."""
    entries = json.loads((folder / "cells.json").read_text(encoding="utf-8"))
    found: dict[str, list[tuple[Path, dict[str, Any]]]] = defaultdict(list)
    for entry in entries:
        if entry["case"] == "scan" and entry["scan"].endswith(".jpg"):
            found[entry["level"]].append((folder / "scans" / entry["scan"], entry))
    return [card for cards in found.values() for card in cards[:: max(1, len(cards) // count)][:count]]


def compared(cards: Sequence[tuple[Path, dict[str, Any]]]) -> tuple[list[Way], Kept, Kept]:
    """Read every card in every way."""
    from numbertaker.reading.recognisers import choose

    ours, alone = Kept(choose()), Kept(choose("own"))
    readers: dict[str, Any] = {
        "ours": ours,
        "ours, no second opinion": alone,
        "general recogniser on our cells": choose("general"),
        "Tesseract on our cells": choose("tesseract"),
    }
    pages: dict[str, Callable[[Path], list[Word]]] = {
        "general recogniser, whole page": recogniser_words,
        "Tesseract, whole page": tesseract_words,
    }
    ways = [Way(name) for name in (*readers, *pages)]
    for path, entry in cards:
        group = f"{'hand' if entry['hand'] else 'typed'} {entry['level']}"
        for way in ways:
            way.cards += 1
            if way.name in readers:
                by_cells(way, entry, group, path, readers[way.name])
                continue
            start = spent()
            words = pages[way.name](path)
            way.seconds += spent() - start
            by_words(way, entry, group, words)
    return ways, ours, alone


def tell(ways: Sequence[Way]) -> None:
    """Print the table: a row a figure, a column a way."""
    for n, way in enumerate(ways, 1):
        print(f"({n}) {way.name}: {way.seconds / max(1, way.cards):.2f} s of one core a card")
    print(f"{'exactly right, of 100':34} cells " + "".join(f"{f'({n})':>8}" for n in range(1, len(ways) + 1)))
    keys = sorted({key for way in ways for key in way.right}, key=lambda key: (key[0] == "field", key))
    for key in keys:
        cells = max(len(way.right[key]) for way in ways)
        shares = "".join(_share(way.right[key]) for way in ways)
        print(f"{' '.join(key).strip():34} {cells:5} {shares}")
    rates = "".join(f"{100 * way.errors / max(1, way.signs):8.2f}" for way in ways)
    print(f"{'signs wrong, of 100':34} {max(way.signs for way in ways):5} {rates}")
    _tell_trust(ways)


def _tell_trust(ways: Sequence[Way]) -> None:
    """How far each way's confidence can be trusted; whole pages are read without any of cells."""
    from numbertaker.reading.reliability import reliability

    sure = [[right for p, right in way.sure if p >= SURE] for way in ways]
    print(f"{f'right, of those sure ({SURE})':34} {max(map(len, sure)):5} " + "".join(map(_share, sure)))
    parts = "".join(
        f"{100 * len(own) / len(way.sure):8.2f}" if way.sure else f"{'-':>8}"
        for way, own in zip(ways, sure, strict=True)
    )
    print(f"{'sure, of 100 cells':34} {max(len(way.sure) for way in ways):5} {parts}")
    errors = "".join(f"{reliability(w.sure).error:8.4f}" if w.sure else f"{'-':>8}" for w in ways)
    print(f"{'expected calibration error':34} {max(len(way.sure) for way in ways):5} {errors}")


def _share(right: Sequence[bool]) -> str:
    return f"{100 * sum(right) / len(right):8.2f}" if right else f"{'-':>8}"


def tell_reliability(way: Way) -> None:
    """The reliability diagram of a way, in letters."""
    from numbertaker.reading.reliability import reliability

    told = reliability(way.sure)
    print(
        f"\nreliability of '{way.name}': {told.cells} cells, {told.right} right; "
        f"expected calibration error {told.error:.4f} (groups of reliability.EDGES)"
    )
    for g in told.groups:
        bar = ["."] * 51
        bar[round(50 * g.mean)] = "|"
        bar[round(50 * g.share)] = "o"
        print(
            f"  {g.low:.2f} to {g.high:.2f} {g.cells:5} cells, said {100 * g.mean:5.1f}, found "
            f"{100 * g.share:5.1f} ({100 * g.at_least:.1f} to {100 * g.at_most:.1f})  {''.join(bar)}"
        )
    sure = [right for p, right in way.sure if p >= SURE]
    print(
        f"  sure ({SURE} or more): {sum(sure)} of {len(sure)} right, "
        f"{100 * len(sure) / max(1, len(way.sure)):.1f} % of all cells"
    )


def tell_costs(ways: Sequence[Way], ours: Kept, alone: Kept, cards: Sequence[Any]) -> None:
    """The whole of reading against the recogniser's own time on the same crops; and what tables cost."""
    from numbertaker.reading.finding import tables_of
    from numbertaker.reading.pages import open_page
    from numbertaker.reading.recognisers import choose

    plain = choose("own")
    once = {}
    for name, kept in (("with", ours), ("without", alone)):
        start = spent()
        for batch in kept.batches:
            plain.read(batch)
        once[name] = spent() - start
    crops = sum(map(len, alone.batches)) / len(cards)
    print(
        f"\nwhole pipeline / the main recogniser's own time on the same crops ({crops:.0f} a card): "
        f"without the second opinion {ways[1].seconds / once['without']:.2f} (bar 1.6), "
        f"with it {ways[0].seconds / once['with']:.2f} (bar 2.3)"
    )
    finding = 0.0
    for path, _ in cards:
        scan, words = open_page(path.read_bytes(), 1, name=path.name), Kept(plain)
        start = spent()
        tables_of(scan, words)
        finding += spent() - start - words.seconds
    print(f"table finding: {finding / len(cards):.2f} s a card of one core, words not counted (bar .30)")


def main(argv: Sequence[str] | None = None) -> int:
    """Read some of the bench's cards in every way, and print what is right and what it costs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--half", choices=("seen", "unseen"), default="seen", help="'unseen' only at the end")
    parser.add_argument("--out", type=Path, default=ROOT / "out" / "cards", help="where the cards are drawn")
    parser.add_argument("--cards", type=int, default=3, help="cards of each of three levels")
    parser.add_argument("--only", choices=("all", "right", "costs"), default="all", help="what to measure")
    asked = parser.parse_args(argv)
    import cv2
    from cards.making import make_cards
    from cards.workers import tell_large, tell_throughput

    cv2.setNumThreads(1)
    cards = chosen(make_cards(asked.half, asked.out), asked.cards)
    ways, ours, alone = compared(cards) if asked.only != "costs" else _ours_only(cards)
    print(f"{len(cards)} cards of the bench's {asked.half} half")
    if asked.only != "costs":
        tell(ways)
        tell_reliability(ways[0])
    if asked.only != "right":
        tell_costs(ways, ours, alone, cards)
        tell_throughput([path for path, _ in cards])
        tell_large(cards[0][0], asked.out)
    return 0


def _ours_only(cards: Sequence[tuple[Path, dict[str, Any]]]) -> tuple[list[Way], Kept, Kept]:
    """Read every card in our two ways."""
    from numbertaker.reading.recognisers import choose

    ways, kept = [Way("ours"), Way("ours, no second opinion")], (Kept(choose()), Kept(choose("own")))
    for path, entry in cards:
        for way, reader in zip(ways, kept, strict=True):
            way.cards += 1
            by_cells(way, entry, "", path, reader)
    return ways, *kept


if __name__ == "__main__":
    raise SystemExit(main())
