"""The three forms of the works, and how a written paper is set out on them."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Final

from . import printed
from .papers import COLUMNS, Line, Paper
from .roster import RAILWAY, WORKS
from .sheet import Box, Cell, Glyph, Press, Sheet, Stroke, Typewriter, hull, inches

SANS, SANS_BOLD = "ArchivoNarrow-Regular", "ArchivoNarrow-Bold"
SERIF, SERIF_BOLD = "OldStandardTT-Regular", "OldStandardTT-Bold"
FIGURES: Final = ("miles", "total_miles")


@dataclass(frozen=True, slots=True)
class Printing:
    """One printing of a form: its faces, its columns and rows in inches, and how heavily it was ruled."""

    mark: str
    face: str
    bold: str
    widths: tuple[float, ...]
    rows: int
    row_height: float
    rule_ink: float


PRINTINGS: Final = {  # before 1920, and after
    "component-card": (
        Printing("M. & O. 147", SERIF, SERIF_BOLD, (0.9, 1.14, 1.14, 0.92, 1.02, 1.0, 1.38), 17, 0.255, 0.62),
        Printing("M. & O. 147/A", SANS, SANS_BOLD, (0.86, 1.2, 1.2, 0.9, 0.98, 0.98, 1.38), 18, 0.25, 0.5),
    ),
    "engine-card": (
        Printing("M. & O. 139", SANS, SANS_BOLD, (0.96, 1.26, 1.24, 1.06, 1.22, 1.76), 19, 0.25, 0.55),
        Printing("M. & O. 139/A", SERIF, SERIF_BOLD, (1.04, 1.32, 1.32, 1.12, 1.14, 1.56), 19, 0.25, 0.42),
    ),
}
LIST_WIDTHS: Final = (0.62, 0.68, 1.5, 0.86, 0.92, 0.82)


def lay_out(paper: Paper, rng: Random) -> Sheet:
    """Set a paper out on its form; every random choice comes from `rng`."""
    if paper.form in printed.PRINTINGS:
        return printed.set_out(paper, rng)
    if paper.form == "printed-list":
        return _ListPage(paper, rng).set()
    return _Card(paper, rng).set()


@dataclass(frozen=True, slots=True)
class _Pass:
    """One line going through the machine: its baseline, its ink, and how far off its stops it was typed."""

    line: Line
    y: float
    ink: float
    shift: float


class _Card:
    """A ruled card: printed heading and columns, typed entries."""

    def __init__(self, paper: Paper, rng: Random) -> None:
        self.paper, self.rng = paper, rng
        early = int(paper.covers[:4]) < 1920
        self.form = PRINTINGS[paper.form][0 if early else 1]
        self.sheet = Sheet(
            round(inches(8.0)), round(inches(1.38 + self.form.rows * self.form.row_height + 0.22))
        )
        self.press = Press(self.sheet)
        self.machine = Typewriter(self.sheet, paper.clerk.face, rng, worn=rng.uniform(0.6, 1.5))
        edges = [inches(0.25)]
        for width in self.form.widths:
            edges.append(edges[-1] + inches(width))
        self.edges, self.top = edges, inches(1.38)

    def set(self) -> Sheet:
        """Print the form, and type every line."""
        self.heading()
        self.ruling()
        for line in self.paper.lines:
            self.entry(line)
        return self.sheet

    def heading(self) -> None:
        """The printed heading, and what was typed into it."""
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
        """What kind of thing the card is about."""
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
            self.press.rule(
                start - 4, inches(0.77), at + room - inches(0.1), inches(0.77), width=1.5, ink=0.4
            )
            self.typed_heading(names[label], text, start + inches(0.06), inches(0.745))

    def typed_heading(self, name: str, text: str, x: float, y: float) -> None:
        """Type something into the heading."""
        glyphs = self.machine.type(x, y, text, ink=self.rng.uniform(0.8, 0.98))
        self.sheet.cells.append(Cell(0, name, text, hull(glyphs)))

    def ruling(self) -> None:
        """The ruled lines, the titles of the columns, and the number of the form."""
        form, rule = self.form, self.press.rule
        head, foot = inches(0.95), self.top + form.rows * inches(form.row_height)
        for x in self.edges:
            rule(x, head, x, foot, width=2.2, ink=form.rule_ink)
        rule(self.edges[0], head, self.edges[-1], head, width=4, ink=form.rule_ink + 0.1)
        rule(self.edges[0], self.top, self.edges[-1], self.top, width=3, ink=form.rule_ink + 0.1)
        for n in range(1, form.rows + 1):
            y = self.top + n * inches(form.row_height)
            rule(self.edges[0], y, self.edges[-1], y, width=1.6, ink=form.rule_ink * 0.7)
        for left, right, (_, title) in zip(
            self.edges, self.edges[1:], COLUMNS[self.paper.form], strict=False
        ):
            self.column_title((left + right) / 2, right - left, title)
        self.press.print(self.edges[0], foot + inches(0.13), form.mark, form.face, 17, ink=0.6)

    def column_title(self, middle: float, room: float, title: str) -> None:
        """A column's title, on two lines where it is too long for one."""
        words = [title] if self.press.width(title, self.form.bold, 27, 1) < room - 16 else title.split()
        for n, word in enumerate(words):
            y = inches(1.22) + (n - (len(words) - 1) / 2) * 30
            self.press.print(middle, y, word, self.form.bold, 27, align=0.5, spacing=1)

    def entry(self, line: Line) -> None:
        """Type one line: its ribbon was fresh or tired, and the card never went in quite straight."""
        high = inches(self.form.row_height)
        pass_ = _Pass(
            line,
            self.top + (line.row - 0.27) * high + self.rng.uniform(-4, 3),
            self.rng.uniform(0.5, 1.0),
            self.rng.uniform(-7, 7),
        )
        for n, (name, _) in enumerate(COLUMNS[self.paper.form]):
            left, right = self.edges[n], self.edges[n + 1]
            if line.cells.get(name):
                self.cell(pass_, name, (left, right))
            else:
                box = (left, self.top + (line.row - 1) * high, right - left, high)
                self.sheet.cells.append(Cell(line.row, name, "", box))

    def cell(self, pass_: _Pass, name: str, room: tuple[float, float]) -> None:
        """Type one cell; after a strike-out the right text stands beside it if there is room, else above."""
        text, mark = pass_.line.cells[name], pass_.line.marks.get(name, "")
        start, y = self.tab(name, text, room, mark) + pass_.shift, pass_.y
        struck_box: Box | None = None
        if mark.startswith("struck:"):
            wrong = mark.removeprefix("struck:")
            taken = (len(text) + len(wrong) + 1) * self.machine.pitch
            if taken + inches(0.12) < room[1] - room[0]:
                wrong_at = room[0] + inches(0.07)
                struck_box = self.strike_out(wrong_at, y, wrong, pass_.ink)
                start = wrong_at + (len(wrong) + 1) * self.machine.pitch
            else:
                struck_box = self.strike_out(start, y + 5, wrong, pass_.ink)
                y, start = y - inches(0.1), start + self.rng.uniform(-6, 6)
        glyphs = self.machine.type(start, y, text, ink=pass_.ink)
        self.sheet.cells.append(Cell(pass_.line.row, name, text, hull(glyphs), mark, struck_box))

    def tab(self, name: str, text: str, room: tuple[float, float], mark: str) -> float:
        """Where a text begins: figures end at their stop, words and dates begin at theirs."""
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
            points = (
                (left - 8, middle + lift),
                (left + width / 2, middle + sag),
                (left + width + 8, middle - lift),
            )
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
        for width in LIST_WIDTHS:
            edges.append(edges[-1] + inches(width))
        self.edges, self.top, self.pitch = edges, inches(1.42), inches(0.262)

    def set(self) -> Sheet:
        """Set the running head, the titles of the columns and every line."""
        left, right = self.edges[0], self.edges[-1]
        page = self.paper.printed["PAGE"]
        self.press.print(
            (left + right) / 2,
            inches(0.55),
            "BOILERS OF THE M. & O. RAILWAY",
            SERIF,
            34,
            align=0.5,
            spacing=4,
        )
        glyphs = self.press.print(right, inches(0.55), page, SERIF, 32, align=1.0)
        self.sheet.cells.append(Cell(0, "page", page, hull(glyphs)))
        for y, width in ((0.82, 2.5), (1.13, 1.5)):
            self.press.rule(left, inches(y), right, inches(y), width=width, ink=0.75)
        for n, (_, title) in enumerate(COLUMNS["printed-list"]):
            self.put(n, title, inches(1.04), SERIF_BOLD, 29)
        for line in self.paper.lines:
            self.entry(line)
        return self.sheet

    def put(self, n: int, text: str, y: float, face: str, size: float) -> list[Glyph]:
        """Set a text in a column: numbers in its middle, miles at its right edge, words at its left."""
        name, left, right = COLUMNS["printed-list"][n][0], self.edges[n], self.edges[n + 1]
        if name in FIGURES:
            return self.press.print(right - inches(0.06), y, text, face, size, align=1.0)
        if name in ("component", "engine"):
            return self.press.print((left + right) / 2, y, text, face, size, align=0.5)
        return self.press.print(left + inches(0.08), y, text, face, size)

    def entry(self, line: Line) -> None:
        """Set one line."""
        y = self.top + (line.row - 1) * self.pitch
        for n, (name, _) in enumerate(COLUMNS["printed-list"]):
            text = line.cells.get(name, "")
            if text:
                box = hull(self.put(n, text, y, SERIF, 31))
            else:
                box = (self.edges[n], y - self.pitch * 0.7, self.edges[n + 1] - self.edges[n], self.pitch)
            self.sheet.cells.append(Cell(line.row, name, text, box, line.marks.get(name, "")))
