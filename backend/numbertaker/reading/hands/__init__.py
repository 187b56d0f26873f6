"""What the corrections of a source teach of its hand: which signs of this typewriter or clerk are taken for
which, and how this clerk spells.

`learn_hand` counts, in the cells that a person looked over, what was read against what stands there.
`reweighed` weighs the readings of another cell of the source anew by it, and `propose_by_hand` names the text
that is then clearly likelier, with the count that it rests on; `propose_in_hand` does both for a card. What
was seen is never replaced.
"""

from __future__ import annotations

from numbertaker.reading.hands.learning import learn_hand
from numbertaker.reading.hands.proposing import CERTAIN, propose_in_hand, weighed_lines, with_hand
from numbertaker.reading.hands.values import UNKNOWN, Confusion, Hand, LookedOver
from numbertaker.reading.hands.weighing import propose_by_hand, reweighed

__all__ = [
    "CERTAIN",
    "UNKNOWN",
    "Confusion",
    "Hand",
    "LookedOver",
    "learn_hand",
    "propose_by_hand",
    "propose_in_hand",
    "reweighed",
    "weighed_lines",
    "with_hand",
]
