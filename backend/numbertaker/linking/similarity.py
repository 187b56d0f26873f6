"""How like two written numbers or names are, and what a misreading of one as the other is worth.

A number is compared with knowledge of which characters are taken for one another; a name by the share of
characters that agree. Both are found with rapidfuzz and ranked anew by the weights below.

The look-alike pairs are those of public lists of misread characters (3/8, 5/6, 1/7, 0/6, 0/O, 1/l, 5/S, 8/B,
2/Z) and of the digits that a classifier confuses most on the handwritten digits shipped with scikit-learn
(4/9, 7/9, 1/8, 3/9, 3/5). The shares are a weak prior of our own, from memory and not measured.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from rapidfuzz.distance import OSA
from rapidfuzz.fuzz import ratio

LOOKALIKES: Final = frozenset(
    frozenset(pair)
    for pair in [
        "38",
        "56",
        "17",
        "06",
        "08",
        "49",
        "47",
        "79",
        "12",
        "35",
        "69",
        "36",
        "39",
        "18",
        "59",
        "0O",
        "1L",
        "1I",
        "5S",
        "8B",
        "2Z",
        "6G",
    ]
)

_SUBSTITUTED_ALIKE: Final = 0.27
_SUBSTITUTED: Final = 0.02
_SWAPPED: Final = 0.25
_LENGTH: Final = 0.02
NAME_CUTOFF: Final = 80.0
"""Names below this share of agreeing characters (in per cent) are no candidates at all."""


@lru_cache(maxsize=65_536)
def slip_share(true: str, written: str) -> float:
    """The probability that a misreading of `true` gives just `written`; 0 where more than one slip is needed.

    >>> slip_share("208", "203") > slip_share("208", "204")
    True
    """
    if true == written or OSA.distance(true, written, score_cutoff=1) > 1:
        return 0.0
    if len(true) != len(written):
        return _LENGTH / max(len(true), len(written))
    differing = [(a, b) for a, b in zip(true, written, strict=True) if a != b]
    if len(differing) == 2:
        return _SWAPPED / (len(true) - 1)
    alike = frozenset(differing[0]) in LOOKALIKES
    return (_SUBSTITUTED_ALIKE if alike else _SUBSTITUTED) / len(true)


@lru_cache(maxsize=65_536)
def name_share(true: str, written: str) -> float:
    """How probable a spelling is of a name, 1 for the same letters and 0 below the cut-off."""
    same = ratio(true.casefold(), written.casefold())
    if same < NAME_CUTOFF:
        return 0.0
    return float(2.0 ** (-(100.0 - same) / 4.0))
