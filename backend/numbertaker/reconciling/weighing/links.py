"""The terms of a number or a name: whom it means."""

from __future__ import annotations

from typing import Final

from numbertaker.linking import Bearer, Ranked, Sort
from numbertaker.reconciling.entries import Entry, Stay
from numbertaker.reconciling.weighing.lines import Whole
from numbertaker.reconciling.weighing.terms import Term, odds
from numbertaker.reconciling.weighing.witnesses import voice_terms, voices


def link_terms(
    whole: Whole, stay: Stay, sort: Sort, entry: Entry, *, meaning: str, chosen: Bearer | None, refs: Ranked
) -> list[Term]:
    """What speaks for and against a reference: the text, when it was borne, the facing card, the rest."""
    subject = stay.engine_id if sort == "engine" else stay.component_id
    sure = stay.engine_sure if sort == "engine" else stay.component_sure
    same = meaning == subject
    text = refs.probability(chosen) if chosen is not None and same else 0.5
    found = [
        Term("text", odds(text), "read", "the number or name as it was read, and who bore it then"),
        Term("sure", odds(sure) if same else -odds(sure), "linked"),
    ]
    if chosen is not None and chosen.exact:
        found.append(_LETTER_FOR_LETTER)
    if chosen is not None and not chosen.then:
        found.append(_NOT_THEN)
    if sort in entry.heads:
        found.append(_DITTO)
    if not same:
        found.append(_ANOTHER)
    if entry.twin is not None:
        found.append(_DOUBLED)
    told = voices(whole.fellows, _bare(entry, sort), lambda e: _bare(e, sort) or None, str.__eq__)
    return [*found, *whole.terms(sort), *voice_terms(told, "the number")]


def _bare(entry: Entry, sort: Sort) -> str:
    written = entry.engine if sort == "engine" else entry.component
    return written.bare if written is not None else ""


_LETTER_FOR_LETTER: Final = Term("letter for letter", 1.0, "read")
_NOT_THEN: Final = Term("not then", 1.0, "read")
_DITTO: Final = Term("ditto", 1.0, "read", "a ditto mark")
_ANOTHER: Final = Term(
    "another", 1.0, "linked", "the facing card, the dates and the miles say that somebody else is meant"
)
_DOUBLED: Final = Term("doubled", 1.0, "read")
