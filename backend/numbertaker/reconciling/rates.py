"""What engines usually ran in a day, by class: looked up in what the archive taught."""

from __future__ import annotations

from typing import Final

from numbertaker.linking.index import EVER_FIRST, EVER_LAST
from numbertaker.reconciling.entries import Draft, Stay

_LEAST_SPREAD: Final = 0.12


def class_of(draft: Draft, stay: Stay) -> str:
    """The class of a stay's engine at the time; empty where none is known."""
    first = int(stay.rough[0]) if stay.rough else EVER_FIRST
    classes = draft.index.classes_at(
        stay.engine_id or "", first, int(stay.rough[1]) if stay.rough else EVER_LAST
    )
    return classes[0] if classes else ""


def rate_of(draft: Draft, stay: Stay) -> float:
    """The usual log of miles a day of a stay's engine."""
    return draft.learnt.ran(class_of(draft, stay)).log_rate


def spread_of(draft: Draft, stay: Stay) -> float:
    """The standard deviation of that log about the usual, held off nothing."""
    return max(_LEAST_SPREAD, draft.learnt.ran(class_of(draft, stay)).spread)
