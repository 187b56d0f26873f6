"""The weights that ship: fitted to worlds of our own making, readable, with what they rest on."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, Final

from numbertaker.evidence.errors import BadInput

FORMAT: Final = "numbertaker-weights/1"


@dataclass(frozen=True, slots=True)
class Kind:
    """The weights of one kind of statement: where the sum starts, and for each term a weight where its value
    is below nought and one where it is above. A term that has none counts nothing.
    """

    start: float
    weights: Mapping[str, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Weights:
    """All kinds, and from what they were made: worlds, seeds, counts."""

    kinds: Mapping[str, Kind]
    made: Mapping[str, Any]


def weights_of(plain: Mapping[str, Any]) -> Weights:
    """The weights out of JSON; `BadInput` for another format."""
    if plain.get("format") != FORMAT:
        raise BadInput(expected=f"weights of the format {FORMAT}", found=str(plain.get("format")))
    kinds = {
        name: Kind(kind["start"], {term: (pair[0], pair[1]) for term, pair in kind["weights"].items()})
        for name, kind in plain["kinds"].items()
    }
    return Weights(kinds, plain["made"])


def shipped() -> Weights:
    """The weights that come with the program."""
    text = files("numbertaker.reconciling.weighing").joinpath("weights.json").read_text(encoding="utf-8")
    return weights_of(json.loads(text))


WEIGHTS: Final = shipped()
