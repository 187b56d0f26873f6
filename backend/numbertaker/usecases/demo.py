"""The whole walk on the invented railway, from tables and scans to a history; what is done is not redone."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numbertaker
from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput
from numbertaker.usecases.learn import learn_first
from numbertaker.usecases.naming import component_id_of
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.publish import Export, write_history
from numbertaker.usecases.read import Progress, read
from numbertaker.usecases.reconcile import current
from numbertaker.usecases.take_in import take_in

CORPUS: Final = "corpus_demo"
EXPORTS: Final = "exports"
FORMATS: Final[tuple[Export, ...]] = ("json", "md", "html", "docx", "pdf")
NUMBER: Final = "52"
"""The number of the boiler that the demo tells of: it has no record for four years."""


@dataclass(frozen=True, slots=True)
class Demo:
    """What the demo came to; `failed` says which cards could not be read, `written` tells the history."""

    number: str
    cards: int
    lines: int
    components: int
    findings: int
    failed: tuple[str, ...]
    written: tuple[Path, ...]


def find_corpus() -> Path:
    """The demo's folder, in the clone that the program runs from or in the folder where it was started."""
    root = Path(numbertaker.__file__).resolve().parents[2]
    for place in (root / CORPUS, Path.cwd() / CORPUS):
        if (place / "authority").is_dir():
            return place
    raise BadInput(f"The folder {CORPUS} was expected beside the program and not found; name it by --corpus.")


def make(archive: Archive, corpus: Path, progress: Progress | None = None) -> Demo:
    """Take in the demo's tables and scans, read what is unread, learn from it once, reconcile, and write the
    boiler's history.
    """
    import_package(archive, corpus / "authority")
    take_in(archive, [corpus / "scans"])
    job = read(archive, progress=progress)
    learn_first(archive)
    history, evidence = current(archive), archive.evidence()
    component_id = component_id_of(evidence, NUMBER)
    exports = archive.folder / EXPORTS
    written = tuple(
        write_history(archive, component_id, fmt, exports / f"boiler-{NUMBER}.{fmt}") for fmt in FORMATS
    )
    still_open = sum(finding.settled_by is None for finding in history.all_findings())
    cards = len({page.card_id for page in archive.card_scans()})
    failed = tuple(f"{item.card_id}: {item.why}" for item in job.items if item.state == "failed")
    return Demo(NUMBER, cards, len(evidence.lines), len(history.components), still_open, failed, written)
