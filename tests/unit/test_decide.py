"""Rulings: what is refused, what they change, and that taking one back restores what was."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from tests.archives import new_archive, package

from numbertaker.archive import Archive, open_archive
from numbertaker.evidence.errors import BadInput, Conflict, NotFound, NumbertakerError
from numbertaker.reconciling.history import History
from numbertaker.usecases.decide import decide, take_back
from numbertaker.usecases.packages import export_package, import_package
from numbertaker.usecases.reconcile import current, go_on, make_ready

LINES = """line_id,source_id,side,heading,row,says,engine,fitted,removed,miles
L1,S1,component,52,1,fitment,208,4.11,2.13,63310
L2,S1,component,52,2,fitment,210,3.13,6.15,41000
L3,S1,component,52,3,fitment,208,5.15,8.17,38000
"""


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """A boiler with three fitments, the last of which begins before the second ends."""
    made = new_archive(tmp_path / "archive")
    tables = {
        "engines": "engine_id,class,built\nE1,K,1903\nE2,K,1903\n",
        "components": "component_id,kind,built\nB52,boiler,1911\n",
        "designations": "subject_id,scheme,value\nE1,number,208\nE2,number,210\nB52,number,52\n",
        "lines": LINES,
    }
    import_package(made, package(tmp_path / "tables", **tables))
    return made


def history(archive: Archive) -> str:
    """The history as the public format gives it."""
    return json.dumps(current(archive).to_json(explained=True), ensure_ascii=False)


def test_a_correction_changes_the_history_and_taking_it_back_restores_it(archive: Archive) -> None:
    """The history follows a ruling at once; without it, it is what it was, to the byte."""
    before = history(archive)
    made = decide(archive, "cell", "L1/miles", "68310", "The 8 is plain.", "A. Reader")

    assert made.decision.decision_id == "D1"
    assert made.changed.components == ("B52",)
    assert "68310" in history(archive)
    assert archive.evidence().lines[0].miles == "63310"

    undone = take_back(archive, "D1", "Looked again.", "B. Reader")
    assert (undone.decision.kind, undone.decision.revokes) == ("revoke", "D1")
    assert history(archive) == before


def test_taking_back_can_be_taken_back(archive: Archive) -> None:
    """A taking-back is a decision too; without it the first ruling stands again."""
    decide(archive, "cell", "L1/miles", "68310", "Seen.", "A")
    with_ruling = current(archive).components[0].miles
    take_back(archive, "D1", "Doubt.", "A")
    take_back(archive, "D2", "No doubt.", "A")

    assert archive.ruled().evidence.lines[0].miles == "68310"
    assert current(archive).components[0].miles == with_ruling


def test_a_ruling_on_a_finding_settles_it(archive: Archive) -> None:
    """A finding that was ruled on is closed, and open again when that is taken back."""
    (finding,) = [f for f in current(archive).all_findings() if f.kind == "overlap"]
    made = decide(archive, "finding", finding.id, "stands", "The cards say so.", "A")
    assert finding.id in made.changed.findings_closed

    undone = take_back(archive, made.decision.decision_id, "It can't be.", "A")
    assert finding.id in undone.changed.findings_opened


def test_an_authority_row_can_be_mended_and_added(archive: Archive) -> None:
    """A mended row has the new cells over the old ones; a new row must be one that an import would take."""
    decide(archive, "authority", "engines:E1", '{"withdrawn": "1912"}', "List.", "A")
    decide(archive, "authority", "engines:E9", '{"engine_id": "E9", "class": "G"}', "List.", "A")

    engines = {engine.engine_id: engine for engine in archive.ruled().evidence.engines}
    assert (engines["E1"].class_, engines["E1"].withdrawn) == ("K", "1912")
    assert engines["E9"].class_ == "G"


@pytest.mark.parametrize(
    ("kind", "target", "ruling", "error"),
    [
        ("opinion", "L1/miles", "1", BadInput),
        ("revoke", "D1", "", BadInput),
        ("cell", "L9/miles", "1", NotFound),
        ("cell", "L1/line_id", "1", BadInput),
        ("cell", "L1", "1", BadInput),
        ("link", "L1/engine", "E7", NotFound),
        ("link", "L1/miles", "E1", BadInput),
        ("finding", "F0", "stands", NotFound),
        ("authority", "lines:L1", "{}", BadInput),
        ("authority", "engines:E1", "1911", BadInput),
        ("authority", "engines:E1", '{"built": "April"}', BadInput),
        ("authority", "engines:E9", '{"class": "K"}', BadInput),
    ],
)
def test_what_can_not_be_ruled_is_refused(
    archive: Archive, kind: str, target: str, ruling: str, error: type[NumbertakerError]
) -> None:
    """A ruling that nothing could follow does not enter the log."""
    with pytest.raises(error):
        decide(archive, kind, target, ruling, "Because.", "A")
    assert archive.evidence().decisions == ()


def test_a_ruling_on_a_finding_must_say_something(archive: Archive) -> None:
    """An unknown word, an empty ruling or a cell that is not there is refused."""
    finding = current(archive).all_findings()[0]
    for ruling in ("", "perhaps", "believe L9/miles"):
        with pytest.raises(NumbertakerError):
            decide(archive, "finding", finding.id, ruling, "Because.", "A")
    assert archive.evidence().decisions == ()


@pytest.mark.parametrize(("reason", "by"), [("", "A"), ("Because.", " ")])
def test_a_ruling_needs_a_reason_and_a_name(archive: Archive, reason: str, by: str) -> None:
    """Nobody rules without saying why and who they are."""
    with pytest.raises(BadInput):
        decide(archive, "cell", "L1/miles", "1", reason, by)
    assert archive.evidence().decisions == ()


def test_only_what_stands_can_be_taken_back(archive: Archive) -> None:
    """An unknown decision is not found; one that fell already is a conflict."""
    with pytest.raises(NotFound):
        take_back(archive, "D1", "Because.", "A")
    decide(archive, "cell", "L1/miles", "1", "Because.", "A")
    take_back(archive, "D1", "Because.", "A")
    with pytest.raises(Conflict):
        take_back(archive, "D1", "Because.", "A")


def test_replayed_in_another_archive_the_history_is_the_same(archive: Archive, tmp_path: Path) -> None:
    """Evidence and decisions, exported and imported, give the same history to the byte."""
    decide(archive, "cell", "L1/miles", "68310", "Seen.", "A")
    decide(archive, "link", "L2/engine", "E2", "Seen.", "A")
    decide(archive, "authority", "engines:E1", '{"withdrawn": "1940"}', "List.", "A")
    other = new_archive(tmp_path / "other")
    import_package(other, export_package(archive, tmp_path / "out.zip"))

    assert history(other) == history(archive)


def test_a_kept_history_is_taken_up_without_loss(archive: Archive) -> None:
    """Another opener gets the history that was kept, equal in every part, without reconciling again."""
    from numbertaker.archive import open_archive

    made = current(archive)
    assert archive.kept_digest()
    assert {component_id for component_id, _ in archive.kept_histories()} == {"", "B52"}
    assert current(open_archive(archive.folder)) == made


def test_what_is_kept_in_parts_is_the_whole_for_the_next_process(
    archive: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only changed parts are written after a ruling; another process finds a whole history and makes none."""
    current(archive)
    decide(archive, "cell", "L1/miles", "68310", "The 8 is plain.", "A. Reader")
    decide(archive, "link", "L2/engine", "E1", "The ink is of 208.", "A. Reader")
    after = current(archive)
    monkeypatch.setattr("numbertaker.reconciling.reconcile", None)
    other = open_archive(archive.folder)
    assert current(other) == after
    assert other.evidence() == archive.evidence()
    other.close()


def test_a_decision_of_another_process_is_seen(archive: Archive) -> None:
    """What is kept in memory over a ruling is let go of where somebody else wrote in between."""
    other = open_archive(archive.folder)
    current(archive)
    decide(other, "cell", "L1/miles", "68310", "The 8 is plain.", "A. Reader")
    decide(archive, "cell", "L2/miles", "42000", "The 2 is plain.", "A. Reader")
    assert [d.target for d in archive.evidence().decisions] == ["L1/miles", "L2/miles"]
    assert "68310" in history(archive)
    other.close()


def test_what_was_made_ready_is_gone_on_from(archive: Archive, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a server made itself ready, its first ruling works out what it touches, not everything anew."""
    from numbertaker.reconciling import Standing

    begun: list[bool] = []
    whole = Standing.reconcile

    def watched(self: Standing, *given: Any) -> History:
        made = whole(self, *given)
        begun.append(self.anew)
        return made

    monkeypatch.setattr(Standing, "reconcile", watched)
    before = history(archive)
    go_on(archive)
    make_ready(archive)
    assert history(archive) == before
    decide(archive, "cell", "L1/miles", "68310", "The 8 is plain.", "A. Reader")
    assert begun == [True, False]
    other = open_archive(archive.folder)
    assert history(other) == history(archive)
    other.close()
