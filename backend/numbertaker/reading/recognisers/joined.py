"""Two readers joined: ours reads every crop, the general one those of which ours is in doubt.

The likeliest texts of both are weighed together (a logarithmic pool of opinions: Genest and Zidek, 1986),
ours with its full weight. Where both saw the same, that text gains; where they differ, both stay on the list
and the first is less sure.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from numbertaker.evidence.errors import ToolMissing
from numbertaker.reading.recognisers import Crop, Reading, Recogniser

DOUBT: Final = 0.97
"""Readings less likely than this are read a second time."""
WEIGHT: Final = 0.5
"""How much a second opinion counts beside ours."""
UNSEEN_BY_SECOND, UNSEEN_BY_FIRST = 0.01, 0.001
"""What a text is worth that only the other has seen."""


class JoinedRecogniser:
    """Our recogniser, with a second reader for what it is not sure of; without one it is ours alone."""

    def __init__(self, first: Recogniser, second: Recogniser | None) -> None:
        self.first, self.second = first, second
        self.name = f"{first.name}+{second.name}" if second else first.name

    def read(self, crops: Sequence[Crop]) -> list[Reading]:
        """Read crops, the doubtful ones twice."""
        out = self.first.read(crops)
        if self.second is None:
            return out
        doubtful = [
            i for i, reading in enumerate(out) if reading.confidence < DOUBT or _senseless(crops[i], reading)
        ]
        for i, other in zip(doubtful, self.second.read([crops[i] for i in doubtful]), strict=True):
            out[i] = other if _senseless(crops[i], out[i]) else pooled(out[i], other)
        return out


def _senseless(crop: Crop, reading: Reading) -> bool:
    """Whether a word of a heading was read as ditto marks or as nothing: clogged figures look like that."""
    return not crop.repeats and not any(sign.isalnum() for sign in reading.text)


def pooled(ours: Reading, other: Reading) -> Reading:
    """Our reading, weighed anew by a second one, which knows no strokes and reads a struck word as it
    stands."""
    seen = dict([(ours.text, ours.confidence), *ours.alternatives])
    second = dict([(other.text, other.confidence), *other.alternatives])
    whole = min(1.0, sum(seen.values()))
    texts = list(seen)
    if other.text not in {text.replace("~", "") for text in seen}:
        texts.append(other.text)
    score = {
        text: max(seen.get(text, 0.0), UNSEEN_BY_FIRST)
        * (second.get(text.replace("~", ""), 0.0) + UNSEEN_BY_SECOND) ** WEIGHT
        for text in texts
    }
    total = sum(score.values())
    first, *others = sorted(
        ((text, whole * s / total) for text, s in score.items()), key=lambda item: -item[1]
    )
    places = ours.places if first[0] == ours.text else other.places if first[0] == other.text else ()
    return replace(ours, text=first[0], confidence=first[1], alternatives=tuple(others), places=places)


def make() -> JoinedRecogniser:
    """Ours, with the general reader or else Tesseract beside it; `ToolMissing` without ONNX Runtime."""
    from numbertaker.reading.recognisers import onnx, own, tesseract

    first = own.make()
    makers: tuple[Callable[[], Recogniser], ...] = (onnx.make, tesseract.make)
    for second in makers:
        try:
            return JoinedRecogniser(first, second())
        except ToolMissing:
            continue
    return JoinedRecogniser(first, None)
