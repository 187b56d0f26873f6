"""The manner of a document: its house style, its usage, and what is shown beside the words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from numbertaker.publishing.comparisons import Comparison
from numbertaker.publishing.house import STYLES, HouseStyle
from numbertaker.publishing.usage import BRITISH, Usage


@dataclass(frozen=True, slots=True)
class Manner:
    """How a document is to be made. `plates` are the lines whose slips may be shown as plates.

    `comparisons` are of every component that is told, `kept` of one, by its id.
    """

    style: HouseStyle = STYLES["archive"]
    usage: Usage = BRITISH
    plates: frozenset[str] = frozenset()
    comparisons: tuple[Comparison, ...] = ()
    kept: Mapping[str, tuple[Comparison, ...]] = field(default_factory=dict)

    def compared(self, component_id: str) -> tuple[Comparison, ...]:
        """The comparisons to recompute for a component, those kept for it first, each once."""
        return tuple(dict.fromkeys((*self.kept.get(component_id, ()), *self.comparisons)))


USUAL: Final = Manner()
