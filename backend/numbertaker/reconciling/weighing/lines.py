"""What the line of a cell is worth as a whole: who it is tied to, and how well the rest of it stands."""

from __future__ import annotations

from math import log2

from numbertaker.reconciling.dating.regions import mass_in
from numbertaker.reconciling.entries import EVENTS, Draft, Entry, Stay
from numbertaker.reconciling.weighing.terms import Term, odds

_SURE_PAIR = 40.0


def source_terms(entry: Entry) -> list[Term]:
    """The kind of source, and whether it was copied from another."""
    kind = entry.source.kind.replace("-", " ")
    name = "a copy" if entry.copy else f"{'an' if kind[:1] in 'aeio' else 'a'} {kind}"
    return [Term("copy", float(entry.copy), "source", name)]


def linked_terms(stay: Stay) -> list[Term]:
    """How surely the line is tied to its component and engine."""
    both = stay.own is not None and stay.mirror is not None
    says = "both cards of the fitment are here" if both else "one side of the fitment is here"
    found = [
        Term("component", odds(stay.component_sure), "linked", says),
        Term("engine", odds(stay.engine_sure), "linked"),
        Term("one side", float(not both), "linked"),
    ]
    if both:
        found.append(Term("pair", log2(max(1.0, min(_SURE_PAIR, stay.score))), "linked"))
    if stay.hearsay:
        found.append(Term("hearsay", 1.0, "linked", "no paper that knows for itself speaks of it"))
    return found


def rest_terms(draft: Draft, stay: Stay, entry: Entry, cell: str) -> list[Term]:
    """How well the other cells of the line stand: its other dates, and its miles."""
    found = []
    for event in EVENTS:
        claim, known = entry.date(event), stay.dates.get(event)
        if event != cell and claim is not None and known is not None and known.regions:
            found.append(Term("other date", odds(mass_in(known.regions, claim.spans)), "agreement"))
    if cell != "miles" and entry.miles is not None and stay.figures:
        found.append(Term("its miles", odds(stay.figures.get(entry.miles.value, 0.0)), "agreement"))
    return found
