"""Readers of one line of writing, behind one small interface.

A recogniser takes crops and gives for each what it saw: the text, how sure it is, and what else it
may be. It knows nothing of cards; which cell a crop is, and what follows from it, is settled above it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol, TypeAlias

import numpy as np
import numpy.typing as npt

Kind: TypeAlias = Literal["number", "date", "figure", "name", "words"]
"""What a field holds: a number of an engine or component, a date, miles, a name, or free words."""


@dataclass(frozen=True, slots=True)
class Crop:
    """One line of writing cut out of a scan: height × width × 3, blue-green-red, paper still on it.

    `repeats` is whether ditto marks may stand there; in a heading they can't.
    """

    picture: npt.NDArray[np.uint8]
    kind: Kind = "words"
    repeats: bool = True


@dataclass(frozen=True, slots=True)
class Reading:
    """What a recogniser saw. `confidence` is the probability of `text`; alternatives: likeliest first.

    `places` tells for each sign of `text` where along the crop it stands, 0 to 1; empty where unknown.
    `strikes` is whether whoever read it marks what is struck out, with '~' before each such word.
    """

    text: str
    confidence: float
    alternatives: tuple[tuple[str, float], ...] = ()
    places: tuple[float, ...] = ()
    strikes: bool = False


NOTHING = Reading("", 0.0)


class Recogniser(Protocol):
    """Reads crops; the answer has one reading for each crop, in order."""

    name: str

    def read(self, crops: Sequence[Crop]) -> list[Reading]:
        """Read each crop by itself; never fails for what is in a picture."""
        ...


def choose(prefer: str = "") -> Recogniser:
    """The best recogniser that this machine has.

    `prefer` may be 'onnx' (ours, and the general one where ours is in doubt: the usual choice), 'own',
    'general' or 'tesseract'. Where ONNX Runtime is missing it is Tesseract. Raises `ToolMissing` where there
    is none.
    """
    from numbertaker.evidence.errors import ToolMissing
    from numbertaker.reading.recognisers import joined, onnx, own, tesseract

    makers: dict[str, Callable[[], Recogniser]] = {
        "onnx": joined.make, "own": own.make, "general": onnx.make, "tesseract": tesseract.make,
    }  # fmt: skip
    order = [prefer] if prefer in makers else ["onnx", "tesseract"]
    for name in order[:-1]:
        try:
            return makers[name]()
        except ToolMissing:
            continue
    return makers[order[-1]]()
