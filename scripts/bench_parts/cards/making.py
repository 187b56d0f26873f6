"""Draw the bench's cards into a folder: pictures, and `cells.json` with what truly stands on them."""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any, Final

import numpy as np
from PIL import Image

from corpus.kinds import Column, Kind
from corpus.photographs import Shot, outline, photograph, seen_box
from corpus.setting import Setting
from corpus.sheet import Sheet

from .faces import HANDS, PRINTED, TYPED, Faces, fetch
from .kinds import SEEN, UNSEEN
from .kinds_wide import WIDE
from .texts import content
from .wearing import look_of, scan, turned

PER_LEVEL: Final = {"clean": 3, "worn": 4, "poor": 4}
SHIPPED: Final = ("OldStandardTT-Regular", "ArchivoNarrow-Regular", "ArchivoNarrow-Bold")
"""The demo's printed faces, which the further forms are printed in too."""
MADE: Final = 3
"""The number of this generator: a folder made by another is drawn anew."""


@dataclass(frozen=True, slots=True)
class Plan:
    """One picture to draw: its name, how it is taken, and the forms of the cards on it."""

    name: str
    case: str
    level: str
    kinds: tuple[Kind, ...]
    quarters: int = 0
    suffix: str = "jpg"


def plans(half: str) -> list[Plan]:
    """All pictures of a half: 'seen', 'unseen', or 'wide', the further forms to develop on."""
    kinds = {"seen": SEEN, "unseen": UNSEEN, "wide": WIDE}[half]
    out = [
        Plan(f"{kind.name}-{level}-{n}", "scan", level, (kind,))
        for kind in kinds
        for level, count in PER_LEVEL.items()
        for n in range(count)
    ]
    if half == "wide":
        return [*out, *(Plan(f"photo-{kind.name}", "photo", "photo", (kind,)) for kind in kinds)]
    out += [Plan(f"photo-{kind.name}", "photo", "photo", (kind,)) for kind in kinds]
    out += [Plan(f"photo-again-{kind.name}", "photo", "photo", (kind,)) for kind in kinds[:3]]
    out += [Plan(f"two-{n}", "two", "photo", (kinds[n], kinds[n + 1])) for n in range(3)]
    out += [
        Plan(f"turned-{90 * q}-{kind.name}", "turned", "worn", (kind,), q)
        for q, kind in zip((1, 2, 3, 2, 1), kinds, strict=True)
    ]
    out += [Plan(f"onebit-{kind.name}", "scan", "clean", (kind,), suffix="png1") for kind in kinds[:2]]
    out += [Plan(f"deep-{kind.name}", "scan", "worn", (kind,), suffix="png16") for kind in kinds[2:3]]
    out += [Plan(f"halved-{kind.name}", "halved", "worn", (kind,)) for kind in kinds[:2]]
    return [*out, *(Plan(name, "nothing", "", ()) for name in ("blank", "cat", "shapes", "coffee", "page"))]


class Drawer:
    """Draws plans; every choice comes from the plan's name, the half and the seed."""

    def __init__(self, half: str, faces: Faces, folder: Path, seed: int = 0) -> None:
        self.half, self.faces, self.folder, self.seed = half, faces, folder, seed

    def draw(self, plan: Plan) -> list[dict[str, Any]]:
        """Write the picture of a plan; give an entry for each card on it."""
        again = f"/{self.seed}" if self.seed else ""
        seed = zlib.crc32(f"{self.half}/{plan.name}{again}".encode())
        rng, noise = Random(seed), np.random.default_rng(seed)
        if plan.case == "nothing":
            picture = _no_card(plan.name, noise)
            return [self._written(plan, picture, [])]
        settings = [self._setting(kind, rng, plan) for kind in plan.kinds]
        sheets = [s.set() for s in settings]
        shot = self._taken(plan, sheets, rng, noise)
        entries = [_entry(s, place) for s, place in zip(settings, shot.places, strict=True)]
        picture = shot.picture
        if plan.case == "halved":
            picture = picture[:, : int(0.47 * picture.shape[1])]
            for entry in entries:
                entry["cells"] = []
        whole = self._written(plan, picture, entries)
        return [{**whole, **entry, "place": n} for n, entry in enumerate(entries)]

    def _taken(self, plan: Plan, sheets: list[Sheet], rng: Random, noise: np.random.Generator) -> Shot:
        if plan.case in ("photo", "two"):
            return photograph(sheets, [look_of(rng.choice(("clean", "worn")), rng) for _ in sheets], noise)
        return turned(scan(sheets[0], look_of(plan.level, rng), noise), plan.quarters)

    def _setting(self, kind: Kind, rng: Random, plan: Plan) -> Setting:
        by_hand = rng.random() < kind.hand
        face = rng.choice((HANDS if by_hand else TYPED)[_faces_of(self.half)])
        rows = rng.randint(5, 9) if plan.case == "two" else rng.randint(6, 17)
        printer = self.faces.path(PRINTED[_faces_of(self.half)])
        if self.half == "wide":
            printer = rng.choice((printer, *SHIPPED))
        faces = (self.faces.path(face), by_hand, printer)
        return Setting(kind, content(kind, rng, rows), rng, faces)

    def _written(self, plan: Plan, picture: Any, entries: list[dict[str, Any]]) -> dict[str, Any]:
        name = f"{plan.name}.{'png' if plan.suffix.startswith('png') else plan.suffix}"
        image = Image.fromarray(picture)
        if plan.suffix == "png1":
            _one_bit(image).save(self.folder / name)
        elif plan.suffix == "png16":
            deep = np.asarray(image.convert("L"), np.uint16) * 200 + 4000
            Image.fromarray(deep).save(self.folder / name)
        else:
            image.save(self.folder / name, quality=50 if plan.level == "poor" else 84)
        return {
            "scan": name,
            "page": 1,
            "case": plan.case,
            "level": plan.level,
            "form": "none",
            "cells": [],
            "columns": [],
            "quarters": plan.quarters,
        }


def _faces_of(half: str) -> str:
    """Whose faces the cards of a half are written in: the further forms have the seen ones."""
    return "unseen" if half == "unseen" else "seen"


def _one_bit(image: Image.Image) -> Image.Image:
    """Black and white, as microfilm readers gave it: against the paper around, not against one level."""
    grey = np.asarray(image.convert("L"), np.float32)
    around = np.asarray(
        Image.fromarray(grey.astype(np.uint8)).resize((40, 40)).resize(image.size), np.float32
    )
    return Image.fromarray(((grey > 0.8 * around) * 255).astype(np.uint8)).convert("1")


def _no_card(name: str, noise: np.random.Generator) -> Any:
    """Pictures on which there is no card: paper, a cat, shapes, a cup, a printed page."""
    if name == "blank":
        paper = np.full((1500, 2100, 3), (236, 226, 202), np.float64) + noise.normal(0, 3, (1500, 2100, 3))
        return np.clip(paper, 0, 255).astype(np.uint8)
    if name == "shapes":
        rows, columns = np.mgrid[0:1200, 0:1600]
        waves = (
            np.sin(rows / 90)[..., None] * 50
            + np.cos(columns / np.array((60, 75, 90))[:, None, None]).transpose(1, 2, 0) * 50
        )
        return np.clip(waves + 128 + noise.normal(0, 12, (1200, 1600, 3)), 0, 255).astype(np.uint8)
    from skimage import data

    picture = np.asarray({"cat": data.chelsea, "coffee": data.coffee, "page": data.page}[name]())
    return picture if picture.ndim == 3 else np.repeat(picture[..., None], 3, axis=2)


def _entry(setting: Setting, place: Any) -> dict[str, Any]:
    kind, sheet = setting.kind, setting.sheet
    cells = [
        {
            "row": c.row,
            "field": c.name,
            "text": c.text,
            "box": seen_box(place, c.box),
            **({"mark": c.marks.split(":")[0]} if c.marks else {}),
            **({"struck": c.marks.partition(":")[2]} if c.marks.startswith("struck") else {}),
        }
        for c in sheet.cells
    ]
    return {
        "kind": kind.name,
        "form": kind.form,
        "side": kind.side,
        "hand": setting.by_hand,
        "ruling": setting.ruling,
        "face": Path(setting.face).name,
        "outline": outline(place, sheet),
        "columns": [
            [_field(c), t.replace("|", " ")] for c, t in zip(kind.columns, setting.titles, strict=True)
        ],
        "cells": cells,
    }


def _field(column: Column) -> str:
    return column.field or column.titles[0]


def make_cards(half: str, out: Path, seed: int = 0) -> Path:
    """The folder with the cards of a half, drawn if they are not there; another seed makes other cards."""
    folder = out / (f"{half}-{seed}" if seed else half)
    stamp = folder / "made.txt"
    if stamp.exists() and stamp.read_text(encoding="utf-8") == str(MADE):
        return folder
    (folder / "scans").mkdir(parents=True, exist_ok=True)
    drawer = Drawer(half, fetch(out / "faces"), folder / "scans", seed)
    entries = [entry for plan in plans(half) for entry in drawer.draw(plan)]
    (folder / "cells.json").write_text(json.dumps(entries), encoding="utf-8")
    stamp.write_text(str(MADE), encoding="utf-8")
    return folder


def cards_in(folder: Path) -> Iterator[tuple[Path, list[dict[str, Any]]]]:
    """Each picture with the entries of the cards on it."""
    pictures: dict[str, list[dict[str, Any]]] = {}
    for entry in json.loads((folder / "cells.json").read_text(encoding="utf-8")):
        pictures.setdefault(entry["scan"], []).append(entry)
    for name, entries in pictures.items():
        yield folder / "scans" / name, entries
