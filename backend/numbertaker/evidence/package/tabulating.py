"""From a header and cells to records, whatever kind of file they came from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from numbertaker.evidence.errors import Problem
from numbertaker.evidence.package.values import RECORD_OF, Row, TableIn
from numbertaker.evidence.records import Record


def tabulate(
    table: str, file: str, header: Sequence[str], body: Iterable[tuple[int, Sequence[str]]]
) -> tuple[TableIn, list[Problem]]:
    """Make records of the rows below a header; `body` gives each row with its number.

    Rows without a single cell filled are left out. A header that can't be used gives no rows.
    """
    record = RECORD_OF[table]
    columns = _columns(record, header)
    problems = _header_problems(record, file, columns)
    if problems:
        return TableIn(table, file, (), ()), problems
    rows: list[Row] = []
    for number, cells in body:
        if any(cells):
            problems += _row_problems(file, number, columns, cells)
            rows.append(Row(number, _record(record, columns, cells)))
    return TableIn(table, file, tuple(c for c in columns if c), tuple(rows)), problems


def _columns(record: type[Record], header: Sequence[str]) -> list[str]:
    """The names of the columns; spaces around a known name are forgiven, empty ones at the end dropped."""
    known = set(record.columns())
    columns = [name.strip() if name.strip() in known or not name.strip() else name for name in header]
    while columns and not columns[-1]:
        columns.pop()
    return columns


def _header_problems(record: type[Record], file: str, columns: Sequence[str]) -> list[Problem]:
    missing = [name for name in record.REQUIRED if name not in columns]
    twice = sorted({name for name in columns if name and columns.count(name) > 1})
    found = ", ".join(filter(None, columns))
    return [
        *(Problem(file=file, row=1, expected=f"a column {name}", found=found) for name in missing),
        *(Problem(file=file, row=1, column=name, expected="each column once", found=name) for name in twice),
    ]


def _row_problems(file: str, number: int, columns: Sequence[str], cells: Sequence[str]) -> list[Problem]:
    problems = [
        Problem(file=file, row=number, expected=f"at most {len(columns)} cells, as in the header", found=text)
        for text in cells[len(columns) :]
        if text
    ]
    for column, text in zip(columns, cells, strict=False):
        if text and not column:
            problems.append(
                Problem(file=file, row=number, expected="a name for this column in row 1", found=text)
            )
        if "\0" in text:
            problems.append(
                Problem(file=file, row=number, column=column, expected="text", found="a NUL character")
            )
    return problems


def _record(record: type[Record], columns: Sequence[str], cells: Sequence[str]) -> Record:
    known = set(record.columns())
    row = {c: t for c, t in zip(columns, cells, strict=False) if c and (t or c in known)}
    return record.from_row(dict.fromkeys(record.REQUIRED, "") | row)
