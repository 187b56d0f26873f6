"""The terms of a fitment: that this component was on this engine at some time in the span."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from numbertaker.reconciling.confidence import Rows
from numbertaker.reconciling.entries import EVENTS, Draft, Stay
from numbertaker.reconciling.weighing.conflicts import Conflicts
from numbertaker.reconciling.weighing.lines import sides_terms
from numbertaker.reconciling.weighing.terms import Term, odds, rows_of
from numbertaker.reconciling.weighing.witnesses import count, echoes

_CELLS = ("engine", "component", "fitted", "removed", "miles")
_NEAR = 400
_DATED: Final = {"fitted": "how surely it is dated when it began", "removed": "and when it ended"}
_UNDATED: Final = Term("undated", 1.0, "order")
_AGAIN: Final = Term(
    "close by", 1.0, "conflict", "the same component and engine have another fitment close by"
)
_SAME_MILES: Final = Term("same miles", 1.0, "agreement", "they give the same miles")


def fitment_rows(draft: Draft, stay: Stay, conflicts: Conflicts) -> Rows:
    """Why a stay is taken to be a fitment, and how surely."""
    return rows_of("fitment", fitment_terms(draft, stay, conflicts))


def fitment_terms(draft: Draft, stay: Stay, conflicts: Conflicts) -> list[Term]:
    """What speaks for and against a stay: who tells of it, whom their lines mean, its dates, its fellows."""
    found = [
        *_told(stay),
        Term("sure", odds(stay.sure), "linked"),
        Term("surer", odds(max(stay.component_sure, stay.engine_sure)), "linked"),
        *sides_terms(stay),
    ]
    for event in EVENTS:
        known = stay.dates.get(event)
        found.append(_UNDATED if known is None else Term("date", odds(known.sure), "order", _DATED[event]))
    if _again(draft, stay):
        found.append(_AGAIN)
    kinds: dict[str, Term] = {}
    for entry in stay.witnesses:
        beside = conflicts.beside(entry)
        for cell in _CELLS if beside else ():
            kinds |= {term.name: term for term in conflicts.terms(beside, entry.key(cell))}
    return [*found, *(kinds[name] for name in sorted(kinds) if not _told_twice(name, kinds))]


def _told_twice(name: str, kinds: Iterable[str]) -> bool:
    """Whether a line stands beside a finding that one of its cells is in."""
    return name.startswith("beside ") and name.replace("beside ", "in ") in kinds


def _told(stay: Stay) -> list[Term]:
    """Who tells of it: papers that know it for themselves, and copies."""
    knowing = [e for e in stay.entries if not e.copy and e.twin is None]
    copies = len({e.line.source_id for e in stay.entries if e.copy and not echoes(stay.entries, e)})
    figures = [e.miles.value for e in knowing if e.miles]
    lines = f"{count(len(knowing))} line{'' if len(knowing) == 1 else 's'}"
    says = f"{lines} of papers that know for themselves {'says' if len(knowing) == 1 else 'say'} so"
    found = [Term("told", float(min(3, len(knowing))), "read", says if knowing else "only copies say so")]
    if copies:
        found.append(Term("copies", float(min(2, copies)), "source", _copied(copies)))
    if len(figures) > 1 and len(set(figures)) == 1:
        found.append(_SAME_MILES)
    return found


def _copied(copies: int) -> str:
    return f"{count(copies)} cop{'y repeats' if copies == 1 else 'ies repeat'} it"


def _again(draft: Draft, stay: Stay) -> bool:
    """Whether another stay of the same two lies in or close to the same time, so that they may be one."""
    if stay.rough is None:
        return False
    first, last = stay.rough
    return any(
        other is not stay
        and other.engine_id == stay.engine_id
        and other.rough is not None
        and other.rough[0] < last + _NEAR
        and first < other.rough[1] + _NEAR
        for other in draft.on_component.get(stay.component_id or "", ())
    )
