"""Learning from corrections: what twenty corrected cells of a source do for its other cells."""

from __future__ import annotations

import argparse
import json
import os
import sys
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from typing import Any, Final

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT / "scripts"), str(ROOT / "scripts" / "bench_parts")]

CORRECTED: Final = 20
"""So many wrong cells a person corrects, from the first card on."""
SLUGS: Final = (("7", "1"), ("6", "8"), ("3", "8"), ("5", "6"), ("e", "c"))
"""Damaged letters of a typewriter: how they stand on the type, and what they look like on the card."""


@dataclass(frozen=True, slots=True)
class Source:
    """A source to be drawn: all its cards in one face, typed with one damaged letter or written by hand."""

    name: str
    face: str
    by_hand: bool
    slug: tuple[str, str] | None


def sources(half: str) -> list[Source]:
    """The sources of a half: one for each damaged letter, and as many hands as they are."""
    from cards.faces import HANDS, TYPED

    typed = [
        Source(f"{face}, {true} like {like}", face, False, (true, like))
        for face, (true, like) in zip(TYPED[half][:5], SLUGS, strict=True)
    ]
    return [*typed, *(Source(f"{face}, as it is", face, True, None) for face in HANDS[half][:5])]


def drawn(source: Source, half: str, count: int, folder: Path) -> Iterator[tuple[Any, list[dict[str, Any]]]]:
    """The cards of a source: each picture with its true cells."""
    import numpy as np
    from cards import kinds
    from cards.faces import PRINTED, fetch
    from cards.making import _entry
    from cards.texts import content
    from cards.wearing import look_of, scan

    from corpus.setting import Setting

    faces = fetch(folder / "faces")
    kind = (kinds.SEEN if half == "seen" else kinds.UNSEEN)[zlib.crc32(source.name.encode()) % 2]
    for n in range(count):
        seed = zlib.crc32(f"{half}/{source.name}/{n}".encode())
        rng, noise = Random(seed), np.random.default_rng(seed)
        names = (faces.path(source.face), source.by_hand, faces.path(PRINTED[half]))
        setting = Setting(kind, content(kind, rng, rng.randint(9, 15)), rng, names)
        sheet = setting.set()
        if source.slug:
            sheet.glyphs = list(damaged(sheet.glyphs, *source.slug, rng))
        shot = scan(sheet, replace(look_of("worn", rng), torn=False, stamp=""), noise)
        yield shot.picture, _entry(setting, shot.places[0])["cells"]


def damaged(glyphs: Sequence[Any], true: str, like: str, rng: Random) -> Iterator[Any]:
    """The glyphs of a machine on which one letter is bent over another: each blow leaves more of the one or
    of the other."""
    for glyph in glyphs:
        if not glyph.typed or glyph.char != true:
            yield glyph
            continue
        share = rng.uniform(0.25, 0.95)
        yield replace(glyph, ink=glyph.ink * (1 - share))
        yield replace(glyph, char=like, ink=glyph.ink * min(1.0, 0.45 + share))


@dataclass(frozen=True, slots=True)
class Seen:
    """A card of a source as read, and the true text of each of its cells by place and field."""

    lines: tuple[Any, ...]
    true: dict[tuple[int, str], str]


def read(source: Source, half: str, count: int, folder: Path, keep: Path | None) -> list[Seen]:
    """Read the cards of a source, or take them as they were kept."""
    from numbertaker.reading.kept import card_of

    file = keep / f"{half}-{source.name.replace(' ', '-').replace(',', '')}-{count}.json" if keep else None
    if file is not None and file.exists():
        told = json.loads(file.read_text(encoding="utf-8"))
        return [Seen(card_of(card).lines, {(n, f): t for n, f, t in true}) for card, true in told]
    found = [_read(picture, cells) for picture, cells in drawn(source, half, count, folder)]
    if file is not None:
        file.parent.mkdir(parents=True, exist_ok=True)
        told = [[card, [[n, f, t] for (n, f), t in true.items()]] for card, true in found]
        file.write_text(json.dumps(told), encoding="utf-8")
    return [Seen(card_of(card).lines, true) for card, true in found]


def _read(picture: Any, cells: list[dict[str, Any]]) -> tuple[dict[str, Any], dict[tuple[int, str], str]]:
    """A card as read, and the truth of its cells: each true row goes with the line at its height."""
    from cells import line_at

    from numbertaker.reading.card import read_picture
    from numbertaker.reading.recognisers import choose

    if not _reader:
        _reader.append(choose())
    card = read_picture(picture[:, :, ::-1].copy(), None, _reader[0])[0].to_json()
    true: dict[tuple[int, str], str] = {}
    for row in sorted({c["row"] for c in cells if c["row"] > 0}):
        own = [c for c in cells if c["row"] == row and c["field"] != "runs"]
        line = line_at(card, own)
        for cell in own if line else ():
            if cell["field"] in line["cells"] and not cell.get("mark"):
                true[card["lines"].index(line), cell["field"]] = cell["text"]
    return card, true


_reader: Final[list[Any]] = []


def measured(cards: list[Seen], corrected: int = CORRECTED) -> dict[str, int]:
    """Correct cells from the first card on; count what becomes of the errors in the cells left."""
    from numbertaker.reading.hands import UNKNOWN, LookedOver, learn_hand, propose_in_hand

    lists = listed(cards)
    over: list[LookedOver] = []
    wrong, at = 0, 0
    while at < len(cards) and wrong < corrected:
        for (n, field), true in cards[at].true.items():
            cell = cards[at].lines[n].cells[field]
            if cell.text.strip() and not cell.mark:
                over.append(LookedOver(field, cell.text, true))
                wrong += cell.text != true
        at += 1
    hand, counts = learn_hand(over), dict.fromkeys(COUNTED, 0)
    counts["corrected"], counts["cards"] = wrong, at
    for card in cards[at:]:
        by_card, by_hand = (propose_in_hand(card.lines, lists, known) for known in (UNKNOWN, hand))
        for (n, field), true in card.true.items():
            cell = card.lines[n].cells[field]
            if not cell.text.strip() or cell.mark or not true:
                continue
            counts["cells"] += 1
            counts["errors"] += cell.text != true
            for name, proposed in (("before", by_card.get((n, field))), ("after", by_hand.get((n, field)))):
                if proposed is not None:
                    counts[f"right {name}"] += proposed.text == true
                    counts[f"false {name}"] += cell.text == true
                    counts[f"other {name}"] += true not in (proposed.text, cell.text)
    return counts


def listed(cards: Sequence[Seen]) -> Any:
    """The archive's lists: the engines and components of the source, and three times as many others."""
    from numbertaker.evidence.designations import read_number
    from numbertaker.reading.meaning import Known

    borne: dict[str, set[str]] = {"engine": set(), "component": set()}
    rng = Random(4)
    for card in cards:
        for (_, field), text in sorted(card.true.items()):
            number = read_number(text).number if field in borne else ""
            if number and number.isdecimal():
                near = (str(int(number) + rng.randint(-400, 400)) for _ in range(3))
                borne[field] |= {number, *(other for other in near if not other.startswith("-"))}
    return Known(frozenset(borne["engine"]), frozenset(borne["component"]))


COUNTED: Final = (
    "cards", "corrected", "cells", "errors", "right before", "false before", "other before", "right after",
    "false after", "other after",
)  # fmt: skip


def main(argv: Sequence[str] | None = None) -> int:
    """Draw sources, read them, correct cells, and print what that does for the others."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--half", choices=("seen", "unseen"), default="seen", help="'unseen' only at the end")
    parser.add_argument("--cards", type=int, default=12, help="cards of each source")
    parser.add_argument("--only", default="", help="sources whose name has this in it")
    parser.add_argument("--out", type=Path, default=ROOT / "out" / "cards", help="where the faces lie")
    parser.add_argument("--keep", type=Path, default=None, help="keep what was read in this folder")
    asked = parser.parse_args(argv)
    import cv2

    cv2.setNumThreads(1)
    whole: dict[str, dict[str, int]] = {}
    print(
        f"{'source':32} cards  corrected | cells left  errors | proposed right: by the card alone -> with the"
        " hand | false: alone -> with the hand"
    )
    for source in sources(asked.half):
        if asked.only not in source.name:
            continue
        counts = measured(read(source, asked.half, asked.cards, asked.out, asked.keep))
        tell(source.name, counts)
        sums = whole.setdefault("hands" if source.by_hand else "typed", dict.fromkeys(COUNTED, 0))
        for name in COUNTED:
            sums[name] += counts[name]
    for name, sums in whole.items():
        tell(f"all {name}", sums)
    return 0


def tell(name: str, n: dict[str, int]) -> None:
    """One row."""

    def share(part: int, all_: int) -> str:
        return f"{100 * part / all_:.1f} %" if all_ else "-"

    right = n["cells"] - n["errors"]
    print(
        f"{name:32} {n['cards']:5}  {n['corrected']:9} | {n['cells']:10}  {n['errors']:6} | "
        f"{n['right before']:3} ({share(n['right before'], n['errors'])}) -> {n['right after']:3} "
        f"({share(n['right after'], n['errors'])}), another {n['other before']} -> {n['other after']} | "
        f"{n['false before']} ({share(n['false before'], right)}) -> {n['false after']} "
        f"({share(n['false after'], right)} of {right} right cells)",
        flush=True,
    )


if __name__ == "__main__":
    raise SystemExit(main())
