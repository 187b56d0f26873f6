"""The terms of a figure of miles, and of a total."""

from __future__ import annotations

from math import log2

from numbertaker.reconciling.entries import Draft, Entry, FigureClaim, Stay
from numbertaker.reconciling.mileage import deviation
from numbertaker.reconciling.weighing.lines import linked_terms, rest_terms, source_terms
from numbertaker.reconciling.weighing.terms import Term, odds
from numbertaker.reconciling.weighing.witnesses import voices


def miles_terms(draft: Draft, stay: Stay, entry: Entry, claim: FigureClaim) -> list[Term]:
    """What speaks for and against a figure: reading, source, fellows, totals, and the usual rate."""
    read = odds(1 - claim.slip)
    found = [_read(read), *source_terms(entry), *linked_terms(stay)]
    found += voices(stay, entry, claim.value, lambda e: e.miles.value if e.miles else None, int.__eq__).terms(
        "the figure"
    )
    alone = odds(stay.figures_alone.get(claim.value, 0.0)) if stay.figures_alone else read
    whole = odds(stay.figures.get(claim.value, 0.0)) if stay.figures else read
    off = deviation(draft, stay, claim.value)
    found += [
        Term("figures", alone - read, "agreement"),
        Term("totals", whole - alone, "agreement", "and the totals that run through it"),
        Term("off the rate", -log2(1 + off * off), "rate", "the miles, at the usual rate"),
    ]
    return found + rest_terms(draft, stay, entry, "miles")


def total_terms(entry: Entry, claim: FigureClaim) -> list[Term]:
    """What speaks for and against a total: its reading, and the figures and totals above and below."""
    read = odds(1 - claim.slip)
    found = [_read(read), *source_terms(entry)]
    if entry.total_right is not None:
        says = "; ".join(row.says for row in entry.total_why[1:])
        says = says or "nothing above or below can be reckoned with it"
        found.append(Term("column", odds(entry.total_right) - read, "agreement", says))
    return found + (linked_terms(entry.stay) if entry.stay is not None else [])


def _read(read: float) -> Term:
    return Term("read", read, "read", "a figure as written, of a source of this kind, read so surely")
