"""Terms, and the rows that they make."""

from __future__ import annotations

from collections.abc import Iterable
from math import log2
from typing import Final, Literal, NamedTuple, TypeAlias

from numbertaker.reconciling.confidence import LEAST, MOST, Rows
from numbertaker.reconciling.weighing.weights import WEIGHTS, Weights

Row: TypeAlias = Literal["read", "source", "linked", "agreement", "order", "rate", "conflict"]
ROWS: Final = ("start", "read", "source", "linked", "agreement", "order", "rate", "conflict")
FARTHEST: Final = 12.0
"""Beyond this, in log2 odds, more of one thing adds nothing."""
_SHOWN: Final = 0.005
_NONE: Final = (0.0, 0.0)
_NOTHING: Final = dict.fromkeys(ROWS, 0.0)


class Term(NamedTuple):
    """One thing weighed: the name that its weight goes by, its value (log2 odds, or 1 for a fact), and the
    row that it stands in. One without words only adds to the row; one without either is left out.
    """

    name: str
    value: float
    row: Row
    says: str = ""


def odds(probability: float) -> float:
    """log2 odds, kept within what a confidence can be."""
    if probability < LEAST:
        probability = LEAST
    elif probability > MOST:
        probability = MOST
    return log2(probability / (1 - probability))


def rows_of(kind: str, terms: Iterable[Term], weights: Weights = WEIGHTS) -> Rows:
    """The rows of a statement of a kind: where it starts, and for each row the weighted sum of its terms.

    What the terms say stands beside it. A row that hardly counts is left out.
    """
    known = weights.kinds[kind]
    weights_of = known.weights.get
    sums = _NOTHING | {"start": known.start}
    words: dict[str, str] = {}
    for name, value, row, says in terms:
        if value:
            below, above = weights_of(name, _NONE)
            if value < 0:
                sums[row] += (value if value > -FARTHEST else -FARTHEST) * below
            else:
                sums[row] += (value if value < FARTHEST else FARTHEST) * above
        if says:
            words[row] = f"{words[row]}; {says}" if row in words else says
    shown = Rows()
    for what, weight in sums.items():
        if weight > _SHOWN or weight < -_SHOWN:
            shown.add(what, weight, words.get(what) or _SILENT[what])
    return shown


_SILENT: Final[dict[str, str]] = {
    "start": "where the sum begins for a statement of this kind",
    "read": "it stands there as it was read",
    "source": "a source of its kind",
    "linked": "whom its line is about",
    "agreement": "what other sources say of it",
    "order": "what stands before and after it",
    "rate": "the miles and the time",
    "conflict": "its line stands in a finding about something else",
}
