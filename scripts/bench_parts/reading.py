"""Reading the demo's scans, then some of the bench's cards beside plain Tesseract and whole-page reading."""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(Path(__file__).parent)]

Counts = dict[str, list[int]]
CLASSES = ("plain", "blank", "ditto", "struck")


def cards_of(corpus: Path, only: str) -> Iterator[tuple[Path, dict[str, Any]]]:
    """Each scan page with its true cells."""
    for truth in json.loads((corpus / "cells.json").read_text(encoding="utf-8")):
        if only in truth["scan"]:
            yield corpus / "scans" / truth["scan"], truth


def class_of(text: str, mark: str) -> str:
    """Plain, blank, ditto or struck."""
    return mark if mark in ("ditto", "struck") else "plain" if text else "blank"


def at_place(cards: Sequence[dict[str, Any]], place: int) -> dict[str, Any]:
    """The card that lies at a place of the picture, from 0; one without lines where fewer were found."""
    return cards[place] if place < len(cards) else {"form": "none", "heading": {}, "lines": []}


def got_cell(card: dict[str, Any], row: int, field: str) -> dict[str, Any]:
    """What was read for a true cell; an empty cell where there is none."""
    if row == 0:
        return dict(card["heading"].get(field, {"text": "", "confidence": 0.0}))
    line = next((line for line in card["lines"] if line["row"] == row), None)
    if line is None or field not in line["cells"]:
        return {"text": "", "confidence": 0.0, "missing": True}
    return {**line["cells"][field], "mark": line["marks"].get(field, "")}


class Tally:
    """Counts of right and all, by form and field, and the cells that were wrong."""

    def __init__(self) -> None:
        self.by_form: dict[str, Counts] = defaultdict(lambda: defaultdict(lambda: [0, 0]))
        self.by_field: Counts = defaultdict(lambda: [0, 0])
        self.sure: list[tuple[float, bool]] = []
        self.wrong: list[str] = []
        self.lines: Counter[str] = Counter()

    def add(self, truth: dict[str, Any], card: dict[str, Any]) -> None:
        """Compare one card."""
        rows = max((c["row"] for c in truth["cells"]), default=0)
        self.lines["cards"] += 1
        self.lines["cards with the right number of lines"] += len(card["lines"]) == rows
        self.lines["forms right"] += card["form"] == truth["form"]
        for cell in truth["cells"]:
            self._add_cell(truth, cell, got_cell(card, cell["row"], cell["field"]))

    def _add_cell(self, truth: dict[str, Any], cell: dict[str, Any], got: dict[str, Any]) -> None:
        true = class_of(cell["text"], cell.get("mark", ""))
        seen = class_of(got["text"], got.get("mark", ""))
        right = true == seen and (true in ("ditto", "blank") or got["text"] == cell["text"])
        name = true if cell["row"] else "heading" if cell["field"].startswith("heading") else "other heading"
        counts = self.by_form[truth["form"]]
        for key in (name, *(["told as struck"] if true == "struck" else [])):
            counts[key][0] += right if key == name else seen == "struck"
            counts[key][1] += 1
        if name == "plain":
            self.by_field[cell["field"]][0] += right
            self.by_field[cell["field"]][1] += 1
        if true == "plain":
            self.sure.append((float(got["confidence"]), right))
        if not right:
            what = f"{cell['text']!r}{' ' + true if true != 'plain' else ''}"
            read = f"{got['text']!r}{' ' + seen if seen != 'plain' else ''} ({got['confidence']:.2f})"
            self.wrong.append(
                f"{truth['scan']} p{truth['page']} row {cell['row']} {cell['field']}: {what} read {read}"
            )


def share(counts: Sequence[int]) -> str:
    return f"{100 * counts[0] / counts[1]:6.2f} % of {counts[1]}" if counts[1] else "     -"


def report(tally: Tally, name: str, seconds: float, listed: int) -> None:
    """Print a tally."""
    print(f"\n{name}: {seconds / max(1, tally.lines['cards']):.2f} s a card; {dict(tally.lines)}")
    whole: Counts = defaultdict(lambda: [0, 0])
    for form, counts in sorted(tally.by_form.items()):
        print(f"  {form:<16}" + "".join(f"  {k}: {share(v)}" for k, v in sorted(counts.items())))
        for k, v in counts.items():
            whole[k] = [whole[k][0] + v[0], whole[k][1] + v[1]]
    print(f"  {'all':<16}" + "".join(f"  {k}: {share(v)}" for k, v in sorted(whole.items())))
    print("  plain cells by field:" + "".join(f"  {k} {share(v)}" for k, v in sorted(tally.by_field.items())))
    for low in (0.98, 0.9):
        chosen = [right for p, right in tally.sure if p >= low]
        print(f"  confidence of {low} or more: {share([sum(chosen), len(chosen)])}")
    print(f"  expected calibration error: {calibration_error(tally.sure):.4f}")
    for line in tally.wrong[:listed]:
        print("   ", line)


def calibration_error(sure: Sequence[tuple[float, bool]], bins: int = 10) -> float:
    """Mean distance between confidence and share right, over bins of ten per cent, weighed by their cells."""
    groups: dict[int, list[tuple[float, bool]]] = defaultdict(list)
    for p, right in sure:
        groups[min(bins - 1, int(p * bins))].append((p, right))
    gaps = (abs(sum(p for p, _ in g) - sum(r for _, r in g)) for g in groups.values())
    return sum(gaps) / max(1, len(sure))


def whole_page(path: Path, truth: dict[str, Any]) -> dict[str, Any]:
    """Plain Tesseract over the whole page (mode 6), its words placed by the true boxes: kinder than life."""
    import pytesseract

    from numbertaker.reading.pages import open_image

    image = open_image(path.read_bytes(), truth["page"])
    data = pytesseract.image_to_data(image, config="--psm 6", output_type=pytesseract.Output.DICT)
    words = [
        (x + w / 2, y + h / 2, t)
        for x, y, w, h, t in zip(
            data["left"], data["top"], data["width"], data["height"], data["text"], strict=True
        )
        if t.strip()
    ]
    card: dict[str, Any] = {"form": truth["form"], "heading": {}, "lines": []}
    rows: dict[int, dict[str, Any]] = defaultdict(dict)
    for cell in truth["cells"]:
        x, y, w, h = cell["box"]
        inside = [t for cx, cy, t in words if x - 12 <= cx <= x + w + 12 and y - 12 <= cy <= y + h + 12]
        rows[cell["row"]][cell["field"]] = {"text": " ".join(inside), "confidence": 0.0}
    card["heading"] = rows.pop(0, {})
    card["lines"] = [{"row": r, "cells": cells, "marks": {}} for r, cells in sorted(rows.items())]
    return card


def main(argv: Sequence[str] | None = None) -> int:
    """Read all scans of the demo and print how many cells are exactly right."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--corpus", type=Path, default=ROOT / "corpus_demo")
    parser.add_argument("--only", default="", help="scans whose name has this in it")
    parser.add_argument(
        "--baseline", action="store_true", help="Tesseract too: same crops, and the whole page"
    )
    parser.add_argument("--alone", action="store_true", help="the demo's scans only, beside nothing else")
    parser.add_argument("--list", type=int, default=60, dest="listed", help="how many wrong cells to print")
    args = parser.parse_args(argv)
    from numbertaker.reading import worker

    readers = ["onnx", *(["tesseract"] if args.baseline else [])]
    for reader in readers:
        tally, seconds = Tally(), 0.0
        for path, truth in cards_of(args.corpus, args.only):
            start = time.perf_counter()
            first = worker.read_job(path, truth["page"], {"recogniser": reader})
            seconds += time.perf_counter() - start
            tally.add(truth, at_place([first, *first.get("further", ())], truth.get("place", 0)))
        report(tally, f"cells by {reader}", seconds, args.listed if reader == "onnx" else 0)
    if args.baseline:
        tally, seconds = Tally(), 0.0
        for path, truth in cards_of(args.corpus, args.only):
            start = time.perf_counter()
            tally.add(truth, whole_page(path, truth))
            seconds += time.perf_counter() - start
        report(tally, "Tesseract, whole page, words placed by the true boxes", seconds, 0)
    if not args.alone and not args.only:
        import comparing

        return comparing.main([])
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
