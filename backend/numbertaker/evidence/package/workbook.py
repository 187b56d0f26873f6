"""Tables as the sheets of one workbook (Office Open XML, .xlsx), read with suspicion and written as text.

A spreadsheet turns '4.10' into the number 4.1 before anyone sees it, so a cell that holds a number or a date
is refused wherever text stands as written.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING, Any, Final

from numbertaker.evidence.errors import BadInput, Problem
from numbertaker.evidence.package.tabulating import tabulate
from numbertaker.evidence.package.values import RECORD_OF, Package, TableIn
from numbertaker.evidence.package.zipped import check_zip
from numbertaker.evidence.records import RECORDS

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

AS_WRITTEN: Final[Mapping[str, frozenset[str]]] = {
    "lines": frozenset(
        (
            *("heading", "heading_name", "engine", "engine_name", "component", "fitted", "removed", "miles"),
            *("total_miles", "place", "remarks", "locator", "marks"),
        )
    ),
    "designations": frozenset(("value",)),
    "decisions": frozenset(("ruling",)),
    "readings": frozenset(("text",)),
}
"""The columns whose cells are text as somebody wrote it."""
_FRACTIONS: Final = ("reading", "reliability")
AS_TEXT: Final = "text (format the column as text and type the cell again as it is written)"
_TEXT: Final = "@"
"""The number format that spreadsheets call 'text'."""
_KINDS: Final = {"d": "a date", "f": "a formula", "b": "a truth value", "e": "an error"}


def read_workbook(data: bytes, name: str) -> Package:
    """Read the tables among the sheets of a workbook; `BadInput` lists every fault by its place."""
    import openpyxl

    check_zip(data, name)
    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True)
    except (KeyError, ValueError, OSError, SyntaxError, TypeError) as error:
        raise BadInput(f"{name} can't be read as a workbook: {error}.") from error
    tables: dict[str, TableIn] = {}
    notices: list[str] = []
    problems: list[Problem] = []
    for sheet in book.worksheets:
        table = sheet.title.strip().lower()
        if table in RECORD_OF:
            tables[table], found = _sheet(table, f"{name}, sheet {sheet.title}", sheet)
            problems += found
        else:
            notices.append(f"The sheet {sheet.title} is no table of a package and was left out.")
    book.close()
    if problems:
        raise BadInput(problems=problems)
    return Package(tables, tuple(notices))


def _sheet(table: str, file: str, sheet: Any) -> tuple[TableIn, list[Problem]]:
    problems: list[Problem] = []
    rows = enumerate(sheet.iter_rows(), start=1)
    header = [str(cell.value or "") for cell in next(rows, (1, ()))[1]]

    def body() -> Iterator[tuple[int, list[str]]]:
        names = [name.strip() for name in header]
        for number, cells in rows:
            named = zip_longest(names[: len(cells)], cells, fillvalue="")
            texts = [(column, *_text(table, column, cell)) for column, cell in named]
            for column, text, fault in texts:
                if fault:
                    problems.append(
                        Problem(
                            file=file, row=number, column=column, expected=AS_TEXT, found=f"{fault}, {text}"
                        )
                    )
            yield number, [text for _, text, _ in texts]

    read, found = tabulate(table, file, header, body())
    return read, [*found, *problems]


def _text(table: str, column: str, cell: Any) -> tuple[str, str]:
    """The text of a cell, and what it holds instead of text where that matters."""
    value = cell.value
    if value is None or (isinstance(value, str) and cell.data_type != "f"):
        return value or "", ""
    whole = cell.data_type == "n" and float(value).is_integer()
    if whole and column not in AS_WRITTEN.get(table, ()):
        return str(int(value)), ""
    if cell.data_type == "n" and column.startswith(_FRACTIONS):
        return str(value), ""
    return str(value), _KINDS.get(cell.data_type, "a number")


def template() -> bytes:
    """An empty workbook with a sheet a table, every column of it formatted as text."""
    return write_workbook({record.TABLE: (record.columns(), ()) for record in RECORDS})


def write_workbook(tables: Mapping[str, tuple[Sequence[str], Iterable[Sequence[str]]]]) -> bytes:
    """A workbook of tables, each given as its columns and its rows; every cell is text."""
    import openpyxl
    from openpyxl.utils.exceptions import IllegalCharacterError

    book = openpyxl.Workbook()
    if book.active is not None:
        book.remove(book.active)
    for table, (columns, rows) in tables.items():
        try:
            _write_sheet(book.create_sheet(table), table, columns, iter(rows))
        except IllegalCharacterError as error:
            raise BadInput(f"{table} has a character that no workbook can hold; export a folder.") from error
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def _write_sheet(sheet: Worksheet, table: str, columns: Sequence[str], rows: Iterator[Sequence[str]]) -> None:
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    required = RECORD_OF[table].REQUIRED
    for n, column in enumerate(columns, start=1):
        sheet.column_dimensions[get_column_letter(n)].number_format = _TEXT
        sheet.column_dimensions[get_column_letter(n)].width = max(10, len(column) + 3)
        head = sheet.cell(1, n, column)
        head.number_format = _TEXT
        head.font = Font(bold=column in required)
    for r, row in enumerate(rows, start=2):
        for n, text in enumerate(row, start=1):
            if text:
                cell = sheet.cell(r, n, text)
                # A text that begins with '=' would be taken for a formula.
                cell.data_type = "s"
                cell.number_format = _TEXT
    sheet.freeze_panes = "A2"
