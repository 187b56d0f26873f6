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
_BOTH_ALIKE = 2.0
_UNLIKE = 20.0


def fold_doubles(draft: Draft) -> None:
    """On every card with news, mark an entry that says again what the one above it says."""
    news = draft.news
    lost = {entry.card for entry in news.gone}
    for key in news.cards:
        above: Entry | None = None
        for entry in draft.cards.get(key, ()):
            twin: Entry | None = None
            if entry.says == "fitment":
                known = key not in lost and entry not in news.entries and above not in news.entries
                if above is not None and (entry.twin is above if known else _doubles(above, entry)):
                    twin = above
                else:
                    above = entry
            if entry.twin is not twin:
                entry.twin = twin
                news.entries[entry] = None


def _doubles(one: Entry, other: Entry) -> bool:
    alike = _all_meets(one, other)
    if one.side == "statement" and not alike:
        return False
    names = _same(one.engine, other.engine), _same(one.component, other.component)
    if None in names:
        return False
    weight = dates_weight(one, other) + miles_weight(one.miles, other.miles)
    if one.total and other.total and one.total.value == other.total.value:
        # A component that ran on has another total.
        weight += miles_weight(one.total, other.total)
    if not all(names):
        return weight >= _UNLIKE
    return weight >= _least(one, other, alike)


def _least(one: Entry, other: Entry, alike: bool) -> float:
    """What two entries that name the same must have in common to be one fitment."""
    begun = one.fitted is not None and other.fitted is not None
    ended = one.removed is not None and other.removed is not None
    if alike and begun and ended:
        return _BOTH_ALIKE
    if not begun and not ended:
        return _UNLIKE
    # A bare beginning again, with nothing else on the line, is the same beginning.
    bare = any(entry.removed is None and entry.miles is None for entry in (one, other))
    return _BEGUN_ALIKE if alike and begun and bare else _ENOUGH


def _all_meets(one: Entry, other: Entry) -> bool:
    pairs = ((one.fitted, other.fitted), (one.removed, other.removed))
    return all(a is None or b is None or a.meets(b) for a, b in pairs)


def _same(one: WrittenNumber | None, other: WrittenNumber | None) -> bool | None:
    """Whether two cells name the same letter for letter; None where they are not even alike."""
    first, second = one.bare if one else "", other.bare if other else ""
    if first == second:
        return True
    return False if slip_share(first, second) else None
