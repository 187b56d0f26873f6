"""Tables as text files: UTF-8 with commas, and what spreadsheets make of that, recognised and said."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from pathlib import PurePosixPath
from typing import Final

from numbertaker.evidence.errors import BadInput, Problem
from numbertaker.evidence.package.tabulating import tabulate
from numbertaker.evidence.package.values import RECORD_OF, Package, TableIn

_SEPARATORS: Final = {",": "a comma", ";": "';'", "\t": "a tab"}
_ENCODINGS: Final = (
    (b"\xef\xbb\xbf", "utf-8-sig", "has a byte-order mark"),
    (b"\xff\xfe", "utf-16", "is in UTF-16"),
    (b"\xfe\xff", "utf-16", "is in UTF-16"),
)
_LONGEST_CELL: Final = 131_072
"""What the csv module takes unless told otherwise, in characters."""
_WELL_FORMED: Final = (
    f"cells of at most {_LONGEST_CELL:,} characters, each quotation mark that opens one closed again, "
    'and a ditto mark written as """" (two within two)'
)


def read_files(files: Mapping[str, bytes]) -> Package:
    """Read the tables among some files, by their names (`lines.csv`, in whichever folder).

    What is no table is left alone and said. `BadInput` lists every fault of every file.
    """
    tables: dict[str, TableIn] = {}
    notices: list[str] = []
    problems: list[Problem] = []
    for name, data in sorted(files.items(), key=lambda file: _order(file[0])):
        table = table_of(name)
        if table is None:
            if PurePosixPath(name).name != "datapackage.json":
                notices.append(f"{name} is no table of a package and was left out.")
            continue
        if table in tables:
            problems.append(Problem(file=name, expected=f"one {table}.csv", found=tables[table].file))
            continue
        tables[table], found, said = read_delimited(table, PurePosixPath(name).name, data)
        problems += found
        notices += said
    if problems:
        raise BadInput(problems=problems)
    return Package(tables, tuple(notices))


def _order(name: str) -> int:
    """The place of a file among the tables, so that the first of two rows at odds is always the same."""
    table = table_of(name)
    return len(RECORD_OF) if table is None else list(RECORD_OF).index(table)


def table_of(name: str) -> str | None:
    """The table that a file's name stands for; None for any other file."""
    path = PurePosixPath(name.lower())
    return path.stem if path.suffix == ".csv" and path.stem in RECORD_OF else None


def read_delimited(table: str, file: str, data: bytes) -> tuple[TableIn, list[Problem], list[str]]:
    """One table out of one file, with its faults and what to say about how it was read."""
    try:
        text, said = _decoded(file, data)
        separator = _separator(table, text)
        if separator != ",":
            said.append(f"{file} has {_SEPARATORS[separator]} between its cells, not a comma.")
        rows = _rows(text, separator)
        header = next(rows, (1, []))[1]
        read, problems = tabulate(table, file, header, rows)
    except csv.Error as error:
        fault = Problem(file=file, expected=_WELL_FORMED, found=str(error))
        return TableIn(table, file, (), ()), [fault], []
    except UnicodeDecodeError:
        fault = Problem(file=file, expected="text in UTF-8", found="bytes that are in no known encoding")
        return TableIn(table, file, (), ()), [fault], []
    return read, problems, said


def _decoded(file: str, data: bytes) -> tuple[str, list[str]]:
    for mark, encoding, says in _ENCODINGS:
        if data.startswith(mark):
            return data.decode(encoding), [f"{file} {says}."]
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError:
        return data.decode("windows-1252"), [f"{file} is in Windows-1252, not UTF-8."]


def _separator(table: str, text: str) -> str:
    """The separator by which the header has most known columns; the comma where all do alike."""
    known = set(RECORD_OF[table].columns())

    def score(separator: str) -> int:
        header = next(csv.reader(io.StringIO(text, newline=""), delimiter=separator), [])
        return sum(name.strip() in known for name in header)

    return max(_SEPARATORS, key=score)


def _rows(text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    """Strictly: a ditto mark that is not quoted would swallow the rows below it without a word."""
    number = 0
    try:
        for number, row in enumerate(
            csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True), start=1
        ):
            yield number, row
    except csv.Error as error:
        raise csv.Error(f"{error}, in row {number + 1}") from error
