"""Cells that were read with little confidence, or could not be understood, and on which something hangs."""

from __future__ import annotations

from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.entries import Draft, Entry
from numbertaker.reconciling.findings.due import Due
from numbertaker.reconciling.findings.notes import Notes
from numbertaker.reconciling.wording import card, sentence

_CELLS = ("engine", "component", "fitted", "removed", "miles", "total_miles")
_WORDS = {"total_miles": "total", "engine": "engine", "component": "component", "miles": "miles"}


def of_cards(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look at every cell that no other finding explains."""
    for key, entries in due.entries():
        with notes.at((family, key), key):
            _of_card(draft, notes, entries)


def _of_card(draft: Draft, notes: Notes, entries: list[Entry]) -> None:
    for entry in entries:
        if entry.says not in {"fitment", "total", "carried"} or entry.copy:
            continue
        for key in entry.unread:
            _note(draft, notes, entry, key, why="can't be understood as it stands", confidence=0.7)
        for cell in _CELLS:
            line = entry.line_of(cell)
            read = line.sureness(cell)
            if read is None or read >= draft.settings.doubtful_reading or not line.text(cell).strip():
                continue
            if not _borne_out(entry, cell):
                _note(
                    draft,
                    notes,
                    entry,
                    entry.key(cell),
                    why=f"was read with a confidence of only {read:.0%}",
                    confidence=0.6,
                )


def _borne_out(entry: Entry, cell: str) -> bool:
    """Whether the facing card says the same, so that nothing hangs on the reading."""
    stay = entry.stay
    if stay is None or stay.own is None or stay.mirror is None:
        return False
    other = stay.mirror if entry is stay.own else stay.own
    if cell in {"fitted", "removed"}:
        one, two = entry.date(cell), other.date(cell)
        return one is not None and two is not None and one.meets(two)
    if cell == "miles":
        return entry.miles is not None and other.miles is not None and entry.miles.value == other.miles.value
    return cell != "total_miles" or (entry.total_right or 0) > 0.9


def _note(draft: Draft, notes: Notes, entry: Entry, key: CellKey, *, why: str, confidence: float) -> None:
    if key in notes.explained or key in draft.ruled.believed:
        return
    text = entry.line_of(key.field).text(key.field)
    what = _WORDS.get(key.field, "date")
    notes.add(
        "doubtful-reading",
        sentence(f"on {card(draft, entry)} the {what} '{text}' {why}, and no other card bears it out."),
        claims=(key,),
        components=(entry.stay.component_id if entry.stay else entry.component_id,),
        confidence=confidence,
    )
