"""The three forms, and how a written paper is set out on them."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Final

from .papers import COLUMNS, Line, Paper
from .roster import RAILWAY, WORKS
from .sheet import Box, Cell, Glyph, Press, Sheet, Stroke, Typewriter, hull, inches

SANS, SANS_BOLD = "ArchivoNarrow-Regular", "ArchivoNarrow-Bold"
SERIF, SERIF_BOLD = "OldStandardTT-Regular", "OldStandardTT-Bold"
WIDTHS: Final = {  # inches
    "component-card": (0.9, 1.14, 1.14, 0.92, 1.02, 1.0, 1.38),
    "engine-card": (1.0, 1.3, 1.3, 1.1, 1.2, 1.6),
    "printed-list": (0.62, 0.68, 1.5, 0.86, 0.92, 0.82),
}
FIGURES: Final = ("miles", "total_miles")


@dataclass(frozen=True, slots=True)
class Printing:
    """One printing of a form: its faces, its pitch of rows, and how heavily it was ruled."""

    name: str
    face: str
    bold: str
    rows: int
    row_height: float  # inches
    rule_ink: float


PRINTINGS: Final = {
    "component-card": (
        Printing("early", SERIF, SERIF_BOLD, 17, 0.255, 0.62),
        Printing("late", SANS, SANS_BOLD, 18, 0.25, 0.5),
    ),
    "engine-card": (
        Printing("early", SANS, SANS_BOLD, 19, 0.25, 0.55),
        Printing("late", SERIF, SERIF_BOLD, 19, 0.25, 0.42),
    ),
}


def lay_out(paper: Paper, rng: Random) -> Sheet:
    """Set a paper out on its form; every random choice comes from `rng`."""
    if paper.form == "printed-list":
        return _ListPage(paper, rng).set()
    return _Card(paper, rng).set()


class _Card:
    """A ruled card: printed heading and columns, typed entries."""

    def __init__(self, paper: Paper, rng: Random) -> None:
        self.paper, self.rng = paper, rng
        early = int(paper.covers[:4]) < 1920
        self.form = PRINTINGS[paper.form][0 if early else 1]
        self.sheet = Sheet(round(inches(8.0)), round(inches(1.38 + self.form.rows * self.form.row_height + 0.22)))
        self.press = Press(self.sheet)
        self.machine = Typewriter(self.sheet, paper.clerk.face, rng, worn=rng.uniform(0.6, 1.5))
        edges = [inches(0.25)]
        for width in WIDTHS[paper.form]:
            edges.append(edges[-1] + inches(width))
        self.edges, self.top = edges, inches(1.38)

    def set(self) -> Sheet:
        self.heading()
        self.ruling()
        for line in self.paper.lines:
            self.entry(line)
        return self.sheet

    def heading(self) -> None:
        bold, face = self.form.bold, self.form.face
        left, right, kind = self.edges[0], self.edges[-1], self.what()
        self.press.print(left, inches(0.34), RAILWAY.upper(), face, 30, spacing=2)
        self.press.print(right, inches(0.34), f"{WORKS.upper()} WORKS", face, 26, align=1.0, spacing=2)
        title = self.press.print(left, inches(0.74), f"{kind} No.", bold, 50, spacing=1)
        x = hull(title)[0] + hull(title)[2] + inches(0.14)
        self.press.rule(x - 6, inches(0.77), x + inches(0.85), inches(0.77), width=1.5, ink=0.4)
        self.typed_heading("heading", self.paper.heading, x + inches(0.1), inches(0.745))
        self.further_headings(x + inches(1.15), right)

    def what(self) -> str:
        if self.paper.form == "engine-card":
            return "ENGINE"
        return "BOILER" if self.paper.source_id == "S1" else "TENDER"

    def further_headings(self, x: float, right: float) -> None:
        """The printed words right of the title, each followed by what was typed after it."""
        names = {"NAME": "heading_name", "TYPE": "type", "BUILT": "built", "CLASS": "class"}
        room = (right - x) / len(self.paper.printed)
        for n, (label, text) in enumerate(self.paper.printed.items()):
            at = x + n * room
            word = self.press.print(at, inches(0.74), label, self.form.face, 28, spacing=1)
            start = hull(word)[0] + hull(word)[2] + inches(0.1)
            self.press.rule(start - 4, inches(0.77), at + room - inches(0.1), inches(0.77), width=1.5, ink=0.4)
            self.typed_heading(names[label], text, start + inches(0.06), inches(0.745))

    def typed_heading(self, name: str, text: str, x: float, y: float) -> None:
        glyphs = self.machine.type(x, y, text, ink=self.rng.uniform(0.8, 0.98))
        self.sheet.cells.append(Cell(0, name, text, hull(glyphs)))

    def ruling(self) -> None:
        form, rule = self.form, self.press.rule
        head, foot = inches(0.95), self.top + form.rows * inches(form.row_height)
        for x in self.edges:
            rule(x, head, x, foot, width=2.2, ink=form.rule_ink)
        rule(self.edges[0], head, self.edges[-1], head, width=4, ink=form.rule_ink + 0.1)
        rule(self.edges[0], self.top, self.edges[-1], self.top, width=3, ink=form.rule_ink + 0.1)
        for n in range(1, form.rows + 1):
            y = self.top + n * inches(form.row_height)
            rule(self.edges[0], y, self.edges[-1], y, width=1.6, ink=form.rule_ink * 0.7)
        for left, right, (_, title) in zip(self.edges, self.edges[1:], COLUMNS[self.paper.form], strict=False):
            self.column_title((left + right) / 2, right - left, title)
        self.press.print(self.edges[0], foot + inches(0.13), f"M. & O. {form.name[0].upper()} 147", form.face, 17, ink=0.6)

    def column_title(self, middle: float, room: float, title: str) -> None:
        words = [title] if self.press.width(title, self.form.bold, 27, 1) < room - 16 else title.split()
        for n, word in enumerate(words):
            y = inches(1.22) + (n - (len(words) - 1) / 2) * 30
            self.press.print(middle, y, word, self.form.bold, 27, align=0.5, spacing=1)

    def entry(self, line: Line) -> None:
        """Type one line: its ribbon was fresh or tired, and the card never went in quite straight."""
        y = self.top + (line.row - 0.27) * inches(self.form.row_height) + self.rng.uniform(-4, 3)
        ink, shift = self.rng.uniform(0.6, 1.0), self.rng.uniform(-7, 7)
        for n, (name, _) in enumerate(COLUMNS[self.paper.form]):
            left, right = self.edges[n], self.edges[n + 1]
            text = line.cells.get(name, "")
            if not text:
                box = (left, self.top + (line.row - 1) * inches(self.form.row_height), right - left, inches(self.form.row_height))
                self.sheet.cells.append(Cell(line.row, name, "", box))
                continue
            self.cell(line, name, text, (left, right), y, ink, shift)

    def cell(self, line: Line, name: str, text: str, room: tuple[float, float], y: float, ink: float, shift: float) -> None:
        mark = line.marks.get(name, "")
        start = self.tab(name, text, room, mark) + shift
        struck_box: Box | None = None
        if mark.startswith("struck:"):
            struck_box = self.strike_out(start, y + 7, mark.removeprefix("struck:"), ink)
            y, start = y - inches(0.098), start + self.rng.uniform(-6, 6)
        glyphs = self.machine.type(start, y, text, ink=ink)
        self.sheet.cells.append(Cell(line.row, name, text, hull(glyphs), mark, struck_box))

    def tab(self, name: str, text: str, room: tuple[float, float], mark: str) -> float:
        """Where a text begins: figures end at the stop, words and dates begin at theirs, dittos stand inside."""
        left, right = room
        pitch = self.machine.pitch
        if mark == "ditto":
            return left + inches(0.3)
        if name in FIGURES:
            return right - inches(0.1) - len(text) * pitch
        if name in ("engine", "component") and text.isdigit():
            return left + inches(0.24)
        return left + min(inches(0.1), max(4.0, (right - left - len(text) * pitch) / 2))

    def strike_out(self, x: float, y: float, text: str, ink: float) -> Box:
        """Type a figure and strike it out: with the x, with the hyphen, or with a pen."""
        glyphs = self.machine.type(x, y, text, ink=ink)
        left, top, width, height = hull(glyphs)
        how = self.rng.choice(("x", "-", "pen"))
        if how == "pen":
            sag, lift = self.rng.uniform(-4, 4), self.rng.uniform(-6, 6)
            middle = top + height / 2
            points = ((left - 8, middle + lift), (left + width / 2, middle + sag), (left + width + 8, middle - lift))
            self.sheet.strokes.append(Stroke(points, 3.2, 0.85))
        else:
            self.machine.type(x, y, how * len(text), ink=min(1.0, ink + 0.1))
        return left, top, width, height


class _ListPage:
    """A page of the printed book: a running head, hair rules about the column titles, no ruling below."""

    def __init__(self, paper: Paper, rng: Random) -> None:
        self.paper, self.rng = paper, rng
        self.sheet = Sheet(round(inches(6.0)), round(inches(8.9)))
        self.press = Press(self.sheet)
        edges = [inches(0.3)]
        for width in WIDTHS["printed-list"]:
            edges.append(edges[-1] + inches(width))
        self.edges, self.top, self.pitch = edges, inches(1.42), inches(0.262)

    def set(self) -> Sheet:
        left, right = self.edges[0], self.edges[-1]
        page = self.paper.printed["PAGE"]
        self.press.print((left + right) / 2, inches(0.55), "BOILERS OF THE M. & O. RAILWAY", SERIF, 34, align=0.5, spacing=4)
        glyphs = self.press.print(right, inches(0.55), page, SERIF, 32, align=1.0)
        self.sheet.cells.append(Cell(0, "page", page, hull(glyphs)))
        for y, width in ((0.82, 2.5), (1.13, 1.5)):
            self.press.rule(left, inches(y), right, inches(y), width=width, ink=0.75)
        for n, (name, title) in enumerate(COLUMNS["printed-list"]):
            self.put(n, name, title, inches(1.04), SERIF_BOLD, 29)
        for line in self.paper.lines:
            self.entry(line)
        return self.sheet

    def put(self, n: int, name: str, text: str, y: float, face: str, size: float) -> list[Glyph]:
        left, right = self.edges[n], self.edges[n + 1]
        if name in FIGURES:
            return self.press.print(right - inches(0.06), y, text, face, size, align=1.0)
        if name in ("component", "engine"):
            return self.press.print((left + right) / 2, y, text, face, size, align=0.5)
        return self.press.print(left + inches(0.08), y, text, face, size)

    def entry(self, line: Line) -> None:
        y = self.top + (line.row - 1) * self.pitch
        for n, (name, _) in enumerate(COLUMNS["printed-list"]):
            text = line.cells.get(name, "")
            if text:
                box = hull(self.put(n, name, text, y, SERIF, 31))
            else:
                box = (self.edges[n], y - self.pitch * 0.7, self.edges[n + 1] - self.edges[n], self.pitch)
            self.sheet.cells.append(Cell(line.row, name, text, box, line.marks.get(name, "")))
