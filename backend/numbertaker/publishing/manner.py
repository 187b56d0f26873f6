"""The manner of a document: its house style, its usage, and what is shown beside the words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from numbertaker.publishing.comparisons import Comparison
from numbertaker.publishing.house import STYLES, HouseStyle
from numbertaker.publishing.usage import BRITISH, Usage


@dataclass(frozen=True, slots=True)
class Manner:
    """How a document is to be made. `plates` are the lines whose slips may be shown as plates."""

    style: HouseStyle = STYLES["archive"]
    usage: Usage = BRITISH
    plates: frozenset[str] = frozenset()
    comparisons: tuple[Comparison, ...] = ()


USUAL: Final = Manner()
