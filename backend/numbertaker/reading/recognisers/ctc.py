"""From letter probabilities to the likeliest texts.

A recogniser of the CTC kind gives, for each step along the line, the probability of each sign and of 'none'
(Graves et al., ICML 2006). Several paths spell one text; this prefix beam search adds them up
(Hannun et al., 2014), so that a text's score is its probability and alternatives can be weighed against it.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import numpy.typing as npt

FAINTEST: Final = 2e-4
"""Signs less likely than this at a step are not followed."""
WIDTH: Final = 12


def best_texts(steps: npt.NDArray[Any], signs: str, most: int = 6) -> list[tuple[str, float]]:
    """The likeliest texts with their probabilities, best first.

    `steps` is steps × (1 + signs): column 0 is 'none', column i the i-th of `signs`.
    """
    beam: dict[str, tuple[float, float]] = {"": (1.0, 0.0)}
    for probabilities in steps:
        likely = np.flatnonzero(probabilities > FAINTEST)
        if not len(likely):  # some sign that is none of ours: the likeliest of ours carries on
            likely = probabilities.argmax(keepdims=True)
        beam = _step(beam, [(int(i), float(probabilities[i])) for i in likely], signs)
    ranked = sorted(((text, a + b) for text, (a, b) in beam.items()), key=lambda r: (-r[1], r[0]))
    return ranked[:most]


def likeliest_path(steps: npt.NDArray[Any], signs: str) -> tuple[str, tuple[int, ...]]:
    """The text of the likeliest single path, and the step (from 0) at which each sign is strongest."""
    best = steps.argmax(axis=1)
    text, at = "", list[int]()
    for i, column in enumerate(best):
        if column == 0:
            continue
        if i and best[i - 1] == column:
            if steps[i, int(column)] > steps[at[-1], int(column)]:
                at[-1] = i
            continue
        text += signs[column - 1]
        at.append(i)
    return text, tuple(at)


def _step(
    beam: dict[str, tuple[float, float]], likely: list[tuple[int, float]], signs: str
) -> dict[str, tuple[float, float]]:
    """One step further: each text as (probability ending in 'none', probability ending in its last sign)."""
    after: dict[str, tuple[float, float]] = {}

    def add(text: str, none: float, sign: float) -> None:
        a, b = after.get(text, (0.0, 0.0))
        after[text] = (a + none, b + sign)

    for text, (none, sign) in beam.items():
        for column, p in likely:
            if column == 0:
                add(text, (none + sign) * p, 0.0)
            elif text and signs[column - 1] == text[-1]:
                add(text, 0.0, sign * p)
                add(text + signs[column - 1], 0.0, none * p)
            else:
                add(text + signs[column - 1], 0.0, (none + sign) * p)
    if len(after) <= WIDTH:
        return after
    kept = sorted(after.items(), key=lambda item: -(item[1][0] + item[1][1]))[:WIDTH]
    return dict(kept)
