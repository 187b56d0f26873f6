"""Reading the bench's own cards cell by cell: exactly right, marks, how far confidence can be trusted, what
it costs."""

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

SURE = 0.98


class Timed:
    """A recogniser that counts what it costs."""

    def __init__(self, recogniser: Any) -> None:
        self.recogniser, self.seconds, self.crops, self.name = recogniser, 0.0, 0, recogniser.name

    def read(self, crops: Any) -> Any:
        """Read crops."""
        start = time.process_time()
        out = self.recogniser.read(crops)
        self.seconds += time.process_time() - start
        self.crops += len(crops)
        return out


def class_of(text: str, mark: str) -> str:
    """Plain, blank, ditto or struck."""
    sort = mark.partition(":")[0]
    return sort if sort in ("ditto", "struck") else "plain" if text else "blank"


def line_at(card: dict[str, Any], cells: Sequence[dict[str, Any]]) -> dict[str, Any] | None:
    """The read line that lies where a true row does: the one whose cells most of its writing lies in,
    whichever way up the scan is."""
    inked = [c["box"] for c in cells if c["text"]]

    def share(line: dict[str, Any]) -> float:
        boxes = [c["box"] for c in line["cells"].values() if c["text"]]
        return sum(max((_common(box, own) for own in boxes), default=0.0) for box in inked)

    best = max(card["lines"], key=share, default=None)
    return best if best and share(best) > 0.3 else None


def _common(true: Sequence[float], seen: Sequence[float]) -> float:
    """Which share of a true cell's box a seen one covers."""
    wide = min(true[0] + true[2], seen[0] + seen[2]) - max(true[0], seen[0])
    high = min(true[1] + true[3], seen[1] + seen[3]) - max(true[1], seen[1])
    return max(0.0, wide) * max(0.0, high) / max(1.0, true[2] * true[3])


class Tally:
    """Counts of right and all, by hand or machine, level and class of cell."""

    def __init__(self) -> None:
        self.counts: dict[tuple[str, str, str], list[bool]] = defaultdict(list)
        self.fields: dict[tuple[str, str], list[bool]] = defaultdict(list)
        self.sure: dict[tuple[str, str], list[tuple[float, bool]]] = defaultdict(list)
        self.wrong: list[str] = []
        self.told: list[str] = []

    def add(self, entry: dict[str, Any], card: dict[str, Any], level: str) -> None:
        """Compare one card, row by row, with its truth."""
        rows: dict[int, list[dict[str, Any]]] = defaultdict(list)
        for cell in entry["cells"]:
            if cell["row"] > 0 and cell["field"] != "runs":
                rows[cell["row"]].append(cell)
        who = "hand" if entry["hand"] else "typed"
        for cells in rows.values():
            line = line_at(card, cells)
            for cell in cells:
                self._cell(entry, cell, line, (who, level))

    def _cell(
        self, entry: dict[str, Any], cell: dict[str, Any], line: dict[str, Any] | None, group: tuple[str, str]
    ) -> None:
        got = (line or {"cells": {}})["cells"].get(cell["field"])
        if got is None and (cell["field"][0].isupper() or not cell["text"]):
            return  # a column that no field means; a blank cell of a table that was not found
        got = got or {"text": "", "confidence": 0.0, "missing": True}
        mark = line["marks"].get(cell["field"], "") if line else ""
        true, seen = class_of(cell["text"], cell.get("mark", "")), class_of(got["text"], mark)
        exact = got["text"] == cell["text"]
        right = true == seen and (true in ("ditto", "blank") or exact)
        self.counts[(*group, true)].append(true == seen if true == "struck" else right)
        if true == "struck":
            self.counts[(*group, "struck, and read")].append(right)
        if true == "plain":
            self.fields[group[0], cell["field"]].append(right)
        self.sure[group].append((float(got["confidence"]), right))
        if not right:
            why = "" if "missing" not in got else " not found"
            self.wrong.append(
                f"{entry['scan']:22} row {cell['row']:2} {cell['field']:11} {cell['text']!r} {true} "
                f"read {got['text']!r} {seen} {got['confidence']:.3f}{why}"
            )


def share(right: Sequence[bool]) -> str:
    """A share with its count."""
    return f"{100 * sum(right) / len(right):6.2f} % of {len(right)}" if right else "-"


def calibration_error(pairs: Sequence[tuple[float, bool]], bins: int = 10) -> float:
    """Mean distance between confidence and share right, over bins of ten per cent, weighed by their cells."""
    groups: dict[int, list[tuple[float, bool]]] = defaultdict(list)
    for p, right in pairs:
        groups[min(bins - 1, int(p * bins))].append((p, right))
    gaps = (abs(sum(p for p, _ in g) - sum(r for _, r in g)) for g in groups.values())
    return sum(gaps) / max(1, len(pairs))


def report(tally: Tally, listed: int) -> None:
    """Print a tally."""
    for key, right in sorted(tally.counts.items()):
        print(f"  {key[0]:6} {key[1]:6} {key[2]:17} {share(right)}")
    for who in ("typed", "hand"):
        print(
            f"  {who} plain by field: "
            + "  ".join(f"{f} {share(r)}" for (w, f), r in sorted(tally.fields.items()) if w == who)
        )
    for group, pairs in sorted(tally.sure.items()):
        chosen = [right for p, right in pairs if p >= SURE]
        print(
            f"  {group[0]:6} {group[1]:6} sure ({SURE} or more): {share(chosen)}, "
            f"{100 * len(chosen) / len(pairs):.1f} % of all; {len(chosen) - sum(chosen)} wrong; "
            f"calibration error {calibration_error(pairs):.4f}"
        )
    typed = [pair for (who, _), pairs in tally.sure.items() if who == "typed" for pair in pairs]
    every = [pair for pairs in tally.sure.values() for pair in pairs]
    for name, pairs in (("typed", typed), ("all", every)):
        chosen = [right for p, right in pairs if p >= SURE]
        print(
            f"  {name}: sure and right {share(chosen)}; "
            f"calibration error {calibration_error(pairs):.4f} over {len(pairs)}"
        )
    for line in tally.wrong[:listed]:
        print("   ", line)


def main(argv: Sequence[str] | None = None) -> int:
    """Read a half of the bench's cards and print how many cells are exactly right."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--half", choices=("seen", "unseen"), default="seen", help="'unseen' is for the last run only"
    )
    parser.add_argument("--out", type=Path, default=ROOT / "out" / "cards", help="where the cards are drawn")
    parser.add_argument("--only", default="", help="pictures whose name has this in it")
    parser.add_argument("--reader", default="", help="onnx, own, general or tesseract")
    parser.add_argument("--list", type=int, default=0, dest="listed", help="how many wrong cells to print")
    asked = parser.parse_args(argv)
    import cv2
    from cards.making import cards_in, make_cards

    from numbertaker.reading.card import read_picture
    from numbertaker.reading.pages import open_page
    from numbertaker.reading.recognisers import choose

    cv2.setNumThreads(1)
    reader = Timed(choose(asked.reader))
    tally, whole, cards = Tally(), 0.0, 0
    for path, entries in cards_in(make_cards(asked.half, asked.out)):
        if asked.only not in path.name or len(entries) != 1 or entries[0]["case"] in ("nothing", "halved"):
            continue
        start = time.process_time()
        card = read_picture(open_page(path.read_bytes(), 1, name=path.name), None, reader)[0]
        whole += time.process_time() - start
        cards += 1
        level = entries[0]["level"] if entries[0]["case"] == "scan" else entries[0]["case"]
        tally.add(entries[0], card.to_json(), level)
    each = 1000 * reader.seconds / max(1, reader.crops)
    print(
        f"{reader.name}: {cards} cards, {whole / cards:.2f} s a card, {reader.seconds / cards:.2f} s "
        f"to read {reader.crops / cards:.0f} crops ({each:.1f} ms each): {whole / reader.seconds:.2f} times"
    )
    report(tally, asked.listed)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
