"""What a ruling would change: everything is reconciled as if it stood, and nothing is stored."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal, TypeAlias

from numbertaker.evidence.decisions import Ruled, follow
from numbertaker.evidence.records import Decision, Evidence
from numbertaker.reconciling.history import ComponentHistory, Finding, Fitment, History, Miles, When

Reconcile: TypeAlias = Callable[[Ruled], History]
What = Literal["fitted", "removed", "miles", "confidence", "gone", "come", "total"]
SUPPOSED: Final = "supposed"
"""The id of the decision that is only thought of; no log ever has it."""
_NOTICED: Final = 0.05


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that would be otherwise: of a fitment of a component, or (without an engine) of its total."""

    component_id: str
    engine_id: str | None
    what: What
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one ruling would do: what becomes otherwise, and the findings that would go and come."""

    ruling: str
    changes: tuple[Change, ...]
    gone: tuple[Finding, ...]
    come: tuple[Finding, ...]


def what_if(evidence: Evidence, before: History, decision: Decision, reconcile: Reconcile) -> Outcome:
    """Reconcile with one more decision, and say what differs from the history as it is.

    `evidence` is as it came, with its log; `reconcile` makes the history, with what the archive has taught.
    """
    supposed = replace(evidence, decisions=(*evidence.decisions, replace(decision, decision_id=SUPPOSED)))
    after = reconcile(follow(supposed))
    open_before = {f.id: f for f in before.all_findings() if f.settled_by is None}
    open_after = {f.id: f for f in after.all_findings() if f.settled_by is None}
    return Outcome(
        ruling=decision.ruling,
        changes=tuple(_changes(before, after)),
        gone=tuple(f for name, f in open_before.items() if name not in open_after),
        come=tuple(f for name, f in open_after.items() if name not in open_before),
    )


def _changes(before: History, after: History) -> Iterator[Change]:
    now = {component.component_id: component for component in after.components}
    for was in before.components:
        component = now.get(was.component_id)
        if component is not None and (was.fitments, was.miles) != (component.fitments, component.miles):
            yield from _of_component(was, component)


def _of_component(was: ComponentHistory, now: ComponentHistory) -> Iterator[Change]:
    name = was.component_id
    one, other = _by_place(was), _by_place(now)
    for key, fitment in one.items():
        if key not in other:
            yield Change(name, key[0], "gone", _when(fitment.fitted), None)
        else:
            yield from _of_fitment(name, fitment, other[key])
    for key, fitment in other.items():
        if key not in one:
            yield Change(name, key[0], "come", None, _when(fitment.fitted))
    before, after = was.miles, now.miles
    if (before.supported, before.low, before.high) != (after.supported, after.low, after.high):
        yield Change(name, None, "total", _range(before.low, before.high), _range(after.low, after.high))


def _by_place(component: ComponentHistory) -> dict[tuple[str, int], Fitment]:
    """The fitments by engine, and which one on it."""
    count: Counter[str] = Counter()
    found: dict[tuple[str, int], Fitment] = {}
    for fitment in component.fitments:
        count[fitment.engine_id] += 1
        found[fitment.engine_id, count[fitment.engine_id]] = fitment
    return found


def _of_fitment(name: str, was: Fitment, now: Fitment) -> Iterator[Change]:
    engine = was.engine_id
    told: tuple[tuple[What, str | None, str | None], ...] = (
        ("fitted", _when(was.fitted), _when(now.fitted)),
        ("removed", _when(was.removed), _when(now.removed)),
        ("miles", _miles(was.miles), _miles(now.miles)),
    )
    for what, before, after in told:
        if before != after:
            yield Change(name, engine, what, before, after)
    if abs(was.confidence - now.confidence) >= _NOTICED:
        yield Change(name, engine, "confidence", f"{was.confidence:.2f}", f"{now.confidence:.2f}")


def _when(when: When | None) -> str | None:
    """The likeliest claim, else the days between which it lies, as EDTF; None where neither is known."""
    if when is None:
        return None
    plain = when.to_json()
    if plain["edtf"]:
        return str(plain["edtf"])
    ends = [plain["earliest"] or "..", plain["latest"] or ".."]
    return None if ends == ["..", ".."] else "/".join(ends)


def _miles(miles: Miles | None) -> str | None:
    if miles is None:
        return None
    return f"{miles.value:,}" if miles.value is not None else _range(miles.low, miles.high)


def _range(low: int | None, high: int | None) -> str | None:
    if low is None or high is None:
        return None
    return f"{low:,}" if low == high else f"{low:,} to {high:,}"
