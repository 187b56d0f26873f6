"""The worlds that reconciling is measured on come from their seed, and their truth fits their papers."""

from __future__ import annotations

import csv
import json
import sys
from collections import defaultdict
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from numbertaker.evidence.clerkdates import Era, read_date
from numbertaker.evidence.records import RECORDS

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "scripts" / "bench_parts"))

from worlds.commands import main  # noqa: E402
from worlds.files import truth  # noqa: E402
from worlds.values import World  # noqa: E402
from worlds.world import PROFILES, make_world  # noqa: E402

FINDINGS = {
    *("gap", "overlap", "double-occupancy", "date-conflict", "mileage-conflict", "total-mismatch"),
    *("rate-outlier", "outside-lifetime", "misnamed", "does-not-fit", "one-sided", "unlinked"),
    *("ambiguous-link", "repeated-line", "doubtful-reading"),
}


@pytest.fixture(scope="module")
def hard() -> World:
    """A hard world, large enough that every way of failing has been tried."""
    return make_world(150, "hard", 3)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A typical world as files."""
    out = tmp_path_factory.mktemp("world")
    main(["--components", "60", "--profile", "typical", "--seed", "5", "--out", str(out)])
    return out


def rows_of(table: Path) -> list[dict[str, str]]:
    """The rows of one table."""
    with table.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def read_truth(world: Path) -> dict[str, Any]:
    """The truth beside the package."""
    loaded: dict[str, Any] = json.loads((world / "truth.json").read_text(encoding="utf-8"))
    return loaded


def test_the_same_seed_gives_the_same_files(written: Path, tmp_path: Path) -> None:
    """Every byte of the package and the truth follows from the arguments."""
    main(["--components", "60", "--profile", "typical", "--seed", "5", "--out", str(tmp_path)])
    names = sorted(p.relative_to(written) for p in written.rglob("*.*"))
    assert names == sorted(p.relative_to(tmp_path) for p in tmp_path.rglob("*.*"))
    assert all((written / name).read_bytes() == (tmp_path / name).read_bytes() for name in names)


def test_another_seed_gives_another_world() -> None:
    """Two seeds differ in their fitments."""
    assert truth(make_world(40, "clean", 1))["fitments"] != truth(make_world(40, "clean", 2))["fitments"]


@pytest.mark.parametrize("seed", range(1, 6))
def test_a_clean_world_says_nothing_untrue(seed: int) -> None:
    """Without faults every cell holds the truth, however vaguely, and no line is touched."""
    clean = make_world(60, "clean", seed)
    assert not clean.faults
    assert all(cell.holds() for line in clean.lines for cell in line.cells.values())
    assert not any(line.touched for line in clean.lines)


def test_an_untouched_line_says_nothing_untrue(hard: World) -> None:
    """What is untrue in a world with faults stands on a line that a fault touched."""
    untouched = (line for line in hard.lines if not line.touched)
    assert all(cell.holds() for line in untouched for cell in line.cells.values())


def test_a_faulty_cell_is_untrue_or_out_of_its_time(hard: World) -> None:
    """A planted slip of a date or figure is never true by accident."""
    slips = {
        "date-slip",
        "miles-misread",
        "transposed-digits",
        "bad-total",
        "carried-total",
        "number-misread",
    }
    for fault in hard.faults:
        if fault.kind in slips:
            spoilt = [line.cells[field] for line in fault.lines for field in fault.fields]
            assert not any(cell.holds() for cell in spoilt), fault


def test_one_slot_holds_one_component_and_one_component_is_in_one_place(hard: World) -> None:
    """The truth keeps to what can be: no overlaps, lives kept, types that fit."""
    places = defaultdict(list)
    for stay in hard.fitments.values():
        component, engine = hard.components[stay.component], hard.engines[stay.engine]
        assert component.condemned is not None
        assert max(component.built, engine.built) <= stay.fitted < stay.removed
        assert stay.removed <= min(component.condemned, engine.withdrawn)
        assert (component.type, engine.class_at(stay.fitted)) in hard.fits
        places[stay.component].append((stay.fitted, stay.removed))
        places[stay.engine, component.kind].append((stay.fitted, stay.removed))
    assert all(one[1] <= two[0] for stays in places.values() for one, two in pairwise(sorted(stays)))


@pytest.mark.parametrize("profile", PROFILES)
def test_dates_mean_what_the_truth_says_they_mean(profile: str) -> None:
    """Every written date is understood, and can mean each day of its literal span that the truth names."""
    for line in make_world(60, profile, 2).lines:
        for field in ("fitted", "removed"):
            if field in line.cells:
                cell = line.cells[field]
                first, last = cell.literal
                read = read_date(cell.text, Era(first.year - 20, first.year + 20))
                assert read.hull is not None, cell.text
                assert read.hull.first <= first.toordinal() <= last.toordinal() <= read.hull.last, cell


def test_every_row_has_what_its_table_requires(written: Path) -> None:
    """The package keeps to the interchange format: known columns, and nothing required left empty."""
    by_table = {record.TABLE: record for record in RECORDS}
    tables = {path.stem: rows_of(path) for path in (written / "package").glob("*.csv")}
    assert {"sources", "engines", "components", "designations", "fits", "lines"} <= set(tables)
    for name, rows in tables.items():
        known = {column for column in rows[0] if not column.startswith("reading_")}
        assert known <= set(by_table[name].columns())
        assert all(row[column] for row in rows for column in by_table[name].REQUIRED)


def test_the_truth_is_about_the_lines_of_the_package(written: Path) -> None:
    """Truth and package name the same lines, fitments and stated cells."""
    true = read_truth(written)
    lines = {row["line_id"]: row for row in rows_of(written / "package" / "lines.csv")}
    assert set(true["lines"]) == set(true["cells"]) == set(lines)
    fitments = {f["id"] for f in true["fitments"]}
    assert {line[2] for line in true["lines"].values()} <= fitments | {None}
    for line_id, cells in true["cells"].items():
        assert all(lines[line_id][field] for field in cells)


def test_the_truth_has_the_scorers_form(written: Path) -> None:
    """The keys and shapes that the scorer reads, and only kinds of finding that there are."""
    true = read_truth(written)
    assert set(true) == {"seed", "components", "profile", "fitments", "lines", "cells", "faults"}
    assert set(true["fitments"][0]) == {"id", "component", "engine", "fitted", "removed", "miles"}
    for fault in true["faults"]:
        assert set(fault) == {"id", "kind", "lines", "fields", "accept", "visible"}
        assert set(fault["accept"]) <= FINDINGS
        assert all(true["lines"][line][1] for line in fault["lines"])


def test_a_sighting_that_another_fitment_explains_shows_no_fault(hard: World) -> None:
    """Who misdates a photograph into another time when the two were together has contradicted nobody."""
    together = defaultdict(list)
    for stay in hard.fitments.values():
        together[stay.component, stay.engine].append(stay)
    seen = [(fault, fault.lines[0]) for fault in hard.faults if fault.kind == "misdated"]
    assert any(fault.visible for fault, _ in seen)
    for fault, line in seen:
        stay, day = hard.fitments[line.fitment or ""], line.cells["fitted"].literal
        pair = together[stay.component, stay.engine]
        if any(one.fitted <= day[0] and day[1] <= one.removed for one in pair):
            assert not fault.visible


def test_a_profile_has_its_share_of_untouched_lines() -> None:
    """About 84 and 60 lines in a hundred stay clean, over a few worlds."""
    for profile, wanted in (("typical", 0.84), ("hard", 0.60)):
        worlds = [make_world(150, profile, seed) for seed in range(1, 5)]
        touched = [line.touched for world in worlds for line in world.lines]
        assert 1 - sum(touched) / len(touched) == pytest.approx(wanted, abs=0.05)
