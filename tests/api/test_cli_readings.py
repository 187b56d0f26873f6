"""The command line on how cards were read: proposals, reliability, and what a decision proposes anew."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from tests.archives import new_archive, package, picture
from tests.readings import Reader, body
from typer.testing import CliRunner

from numbertaker.cli.main import app
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.read import read
from numbertaker.usecases.take_in import take_in

RULED = ("--reason", "Seen.", "--as", "A. Reader")
WHY = "'7' was read as '1' in 2 of 2 cells looked over in this source"


def wavering() -> dict[str, Any]:
    """A card of three figures; over the last the reader wavers."""
    card = body(*({"miles": miles} for miles in ("12,104", "1,188", "12,350")))
    card["lines"][2]["cells"]["miles"] |= {"confidence": 0.6, "alternatives": [["72,350", 0.3]]}
    return card


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An archive with one card that was read."""
    made = new_archive(tmp_path / "archive")
    import_package(made, package(tmp_path / "tables"))
    take_in(made, [picture(tmp_path / "scans" / "a.png", 50)], "S1")
    read(made, executor=lambda: Reader(lambda *_: wavering()))
    made.close()
    return tmp_path / "archive"


def called(folder: Path, *words: str) -> str:
    """What a command prints."""
    done = CliRunner().invoke(app, [*words, "--archive", str(folder)])
    assert done.exit_code == 0, done.output
    return done.stdout


def test_a_decision_tells_which_cells_it_proposes_anew(folder: Path) -> None:
    """Before and after, with the reason, for people and for programs; the list has the same."""
    assert "Proposed" not in called(folder, "decide", "cell", "S1-1-1/miles", "72,104", *RULED)
    told = called(folder, "decide", "cell", "S1-1-2/miles", "7,188", *RULED)
    assert f"Proposed anew: S1-1-3/miles: 12,350 -> 72,350 ({WHY})." in told
    rows = called(folder, "proposals").splitlines()
    assert rows[0].split() == ["cell", "as", "read", "likelier", "how", "sure", "why"]
    assert rows[1].split()[:3] == ["S1-1-3/miles", "12,350", "72,350"]
    (cell,) = json.loads(called(folder, "proposals", "S1", "--json"))["proposals"]
    assert (cell["proposed"], cell["why"]) == ("72,350", WHY)
    told = called(folder, "take-back", "D2", *RULED)
    assert "No longer proposed: S1-1-3/miles: 12,350 -> 72,350." in told


def test_a_source_tells_how_far_its_confidence_can_be_trusted(folder: Path) -> None:
    """Nothing before a card is checked; then how many of each confidence were right."""
    assert called(folder, "reliability", "S1").startswith("No cells of this source are checked yet.")
    called(folder, "decide", "cell", "S1-1-1/miles", "72,104", *RULED)
    called(folder, "decide", "checked", "S1-1", "stands", *RULED)
    told = called(folder, "reliability", "S1").splitlines()
    assert told[0].startswith("3 cells on one checked card: 2 were read rightly.")
    assert told[3].split()[:6] == ["0.85", "to", "0.93", "2", "1", "50.0"]
    assert json.loads(called(folder, "reliability", "S1", "--json"))["cards_checked"] == ["S1-1"]
