"""Plates: the slips of the scans behind the key claims of a history, each with its citation.

Key are the line that each fitment rests on first, and every line that an open question names.
"""

from __future__ import annotations

from typing import Final

from numbertaker.evidence.records import CELL_FIELDS, Line
from numbertaker.publishing.citations import Notes
from numbertaker.publishing.document import Cross, Plate, Run, words
from numbertaker.publishing.matter import Matter
from numbertaker.reconciling.history import ComponentHistory

MOST: Final = 24
"""How many plates a history has at most; those of open questions come first where there are more."""


def plates(matter: Matter, component: ComponentHistory, notes: Notes) -> list[Plate]:
    """The plates of a component in the order of its history, each by the note that it is behind."""
    asked = [i for f in component.findings if f.settled_by is None for i in f.lines]
    rested = [fitment.evidence[0] for fitment in component.fitments if fitment.evidence]
    chosen = [i for i in dict.fromkeys((*asked, *rested)) if i in matter.manner.plates][:MOST]
    told = {line_id: n for n, line_id in enumerate(rested)}
    lines = [matter.citations.line(i) for i in sorted(chosen, key=lambda i: (told.get(i, len(told)), i))]
    first: dict[str, int] = {}
    for note in notes.written:
        first = dict.fromkeys(note.lines, note.number) | first
    return [_plate(matter, line, first.get(line.line_id)) for line in lines if line is not None]


def key_lines(component: ComponentHistory) -> tuple[str, ...]:
    """The lines whose slips a history would show."""
    asked = (i for f in component.findings if f.settled_by is None for i in f.lines)
    rested = (fitment.evidence[0] for fitment in component.fitments if fitment.evidence)
    return tuple(dict.fromkeys((*rested, *asked)))


def _plate(matter: Matter, line: Line, note: int | None) -> Plate:
    written = " · ".join(line.text(field) for field in CELL_FIELDS if line.text(field))
    cited = matter.citations.short(line.source_id, matter.citations.locator(line))
    source = matter.citations.sources.get(line.source_id)
    rights = f" {source.rights.rstrip('.')}." if source is not None and source.rights else ""
    place = matter.citations.locator(line) or line.line_id
    alt = f"The slip of the scan at {place}. It reads: {written}" if written else f"The scan at {place}."
    behind = words("To note ", Cross(note), ": ") if note is not None else ()
    return Plate(line.line_id, (*behind, *cited, *words(".", Run(rights) if rights else None)), alt)
