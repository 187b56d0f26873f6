"""The whole corpus in one walk: railway, plantings, papers, scans, package, truth."""

from __future__ import annotations

from pathlib import Path

from .package import cells_json, digests, package_tables, write_json, write_package
from .papers import write_papers
from .plantings import make_world
from .scans import plan_scans, write_scan
from .truth import truth_json


def make_corpus(out: Path, seed: int, *, drawn: bool) -> str:
    """Write the corpus of a seed to a folder; `drawn` False leaves the scans that are there as they are.

    Returns a sentence that says what was made. Raises FileNotFoundError if scans are to be left and one is missing.
    """
    world = make_world(seed)
    papers = write_papers(world, seed)
    scans = plan_scans(papers, seed)
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
    pages = sum(len(file.pages) for file in scans)
    size = sum((folder / file.name).stat().st_size for file in scans)
    return f"{pages} cards and pages in {len(scans)} files ({size / 1e6:.1f} MB), {len(rows['lines'])} lines, in {out}"
