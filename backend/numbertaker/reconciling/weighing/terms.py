"""Terms, and the rows that they make."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from numbertaker.linking import weight_of
from numbertaker.reconciling.confidence import Rows, held
from numbertaker.reconciling.history import Reason
from numbertaker.reconciling.weighing.weights import WEIGHTS, Weights

Row: TypeAlias = Literal["read", "linked", "source", "agreement", "order", "rate", "conflict"]
ROWS: Final[tuple[Row, ...]] = ("read", "source", "linked", "agreement", "order", "rate", "conflict")
FARTHEST: Final = 12.0
"""Beyond this, in log2 odds, more of one thing adds nothing."""


@dataclass(frozen=True, slots=True)
class Term:
    """One thing weighed: the name that its weight goes by, its value (log2 odds, or 1 for a fact), and the
    row that it stands in. One without words only adds to the row.
    """

    name: str
    value: float
    row: Row
    says: str = ""


def odds(probability: float) -> float:
    """log2 odds, kept within what terms may weigh."""
    return weight_of(held(probability))


def rows_of(kind: str, terms: list[Term], weights: Weights = WEIGHTS) -> Rows:
    """The rows of a statement of a kind: for each row the weighted sum of its terms, and what they say."""
    known = weights.kinds[kind]
    sums: dict[Row, float] = {"read": known.start}
    words: dict[Row, list[str]] = {}
    for term in terms:
        value = min(FARTHEST, max(-FARTHEST, term.value))
        sums[term.row] = sums.get(term.row, 0.0) + known.weight(term.name, value) * value
        if term.says:
            words.setdefault(term.row, []).append(term.says)
    return Rows(
        [
            Reason(row, sums[row], "; ".join(words.get(row, ())) or _SILENT[row])
            for row in ROWS
            if row in sums and (row in words or abs(sums[row]) > 5e-4)
        ]
    )


_SILENT: Final[dict[Row, str]] = {
    "read": "it stands there as it was read",
    "source": "a source of its kind",
    "linked": "whom its line is about",
    "agreement": "what other sources say of it",
    "order": "what stands before and after it",
    "rate": "the miles and the time",
    "conflict": "no finding names it",
}
