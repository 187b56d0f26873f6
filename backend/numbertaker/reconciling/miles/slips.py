"""How a figure goes wrong: which other figure is written or read, if it is not the right one."""

from __future__ import annotations

from itertools import permutations
from typing import Final

from numbertaker.reconciling.learning.learnt import Learnt

BY_CHANCE: Final = 2e-5
"""The probability that a figure taken from somewhere else is just this one, among tens of thousands."""
_CAST_ONE: Final = 0.05
_CAST_NINE: Final = 0.02
_CAST_OTHER: Final = 0.004
_CAST_PLACES: Final = 5
_IN_CASTING: Final = 0.5


class Slips:
    """The shares of slips as the archive taught them, each found once.

    `Learnt.figure_shapes` says how often one digit is taken for another, two neighbours change places, a
    digit is lost or doubled; `Learnt.confusions` which digit is taken for which.
    """

    def __init__(self, learnt: Learnt) -> None:
        """Turn the shares into the probability of each digit, given the true one."""
        shapes = learnt.figure_shapes
        self._digit, self._swapped = shapes["digit"].share, shapes["swapped"].share
        self._length, self._other = shapes["length"].share, shapes["other"].share
        # Each of the ten digits is as frequent as any other.
        self._taken = {a + b: 10 * learnt.taken(a, b) for a, b in permutations("0123456789", 2)}
        self._known: dict[tuple[int, int], float] = {}

    def share(self, true: int, written: int) -> float:
        """The probability that a wrong figure is just this one, given the true one; never 0."""
        key = (true, written)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._share(str(true), str(written))
        return found

    def one_slip(self, true: int, written: int) -> bool:
        """Whether a single digit, exchange or lost digit makes the one of the other."""
        return self.share(true, written) > 2 * self._other * BY_CHANCE

    def digit(self, true: str, written: str, length: int) -> float:
        """The probability that a wrong figure of so many digits is wrong in one of them, and just so."""
        return self._digit * self._taken[true + written] / length

    def _share(self, true: str, written: str) -> float:
        chance = self._other * BY_CHANCE
        if len(true) != len(written):
            longer, shorter = sorted((true, written), key=len, reverse=True)
            lost = len(longer) - len(shorter) == 1 and any(
                longer[:k] + longer[k + 1 :] == shorter for k in range(len(longer))
            )
            return self._length / len(longer) / 2 + chance if lost else chance
        differ = [k for k in range(len(true)) if true[k] != written[k]]
        if len(differ) == 1:
            return self.digit(true[differ[0]], written[differ[0]], len(true)) + chance
        if len(differ) == 2 and differ[1] - differ[0] == 1:
            one, other = differ
            if true[one] == written[other] and true[other] == written[one]:
                return self._swapped / (len(true) - 1) + chance
        return chance

    def total_share(self, true: int, written: int) -> float:
        """The same for a total, which may be misread or cast up wrongly."""
        if true <= 0:
            return BY_CHANCE * self._other
        return (1 - _IN_CASTING) * self.share(true, written) + _IN_CASTING * cast(written - true)


def cast(off: int) -> float:
    """The probability that a sum that is added up wrongly is off by just so much.

    Such errors stand in one column: a one not carried, a nine for a ten. Common practice, no source.
    """
    digits = str(abs(off)).rstrip("0")
    if off == 0 or len(digits) != 1 or abs(off) >= 10 ** (_CAST_PLACES + 1):
        return 1e-7
    return {"1": _CAST_ONE, "9": _CAST_NINE}.get(digits, _CAST_OTHER)
