"""Editions: what an export stated, on which lines, under which decisions, to compare a later one with.

An edition is a small JSON file, `numbertaker-edition/1`, written beside a document or by itself. It has every
statement with its name from one edition to the next, its words, and the lines it rested on as they then read.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from numbertaker.evidence.errors import BadInput
from numbertaker.evidence.records import CELL_FIELDS, Decision
from numbertaker.publishing.books import Chapter
from numbertaker.publishing.document import Cross, Inlines, Jump, NoteRef, Paragraph, Run
from numbertaker.publishing.matter import Matter

FORMAT: Final = "numbertaker-edition/1"


@dataclass(frozen=True, slots=True)
class Statement:
    """One statement: whose it is, its name, its words with its degrees, and its lines as they then read."""

    subject_id: str
    key: str
    text: str
    lines: Mapping[str, str]

    @property
    def kind(self) -> str:
        """What is stated: `fitment`, `gap`, `question`."""
        return self.key.partition(":")[0]


@dataclass(frozen=True, slots=True)
class Edition:
    """What one export stated. `decisions` has each decision of then by its id, as one line of text."""

    title: str
    state: str
    program: str
    statements: tuple[Statement, ...]
    decisions: Mapping[str, str]

    def to_json(self) -> str:
        """The edition as the text of its file."""
        plain = {
            "format": FORMAT,
            "title": self.title,
            "state": self.state,
            "program": self.program,
            "decisions": dict(self.decisions),
            "statements": [
                {"subject": s.subject_id, "key": s.key, "text": s.text, "lines": dict(s.lines)}
                for s in self.statements
            ],
        }
        return json.dumps(plain, ensure_ascii=False, indent=1) + "\n"


def edition(matter: Matter, title: str, chapters: Iterable[Chapter], state: str, program: str) -> Edition:
    """What some chapters state."""
    statements = tuple(one for chapter in chapters for one in _statements(matter, chapter))
    decisions = {d.decision_id: _told(d) for d in matter.evidence.decisions}
    return Edition(title, state, program, statements, decisions)


def _statements(matter: Matter, chapter: Chapter) -> Iterable[Statement]:
    lines = {note.number: note.lines for note in chapter.notes}
    for block in chapter.blocks:
        if isinstance(block, Paragraph) and block.key:
            numbers = [part.number for part in block.inlines if isinstance(part, NoteRef)]
            named = dict.fromkeys(i for number in numbers for i in lines.get(number, ()))
            rests = {line_id: as_read(matter, line_id) for line_id in named}
            yield Statement(chapter.subject_id, block.key, stated(block.inlines), rests)


def as_read(matter: Matter, line_id: str) -> str:
    """What a line reads, cell by cell, as it stands now."""
    line = matter.citations.line(line_id)
    if line is None:
        return ""
    return " · ".join(line.text(field) for field in CELL_FIELDS if line.text(field))


def stated(inlines: Inlines) -> str:
    """The words of a statement, each with its degree where it is less than near certain."""
    said = []
    for inline in inlines:
        if isinstance(inline, Run):
            doubt = inline.degree not in (None, "near certain") and not inline.hedged
            said.append(f"{inline.text} ({inline.degree})" if doubt else inline.text)
        elif isinstance(inline, Jump):
            said.append(inline.text)
        elif isinstance(inline, Cross):
            said.append(str(inline.number))
    return "".join(said)


def _told(decision: Decision) -> str:
    revoked = f" (takes back {decision.revokes})" if decision.revokes else ""
    return f"{decision.kind} {decision.target}: {decision.ruling}{revoked}"


def edition_from(text: str) -> Edition:
    """An edition from the text of its file; BadInput where it is none."""
    try:
        plain = json.loads(text)
    except ValueError as error:
        raise BadInput(f"Expected an edition as JSON; {error}.") from error
    if not isinstance(plain, dict) or plain.get("format") != FORMAT:
        found = plain.get("format") if isinstance(plain, dict) else type(plain).__name__
        raise BadInput(expected=f"an edition of the format {FORMAT}", found=str(found))
    try:
        statements = tuple(_statement(row) for row in plain["statements"])
        decisions = {str(key): str(value) for key, value in plain["decisions"].items()}
        return Edition(str(plain["title"]), str(plain["state"]), str(plain["program"]), statements, decisions)
    except (KeyError, TypeError, AttributeError) as error:
        raise BadInput(f"The edition is not whole: {type(error).__name__} at {error}.") from error


def _statement(row: Mapping[str, Any]) -> Statement:
    lines = {str(key): str(value) for key, value in row["lines"].items()}
    return Statement(str(row["subject"]), str(row["key"]), str(row["text"]), lines)


@dataclass(frozen=True, slots=True)
class Change:
    """A statement that is not as it was: before, now, either None where it was added or dropped."""

    before: Statement | None
    now: Statement | None


def changes(earlier: Edition, later: Edition) -> tuple[Change, ...]:
    """What was added, changed and dropped, in the order of the later edition, the dropped ones last.

    A statement is known again by its name; else by its subject, its kind and a line that both rest on.
    """
    left = {(s.subject_id, s.key): s for s in earlier.statements}
    matched = [(left.pop((s.subject_id, s.key), None), s) for s in later.statements]
    found: list[Change] = []
    for before, now in matched:
        known = before if before is not None else _alike(now, list(left.values()))
        if known is not None:
            left.pop((known.subject_id, known.key), None)
        if known is None or known.text != now.text:
            found.append(Change(known, now))
    return (*found, *(Change(before, None) for before in left.values()))


def _alike(now: Statement, left: Sequence[Statement]) -> Statement | None:
    return next(
        (
            before
            for before in left
            if before.subject_id == now.subject_id
            and before.kind == now.kind
            and not frozenset(before.lines).isdisjoint(now.lines)
        ),
        None,
    )
