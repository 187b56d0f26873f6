"""The terms of a figure of miles, and of a total."""

from __future__ import annotations

from math import log2

from numbertaker.reconciling.entries import Draft, Entry, FigureClaim, Stay
from numbertaker.reconciling.mileage import deviation
from numbertaker.reconciling.weighing.lines import Whole
from numbertaker.reconciling.weighing.terms import Term, odds
from numbertaker.reconciling.weighing.witnesses import voice_terms, voices


def miles_terms(draft: Draft, whole: Whole, stay: Stay, entry: Entry, claim: FigureClaim) -> list[Term]:
    """What speaks for and against a figure: reading, source, fellows, totals, and the usual rate, unless it
    was copied: it is judged with its original.
    """
    read = odds(1 - claim.slip)
    told = voices(whole.fellows, claim.value, _value, int.__eq__)
    alone = odds(stay.figures_alone.get(claim.value, 0.0)) if stay.figures_alone else read
    settled = odds(stay.figures.get(claim.value, 0.0)) if stay.figures else read
    counted = told._replace(copies_agree=0, copies_against=0)  # the figures by themselves have them
    found = [_read(read), *whole.terms("miles"), *voice_terms(told, "the figure", counted)]
    if alone != read:
        found.append(Term("figures", alone - read, "agreement"))
    if settled != alone:
        found.append(Term("totals", settled - alone, "agreement", "the totals that run through it"))
    if entry.copy:
        return found
    off = deviation(draft, stay, claim.value)
    return [*found, Term("off the rate", -log2(1 + off * off), "rate", "the miles, at the usual rate")]


def _value(entry: Entry) -> int | None:
    return entry.miles.value if entry.miles else None


def total_terms(whole: Whole, entry: Entry, claim: FigureClaim) -> list[Term]:
    """What speaks for and against a total: its reading, and the figures and totals above and below."""
    read = odds(1 - claim.slip)
    found = [_read(read), *whole.terms("total_miles")]
    if entry.total_right is not None:
        says = "; ".join(row.says for row in entry.total_why[1:])
        says = says or "nothing above or below can be reckoned with it"
        found.append(Term("column", odds(entry.total_right) - read, "agreement", says))
    return found


def _read(read: float) -> Term:
    return Term("read", read, "read", "a figure as written, of a source of this kind, read so surely")
