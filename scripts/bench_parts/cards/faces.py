"""The faces in which the bench's cards are typed, printed and written: fetched once, by name.

All are openly licensed (OFL 1.1, Apache 2.0 or the Ubuntu Font Licence); each package carries its licence,
and nothing of them is kept in the repository.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Final

TYPED: Final = {
    "seen": (
        "special-elite",
        "courier-prime",
        "anonymous-pro",
        "ibm-plex-mono",
        "cousine",
        "pt-mono",
        "inconsolata",
    ),
    "unseen": (
        "cutive-mono",
        "fira-mono",
        "lekton",
        "nanum-gothic-coding",
        "ubuntu-mono",
        "dm-mono",
        "overpass-mono",
    ),
}
HANDS: Final = {
    "seen": (
        "kalam",
        "caveat",
        "patrick-hand",
        "indie-flower",
        "homemade-apple",
        "reenie-beanie",
        "marck-script",
    ),
    "unseen": (
        "shadows-into-light",
        "cedarville-cursive",
        "architects-daughter",
        "bad-script",
        "gochi-hand",
        "handlee",
        "covered-by-your-grace",
    ),
}
PRINTED: Final = {"seen": "eb-garamond", "unseen": "barlow-condensed"}


@dataclass(frozen=True, slots=True)
class Faces:
    """Paths of faces, without the ending `.ttf`, which FreeType does not need to be true."""

    folder: Path

    def path(self, name: str) -> str:
        """Where a face lies, as the sheet's drawing wants it."""
        return str(self.folder.resolve() / name)


def fetch(folder: Path) -> Faces:
    """Fetch the faces that are not there yet, with npm; raises CalledProcessError where that fails."""
    names = [*TYPED["seen"], *TYPED["unseen"], *HANDS["seen"], *HANDS["unseen"], *PRINTED.values()]
    missing = [name for name in names if not (folder / f"{name}.ttf").exists()]
    if missing:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "package.json").write_text(json.dumps({"private": True}), encoding="utf-8")
        npm = shutil.which("npm")
        if npm is None:
            raise FileNotFoundError("npm, which fetches the bench's typefaces, is not installed")
        wanted = [f"@fontsource/{name}" for name in missing]
        quiet = ["--no-audit", "--no-fund", "--ignore-scripts"]
        subprocess.run([npm, "install", *quiet, *wanted], cwd=folder, check=True, capture_output=True)
        for name in missing:
            files = folder / "node_modules" / "@fontsource" / name / "files"
            shutil.copyfile(files / f"{name}-latin-400-normal.woff", folder / f"{name}.ttf")
    return Faces(folder)
