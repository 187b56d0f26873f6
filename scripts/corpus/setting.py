"""A card of a form, filled in, as a flat sheet: its columns are as wide as this printing and this hand want
them.
"""

from __future__ import annotations

from random import Random
from typing import Final

from .hands import Machine, Pen, Writer, box_of
from .kinds import Column, Content, Entry, Kind
from .sheet import Box, Cell, Press, Sheet, Stroke, inches

FIGURES: Final = ("miles", "total_miles")
Faces = tuple[str, bool, str]
"""The face it is filled in with, whether by hand, and the printer's face."""


class Setting:
    """One card being set: every random choice comes from `rng`."""

    def __init__(self, kind: Kind, content: Content, rng: Random, faces: Faces) -> None:
        self.kind, self.content, self.rng = kind, content, rng
        self.face, self.by_hand, self.printer = faces
        self.ruling = rng.choice(kind.ruling)
        self.titles = [rng.choice(c.titles) for c in kind.columns]
        self.sheet = Sheet(10, 10)
        self.press = Press(self.sheet)
        per_inch = rng.choice((10.0, 12.0, 12.0))
        high = inches(rng.uniform(0.085, 0.12))
        self.writer: Writer = (
            Pen(self.sheet, self.face, rng, high)
            if self.by_hand
            else Machine(self.sheet, self.face, rng, per_inch)
        )
        self.print_size = rng.uniform(23, 29)
        self.row_high = max(inches(rng.uniform(0.2, 0.3)), self.writer.high * rng.uniform(1.75, 2.3))
        if kind.tight:
            self.row_high = self.writer.high * rng.uniform(1.45, 1.7)
        self.edges = self._edges()
        self.margin_top = inches(rng.uniform(0.25, 0.6))
        self.head_high = inches(rng.uniform(0.5, 0.8)) if kind.heads else inches(rng.uniform(0.3, 0.6))
        self.two = any("|" in t for t in self.titles) or any(c.group for c in kind.columns)
        self.title_high = self.print_size * (2.7 if self.two else 1.7) + 10

    def _edges(self) -> list[float]:
        """Columns as wide as their longest cell but the remarks', with room of this card's own."""
        rng = self.rng
        edges = [inches(rng.uniform(0.2, 0.6))]
        lean = rng.uniform(0.1, 0.5)
        for column, title in zip(self.kind.columns, self.titles, strict=True):
            texts = [line.cells.get(_name(column), "") for line in self.content.lines]
            short = sorted((t for t in texts if t), key=len)
            wide = max([self.writer.wide(t) for t in short if len(t) <= 22], default=self.writer.pitch * 5)
            head = max(self._title_wide(word) for word in title.split("|"))
            gap = inches(0.12) if self.ruling in ("full", "faint", "verticals") else inches(0.2)
            room = max(wide, head) + gap + inches(rng.uniform(0.02, 0.1) + lean * rng.random())
            if column.field == "remarks":
                room = max(room, inches(rng.uniform(1.2, 1.9)))
            edges.append(edges[-1] + room)
        return edges

    def _title_wide(self, word: str) -> float:
        if self.kind.typed_titles:
            return self.writer.wide(word)
        return self.press.width(word, self.printer, self.print_size, 1)

    def set(self) -> Sheet:
        """Print the form and fill it in."""
        top = self.margin_top + self.head_high
        self.body = top + self.title_high
        rows = self.rows_wanted() + self.rng.choice((0, 0, 1, 3, 6))
        self.sheet.width = round(self.edges[-1] + inches(self.rng.uniform(0.15, 0.5)))
        self.foot = self.body + rows * self.row_high
        self.sheet.height = round(self.foot + inches(self.rng.uniform(0.2, 0.6)))
        self.head()
        self.rules(top, rows)
        self.column_titles(top)
        row = 0
        for number, line in enumerate(self.content.lines, start=1):
            row += self.enter(number, line, row)
        return self.sheet

    def rows_wanted(self) -> int:
        """Rows that the lines take up: long remarks and running texts take more than one."""
        return sum(2 if line.runs else len(self._wrapped(line)) or 1 for line in self.content.lines)

    def _wrapped(self, line: Entry) -> list[str]:
        """The parts of a remark that is too long for its column; none where it fits."""
        text, fields = line.cells.get("remarks", ""), [c.field for c in self.kind.columns]
        if not text or "remarks" not in fields:
            return []
        k = fields.index("remarks")
        parts = self._broken(text, self.edges[k + 1] - self.edges[k] - inches(0.02))
        return parts if len(parts) > 1 else []

    def _broken(self, text: str, room: float) -> list[str]:
        """A text in parts that fit a width."""
        parts = [""]
        for word in text.split():
            if parts[-1] and self.writer.wide(f"{parts[-1]} {word}") > room:
                parts.append(word)
            else:
                parts[-1] = f"{parts[-1]} {word}".strip()
        return parts

    def head(self) -> None:
        """The printed head, with number and name."""
        y = self.margin_top + self.head_high * 0.45
        if not self.kind.heads:
            middle = (self.edges[0] + self.edges[-1]) / 2
            words = self.rng.choice(("BOILERS OF THE LINE", "List of boilers, Brackwith Works", "Register"))
            self.press.print(middle, y, words, self.printer, 34, align=0.5, spacing=1)
            return
        word = self.press.print(self.edges[0], y, self.rng.choice(self.kind.heads), self.printer, 40)
        x = box_of(word)[0] + box_of(word)[2] + inches(0.15)
        self.fill("heading", self.content.number, x, y - 1)
        if self.content.name:
            at = x + self.writer.wide(self.content.number) + inches(0.6)
            self.fill("heading_name", self.content.name, at, y - 1)
        if self.kind.opening:
            self._opening(y + self.head_high * 0.4)
        if self.rng.random() < 0.5:
            self.press.print(
                self.edges[0], y - 48, "MERROWDALE & OSTREY RAILWAY", self.printer, 24, spacing=2
            )

    def _opening(self, y: float) -> None:
        """A line between the head and the titles: what is printed of the thing, and what is filled in."""
        x = self.edges[0]
        for label, value in (("CLASS", "K"), ("BUILT", "1904"), ("FITTED WITH", "injectors")):
            box = box_of(self.press.print(x, y, label, self.printer, 24))
            written = box_of(self.writer.write(box[0] + box[2] + inches(0.1), y, value, 0.9))
            x = written[0] + written[2] + inches(self.rng.uniform(0.25, 0.6))

    def fill(self, name: str, text: str, x: float, y: float) -> None:
        """Write a cell of the heading."""
        box = box_of(self.writer.write(x, y, text, 0.95))
        self.sheet.cells.append(Cell(0, name, text, box))

    def rules(self, top: float, rows: int) -> None:
        """The rulings, if any."""
        ruling, rng, rule = self.ruling, self.rng, self.press.rule
        ink = rng.uniform(0.14, 0.26) if ruling == "faint" else rng.uniform(0.4, 0.65)
        left, right = self.edges[0], self.edges[-1]
        if ruling in ("full", "faint", "verticals"):
            outer = rng.random() < 0.8
            for k, x in enumerate(self.edges):
                if outer or 0 < k < len(self.edges) - 1:
                    start = self.body - self.title_high / 2 if self._within_group(k) else top
                    self._upright(x, start, rng.uniform(1.6, 2.6), ink)
        if ruling == "none" and rng.random() < 0.5:
            return
        for y in (top, self.body):
            rule(left, y, right, y, width=2.5, ink=ink + 0.08)
        if ruling in ("full", "faint", "levels"):
            for n in range(1, rows + 1):
                y = self.body + n * self.row_high
                rule(left, y, right, y, width=1.5, ink=ink * rng.uniform(0.65, 0.75))

    def _upright(self, x: float, start: float, width: float, ink: float) -> None:
        """An upright ruling, dotted or double where the form has such."""
        if self.kind.dotted:
            y = start
            while y < self.foot:
                self.press.rule(x, y, x, min(self.foot, y + 7), width=width, ink=ink)
                y += 14
            return
        self.press.rule(x, start, x, self.foot, width=width, ink=ink)
        if self.kind.double and self.rng.random() < 0.3:
            self.press.rule(x + 7, start, x + 7, self.foot, width=width, ink=ink)

    def _within_group(self, k: int) -> bool:
        columns = self.kind.columns
        return 0 < k < len(columns) and columns[k].group != "" and columns[k].group == columns[k - 1].group

    def column_titles(self, top: float) -> None:
        """Titles on one line or two; a group's word over its columns."""
        low = self.body - 10
        lean = self.rng.random() < 0.4
        for k, (column, title) in enumerate(zip(self.kind.columns, self.titles, strict=True)):
            words = title.split("|")
            for n, word in enumerate(reversed(words)):
                lift = 0 if column.group or len(words) == 2 or not self.two else self.print_size * 0.55
                self._title(
                    word,
                    (self.edges[k], self.edges[k + 1]),
                    low - lift - n * self.print_size * 1.15,
                    lean=lean,
                )
            if column.group and not self._within_group(k):
                span = (self.edges[k], self.edges[k + self._group_size(column)])
                self._title(column.group, span, low - self.print_size * 1.25, lean=False)
                if self.ruling in ("full", "faint"):
                    y = low - self.print_size * 1.05
                    self.press.rule(span[0], y, span[1], y, width=1.5, ink=0.35)

    def _group_size(self, column: Column) -> int:
        return sum(c.group == column.group for c in self.kind.columns)

    def _title(self, word: str, span: tuple[float, float], y: float, *, lean: bool) -> None:
        if self.kind.typed_titles:
            self.writer.write(span[0] + inches(0.08), y, word, 0.95)
        elif self.by_hand and self.ruling == "none":
            self.writer.write(span[0] + inches(0.07), y, word, 0.9)
        elif lean:
            self.press.print(span[0] + inches(0.08), y, word, self.printer, self.print_size, spacing=1)
        else:
            self.press.print(sum(span) / 2, y, word, self.printer, self.print_size, align=0.5, spacing=1)

    def enter(self, number: int, line: Entry, row: int) -> int:
        """Fill in one line; gives the rows that it took."""
        y = self.body + (row + self.rng.uniform(0.7, 0.78)) * self.row_high
        ink, shift = self.rng.uniform(0.7, 1.0), self.rng.uniform(-8, 8)
        if line.runs:
            return self._run_on(number, line.runs, y, ink)
        wrapped = self._wrapped(line)
        for k, column in enumerate(self.kind.columns):
            name, left, right = _name(column), self.edges[k], self.edges[k + 1]
            text = line.cells.get(name, "")
            if line.merged and line.merged[0] == name:
                box = box_of(self.writer.write(left + inches(0.1), y, line.merged[1], ink))
                self.sheet.cells.append(Cell(number, "runs", line.merged[1], box))
            elif not text:
                box = (left, self.body + row * self.row_high, right - left, self.row_high)
                self.sheet.cells.append(Cell(number, name, "", box))
            elif name == "remarks" and wrapped:
                boxes = [
                    box_of(self.writer.write(left + inches(0.06), y + n * self.row_high, part, ink))
                    for n, part in enumerate(wrapped)
                ]
                self.sheet.cells.append(Cell(number, name, text, _around(boxes)))
            else:
                self._cell(number, name, line, (left, right, y, shift, ink))
        return len(wrapped) or 1

    def _cell(
        self, number: int, name: str, line: Entry, place: tuple[float, float, float, float, float]
    ) -> None:
        left, right, y, shift, ink = place
        text, mark = line.cells[name], line.marks.get(name, "")
        wide = self.writer.wide(text)
        start = left + inches(0.08) + abs(shift)
        if name in FIGURES:
            start = right - inches(0.07) - wide - abs(shift)
        elif mark == "ditto":
            start = left + inches(0.2) + abs(shift)
        struck = None
        if mark.startswith("struck:"):
            struck = self._strike(mark.removeprefix("struck:"), (left, start, y), ink)
            if struck[0] + struck[2] + wide + 12 < right:
                start = struck[0] + struck[2] + 8
            else:
                y -= self.row_high * 0.42
        box = box_of(self.writer.write(start, y, text, ink))
        self.sheet.cells.append(Cell(number, name, text, box, mark, struck))

    def _strike(self, text: str, place: tuple[float, float, float], ink: float) -> Box:
        left, start, y = place
        glyphs = self.writer.write(max(left + 6, start - self.writer.wide(text) - 10), y, text, ink)
        x, top, wide, high = box_of(glyphs)
        middle, lift = top + high / 2, self.rng.uniform(-4, 4)
        points = ((x - 6, middle + lift), (x + wide / 2, middle), (x + wide + 6, middle - lift))
        self.sheet.strokes.append(Stroke(points, 3.0, 0.9))
        return x, top, wide, high

    def _run_on(self, number: int, text: str, y: float, ink: float) -> int:
        """A text over all columns, on two rows."""
        rows = self._broken(text, self.edges[-1] - self.edges[0] - inches(0.3))
        at = self.edges[0] + inches(0.1)
        kept = rows[:2]
        boxes = [
            box_of(self.writer.write(at, y + n * self.row_high, part, ink)) for n, part in enumerate(kept)
        ]
        self.sheet.cells.append(Cell(number, "runs", " ".join(kept), _around(boxes)))
        return 2


def _around(boxes: list[Box]) -> Box:
    left, top = min(b[0] for b in boxes), min(b[1] for b in boxes)
    right, bottom = max(b[0] + b[2] for b in boxes), max(b[1] + b[3] for b in boxes)
    return left, top, right - left, bottom - top


def _name(column: Column) -> str:
    """A column's field; the printed words of one that no field means."""
    return column.field or column.titles[0]
