"""One fitment entered twice on a card: by a slip of the clerk, or by a second hand that knew another date.

Two entries that stand one below the other and name the same are one fitment where their dates and miles,
weighed as those of two cards are, say so: a component can't be put on one engine twice on one day. A list is
another matter: it may repeat a card's own double, and what differs in it is a slip in copying.
"""

from __future__ import annotations

from numbertaker.evidence.designations import WrittenNumber
from numbertaker.linking.similarity import slip_share
from numbertaker.reconciling.entries import Draft, Entry
from numbertaker.reconciling.odds import dates_weight, miles_weight

_ENOUGH = 7.0
_BEGUN_ALIKE = 5.0
_UNLIKE = 20.0


def fold_doubles(draft: Draft) -> None:
    """Mark an entry that says again what the one above it says."""
    for entries in draft.cards.values():
        above: Entry | None = None
        for entry in entries:
            if entry.says != "fitment":
                continue
            if above is not None and _doubles(above, entry):
                entry.twin = above.twin or above
            else:
                above = entry


def _doubles(one: Entry, other: Entry) -> bool:
    if one.side == "statement" and not _all_meets(one, other):
        return False
    names = _same(one.engine, other.engine), _same(one.component, other.component)
    if None in names:
        return False
    weight = dates_weight(one, other) + miles_weight(one.miles, other.miles)
    if not all(names):
        return weight >= _UNLIKE
    if one.fitted is None or other.fitted is None:
        return weight >= _ENOUGH and one.removed is not None and other.removed is not None
    # A bare beginning again, with nothing else on the line, is the same beginning.
    bare = any(e.removed is None and e.miles is None for e in (one, other))
    return weight >= (_BEGUN_ALIKE if bare and one.fitted.meets(other.fitted) else _ENOUGH)


def _all_meets(one: Entry, other: Entry) -> bool:
    pairs = ((one.fitted, other.fitted), (one.removed, other.removed))
    return all(a is None or b is None or a.meets(b) for a, b in pairs)


def _same(one: WrittenNumber | None, other: WrittenNumber | None) -> bool | None:
    """Whether two cells name the same letter for letter; None where they are not even alike."""
    first, second = one.bare if one else "", other.bare if other else ""
    if first == second:
        return True
    return False if slip_share(first, second) else None
