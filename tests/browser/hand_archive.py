"""An archive for the browser tests: two cards of a hand whose 7 is read as 1, as a recogniser gives them."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.readings import Reader, body  # noqa: E402

from numbertaker.archive import open_archive  # noqa: E402
from numbertaker.evidence.records import Source  # noqa: E402
from numbertaker.usecases.read import read  # noqa: E402
from numbertaker.usecases.take_in import take_in  # noqa: E402

MILES = {
    "boiler-52.jpg": ("12,104", "1,188", "31,540", "40,020"),
    "boiler-46.jpg": ("12,350", "11,250", "22,000"),
}
WAVERING = {"12,350": "72,350", "11,250": "17,250"}


def page(name: str) -> dict[str, Any]:
    """A card as read: the second has two figures over which the reader wavers."""
    made = body(*({"engine": str(208 + n), "miles": miles} for n, miles in enumerate(MILES[name])), top=420)
    for line in made["lines"]:
        cell = line["cells"]["miles"]
        cell["box"] = [900, cell["box"][1], 170, 34]
        if cell["text"] in WAVERING:
            cell |= {"confidence": 0.6, "alternatives": [[WAVERING[cell["text"]], 0.3]]}
    return made


def main(folder: Path) -> None:
    """Make the archive in a folder that is not there yet."""
    archive = open_archive(folder)
    source = Source(source_id="S1", kind="component-card", title="Boiler record cards")
    scans = [ROOT / "corpus_demo" / "scans" / name for name in MILES]
    take_in(archive, scans[:1], "S1", new_source=source)
    take_in(archive, scans[1:], "S1")
    read(archive, executor=lambda: Reader(lambda name, _: page(name)))
    archive.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
