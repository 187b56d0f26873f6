"""The faces that training and its checks draw with, and how they come here.

All are openly licensed (SIL Open Font License 1.1 or Apache 2.0) and come from the npm registry, one package
a face. They are never shipped: only the weights trained on their renderings are. Of each list every second
face, from the second on, is held out, and so are those that the bench keeps unseen: nothing is ever trained
on them.
"""

from __future__ import annotations

import argparse
import json
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Final, Literal, TypeAlias

sys.path.append(str(Path(__file__).resolve().parents[1] / "bench_parts"))

from cards import faces as bench

Sort: TypeAlias = Literal["typed", "print", "hand"]
FOLDER: Final = Path(__file__).resolve().parents[2] / ".train" / "faces"
LICENCES: Final = {"OFL-1.1", "Apache-2.0"}
TYPED: Final = (
    "anonymous-pro",
    "arvo",
    "atkinson-hyperlegible-mono",
    "azeret-mono",
    "b612-mono",
    "besley",
    "bitter",
    "courier-prime",
    "cousine",
    "cutive-mono",
    "dm-mono",
    "fira-mono",
    "fragment-mono",
    "geist-mono",
    "google-sans-code",
    "hepta-slab",
    "ia-writer-mono",
    "ia-writer-quattro",
    "ibm-plex-mono",
    "inconsolata",
    "jetbrains-mono",
    "josefin-slab",
    "kiwi-maru",
    "kode-mono",
    "lekton",
    "nanum-gothic-coding",
    "noto-sans-mono",
    "overpass-mono",
    "pt-mono",
    "red-hat-mono",
    "reddit-mono",
    "roboto-mono",
    "roboto-slab",
    "rokkitt",
    "sanchez",
    "share-tech-mono",
    "slabo-27px",
    "sometype-mono",
    "source-code-pro",
    "space-mono",
    "special-elite",
    "spline-sans-mono",
    "victor-mono",
    "zilla-slab",
)
"""Fixed pitch and slab faces: what typewriters wrote, and what looks like it."""
PRINT: Final = (
    "abhaya-libre",
    "alegreya",
    "archivo-narrow",
    "arimo",
    "barlow-condensed",
    "bodoni-moda",
    "cardo",
    "cormorant-garamond",
    "crimson-text",
    "eb-garamond",
    "frank-ruhl-libre",
    "gelasio",
    "gfs-didot",
    "headland-one",
    "im-fell-english",
    "josefin-sans",
    "league-gothic",
    "league-spartan",
    "libre-baskerville",
    "libre-caslon-condensed",
    "libre-caslon-text",
    "libre-franklin",
    "lora",
    "merriweather",
    "noto-serif",
    "old-standard-tt",
    "oswald",
    "ovo",
    "playfair-display",
    "prata",
    "pt-sans-narrow",
    "pt-serif",
    "roboto-condensed",
    "rufina",
    "sorts-mill-goudy",
    "source-serif-4",
    "spectral",
    "stix-two-text",
    "tinos",
    "unna",
    "vollkorn",
)
"""Text faces: headings and printed lists."""
HAND: Final = (
    "alex-brush",
    "allura",
    "amatic-sc",
    "annie-use-your-telescope",
    "architects-daughter",
    "bad-script",
    "balsamiq-sans",
    "birthstone",
    "carlito",
    "caveat",
    "caveat-brush",
    "cedarville-cursive",
    "chilanka",
    "comic-neue",
    "comic-relief",
    "cookie",
    "corinthia",
    "courgette",
    "covered-by-your-grace",
    "damion",
    "dancing-script",
    "delicious-handrawn",
    "delius",
    "ephesis",
    "gaegu",
    "gloria-hallelujah",
    "gochi-hand",
    "grand-hotel",
    "great-vibes",
    "handlee",
    "herr-von-muellerhoff",
    "homemade-apple",
    "indie-flower",
    "itim",
    "kalam",
    "kaushan-script",
    "licorice",
    "liu-jian-mao-cao",
    "long-cang",
    "mansalva",
    "marck-script",
    "monsieur-la-doulaise",
    "montecarlo",
    "mr-de-haviland",
    "ms-madi",
    "nanum-brush-script",
    "nanum-pen-script",
    "neucha",
    "oooh-baby",
    "parisienne",
    "patrick-hand",
    "permanent-marker",
    "pinyon-script",
    "playpen-sans",
    "poor-story",
    "reenie-beanie",
    "rochester",
    "rock-salt",
    "sacramento",
    "satisfy",
    "schoolbell",
    "shadows-into-light",
    "shantell-sans",
    "short-stack",
    "smooch",
    "sriracha",
    "sue-ellen-francisco",
    "swanky-and-moo-moo",
    "tangerine",
    "the-girl-next-door",
    "vibur",
    "whisper",
    "yellowtail",
    "yomogi",
    "zen-kurenaido",
    "zhi-mang-xing",
)
"""Faces drawn from handwriting, neat ones and wild ones."""
FURTHER: Final[dict[Sort, tuple[str, ...]]] = {
    "typed": (
        "cascadia-code", "commit-mono", "iosevka", "maple-mono", "monaspace-krypton", "monaspace-neon",
        "noto-mono", "recursive", "aleo", "caladea", "domine", "halant", "inika", "karma", "literata",
        "martel", "petrona", "rasa", "roboto-serif", "brawler", "esteban", "im-fell-english-sc",
        "gentium-plus",
    ),
    "print": (),
    "hand": ("italianno", "yusei-magic", "finger-paint", "grandstander", "lobster-two"),
}  # fmt: skip
"""Faces that came later: all of them are trained on."""
FACES: Final[dict[Sort, tuple[str, ...]]] = {"typed": TYPED, "print": PRINT, "hand": HAND}


BENCH_SEEN, BENCH_UNSEEN = (
    frozenset((*bench.TYPED[half], *bench.HANDS[half], bench.PRINTED[half])) for half in ("seen", "unseen")
)
"""The bench's own halves (scripts/bench_parts/cards/faces.py): its unseen faces are never trained on, its
seen ones are."""


def is_held_out(sort: Sort, name: str) -> bool:
    """Whether nothing may be trained on a face."""
    return name in BENCH_UNSEEN or (name in FACES[sort][1::2] and name not in BENCH_SEEN)


@lru_cache
def faces(sort: Sort, *, held_out: bool) -> tuple[Path, ...]:
    """The files of one sort's faces, either those to train on or those held out."""
    names = [name for name in FACES[sort] if is_held_out(sort, name) == held_out]
    names += [] if held_out else FURTHER[sort]
    return tuple(FOLDER / f"{name}.ttf" for name in names if (FOLDER / f"{name}.ttf").exists())


def fetch() -> None:
    """Install the packages in a folder of their own and unpack each face's Latin letters, upright and
    regular."""
    from fontTools.ttLib import TTFont

    FOLDER.mkdir(parents=True, exist_ok=True)
    npm = shutil.which("npm")
    if npm is None:
        sys.exit(
            "npm was expected on the path, to fetch the faces, and wasn't found: install Node 20 or newer."
        )
    names = [name for groups in (FACES, FURTHER) for group in groups.values() for name in group]
    names = [name for name in names if not (FOLDER / f"{name}.ttf").exists()]
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "package.json").write_text('{"private": true}', encoding="utf-8")
        wanted = [f"@fontsource/{name}" for name in names]
        subprocess.run([npm, "install", "--ignore-scripts", "--no-audit", *wanted], cwd=folder, check=True)
        for name in names:
            package = Path(folder, "node_modules", "@fontsource", name)
            licence = json.loads((package / "package.json").read_text(encoding="utf-8"))["license"]
            if licence not in LICENCES:
                sys.exit(
                    f"{name} is licensed as {licence}: only {' or '.join(sorted(LICENCES))} may be used."
                )
            face = TTFont(package / "files" / f"{name}-latin-400-normal.woff")
            face.flavor = None
            face.save(FOLDER / f"{name}.ttf")


def main(argv: Sequence[str] | None = None) -> int:
    """Fetch the faces."""
    argparse.ArgumentParser(description=__doc__).parse_args(argv)
    fetch()
    print(f"{len(list(FOLDER.glob('*.ttf')))} faces are in {FOLDER}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
