"""The demonstration corpus: it comes from its seed, its parts agree, and only what was planted is wrong."""

from __future__ import annotations

import csv
import hashlib
import json
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageOps

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "corpus_demo"
SEED = 13
sys.path.insert(0, str(ROOT / "scripts"))

from corpus.faults import cards_with_slips  # noqa: E402
from corpus.filing import write_papers  # noqa: E402
from corpus.papers import Paper  # noqa: E402
from corpus.plantings import World, make_world  # noqa: E402
from corpus.scans import ScanFile, draw, plan_scans, write_scan  # noqa: E402
from corpus.truth import truth_json  # noqa: E402

Row = dict[str, str]


def table(name: str, folder: str = "package") -> list[Row]:
    """The rows of one table of the committed package."""
    with (DEMO / folder / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def committed(name: str) -> Any:
    """A committed JSON file."""
    return json.loads((DEMO / name).read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def world() -> World:
    """The railway of the committed corpus, made again."""
    return make_world(SEED)


def sheds() -> list[Paper]:
    """The sheds' cards, written again."""
    return [p for p in write_papers(make_world(SEED), SEED) if p.source_id == "S6"]


@pytest.fixture(scope="module")
def scans(world: World) -> dict[str, ScanFile]:
    """Every scan file of the corpus, laid out again, by its name."""
    papers = write_papers(world, SEED)
    return {file.name: file for file in plan_scans(papers, SEED, cards_with_slips(world, papers))}


def pictures(path: Path) -> Iterator[Image.Image]:
    """The pages of a scan, upright."""
    if path.suffix == ".pdf":
        with pypdfium2.PdfDocument(path) as document:
            for page in document:
                yield next(page.get_objects()).get_bitmap().to_pil().convert("RGB")
        return
    with Image.open(path) as file:
        for page in range(getattr(file, "n_frames", 1)):
            file.seek(page)
            yield ImageOps.exif_transpose(file).convert("RGB")


def test_the_papers_come_from_the_seed(world: World) -> None:
    """The same seed gives the railway, the plantings and the truth that are committed."""
    made = truth_json(world, write_papers(world, SEED), SEED)

    assert json.loads(json.dumps(made)) == committed("truth.json")


@pytest.mark.parametrize("name", ["boiler-52.jpg", "engine-63.png", "photo-2.jpg"])
def test_a_scan_comes_from_the_seed(scans: dict[str, ScanFile], name: str, tmp_path: Path) -> None:
    """Drawing a scan again gives the committed pixels.

    Another processor may round a sum of floats otherwise, so one pixel in a thousand may differ visibly.
    """
    write_scan(scans[name], tmp_path, SEED)
    again, kept = (
        np.asarray(next(pictures(folder / name)), dtype=int) for folder in (tmp_path, DEMO / "scans")
    )

    assert again.shape == kept.shape
    assert np.mean(np.abs(again - kept).max(axis=2) > 6) < 0.001


def test_another_seed_gives_another_railway(world: World) -> None:
    """The seed decides the railway, and every one of them has its silent boiler and its slips."""
    other = make_world(SEED + 1)

    assert other.railway.stays != world.railway.stays
    assert {slip.key for slip in other.slips} == {slip.key for slip in world.slips}


def test_cells_lie_where_the_ink_is(scans: dict[str, ScanFile]) -> None:
    """The box of a typed cell is darker than the paper round it, on a turned and leaning photograph too."""
    page = next(f.pages[0] for f in scans.values() if f.orientation != 1)
    grey = draw(page, SEED).mean(axis=2)
    darker = []
    for cell in (c for c in page.sheet.cells if c.text and c.row):
        x, y, width, height = page.box(cell.box)
        inside = np.percentile(grey[y : y + height, x : x + width], 5)
        darker.append(inside < np.median(grey[y - 12 : y + height + 12, x - 12 : x + width + 12]) - 15)

    assert np.mean(darker) > 0.97


def test_the_corpus_is_small_and_complete() -> None:
    """At most 25 MB of scans, 65 pages in six forms, and each format that a reader must open."""
    files = [path for path in (DEMO / "scans").iterdir() if path.is_file()]
    forms = Counter(row["form"] for row in table("cards") if row["state"] == "seen")

    assert sum(path.stat().st_size for path in files) < 25_000_000
    assert {path.suffix for path in files} == {".jpg", ".png", ".tif", ".pdf"}
    assert set(forms) == {
        *("component-card", "engine-card", "printed-list"),
        *("shed-card", "ledger", "typed-list"),
    }
    assert forms.total() == 65
    assert (forms["shed-card"], forms["ledger"], forms["typed-list"]) == (8, 3, 2)


def test_two_photographs_are_stored_on_their_side() -> None:
    """An EXIF orientation of 6 and one of 8 are among the scans."""
    turned = set()
    for path in (DEMO / "scans").glob("*.jpg"):
        with Image.open(path) as file:
            turned.add(file.getexif().get(0x0112, 1))

    assert turned == {1, 6, 8}


def test_photographs_show_cards_on_a_dark_desk() -> None:
    """Four are a telephone's: darker at the edge than on the card, and two of them show two cards."""
    shown = Counter(row["scans"] for row in table("cards") if row["scans"].startswith("photo-"))
    outlines = {p["scan"]: p["outline"] for p in committed("cells.json") if p["scan"] in shown}

    assert sorted(shown.values()) == [1, 1, 2, 2]
    for name, corners in outlines.items():
        grey = np.asarray(next(pictures(DEMO / "scans" / name)).convert("L"))
        x, y = np.mean(corners, axis=0).astype(int)
        desk = np.concatenate([grey[:20].ravel(), grey[:, :20].ravel()])
        assert np.median(desk) < 60 < np.median(grey[y - 50 : y + 50, x - 50 : x + 50]) - 60


def test_hands_have_their_licences_beside_them() -> None:
    """Every face that the corpus is drawn with has its licence: an open one."""
    fonts = ROOT / "scripts" / "corpus" / "fonts"
    for face in fonts.glob("*.ttf"):
        licence = (fonts / f"{face.stem.partition('-')[0]}-LICENSE.txt").read_text(encoding="utf-8")
        assert "SIL Open Font License, Version 1.1" in licence or "Apache License" in licence


def test_hands_strike_out_and_repeat() -> None:
    """Each shed's card has a figure struck out and put right, and ditto marks; three have two hands."""
    marks = defaultdict(list)
    for row in (r for r in table("lines") if r["source_id"] == "S6"):
        marks[row["card_id"]] += [
            part.partition("=")[2].partition(":")[0] for part in row["marks"].split(";")
        ]
    faces = {p.card_id: {p.clerk.face, *([p.second[1].face] if p.second else [])} for p in sheds()}

    assert all({"ditto", "struck"} <= set(found) for found in marks.values())
    assert sum(len(found) == 2 for found in faces.values()) == 3
    assert len(set().union(*faces.values())) == 4


def test_cards_name_their_scans_and_digests() -> None:
    """Every seen card names a file that is there, with its SHA-256, and no file is left over."""
    seen = [row for row in table("cards") if row["state"] == "seen"]
    named = {row["scans"].partition("#")[0]: row["sha256"] for row in seen}
    there = {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in (DEMO / "scans").iterdir()}

    assert named == there


def test_sizes_of_pages_are_those_of_the_cells_file() -> None:
    """The boxes of the cells file are in pixels of the upright picture of each page."""
    said = defaultdict(list)
    for page in committed("cells.json"):
        said[page["scan"]].append((page["width"], page["height"]))
    for name in ("tenders.tif", "engine-63.png", *(p.name for p in (DEMO / "scans").glob("*.pdf"))):
        assert [p.size for p in pictures(DEMO / "scans" / name)] == said[name]


def test_the_authority_is_the_package_without_its_lines() -> None:
    """What is imported before the scans are read is the package's own tables, byte for byte."""
    names = {path.name for path in (DEMO / "package").glob("*.csv")}

    assert {path.name for path in (DEMO / "authority").glob("*.csv")} == names - {"lines.csv"}
    for name in names - {"lines.csv"}:
        assert (DEMO / "authority" / name).read_bytes() == (DEMO / "package" / name).read_bytes()


def test_everything_referred_to_is_there() -> None:
    """Ids are unique over engines and components, and no row refers to a row that is missing."""
    engines = [row["engine_id"] for row in table("engines")]
    ids = [*engines, *(row["component_id"] for row in table("components"))]
    sources = {row["source_id"] for row in table("sources")}
    cards = {row["card_id"] for row in table("cards")}
    lines = table("lines")

    assert len(set(ids)) == len(ids)
    assert {r["subject_id"] for t in ("designations", "events") for r in table(t)} <= set(ids)
    assert {r["subject_id"] for r in table("cards")} - {""} <= set(ids)
    assert {r["source_id"] for t in ("cards", "events", "lines") for r in table(t)} <= sources
    assert {r["card_id"] for r in lines} <= cards
    assert all(r["line_id"] == f"{r['card_id']}-{r['row']}" for r in lines)


def test_cells_and_lines_say_the_same() -> None:
    """Each cell of the cells file stands, with its mark, in the line of the package."""
    lines = {row["line_id"]: row for row in table("lines")}
    for page in committed("cells.json"):
        for cell in (c for c in page["cells"] if c["row"]):
            line = lines[f"{page['card_id']}-{cell['row']}"]
            marks = dict(part.split("=", 1) for part in line["marks"].split(";") if part)
            assert line[cell["field"]] == cell["text"]
            assert marks.get(cell["field"], "").partition(":")[0] == cell.get("mark", "")


def test_only_planted_lines_say_what_is_not_so() -> None:
    """Every cell that is not true lies on a line that a planted fault touches."""
    truth = committed("truth.json")
    wrong = {line for line, cells in truth["cells"].items() for _, held, _ in cells.values() if not held}
    touched = {line for fault in truth["faults"] for line in fault["lines"]}

    assert wrong <= touched
    assert touched == {line for line, (_, flag, _) in truth["lines"].items() if flag}


def test_cards_mirror_each_other() -> None:
    """A fitment stands on its component's card, but for the silence, and on its engine's if that is kept."""
    truth = committed("truth.json")
    sides = defaultdict(Counter)
    for row in table("lines"):
        if row["says"] == "fitment" and row["source_id"] in ("S1", "S2", "S3"):
            sides[truth["lines"][row["line_id"]][2]][row["side"]] += 1
    seen = {row["subject_id"] for row in table("cards") if row["state"] == "seen"}
    silent = []
    for fitment in truth["fitments"]:
        kept = fitment["engine"] in seen and fitment["component"].startswith("B")
        assert sides[fitment["id"]]["engine"] == kept
        if not sides[fitment["id"]]["component"]:
            silent.append(fitment["component"])

    assert silent == ["B52"]


def test_no_component_is_lost_for_long_but_the_silent_one() -> None:
    """Between two fitments lie at most seventy days, or a line that says where the component lay."""
    truth, spans = committed("truth.json"), defaultdict(list)
    for row in table("lines"):
        if row["side"] == "component" and row["says"] in ("fitment", "spare"):
            cells = truth["cells"][row["line_id"]]
            spans[row["card_id"]].append((cells["fitted"][0], cells["removed"][0]))
    waits = {
        card: max(
            (date.fromisoformat(b[0]) - date.fromisoformat(a[1])).days for a, b in pairwise(sorted(stays))
        )
        for card, stays in spans.items()
    }

    assert waits.pop("S1-52") > 3.5 * 365
    assert max(waits.values()) <= 70


def test_an_engine_carries_one_boiler_at_a_time() -> None:
    """In truth no engine carried two components of one kind at once."""
    stays = defaultdict(list)
    for fitment in committed("truth.json")["fitments"]:
        stays[fitment["engine"], fitment["component"][0]].append((fitment["fitted"], fitment["removed"]))
    for spans in stays.values():
        ordered = sorted(spans)
        assert all(a[1] < b[0] for a, b in pairwise(ordered))


def test_totals_add_up_but_the_planted_one() -> None:
    """Running totals and totals at the foot are the sums of the lines above them, with one exception."""
    run: Counter[str] = Counter()
    off = []
    for row in (r for r in table("lines") if r["side"] == "component"):
        if row["remarks"] == "Brought forward":
            run[row["card_id"]] = int(row["total_miles"].replace(",", ""))
        if row["miles"]:
            run[row["card_id"]] += int(row["miles"].replace(",", ""))
        if row["total_miles"] and int(row["total_miles"].replace(",", "")) != run[row["card_id"]]:
            off.append(row["line_id"])

    assert off == [f for x in committed("truth.json")["faults"] if x["kind"] == "total" for f in x["lines"]]


def test_every_planting_is_listed_for_people() -> None:
    """The README names every line that a planted fault touches, and the finding that should say so."""
    text = (DEMO / "README.md").read_text(encoding="utf-8")
    for fault in committed("truth.json")["faults"]:
        assert fault["expected"] in fault["accept"]
        assert f"`{fault['expected']}`" in text
        assert all(f"`{line}`" in text for line in fault["lines"])
