"""Corrections of some cells improve the other cells of their source, say which, and nothing by themselves."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from tests.archives import new_archive, package, picture
from tests.readings import Reader, body

from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput, NotFound
from numbertaker.evidence.records import CellKey
from numbertaker.usecases.calibrating import checked_cells, curves_in_force, reliability_of
from numbertaker.usecases.decide import Decided, decide, take_back
from numbertaker.usecases.learn import learn, learn_first
from numbertaker.usecases.look.learnt import learnt_view
from numbertaker.usecases.packages import export_package, import_package
from numbertaker.usecases.proposing import by_hand, hands, proposals
from numbertaker.usecases.read import read
from numbertaker.usecases.reconcile import current
from numbertaker.usecases.take_in import take_in

MISREAD = {"12,104": "72,104", "1,188": "7,188", "31,540": "37,540"}
"""Figures as they are read, and as they stand: a hand whose 7 has lost its bar."""
DOUBTFUL = "12,350"


def page(name: str) -> dict[str, Any]:
    """Card a has the figures that are corrected, card b one that the reader wavers over."""
    if name.startswith("a"):
        return body(*({"engine": "208", "miles": miles} for miles in (*MISREAD, "40,020", "25,701")))
    made = body({"engine": "208", "miles": DOUBTFUL}, {"engine": "210", "miles": "22,000"})
    made["lines"][0]["cells"]["miles"] |= {"confidence": 0.6, "alternatives": [["72,350", 0.3]]}
    return made


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """Two cards of one source and one of another, all read."""
    made = new_archive(tmp_path / "archive")
    sources = "source_id,kind,title\nS1,component-card,Boiler cards\nS2,component-card,Tender cards\n"
    import_package(made, package(tmp_path / "tables", sources=sources))
    scans = tmp_path / "scans"
    take_in(made, [picture(scans / "a.png", 50), picture(scans / "b.png", 90)], "S1")
    take_in(made, [picture(scans / "c.png", 130)], "S2")
    read(made, executor=lambda: Reader(lambda name, _: page(name)))
    return made


def corrected(archive: Archive, count: int = 3) -> list[Decided]:
    """The first figures of card a, corrected one after the other."""
    return [
        decide(archive, "cell", f"S1-1-{n}/miles", true, "Plain on the scan.", "A. Reader")
        for n, true in enumerate(list(MISREAD.values())[:count], start=1)
    ]


def test_corrections_propose_another_text_for_a_cell_of_another_card(archive: Archive) -> None:
    """The cell that nobody looked at keeps its text; the likelier one stands beside it with the count."""
    assert proposals(archive) == {}
    corrected(archive)

    found = proposals(archive)[CellKey("S1-2-1", "miles")]
    assert found.text == "72,350"
    assert found.why == "'7' was read as '1' in 3 of 4 cells looked over in this source"
    assert by_hand(archive) == {CellKey("S1-2-1", "miles"): found}
    lines = {line.line_id: line.miles for line in archive.ruled().evidence.lines}
    assert lines["S1-2-1"] == DOUBTFUL


def test_a_correction_says_which_other_cells_it_changed(archive: Archive) -> None:
    """Before and after, with the reason; taking the corrections back takes the proposal back, and says so."""
    done = [d.changed.proposed for d in corrected(archive)]
    assert [len(told) for told in done] == [0, 1, 0]
    (told,) = done[1]
    assert (str(told.cell), told.text, told.before) == ("S1-2-1/miles", DOUBTFUL, "")
    assert told.now is not None
    assert told.now.text == "72,350"

    take_back(archive, "D3", "Looked again.", "A. Reader")
    undone = take_back(archive, "D2", "Looked again.", "A. Reader").changed.proposed
    assert [(str(t.cell), t.before, t.now) for t in undone] == [("S1-2-1/miles", "72,350", None)]
    assert proposals(archive) == {}


def test_another_source_has_a_hand_of_its_own(archive: Archive) -> None:
    """What one source teaches says nothing of another's cells."""
    corrected(archive)
    assert set(hands(archive)) == {"S1"}
    assert not [key for key in proposals(archive) if key.line_id.startswith("S2")]


def test_a_cell_that_a_person_confirmed_is_left_alone(archive: Archive) -> None:
    """Who writes the text that was read says that it stands; nothing is proposed for it any more."""
    corrected(archive)
    decide(archive, "cell", "S1-2-1/miles", DOUBTFUL, "It is a 1.", "A. Reader")
    assert proposals(archive) == {}


def test_a_card_that_was_looked_through_stands(archive: Archive) -> None:
    """No cell of a checked card is proposed for, and all of them count as read for certain."""
    corrected(archive)
    done = decide(archive, "checked", "S1-2", "stands", "Held to the scan.", "A. Reader")
    assert done.decision.ruling.startswith("stands ")
    assert proposals(archive) == {}
    line = next(line for line in archive.ruled().evidence.lines if line.line_id == "S1-2-1")
    assert line.sureness("miles") == 1.0
    assert next(x for x in archive.evidence().lines if x.line_id == "S1-2-1").sureness("miles") == 0.6


def test_a_check_falls_when_the_card_is_read_otherwise(archive: Archive) -> None:
    """It spoke of what was read then; the same reading again leaves it standing."""
    decide(archive, "checked", "S1-2", "stands", "Held to the scan.", "A. Reader")
    read(archive, ["S1-2"], again=True, executor=lambda: Reader(lambda name, _: page(name)))
    assert set(archive.ruled().checked) == {"S1-2"}
    read(archive, ["S1-2"], again=True, executor=lambda: Reader(lambda *_: body({"miles": "99,350"})))
    assert archive.ruled().checked == {}


@pytest.mark.parametrize(
    ("target", "ruling", "error"),
    [("S1-2", "all right", BadInput), ("S9-9", "stands", NotFound)],
)
def test_a_check_must_name_a_card_that_stands(
    archive: Archive, target: str, ruling: str, error: type[Exception]
) -> None:
    """Of a card nothing else can be said than that it stands, and it must be there."""
    with pytest.raises(error):
        decide(archive, "checked", target, ruling, "Because.", "A. Reader")


def test_the_order_of_corrections_does_not_matter(archive: Archive, tmp_path: Path) -> None:
    """The same corrections in another order propose the same."""
    corrected(archive)
    first = proposals(archive)
    for n in (3, 2, 1):
        take_back(archive, f"D{n}", "Again.", "A")
    for n in (2, 3, 1):
        decide(archive, "cell", f"S1-1-{n}/miles", list(MISREAD.values())[n - 1], "Plain.", "A")
    assert proposals(archive) == first


def test_only_cards_looked_through_tell_how_far_confidence_can_be_trusted(archive: Archive) -> None:
    """Corrections alone are of cells that were wrong; a checked card counts right and wrong cells alike."""
    corrected(archive)
    assert checked_cells(archive) == {}
    assert reliability_of(archive, "S1")[0].cells == 0
    decide(archive, "checked", "S1-1", "stands", "Held to the scan.", "A. Reader")
    told, learnt = reliability_of(archive, "S1")
    assert (told.cells, told.right, learnt) == (10, 7, None)


def test_what_checked_cells_say_of_confidence_is_learnt_when_asked(tmp_path: Path) -> None:
    """A source read worse than its confidence says is believed less from then on, and no sooner."""
    archive = new_archive(tmp_path / "archive")
    import_package(archive, package(tmp_path / "tables"))
    take_in(archive, [picture(tmp_path / "scans" / "a.png", 50)], "S1")
    rows = [{"engine": str(200 + n), "miles": f"{n},100"} for n in range(40)]
    read(archive, executor=lambda: Reader(lambda *_: body(*rows)))
    assert learn_first(archive) is not None
    assert learn_first(archive) is None
    for n in range(1, 31):
        decide(archive, "cell", f"S1-1-{n}/miles", f"{n},700", "Plain.", "A")
    decide(archive, "checked", "S1-1", "stands", "Held to the scan.", "A")
    assert curves_in_force(archive) == {}
    current(archive)
    assert learn(archive, "A").version == 2
    curve = curves_in_force(archive)["S1"]["every"]
    assert curve.cells == 80
    assert 0.55 < curve.at(0.9) < 0.75
    before, after = reliability_of(archive, "S1")
    assert after is not None
    assert after.error < 0.1 < before.error
    assert learnt_view(archive).says.endswith("goes by 80 checked cells of one source.")
    assert learn(archive, "A").version == 2


@pytest.mark.parametrize("prefix", [None, "W-"])
def test_a_check_goes_out_with_a_package_and_comes_back(
    archive: Archive, tmp_path: Path, prefix: str | None
) -> None:
    """It holds in the archive that takes the package in, under ids with a beginning of their own too."""
    corrected(archive)
    decide(archive, "checked", "S1-1", "stands", "Held to the scan.", "A. Reader")
    other = new_archive(tmp_path / "other")
    import_package(other, export_package(archive, tmp_path / "out"), prefix=prefix)
    assert set(other.ruled().checked) == {f"{prefix or ''}S1-1"}
    raw = {line.miles: line.sureness("miles") for line in other.evidence().lines}
    assert raw["12,104"] == 0.9


def test_a_heading_alone_shows_no_cells_as_looked_over(archive: Archive) -> None:
    """Who corrects the head of a card has not looked at its lines."""
    decide(archive, "cell", "S1-1-1/heading", "53", "Plain.", "A. Reader")
    assert hands(archive) == {}
