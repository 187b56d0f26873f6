"""What a package must keep to beyond its columns: ids, references, words of closed lists, dates, figures."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from typing import Final

from numbertaker.evidence.decisions import LOOKED_WANTED, looked_of, verdicts
from numbertaker.evidence.edtf import one_day, parse_edtf
from numbertaker.evidence.errors import BadDate, BadInput, Problem
from numbertaker.evidence.package.values import RECORD_OF, Package, Row
from numbertaker.evidence.records import (
    Card,
    CellKey,
    Component,
    Decision,
    Engine,
    Evidence,
    Line,
    Record,
    Source,
)
from numbertaker.evidence.signs import read_marks

_OPEN: Final = ".."
SPANS: Final[Mapping[str, tuple[str, ...]]] = {
    "sources": ("created", "seen"),
    "cards": ("covers",),
    "events": ("date",),
}
"""The columns that hold any EDTF, an interval too."""
DAYS: Final[Mapping[str, tuple[str, ...]]] = {
    "engines": ("built", "withdrawn"),
    "components": ("built", "condemned"),
    "designations": ("from", "to"),
}
"""The columns that hold one day in EDTF; an interval in them is doubt about it."""

KINDS_OF_SOURCE: Final = (
    "component-card", "engine-card", "register", "works-list", "withdrawal-list", "ledger", "published",
    "photograph", "letter", "recollection", "other",
)  # fmt: skip
SAYS: Final = (
    "fitment", "fitted", "removed", "carried", "spare", "total", "built", "withdrawn", "condemned",
)  # fmt: skip
WORDS: Final[Mapping[tuple[str, str], tuple[str, ...]]] = {
    ("sources", "kind"): KINDS_OF_SOURCE,
    ("cards", "state"): ("", "seen", "known", "lost"),
    ("designations", "scheme"): ("number", "name", "class"),
    ("lines", "side"): ("component", "engine", "statement"),
    ("lines", "says"): SAYS,
}
"""Columns that take the words of a list, and no others."""


def check(package: Package, known: Evidence) -> None:
    """Hold a package to its rules, with the rows that are known already; `BadInput` lists every fault."""
    problems = [*_missing(package)]
    for table in package.tables.values():
        for row in table.rows:
            problems += (
                Problem(file=table.file, row=row.number, column=column, expected=expected, found=found)
                for column, expected, found in _faults(table.table, row.record)
            )
    problems += _repeated(package)
    problems += _references(package, known)
    if problems:
        raise BadInput(problems=problems)


def faults(table: str, record: Record) -> list[Problem]:
    """What can't stand in one row, by its columns."""
    return [
        Problem(table=table, column=column, expected=expected, found=found)
        for column, expected, found in _faults(table, record)
    ]


def _missing(package: Package) -> Iterator[Problem]:
    if Source.TABLE not in package.tables:
        found = ", ".join(table.file for table in package.tables.values()) or "no table"
        yield Problem(expected="a table sources.csv, which every package has", found=found)


def _faults(table: str, record: Record) -> Iterator[tuple[str, str, str]]:
    """Column, what was expected and what was found, for each cell of one row that can't stand."""
    row = record.row()
    for column in record.REQUIRED:
        # A correction may empty a cell, and taking back rules nothing.
        if not row[column].strip() and (table, column) not in (("decisions", "ruling"), ("readings", "text")):
            yield column, "a text, because this column is required", row[column]
    for (of, column), words in WORDS.items():
        if of == table and row[column] not in words and row[column].strip():
            yield column, f"one of {', '.join(filter(None, words))}", row[column]
    for column in SPANS.get(table, ()):
        yield from _bad_date(column, row[column], parse_edtf)
    for column in DAYS.get(table, ()):
        if row[column] != _OPEN or table != "designations":
            yield from _bad_date(column, row[column], one_day)
    yield from _figures(table, row)
    if isinstance(record, Line):
        yield from _bad_marks(record)
    if isinstance(record, Decision):
        yield from _bad_ruling(record)


def _bad_date(column: str, text: str, read: Callable[[str], object]) -> Iterator[tuple[str, str, str]]:
    if not text:
        return
    try:
        read(text)
    except BadDate as error:
        offer = f"; write '{error.offer}'" if error.offer else ""
        yield (
            column,
            f"an EDTF date such as 1911-04 or [1903-05-01..1903-08-31] ({error.reason}{offer})",
            text,
        )


def _figures(table: str, row: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    for column, text in row.items():
        sure = (table == "sources" and column == "reliability") or (
            table in ("lines", "readings") and (column == "reading" or column.startswith("reading_"))
        )
        if sure and text and not _is_share(text):
            yield column, "a figure from 0 to 1, such as 0.97", text
    if table == Line.TABLE and row["row"] and not row["row"].isdecimal():
        yield "row", "a whole number, the order on the card from 1", row["row"]


def _is_share(text: str) -> bool:
    try:
        return 0.0 <= float(text) <= 1.0
    except ValueError:
        return False


def _bad_marks(line: Line) -> Iterator[tuple[str, str, str]]:
    try:
        read_marks(line.marks)
    except BadInput as error:
        for problem in error.problems:
            yield "marks", problem.expected, problem.found or ""


def _bad_ruling(decision: Decision) -> Iterator[tuple[str, str, str]]:
    if decision.kind == "authority" and not is_row(decision.ruling):
        yield (
            "ruling",
            'the columns to mend as a JSON object of texts, such as {"built": "1911"}',
            decision.ruling,
        )
    if decision.kind == "looked" and looked_of(decision) is None:
        yield "ruling", LOOKED_WANTED, decision.ruling
    if decision.kind == "finding":
        try:
            verdicts(decision.ruling)
        except ValueError:
            yield "ruling", "'believe LINE/column', 'set aside LINE/column' or 'stands'", decision.ruling


def is_row(text: str) -> bool:
    """Whether a text is a JSON object of texts, as a ruling on an authority table is."""
    try:
        row = json.loads(text)
    except ValueError:
        return False
    return isinstance(row, dict) and all(isinstance(cell, str) for cell in row.values())


def _repeated(package: Package) -> Iterator[Problem]:
    """Ids that come twice in one table, or stand for an engine and for a component."""
    seen: dict[tuple[str, str], tuple[str, int]] = {}
    for table in package.tables.values():
        keys = RECORD_OF[table.table].KEY
        if len(keys) > 1:
            continue
        space = "subject" if table.table in (Engine.TABLE, Component.TABLE) else table.table
        for row in table.rows:
            name = (space, row.record.key)
            if name in seen and row.record.key:
                before = f"{row.record.key}, which is in {seen[name][0]}, row {seen[name][1]}, already"
                yield Problem(
                    file=table.file, row=row.number, column=keys[0], expected="an id of its own", found=before
                )
            seen.setdefault(name, (table.file, row.number))


def _references(package: Package, known: Evidence) -> Iterator[Problem]:
    """Ids that nothing has, neither in the package nor among what is known."""
    ids = {table: _ids(package, known, table) for table in RECORD_OF if table not in ("readings", "fits")}
    subjects = ids["engines"] | ids["components"]
    yield from _dangling(package, "cards", "source_id", ids["sources"], "a source")
    yield from _dangling(package, "events", "source_id", ids["sources"], "a source")
    yield from _dangling(package, "lines", "source_id", ids["sources"], "a source")
    for table in ("cards", "designations", "events"):
        yield from _dangling(package, table, "subject_id", subjects, "an engine or a component")
    if Card.TABLE in package.tables:
        yield from _dangling(package, "lines", "card_id", ids["cards"], "a card")
    yield from _dangling(package, "decisions", "revokes", ids["decisions"], "a decision")
    for row in package.rows("decisions"):
        decision = row.record
        if isinstance(decision, Decision) and decision.kind in ("cell", "link"):
            line_id = CellKey.parse(decision.target).line_id
            if line_id not in ids["lines"]:
                yield _unknown(package.tables["decisions"].file, row, "target", "a line", line_id)
    for row in package.rows("sources"):
        source = row.record
        for parent in source.parents if isinstance(source, Source) else ():
            if parent not in ids["sources"]:
                yield _unknown(package.tables["sources"].file, row, "compiled_from", "a source", parent)
    yield from _two_natures(package, known)


def _ids(package: Package, known: Evidence, table: str) -> set[str]:
    return {record.key for record in getattr(known, table)} | {row.record.key for row in package.rows(table)}


def _dangling(package: Package, table: str, column: str, ids: set[str], what: str) -> Iterator[Problem]:
    for row in package.rows(table):
        wanted = getattr(row.record, column)
        if wanted and wanted not in ids:
            yield _unknown(package.tables[table].file, row, column, what, wanted)


def _unknown(file: str, row: Row, column: str, what: str, found: str) -> Problem:
    expected = f"the id of {what} that the package or the archive has"
    return Problem(file=file, row=row.number, column=column, expected=expected, found=found)


def _two_natures(package: Package, known: Evidence) -> Iterator[Problem]:
    """Engines that come under the id of a component that is known, and the other way round."""
    for table, other, what in (
        ("engines", known.components, "component"),
        ("components", known.engines, "engine"),
    ):
        taken = {record.key for record in other}
        for row in package.rows(table):
            if row.record.key in taken:
                found = (
                    f"{row.record.key}, which is the id of a {what}"
                    if what == "component"
                    else (f"{row.record.key}, which is the id of an {what}")
                )
                file, column = package.tables[table].file, RECORD_OF[table].KEY[0]
                yield Problem(
                    file=file, row=row.number, column=column, expected="an id of its own", found=found
                )
