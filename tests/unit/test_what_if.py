"""What a ruling would change: as if it stood, and nothing is stored."""

from __future__ import annotations

from dataclasses import replace

from tests.railways import MIRROR, OWN, own, railway

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import Decision, Evidence
from numbertaker.reconciling import reconcile
from numbertaker.reconciling.history import Finding, History
from numbertaker.reconciling.what_if import Outcome, what_if

WRONG = replace(OWN[1], miles="82,177")


def supposed(evidence: Evidence, finding: Finding, ruling: str) -> tuple[History, Outcome]:
    """The history as it is, and what a ruling would do."""
    before = reconcile(follow(evidence))
    decision = Decision(
        decision_id="", kind="finding", target=finding.id, ruling=ruling, reason="", by="", at=""
    )
    return before, what_if(evidence, before, decision, reconcile)


def conflict(evidence: Evidence, kind: str) -> Finding:
    """The finding of a kind."""
    return next(f for f in reconcile(follow(evidence)).all_findings() if f.kind == kind)


def test_to_believe_the_other_side_changes_the_miles_and_closes_the_finding():
    """The fitment's figure, the whole, and the finding itself are named; each ruling gives what it says."""
    evidence = railway(OWN[0], WRONG, *OWN[2:], *MIRROR)
    finding = conflict(evidence, "mileage-conflict")
    found = set()
    for one, other in (("S1-51-2", "S2-202-1"), ("S2-202-1", "S1-51-2")):
        _, told = supposed(evidence, finding, f"believe {one}/miles; set aside {other}/miles")
        assert finding.id in [f.id for f in told.gone]
        found |= {(change.what, change.after) for change in told.changes}
    assert found & {("miles", "87,177"), ("miles", "82,177")}
    assert any(what == "total" for what, _ in found)


def test_what_is_supposed_is_what_comes_when_it_is_decided():
    """The same ruling in the log gives the history that was foretold."""
    evidence = railway(OWN[0], WRONG, *OWN[2:], *MIRROR)
    finding = conflict(evidence, "mileage-conflict")
    ruling = "believe S1-51-2/miles; set aside S2-202-1/miles"
    _, told = supposed(evidence, finding, ruling)
    decision = Decision(
        decision_id="D1", kind="finding", target=finding.id, ruling=ruling, reason="The hand is plain.",
        by="A. Reader", at="2026-01-01T00:00:00Z",
    )  # fmt: skip
    after = reconcile(follow(replace(evidence, decisions=(decision,))))
    assert after.components[0].fitments[1].miles.value == 82_177
    assert {f.id for f in told.gone} == {finding.id} | {
        f.id for f in reconcile(follow(evidence)).all_findings()
    } - {f.id for f in after.all_findings()}


def test_to_let_a_gap_stand_changes_nothing_but_the_finding():
    """It goes from the open ones, and no fitment becomes otherwise."""
    evidence = railway(*OWN[:3], own(4, "203", "3.1919", "6.1922", "110,876"))
    before, told = supposed(evidence, conflict(evidence, "gap"), "stands")
    assert (told.changes, told.come) == ((), ())
    assert [f.kind for f in told.gone] == ["gap"]
    assert reconcile(follow(evidence)) == before
