"""Read one card: page, table, cells, letters, lines. The whole walk of this room stands here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from numbertaker.reading import confidence as sure
from numbertaker.reading.body import MAY_GO_ON
from numbertaker.reading.cells import cells_of_row, running_cell
from numbertaker.reading.columns import Column
from numbertaker.reading.company import light_of, without_company
from numbertaker.reading.desk import Desk
from numbertaker.reading.dittos import with_dittos
from numbertaker.reading.fields import kind_of, weigh
from numbertaker.reading.finding import tables_of
from numbertaker.reading.forms import KNOWN, NONE_OF_THESE, Form, best_form
from numbertaker.reading.geometry import Picture, darkest, lightest
from numbertaker.reading.headings import HeadingLine, read_heading
from numbertaker.reading.learnt import Learnt, LearntForm
from numbertaker.reading.lines import FIELDS, joined_line, says_of
from numbertaker.reading.pages import open_page
from numbertaker.reading.quality import Quality, look_over
from numbertaker.reading.recognisers import Recogniser
from numbertaker.reading.strikes import unmarked
from numbertaker.reading.table import NoTable, Table
from numbertaker.reading.titles import Word
from numbertaker.reading.values import CardHint, CardReading, CellReading, LineReading
from numbertaker.reading.writing import read_cells


def read_card(
    data: bytes,
    page: int,
    hint: CardHint | Mapping[str, str] | None,
    recogniser: Recogniser,
    *,
    forms: Sequence[Form] = KNOWN,
    further_headings: Mapping[str, Sequence[str]] | None = None,
    name: str = "the file",
) -> CardReading:
    """Read page `page` (from 1) of a scan's bytes: its card, or the first of several.

    What is wrong with the card (blank, no table) is said in the answer's `problems`; a file that is no
    picture raises `Unreadable`.
    """
    scan = open_page(data, page, name=name)
    return read_picture(scan, hint, recogniser, forms=forms, further_headings=further_headings)[0]


def read_picture(
    scan: Picture,
    hint: CardHint | Mapping[str, str] | None,
    recogniser: Recogniser,
    *,
    forms: Sequence[Form] = KNOWN,
    further_headings: Mapping[str, Sequence[str]] | None = None,
    learnt: Sequence[LearntForm] = (),
) -> tuple[CardReading, ...]:
    """Read the cards on a picture (height × width × 3, blue-green-red), top to bottom; one at least."""
    known = CardHint.of(hint)
    found = tables_of(scan, recogniser, further_headings, Learnt(tuple(learnt), known.form))
    tables = [card for card in found if isinstance(card[1], Table)]
    read = [_read_found(desk, table, known, forms) for desk, table in tables or found[:1]]
    return tuple(read) or (_nothing(scan),)


def fewer(scan: Picture, found: int, place: int) -> CardReading:
    """The reading of a card at a place of a picture, from 0, on which fewer cards were found."""
    return _nothing(
        scan,
        f"{NO_LINE} On this picture {place + 1} cards were expected, one below the other, and {found} found:"
        " look whether they lie apart, and all of each is on it.",
    )


def _nothing(scan: Picture, instead: str = "") -> CardReading:
    height, width = scan.shape[:2]
    whole = ((0.0, 0.0), (float(width), 0.0), (float(width), float(height)), (0.0, float(height)))
    why = instead or (
        "No writing was found on this scan, so nothing looks like a register line: it is blank, or far too"
        " faint or blurred to read. Look whether the right side was scanned."
    )
    return CardReading(NONE_OF_THESE, "", 0.0, whole, {}, (), (why,))


def _read_found(desk: Desk, table: Table | NoTable, hint: CardHint, forms: Sequence[Form]) -> CardReading:
    """A card whose table was found, or why nothing on it is a line."""
    quality = look_over(desk.scan, desk.plane, desk.ground.level if desk.ground else ())
    if isinstance(table, Table):
        quality = replace(quality, cut=_cut_table(desk, table, quality))
    if isinstance(table, Table) and not {"left", "right"} & set(quality.cut):
        return _read_table(desk, table, hint, forms, quality)
    why = table.reason if isinstance(table, NoTable) else HALVED
    problems = (f"{NO_LINE} {why}", *quality.advice())
    plane = desk.plane
    return CardReading(NONE_OF_THESE, "", plane.turned, plane.outline, {}, (), problems, quality.numbers())


def _cut_table(desk: Desk, table: Table, quality: Quality) -> tuple[str, ...]:
    """The sides at which the table runs off the picture; ticks in a card's margin may, and hurt nothing."""
    near, width = 2.2 * table.cap, desk.plane.colour.shape[1]
    reached = {
        "left": table.columns[0].left < near or "left" in quality.broken,
        "right": table.columns[-1].right > width - near or "right" in quality.broken,
    }
    return tuple(side for side in quality.cut if reached.get(side, True))


NO_LINE = "Nothing that looks like a register line was found."
HALVED = "The lines are cut through at the edge of the picture, and half a line says nothing for certain."


def _read_table(
    desk: Desk, table: Table, hint: CardHint, forms: Sequence[Form], quality: Quality
) -> CardReading:
    head = _heading_of(table)
    side = hint.side or (head[1].side if head else "")
    fields = [c.field for c in table.columns]
    form = _learnt_form(table) or next((f for f in forms if f.name == hint.form), None)
    form = form or best_form(fields, side, forms)
    side = form.side if form else side or "statement"
    heading = _read_heading(desk, table, head) if side != "statement" else {}
    lines = _read_lines(desk, table, side)
    other = _not_the_form(table, hint.form, forms)
    problems = (*other, *_problems(form, heading, lines, side), *quality.advice())
    measured = {**quality.numbers(), "table": table_trust(table)}
    if table.form:
        measured["form"] = table.form.score
    name = form.name if form else NONE_OF_THESE
    return CardReading(name, side, desk.plane.turned, desk.plane.outline, heading, lines, problems, measured)


def _learnt_form(table: Table) -> Form | None:
    """The form that the table was found by, as one of the known ones."""
    if table.form is None:
        return None
    learnt = table.form.form
    return Form(learnt.name, learnt.side, tuple(f for f in learnt.fields if f))


def _not_the_form(table: Table, named: str, forms: Sequence[Form]) -> tuple[str, ...]:
    """What a person should know where a card was said to have a learnt form and was read by another, or by
    none.
    """
    own = table.form.form.name if table.form else ""
    if not named or named == own or named in {form.name for form in forms}:
        return ()
    instead = f"The form {own!r} fits and was taken instead." if own else "It was read without a form."
    return (
        f"This card was said to have the form {named!r}, but its columns and titles do not agree with that."
        f" {instead} Look whether the columns are right, or whether the card is of another kind.",
    )


def table_trust(table: Table) -> float:
    """How far the table's geometry is trusted."""
    return table.sure


def _problems(
    form: Form | None,
    heading: Mapping[str, CellReading],
    lines: Sequence[LineReading],
    side: str,
) -> tuple[str, ...]:
    found = []
    if form is None:
        found.append("The columns agree with none of the known forms: check what each column means.")
    if side != "statement" and "heading" not in heading:
        found.append(
            "Whose card it is was not read: a heading such as 'BOILER No. 52' was expected over the table."
        )
    if not lines:
        found.append("A table was found, but nothing is written in it.")
    return tuple(found)


def _heading_of(table: Table) -> tuple[tuple[Word, ...], HeadingLine] | None:
    """The line over the table that says whose card it is, nearest the top."""
    for words in table.above:
        # a number typed near the foot of the line may have become a row of its own
        found = read_heading([w.text for w in words])
        if found:
            return words, found
    every = tuple(sorted((w for line in table.above for w in line), key=lambda w: w.box.left))
    found = read_heading([w.text for w in every])
    return (every, found) if found else None


def _read_heading(
    desk: Desk, table: Table, head: tuple[tuple[Word, ...], HeadingLine] | None
) -> dict[str, CellReading]:
    """The number and the name at the head of the card."""
    if head is None:
        return {}
    words, found = head
    out: dict[str, CellReading] = {}
    for field, places in found.parts:
        boxes = [words[i].box for i in places]
        marks = np.array([[b.left, b.top, b.width, b.height, 0] for b in boxes])
        crop = replace(desk.crop(marks, field), repeats=False)
        reading = weigh(unmarked(desk.recogniser.read([crop])[0]), kind_of(field))
        p = sure.of_heading(kind_of(field), reading.confidence)
        out[field] = CellReading(_number_only(reading.text, field), p, desk.box(marks), reading.alternatives)
    return out


def _number_only(text: str, field: str) -> str:
    """Of 'No.52' the number: the printed words are no part of it."""
    return (
        text.rsplit(maxsplit=1)[-1].removeprefix("No.").removeprefix("No").strip(" .:")
        if field == "heading" and text
        else text
    )


def _read_lines(desk: Desk, table: Table, side: str) -> tuple[LineReading, ...]:
    grey = darkest(desk.plane.colour)
    rows = [
        [running_cell(row, table.columns, table.marks, table.cap)]
        if row.runs
        else cells_of_row(row, table.columns, table.marks, grey, table.cap)
        for row in table.rows
    ]
    light = light_of(lightest(desk.plane.colour), grey, table.marks, table.cap)
    rows = without_company(with_dittos(rows, table.marks, light), light)
    readings = read_cells(desk, [cell for row in rows for cell in row], table, grey)
    lines: list[LineReading] = []
    above: Mapping[str, CellReading] = {}
    for place, row in zip(table.rows, rows, strict=True):
        cells = {_name(cell.column, k): readings[id(cell)] for k, cell in enumerate(row)}
        cells = {name: without_baseless_ditto(cell, above.get(name)) for name, cell in cells.items()}
        if place.joins and lines:
            goes_on = {n: c for n, c in cells.items() if place.runs or n in MAY_GO_ON or n not in FIELDS}
            lines[-1] = joined_line(lines[-1], goes_on)
        elif any(cell.text or cell.mark for cell in cells.values()):
            lines.append(LineReading(len(lines) + 1, says_of(cells, side), cells))
            above = {**above, **cells} if place.runs else cells  # what runs over the columns fills none
    return tuple(lines)


BEYOND_DOUBT = 0.9
"""Ditto marks that are surer than this stay, whatever is over them."""


def without_baseless_ditto(cell: CellReading, above: CellReading | None) -> CellReading:
    """A ditto under nothing repeats nothing: it is a speck, and the cell is held to be blank, less surely.

    Where the marks are beyond doubt it is the cell above that was missed.
    """
    doubtful = above is None or cell.confidence < BEYOND_DOUBT
    nothing = above is None or not (above.text or above.mark)
    if cell.text == '"' and cell.mark == "ditto" and nothing and doubtful:
        return replace(cell, text="", mark="", confidence=sure.SPECK, alternatives=(('"', 1 - sure.SPECK),))
    return cell


def _name(column: Column, k: int) -> str:
    return column.field or column.title or f"column {k + 1}"
