"""Figures that can't all be true: of one fitment, and of the time they were run in."""

from __future__ import annotations

from numbertaker.reconciling.entries import Draft, Stay
from numbertaker.reconciling.findings.due import Due
from numbertaker.reconciling.findings.notes import Notes
from numbertaker.reconciling.mileage import best_figure, days_run, deviation
from numbertaker.reconciling.wording import card, miles, sentence, spell

_FAR_OFF = 4.0
_MANY = 12


def conflicts(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look at the figures of each stay."""
    for stay in due.stays:
        with notes.at((family, stay), stay.rank):
            _conflict(draft, notes, stay)


def rates(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look at the figure and the time of each stay."""
    for stay in due.stays:
        with notes.at((family, stay), stay.rank):
            _rate(draft, notes, stay)


def _conflict(draft: Draft, notes: Notes, stay: Stay) -> None:
    """One finding for each figure that differs from the likeliest, between the entries nearest the source.

    An original that repeats a figure that a copy contradicts is named beside it: any of them may be wrong.
    """
    claims = [(e, e.miles) for e in stay.entries if e.miles is not None]
    if len({claim.value for _, claim in claims}) < 2:
        return
    best, _ = best_figure(stay)
    top, figure = next(((e, c) for e, c in claims if c.value == best), claims[0])
    seen = {figure.value}
    for entry, claim in claims:
        if claim.value in seen:
            continue
        seen.add(claim.value)
        first, second = sorted(((top, figure), (entry, claim)), key=lambda told: stay.entries.index(told[0]))
        same = [c.key for e, c in claims if c.value == claim.value and not e.copy and e is not entry]
        notes.add(
            "mileage-conflict",
            sentence(
                f"{card(draft, first[0])} says {miles(first[1].value)} miles, {card(draft, second[0])} says"
                f" {miles(second[1].value)}: they differ by {miles(abs(first[1].value - second[1].value))}."
            ),
            claims=(first[1].key, second[1].key, *same[: _MANY - 2]),
            components=(stay.component_id,),
            confidence=0.93,
        )
    notes.explained.update(claim.key for _, claim in claims)


def _rate(draft: Draft, notes: Notes, stay: Stay) -> None:
    """A figure that its time can't hold, where no other finding explains it."""
    value, sure = best_figure(stay)
    run = days_run(stay)
    claims = [c for e in stay.witnesses for c in (e.miles, e.fitted, e.removed) if c]
    if value is None or run is None or sure < 0.3 or run[0] < 90 or not claims or stay.lead.copy:
        return
    if any(c.key in notes.explained for c in claims) or abs(deviation(draft, stay, value)) < _FAR_OFF:
        return
    if abs(deviation(draft, stay, value)) * draft.rate_spread < 0.9:
        return
    entry = stay.lead
    much = value / run[0] * 365.25
    notes.add(
        "rate-outlier",
        sentence(
            f"{card(draft, entry)} has {miles(value)} miles run in {spell(run[0])}, which is"
            f" {miles(round(much))} a year:"
            " far from what its class ran."
        ),
        claims=tuple(c.key for c in (entry.fitted, entry.removed, entry.miles) if c),
        components=(stay.component_id,),
        confidence=0.75,
    )
