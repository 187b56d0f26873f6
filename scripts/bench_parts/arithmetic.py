"""What a card's own arithmetic repairs: digits misread on purpose, and how many right cells it touches."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from typing import Any, Final

ROOT: Final = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / part) for part in ("backend", "scripts", "scripts/bench_parts")]

FIELDS: Final = ("miles", "total_miles")
ALIKE: Final = dict(
    zip("0123456789", ("689", "74", "7", "859", "917", "368", "058", "124", "3560", "4037"), strict=True)
)
LIKE: Final = 0.8
"""The share of misread digits that are taken for one that looks like them; the others for any."""


@dataclass(slots=True)
class Count:
    """Misread digits, those repaired, right cells, and those of them that were spoken against."""

    misread: int = 0
    repaired: int = 0
    right: int = 0
    false: int = 0


def main(argv: Sequence[str] | None = None) -> int:
    """Misread a digit on each of many cards with running totals, and print how many are repaired."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cards", type=int, default=600)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args(argv)
    for misread in (1, 0):
        rng, count = Random(asked.seed), Count()
        for _ in range(asked.cards):
            _card(rng, misread, count)
        share = f"{count.repaired} of {count.misread} misread digits repaired"
        print(share if misread else "nothing misread", end="; ")
        print(f"{count.false} of {count.right} right cells spoken against")
    return 0


def _card(rng: Random, misread: int, count: Count) -> None:
    from numbertaker.reading.meaning import Known, propose

    lines = _lines(rng)
    places = [(n, f) for n, line in enumerate(lines) for f in FIELDS if _stated(line.cells.get(f))]
    changed = {}
    for n, field in rng.sample(places, misread):
        cell = lines[n].cells[field]
        changed[n, field] = cell.text
        seen = replace(cell, text=_misread(cell.text, rng), confidence=rng.choice((0.5, 0.8, 0.95, 0.99)))
        if rng.random() < 0.5:
            seen = replace(seen, alternatives=((cell.text, 0.01),))
        lines[n] = replace(lines[n], cells={**lines[n].cells, field: seen})
    proposed = propose(lines, Known())
    count.misread += len(changed)
    count.repaired += sum(k in proposed and proposed[k].text == text for k, text in changed.items())
    right = [k for k in places if k not in changed]
    count.right += len(right)
    count.false += sum(k in proposed for k in right)


def _lines(rng: Random) -> list[Any]:
    """The lines of a card of any form that has running totals, read rightly."""
    from cards.kinds import SEEN
    from cards.kinds_wide import WIDE
    from cards.texts import content

    from numbertaker.reading.lines import says_of
    from numbertaker.reading.values import CellReading, LineReading

    kind = rng.choice([k for k in (*SEEN, *WIDE) if set(FIELDS) <= {c.field for c in k.columns}])
    lines = list[Any]()
    for entry in content(kind, rng, rng.randint(6, 17)).lines:
        cells = {
            field: CellReading(text, rng.choice((0.9, 0.97, 0.995, 0.999)), (0, 0, 1, 1), (), mark)  # type: ignore[arg-type]
            for field, text in entry.cells.items()
            for mark in (entry.marks.get(field, "").partition(":")[0],)
        }
        if not entry.runs:
            lines.append(LineReading(len(lines) + 1, says_of(cells, kind.side), cells))
    return lines


def _stated(cell: Any) -> bool:
    return cell is not None and not cell.mark and sum(sign.isdigit() for sign in cell.text) > 1


def _misread(text: str, rng: Random) -> str:
    """The text with one digit, but not the first, taken for another."""
    k = rng.choice([k for k, sign in enumerate(text) if sign.isdigit() and k])
    others = ALIKE[text[k]] if rng.random() < LIKE else "0123456789".replace(text[k], "")
    return text[:k] + rng.choice(others) + text[k + 1 :]


if __name__ == "__main__":
    raise SystemExit(main())
