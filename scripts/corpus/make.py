"""The whole corpus in one walk: railway, plantings, papers, scans, package, truth."""

from __future__ import annotations

from pathlib import Path

from .faults import cards_with_slips
from .filing import write_papers
from .package import cells_json, digests, package_tables, write_json, write_package
from .plantings import make_world
from .readme import readme
from .scans import plan_scans, write_scan
from .truth import truth_json


def make_corpus(out: Path, seed: int, *, drawn: bool) -> str:
    """Write the corpus of a seed to a folder; `drawn` False leaves the scans that are there as they are.

    Returns a sentence that says what was made. Raises FileNotFoundError if a scan that
    was to be left is missing.
    """
    world = make_world(seed)
    papers = write_papers(world, seed)
    scans = plan_scans(papers, seed, cards_with_slips(world, papers))
    folder = out / "scans"
    folder.mkdir(parents=True, exist_ok=True)
    if drawn:
        for file in scans:
            write_scan(file, folder, seed)
    rows = package_tables(world, papers, scans, digests(scans, folder))
    write_package(out / "package", "merrowdale-and-ostrey", rows)
    authority = {table: content for table, content in rows.items() if table != "lines"}
    write_package(out / "authority", "merrowdale-and-ostrey-authority", authority)
    write_json(out / "truth.json", truth_json(world, papers, seed))
    write_json(out / "cells.json", cells_json(scans))
    text = readme(world, papers, seed=seed, files=len(scans))
    (out / "README.md").write_text(text, encoding="utf-8", newline="\n")
    pages = sum(len(file.pages) for file in scans)
    size = sum((folder / file.name).stat().st_size for file in scans)
    lines = len(rows["lines"])
    return f"{pages} cards and pages in {len(scans)} files ({size / 1e6:.1f} MB), {lines} lines, in {out}"
