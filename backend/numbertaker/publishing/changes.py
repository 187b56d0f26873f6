"""What changed since an earlier edition, as a document: added, changed, dropped, each with why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from numbertaker.publishing.citations import Notes
from numbertaker.publishing.compose import CAUTION, after
from numbertaker.publishing.document import (
    Block,
    Caution,
    Document,
    Heading,
    Inline,
    Paragraph,
    Run,
    words,
)
from numbertaker.publishing.editions import Change, Edition, changes
from numbertaker.publishing.figures import counted
from numbertaker.publishing.matter import Matter

_SECTIONS: Final = (("added", "Added"), ("changed", "Changed"), ("dropped", "No longer stated"))


def changes_document(matter: Matter, earlier: Edition, later: Edition) -> Document:
    """The document; it says so where nothing changed."""
    notes = Notes(matter.citations)
    found = changes(earlier, later)
    title = f"What changed: {later.title}"
    blocks: list[Block] = [Heading(1, words(title), "top"), Caution(CAUTION), _summary(earlier, later, found)]
    for kind, heading in _SECTIONS:
        some = [change for change in found if _kind(change) == kind]
        if some:
            blocks.append(Heading(2, words(heading), kind))
            blocks += [_told(matter, change, earlier, later, notes) for change in some]
    whole = after(matter, notes.used, later.state)
    return Document(title, tuple(blocks), notes.written, whole, state=later.state)


def _kind(change: Change) -> str:
    if change.before is None:
        return "added"
    return "dropped" if change.now is None else "changed"


def _summary(earlier: Edition, later: Edition, found: tuple[Change, ...]) -> Paragraph:
    since = f"Since the edition of {earlier.state or 'an unnamed state'}"
    if not found:
        same = "the state is the same" if earlier.state == later.state else f"the state is now {later.state}"
        return Paragraph(words(f"{since} no statement has changed; {same}."), remark=True)
    counts = [(kind, sum(_kind(change) == kind for change in found)) for kind, _ in _SECTIONS]
    said = ", ".join(
        f"{counted(number, 'statement')} {'is' if number == 1 else 'are'} {kind}"
        for kind, number in counts
        if number
    )
    return Paragraph(words(f"{since}, {said}. The state is now {later.state}."), remark=True)


def _told(matter: Matter, change: Change, earlier: Edition, later: Edition, notes: Notes) -> Paragraph:
    statement = change.now if change.now is not None else change.before
    assert statement is not None  # noqa: S101 - a change has one side at least
    said: list[str | Inline | None] = [Run(f"{_subject(matter, statement.subject_id)}. ", italic=True)]
    if change.before is not None and change.now is not None:
        said += ["It said: ", Run(f"‘{change.before.text.strip()}’"), " It now says: "]
        said.append(Run(f"‘{change.now.text.strip()}’"))
    else:
        said.append(Run(f"‘{statement.text.strip()}’"))
    said.append(f" Why: {'; '.join(_why(matter, change, earlier, later))}.")
    held = [i for i in statement.lines if matter.citations.line(i) is not None]
    return Paragraph(words(*said, notes.cite(held) if held else None), remark=not held)


def _subject(matter: Matter, subject_id: str) -> str:
    if subject_id in matter.component_ids:
        return matter.names.component(subject_id)
    return f"Engine {matter.names.all_of(subject_id)}"


def _why(matter: Matter, change: Change, earlier: Edition, later: Edition) -> list[str]:
    """The reasons that can be seen: lines, decisions, else the program or other evidence."""
    before: Mapping[str, str] = change.before.lines if change.before is not None else {}
    now: Mapping[str, str] = change.now.lines if change.now is not None else {}
    reasons = [*_lines(matter, before, now), *_decisions(matter, {*before, *now}, earlier, later)]
    if reasons:
        return reasons
    if earlier.program != later.program:
        return ["the program weighs the same evidence otherwise than it did"]
    if earlier.state != later.state:
        return ["other evidence or another decision bears on it"]
    return ["it was asked for in another style or usage"]


def _lines(matter: Matter, before: Mapping[str, str], now: Mapping[str, str]) -> Iterator[str]:
    for line_id in dict.fromkeys((*before, *now)):
        place = _place(matter, line_id)
        if line_id not in before:
            yield f"it rests on {place} too" if before else f"it rests on {place}"
        elif matter.citations.line(line_id) is None:
            yield f"{place} is no longer in the evidence"
        elif line_id not in now:
            yield f"it no longer rests on {place}"
        elif before[line_id] != now[line_id]:
            yield f"{place} read ‘{before[line_id]}’ and now reads ‘{now[line_id]}’"


def _place(matter: Matter, line_id: str) -> str:
    line = matter.citations.line(line_id)
    return (matter.citations.locator(line) if line is not None else "") or f"line {line_id}"


def _decisions(matter: Matter, lines: set[str], earlier: Edition, later: Edition) -> Iterator[str]:
    """The decisions made since that speak of one of the lines."""
    for decision_id in later.decisions:
        decision = matter.decision(decision_id)
        if decision_id in earlier.decisions or decision is None:
            continue
        spoken = f"{decision.target} {decision.ruling}"
        if any(line_id in spoken for line_id in lines) or not lines:
            yield f"{decision.by} decided ({decision.reason.strip().rstrip('.')})"
