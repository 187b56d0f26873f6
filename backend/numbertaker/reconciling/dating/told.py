"""Which claims of an event count, and for how much: witnesses, copies that know more, second entries."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from numbertaker.reconciling.entries import DateClaim, Draft, Entry, Stay

Told = list[tuple[Entry, DateClaim]]


def claims_of(draft: Draft, stay: Stay, event: str) -> Told:
    """The claims of an event that count, the component's own card first; those set aside left out.

    A copy whose original is there and says as much adds nothing. One whose original is not there, or that
    says more exactly what the original has, speaks for an original that is lost, weakened by how often copies
    are wrong; one that differs is weighed in the same way, since either it or our reading of the original is
    wrong. A second entry of the same card counts where it says something else, or says it more exactly.
    """
    if event not in stay.told:
        stay.told[event] = _claims(draft, stay, event)
    return stay.told[event]


def _claims(draft: Draft, stay: Stay, event: str) -> Told:
    knowing = [e for e in (stay.own, stay.mirror, *stay.others) if e is not None and not e.copy]
    found = [(entry, claim) for entry in knowing if (claim := draft.trusted(entry, event)) is not None]
    for entry in stay.twins:
        claim = draft.trusted(entry, event)
        if claim is not None and not entry.copy and _adds(claim, (c for _, c in found)):
            found.append((entry, claim))
    for entry in (*stay.others, *stay.twins):
        claim = draft.trusted(entry, event) if entry.copy else None
        if claim is not None and _adds(claim, (c for _, c in found)):
            slip = min(0.4, claim.slip + draft.learnt.copied("date", entry.source.kind))
            found.append((entry, replace(claim, slip=slip)))
    return found


def _adds(claim: DateClaim, known: Iterable[DateClaim]) -> bool:
    """Whether nothing known says as much: what meets it is vaguer by half or more, or nothing meets it."""
    return not any(claim.meets(other) and claim.days * 2 > other.days for other in known)
