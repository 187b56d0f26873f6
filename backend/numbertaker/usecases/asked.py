"""What an export is of, and in what manner, as a person asks for it; checked before anything is made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput
from numbertaker.evidence.records import Evidence
from numbertaker.publishing.books import Of, engines_of_class
from numbertaker.publishing.comparisons import parse_comparison
from numbertaker.publishing.house import HouseStyle, style_of
from numbertaker.publishing.manner import Manner
from numbertaker.publishing.usage import DISTANCES, ORDERS, Usage
from numbertaker.reconciling.history import History
from numbertaker.usecases.houses import kept_comparisons, style_named
from numbertaker.usecases.naming import component_id_of, engine_id_of
from numbertaker.usecases.slips import placed

WHOLE: Final = "Histories of components"


@dataclass(frozen=True, slots=True, kw_only=True)
class What:
    """One component, one engine, one class of engines, or everything: exactly one of the four."""

    component: str | None = None
    engine: str | None = None
    class_: str | None = None
    everything: bool = False

    def __post_init__(self) -> None:
        """Refuse none and several."""
        named = (self.component is not None, self.engine is not None, self.class_ is not None)
        if sum((*named, self.everything)) != 1:
            raise BadInput(
                "Expected one component, one engine, one class, or everything: name exactly one of them."
            )


@dataclass(frozen=True, slots=True)
class Subjects:
    """What was asked for, found in the archive: the subjects of the chapters, in order."""

    of: Of
    ids: tuple[str, ...]
    title: str
    single: bool


def subjects(evidence: Evidence, history: History, what: What) -> Subjects:
    """The components or engines that are meant; `NotFound` or `Ambiguous` where that is not clear."""
    if what.component is not None:
        return Subjects("component", (component_id_of(evidence, what.component),), "", single=True)
    if what.engine is not None:
        return Subjects("engine", (engine_id_of(evidence, what.engine),), "", single=True)
    if what.class_ is not None:
        ids = engines_of_class(evidence, what.class_)
        return Subjects("engine", ids, f"Engines of class {what.class_}", single=False)
    return Subjects("component", tuple(c.component_id for c in history.components), WHOLE, single=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The manner as asked for: names of styles and usages, and what is to be shown beside the words.

    `own_style` is the text of a style of one's own and takes precedence; `evidence` attaches the JSON of the
    history to a PDF; `comparisons` are lines as `publishing/comparisons.py` has them.
    """

    style: str = "archive"
    own_style: str = ""
    dates: str = "british"
    distance: str = "miles"
    plates: bool = False
    slips: bool = False
    evidence: bool = False
    comparisons: Sequence[str] = ()


def manner_of(asked: Asked, archive: Archive, key_lines: Sequence[str]) -> Manner:
    """The manner, with the lines whose slips may be plates; `BadInput` names what is not known."""
    return Manner(
        _style(asked, archive),
        Usage(_one_of("dates", asked.dates, ORDERS), _one_of("distance", asked.distance, DISTANCES)),
        placed(archive, key_lines) if asked.plates else frozenset(),
        tuple(parse_comparison(text) for text in asked.comparisons),
        kept_comparisons(archive),
    )


def _style(asked: Asked, archive: Archive) -> HouseStyle:
    return style_of(asked.own_style) if asked.own_style else style_named(archive, asked.style)


def _one_of(what: str, wanted: str, known):  # type: ignore[no-untyped-def]
    if wanted not in known:
        raise BadInput(expected=f"{what} as one of {', '.join(known)}", found=wanted)
    return wanted
