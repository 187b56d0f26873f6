"""What holds of working out only what an edit touches: it gives just what working out everything gives."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import Decision, Evidence
from numbertaker.reconciling import Learnt, Standing, learn, reconcile
from numbertaker.reconciling.history import History

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "scripts" / "bench_parts"))

from reconciling import HANDS, load, write  # noqa: E402

_CELLS = ("engine", "component", "fitted", "removed", "miles", "total_miles", "heading")


@cache
def world(hand: str) -> tuple[Evidence, Learnt]:
    """A small hard world, and what it teaches."""
    with TemporaryDirectory() as name:
        write(hand, "hard", 5, 10, Path(name))
        evidence = load(Path(name) / "package")
    return evidence, learn(follow(evidence))


def decision(name: str, kind: str, target: str, ruling: str, revokes: str = "") -> Decision:
    """A ruling without a story."""
    return Decision(
        decision_id=name,
        kind=kind,
        target=target,
        ruling=ruling,
        reason="-",
        by="-",
        at="2026-01-01",
        revokes=revokes,
    )


class Desk:
    """Somebody who rules, takes back, and takes lines away, as it comes."""

    def __init__(self, evidence: Evidence, draw: st.DataObject) -> None:
        """Begin with no ruling."""
        self.evidence, self.draw = evidence, draw.draw
        self.log: list[Decision] = []

    def edit(self, history: History) -> None:
        """Do one thing."""
        kind = self.draw(st.sampled_from(["cell", "cell", "link", "finding", "revoke", "looked", "line"]))
        lines = self.evidence.lines
        line = self.draw(st.sampled_from(lines))
        if kind == "line":
            self.evidence = replace(self.evidence, lines=tuple(one for one in lines if one is not line))
        elif kind == "revoke" and self.log:
            self._rule("revoke", self.draw(st.sampled_from(self.log)).decision_id, "")
        elif kind == "finding":
            finding = self.draw(st.sampled_from(history.all_findings()))
            says = self.draw(st.sampled_from(["stands", *(f"set aside {c}" for c in finding.claims)]))
            self._rule("finding", finding.id, says)
        elif kind == "link":
            subjects = [row.key for row in (*self.evidence.engines, *self.evidence.components)]
            cell = self.draw(st.sampled_from(["engine", "component", "heading"]))
            self._rule("link", f"{line.line_id}/{cell}", self.draw(st.sampled_from(["none", *subjects])))
        elif kind == "looked":
            tables = (self.evidence.engines, self.evidence.components)
            pair = ";".join(self.draw(st.sampled_from(table)).key for table in tables)
            self._rule("looked", pair, json.dumps({"covers": "1900/1930", "source": "", "when": ""}))
        else:
            cell = self.draw(st.sampled_from(_CELLS))
            other = self.draw(st.sampled_from(lines)).text(cell)
            self._rule("cell", f"{line.line_id}/{cell}", other)

    def _rule(self, kind: str, target: str, ruling: str) -> None:
        name, revokes = f"D{len(self.log) + 1}", target if kind == "revoke" else ""
        self.log.append(decision(name, kind, target, ruling, revokes))

    def now(self) -> Evidence:
        """The evidence with every ruling so far."""
        return replace(self.evidence, decisions=tuple(self.log))


@settings(max_examples=10, deadline=None)
@given(hand=st.sampled_from(HANDS), data=st.data())
def test_what_is_kept_up_is_what_a_whole_run_gives(hand: str, data: st.DataObject):
    """After every one of several random edits, and after the last ruling is taken back: to the byte."""
    evidence, learnt = world(hand)
    standing, desk = Standing(), Desk(evidence, data)
    history = standing.reconcile(follow(evidence), learnt)
    for _ in range(data.draw(st.integers(1, 8))):
        desk.edit(history)
        ruled = follow(desk.now())
        history = standing.reconcile(ruled, learnt)
        assert history.to_json(explained=True) == reconcile(ruled, learnt=learnt).to_json(explained=True)


def test_what_a_list_says_is_heard_again_when_it_comes_back():
    """A copy that spoke of nothing for a while is a claim again of the fitment to which it returns."""
    evidence, learnt = world(HANDS[0])
    standing = Standing()
    before = standing.reconcile(follow(evidence), learnt)
    copies = [line for line in evidence.lines if line.side == "statement" and line.fitted and line.removed]
    for line in copies[:12]:
        away = (
            decision("D1", "cell", f"{line.line_id}/fitted", "1.1.1851"),
            decision("D2", "cell", f"{line.line_id}/removed", "2.1.1851"),
            decision("D3", "cell", f"{line.line_id}/miles", "3"),
        )
        standing.reconcile(follow(replace(evidence, decisions=away)), learnt)
        assert standing.reconcile(follow(evidence), learnt) == before


def test_every_finding_can_be_ruled_on():
    """Whatever a finding is about, a card, a fitment, a chain or a single day: it says who settled it."""
    for hand in HANDS:
        evidence, learnt = world(hand)
        standing = Standing()
        for finding in standing.reconcile(follow(evidence), learnt).all_findings():
            ruled = follow(replace(evidence, decisions=(decision("D1", "finding", finding.id, "stands"),)))
            after = {f.id: f.settled_by for f in standing.reconcile(ruled, learnt).all_findings()}
            assert after[finding.id] == "D1"


def test_taking_a_ruling_back_restores_just_what_was():
    """A ruling and its taking back leave the history as it was, without a whole run between."""
    evidence, learnt = world(HANDS[0])
    standing = Standing()
    before = standing.reconcile(follow(evidence), learnt)
    line = next(line for line in evidence.lines if line.miles and line.side == "component")
    ruling = decision("D1", "cell", f"{line.line_id}/miles", "12,345")
    changed = standing.reconcile(follow(replace(evidence, decisions=(ruling,))), learnt)
    assert changed.components != before.components
    assert standing.reconcile(follow(evidence), learnt) == before


def test_what_an_edit_does_not_touch_is_the_very_same():
    """The history of a component that has nothing to do with a ruling is not made anew."""
    evidence, learnt = world(HANDS[0])
    standing = Standing()
    before = {c.component_id: c for c in standing.reconcile(follow(evidence), learnt).components}
    line = next(line for line in evidence.lines if line.miles and line.side == "component")
    ruling = decision("D1", "cell", f"{line.line_id}/miles", "12,345")
    after = standing.reconcile(follow(replace(evidence, decisions=(ruling,))), learnt)
    assert any(component is before[component.component_id] for component in after.components)
    assert any(component is not before[component.component_id] for component in after.components)
