"""What goes wrong with the machinery or its use, as opposed to what is wrong with the evidence.

The whole tree::

    NumbertakerError
      BadInput          what was handed over can't be read as it should be
        BadDate         a text that should be EDTF and is not
      NotFound          nothing of that id or number is in the archive
      Ambiguous         several things answer to that id or number
      Conflict          the same id is there already, with other content
      Unreadable        an image or a document that can't be opened
      ToolMissing       a program that the machine has not got

What is wrong with the *evidence* (two cards that disagree, a date that can't be) is a
finding, a value that is collected and shown; it is never raised. Every error has a
`code` for programs, an HTTP `status`, and a message that is a whole sentence for people.
"""

# ruff: noqa: N818 - each name says what is the matter; the base class says that it is an error

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One fault in what was handed over: where it is, what was expected and what was found.

    `row` counts from 1 as a spreadsheet shows it, so that the header is row 1. Whatever
    does not apply stays None.
    """

    expected: str
    found: str | None = None
    file: str | None = None
    table: str | None = None
    row: int | None = None
    column: str | None = None

    def __str__(self) -> str:
        """The fault as one sentence, the place first: `lines.csv, row 7, column fitted: expected ...`."""
        said = f"expected {self.expected}"
        if self.found is not None:
            said += f", found {_quoted(self.found)}"
        where = self.place
        return f"{where}: {said}." if where else f"{said[0].upper()}{said[1:]}."

    @property
    def place(self) -> str:
        """The file (else the table), row and column, as far as they are known; may be empty."""
        parts = [
            self.file or self.table,
            None if self.row is None else f"row {self.row}",
            None if self.column is None else f"column {self.column}",
        ]
        return ", ".join(part for part in parts if part)


_LONGEST_QUOTE = 80


def _quoted(text: str) -> str:
    """The text in quotation marks; a long one is cut, and an empty one said to be so."""
    if not text:
        return "nothing"
    return f"'{text}'" if len(text) <= _LONGEST_QUOTE else f"'{text[:_LONGEST_QUOTE]}…'"


class NumbertakerError(Exception):
    """Anything that this program raises on purpose."""

    code: ClassVar[str] = "error"
    status: ClassVar[int] = 400

    @property
    def message(self) -> str:
        """What a person is told."""
        return str(self)


class BadInput(NumbertakerError):
    """What was handed over can't be read as it should be; lists every fault found, not only the first."""

    code: ClassVar[str] = "bad-input"
    status: ClassVar[int] = 422

    def __init__(
        self,
        message: str | None = None,
        *,
        file: str | None = None,
        table: str | None = None,
        row: int | None = None,
        column: str | None = None,
        expected: str | None = None,
        found: str | None = None,
        problems: Sequence[Problem] = (),
    ) -> None:
        """Name one fault by its keywords, or several in `problems`; a message alone will do as well."""
        listed = tuple(problems)
        if expected is not None:
            one = Problem(expected=expected, found=found, file=file, table=table, row=row, column=column)
            listed = (one, *listed)
        self.problems: tuple[Problem, ...] = listed
        super().__init__(message if message is not None else _listing(listed))


def _listing(problems: Sequence[Problem]) -> str:
    if not problems:
        return "What was handed over can't be read."
    if len(problems) == 1:
        return str(problems[0])
    return "\n".join([f"There are {len(problems)} faults.", *(f"- {problem}" for problem in problems)])


class BadDate(BadInput):
    """A text that should be EDTF (ISO 8601-2) and is not; says what to write instead where that is clear."""

    code: ClassVar[str] = "bad-date"

    def __init__(self, text: str, reason: str, *, offer: str | None = None) -> None:
        """Keep the text and, where one is clear, the form to write instead."""
        self.text = text
        self.reason = reason
        self.offer = offer
        hint = f" Write '{offer}'." if offer else ""
        said = f"{_quoted(text)} is no EDTF date" if text else "A date is missing"
        super().__init__(f"{said}: {reason}.{hint}")


class NotFound(NumbertakerError):
    """Nothing of that id or number is in the archive."""

    code: ClassVar[str] = "not-found"
    status: ClassVar[int] = 404

    def __init__(self, what: str, wanted: str, *, near: Sequence[str] = ()) -> None:
        """Say what kind of thing was wanted, by which id, and what comes near it."""
        self.what = what
        self.wanted = wanted
        self.near = tuple(near)
        hint = f" Did you mean {_either(self.near)}?" if self.near else ""
        super().__init__(f"There is no {what} {_quoted(wanted)}.{hint}")


def _either(texts: Sequence[str]) -> str:
    quoted = [_quoted(text) for text in texts]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"


class Ambiguous(NumbertakerError):
    """Several things answer to that id or number; carries them, so that a person can choose."""

    code: ClassVar[str] = "ambiguous"
    status: ClassVar[int] = 409

    def __init__(self, what: str, wanted: str, candidates: Sequence[str]) -> None:
        """Say what was wanted and which candidates answer to it, best first."""
        self.what = what
        self.wanted = wanted
        self.candidates = tuple(candidates)
        listed = ", ".join(self.candidates)
        count = len(self.candidates)
        super().__init__(f"{count} answer to {what} {_quoted(wanted)}: {listed}. Name one of them.")


class Conflict(NumbertakerError):
    """The same id is there already, with other content; carries the rows, and nothing was taken in."""

    code: ClassVar[str] = "conflict"
    status: ClassVar[int] = 409

    def __init__(self, message: str, *, rows: Sequence[str] = ()) -> None:
        """Say what clashes; `rows` names each one, as `lines.csv, row 7: L000007`."""
        self.rows = tuple(rows)
        super().__init__("\n".join([message, *(f"- {row}" for row in self.rows)]))


class Unreadable(NumbertakerError):
    """An image or a document that can't be opened, with the reason."""

    code: ClassVar[str] = "unreadable"
    status: ClassVar[int] = 422

    def __init__(self, file: str, reason: str) -> None:
        """Name the file and say why, as the end of the sentence '... can't be read: ...'."""
        self.file = file
        self.reason = reason
        super().__init__(f"{file} can't be read: {reason}.")


class ToolMissing(NumbertakerError):
    """A program that the machine has not got, with the one command to type."""

    code: ClassVar[str] = "tool-missing"
    status: ClassVar[int] = 503

    def __init__(self, tool: str, command: str, *, purpose: str | None = None) -> None:
        """Name the tool, what it is wanted for, and the command that installs it."""
        self.tool = tool
        self.command = command
        wanted = f" It is wanted to {purpose}." if purpose else ""
        super().__init__(f"{tool} is not on this machine.{wanted} Type: {command}")
