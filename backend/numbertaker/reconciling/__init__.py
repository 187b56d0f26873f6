"""From claims to one history: what most probably happened, what can't all be true, and how sure each
statement is.

>>> from numbertaker.evidence.decisions import follow
>>> from numbertaker.evidence.records import Evidence
>>> reconcile(follow(Evidence())).components
()

The walk is a list of steps with one signature; each stands in a file of its own and can be read by itself:
lines are read into entries, headings linked, the two sides of each fitment paired, lists attached, stays
placed, their dates and miles worked out, findings looked for, and the history put together. The steps know
nothing of a database, a clock or each other's insides; the same evidence, rulings and settings give the same
history to the byte.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeAlias

from numbertaker.evidence.decisions import Ruled
from numbertaker.linking import Index
from numbertaker.reconciling.assembly import assemble
from numbertaker.reconciling.chronology import date_stays
from numbertaker.reconciling.claims import read_lines
from numbertaker.reconciling.copies import attach_statements
from numbertaker.reconciling.entries import Draft
from numbertaker.reconciling.findings import find_everything
from numbertaker.reconciling.headings import link_headings
from numbertaker.reconciling.history import History
from numbertaker.reconciling.learning import SHIPPED, Learnt
from numbertaker.reconciling.learning.learn import learnt_from
from numbertaker.reconciling.mileage import reckon_miles
from numbertaker.reconciling.once import InParts, let_go_after
from numbertaker.reconciling.pairing import pair_sides
from numbertaker.reconciling.placing import place_stays
from numbertaker.reconciling.settings import DEFAULT, Settings
from numbertaker.reconciling.turning import let_go, let_go_of_old, same_tables, turn

Step: TypeAlias = Callable[[Draft], None]

STEPS: Final[tuple[Step, ...]] = (
    read_lines,
    link_headings,
    pair_sides,
    attach_statements,
    place_stays,
    date_stays,
    reckon_miles,
    find_everything,
)


def reconcile(ruled: Ruled, settings: Settings = DEFAULT, learnt: Learnt = SHIPPED) -> History:
    """The history of every component, from all evidence with the standing rulings followed.

    `learnt` is what the archive has taught so far (`learn`), else what is taken of any archive. Faults of the
    evidence become findings; nothing is raised for them. The order of rows does not matter.
    """
    return in_parts(ruled, settings, learnt).whole()


def in_parts(ruled: Ruled, settings: Settings = DEFAULT, learnt: Learnt = SHIPPED) -> InParts:
    """The same, component by component: so much less is in memory at once."""
    draft = begun(ruled, settings, learnt)
    for step in STEPS:
        step(draft)
        let_go_after(step, draft)
    return InParts(draft)


class Standing:
    """A reconciliation that is kept up: what is new or ruled otherwise is worked out with all that it
    touches, and everything else stays as it was worked out before. It gives what `reconcile` gives.
    """

    def __init__(self, settings: Settings = DEFAULT) -> None:
        """Start with nothing."""
        self._settings = settings
        self._draft: Draft | None = None
        self.anew = True
        """Whether the last history was worked out whole."""

    def reconcile(self, ruled: Ruled, learnt: Learnt = SHIPPED) -> History:
        """The history of every component, as evidence and rulings are now."""
        draft, self._draft = self._draft, None  # a run that fails half-way leaves nothing to go on from
        self.anew = draft is None or draft.learnt != learnt or not same_tables(draft, ruled)
        if draft is None or self.anew:
            draft = begun(ruled, self._settings, learnt)
        else:
            turn(draft, ruled)
        for step in STEPS:
            step(draft)
        history = assemble(draft)
        let_go_of_old(draft)
        self._draft = draft
        return history


def settled(ruled: Ruled, settings: Settings = DEFAULT, learnt: Learnt = SHIPPED) -> Draft:
    """Everything that a history is put together from, once all steps are done."""
    draft = begun(ruled, settings, learnt)
    for step in STEPS:
        step(draft)
    return draft


def learn(ruled: Ruled, settings: Settings = DEFAULT) -> Learnt:
    """What this evidence teaches about its papers, drawn towards what is taken of any archive.

    The same evidence gives the same value, whatever was learnt before.
    """
    draft = begun(ruled, settings, SHIPPED)
    for step in STEPS:
        if step is find_everything:
            break
        step(draft)
        let_go_after(step, draft)
    learnt = learnt_from(draft)
    let_go(draft)
    return learnt


def begun(ruled: Ruled, settings: Settings = DEFAULT, learnt: Learnt = SHIPPED) -> Draft:
    """A draft before the first step."""
    sources = {source.source_id: source for source in ruled.evidence.sources}
    subjects = {card.card_id: card.subject_id for card in ruled.evidence.cards if card.subject_id}
    index = Index(ruled.evidence)
    return Draft(
        ruled=ruled, settings=settings, learnt=learnt, index=index, sources=sources, subjects=subjects
    )


__all__ = [
    "DEFAULT",
    "SHIPPED",
    "STEPS",
    "InParts",
    "Learnt",
    "Settings",
    "Standing",
    "begun",
    "in_parts",
    "learn",
    "reconcile",
    "settled",
]
