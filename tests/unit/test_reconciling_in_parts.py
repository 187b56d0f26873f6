"""Reconciling an archive anew, component by component: what is kept is the whole, or what was kept before."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from tests.archives import new_archive, package

from numbertaker.archive import Archive
from numbertaker.reconciling import in_parts
from numbertaker.reconciling import reconcile as in_memory
from numbertaker.usecases import reconcile as use_case
from numbertaker.usecases.decide import decide
from numbertaker.usecases.keeping import whole_of
from numbertaker.usecases.learn import in_force
from numbertaker.usecases.packages import import_package

LINES = """line_id,source_id,side,heading,row,says,engine,fitted,removed,miles
L1,S1,component,52,1,fitment,208,4.11,2.13,63310
L2,S1,component,52,2,fitment,210,3.13,6.15,41000
L3,S1,component,52,3,fitment,208,5.15,8.17,38000
L4,S1,component,53,1,fitment,210,9.15,12.17,52100
"""


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """Two boilers, of which one has two fitments that overlap."""
    made = new_archive(tmp_path / "archive")
    tables = {
        "engines": "engine_id,class,built\nE1,K,1903\nE2,K,1903\n",
        "components": "component_id,kind,built\nB52,boiler,1911\nB53,boiler,1911\n",
        "designations": "subject_id,scheme,value\n"
        "E1,number,208\nE2,number,210\nB52,number,52\nB53,number,53\n",
        "lines": LINES,
    }
    import_package(made, package(tmp_path / "tables", **tables))
    return made


def test_what_is_kept_is_what_is_worked_out_in_memory(archive: Archive) -> None:
    """Nothing is lost on the way through the file, and the counts are those of the whole."""
    made = use_case.reconcile(archive)
    whole = in_memory(archive.ruled(), learnt=in_force(archive))

    assert whole_of(archive.kept_histories()) == whole
    assert (made.components, made.fitments) == (2, sum(len(c.fitments) for c in whole.components))
    assert made.findings_open == len(whole.all_findings()) > 0


def test_the_parts_are_those_of_the_whole_in_order(archive: Archive) -> None:
    """Whoever takes a history part by part gets every component once, and then what belongs to none."""
    parts = in_parts(archive.ruled(), learnt=in_force(archive))
    components = tuple(parts.components())
    assert replace(parts.rest(), components=components) == in_memory(
        archive.ruled(), learnt=in_force(archive)
    )


def test_a_run_that_fails_leaves_what_was_kept(archive: Archive, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a run breaks off after the first component, the history of before is still there, whole."""
    use_case.reconcile(archive)
    before = (archive.kept_digest(), sorted(archive.kept_histories()))
    decide(archive, "cell", "L1/miles", "68310", "The 8 is plain.", "A. Reader")
    kept = (archive.kept_digest(), sorted(archive.kept_histories()))
    written: list[object] = []

    def breaks(value: object) -> str:
        written.append(value)
        if len(written) > 1:
            raise OSError("no space left")
        return "{}"

    monkeypatch.setattr(use_case, "text_of", breaks)
    with pytest.raises(OSError, match="no space"):
        use_case.reconcile(archive)
    assert (archive.kept_digest(), sorted(archive.kept_histories())) == kept != before
