"""One clerk at his desk: how a stay becomes a line, with his habits and his slips."""

from __future__ import annotations

from datetime import date
from random import Random
from typing import Final

from .clerks import WrittenDate, write_date, write_miles
from .papers import Line, Paper
from .plantings import World
from .railway import Stay
from .roster import Locomotive

BESIDE: Final = {  # the keys on either side
    "2": "3",
    "3": "24",
    "4": "35",
    "5": "46",
    "6": "57",
    "7": "68",
    "8": "79",
    "9": "8",
}
REPAIRS: Final = (
    "Heavy repair",
    "Light repair",
    "Retubed",
    "New firebox",
    "Half tubes",
    "Stays renewed",
    "Gen. repair",
)


class Desk:
    """One clerk filling in one card."""

    def __init__(self, world: World, paper: Paper, rng: Random) -> None:
        self.world, self.paper, self.rng = world, paper, rng

    def line(self, says: str, component_id: str | None, stay: Stay | None = None) -> Line:
        """Begin a new line."""
        line = Line(len(self.paper.lines) + 1, says, component_id=component_id, stay=stay)
        self.paper.lines.append(line)
        return line

    def date(self, line: Line, cell: str, true: date, written: WrittenDate) -> None:
        """Write a date into a cell, and keep what is true."""
        line.cells[cell] = written.text
        held = written.first <= true <= written.last
        line.meant[cell] = (true.isoformat(), held, [written.first.isoformat(), written.last.isoformat()])

    def style(self) -> str:
        """One of the clerk's ways to write a date."""
        return self.rng.choice(self.paper.clerk.dates)

    def figure(self, line: Line, cell: str, true: int, written: int) -> None:
        """Write a figure into a cell, and keep what is true."""
        line.cells[cell] = write_miles(written, self.paper.clerk)
        line.meant[cell] = (true, true == written, written)

    def same_again(self, line: Line, cell: str, *, wanted: bool) -> None:
        """A ditto mark where the line above holds, or repeats, the same word."""
        above = self.paper.lines[-2] if len(self.paper.lines) > 1 else None
        if (
            wanted
            and above is not None
            and above.says == "fitment"
            and self.full(above, cell) == line.cells[cell]
        ):
            line.marks[cell] = "ditto"
            line.cells[cell] = self.paper.clerk.ditto

    def full(self, line: Line, cell: str) -> str:
        """What a cell says once its ditto marks are followed up to the word they repeat."""
        at = line.row - 1
        while self.paper.lines[at].marks.get(cell) == "ditto":
            at -= 1
        return self.paper.lines[at].cells.get(cell, "")

    def dates(self, line: Line, stay: Stay) -> None:
        """Both dates of a fitment, with the slip that may have been made in one."""
        first, last = self.style(), self.style()
        if self.first_of_span_only(stay):
            first = "year" if self.paper.form != "engine-card" else "circa"
        slip = self.world.slip_at(stay)
        removed = stay.removed
        if slip is not None and isinstance(slip.says, date) and self.paper.form == "component-card":
            removed = slip.says
        self.date(line, "fitted", stay.fitted, write_date(stay.fitted, first))
        self.date(line, "removed", stay.removed, write_date(removed, last))

    def first_of_span_only(self, stay: Stay) -> bool:
        """Whether the stay began with an engine whose building is known as a span only."""
        engine = self.world.railway.engine(stay.engine_id or "")
        return engine.span_only and (stay.fitted - engine.built).days < 60

    def miles(self, line: Line, stay: Stay) -> None:
        """The miles of a fitment; the wrong ones where that is the slip."""
        slip = self.world.slip_at(stay)
        wrong = slip is not None and slip.key == "miles" and self.paper.form != "engine-card"
        self.figure(line, "miles", stay.miles, int(str(slip.says)) if slip and wrong else stay.miles)

    def engine_written(self, line: Line, stay: Stay) -> Locomotive:
        """The engine whose number is written down: the wrong one where that is the slip."""
        slip, assert_id = self.world.slip_at(stay), stay.engine_id or ""
        wrong = slip is not None and slip.key == "withdrawn"
        engine = self.world.railway.engine(str(slip.says) if slip and wrong else assert_id)
        line.cells["engine"] = engine.called("number", stay.fitted)
        line.meant["engine"] = (stay.engine_id, not wrong, engine.engine_id)
        return engine

    def place(self, line: Line, stay: Stay) -> None:
        """The works, or a ditto mark."""
        line.cells["place"] = stay.works
        self.same_again(line, "place", wanted=self.paper.clerk.dittos_works)

    def remark(self, line: Line, first: str) -> None:
        """A remark now and then; on the first line the one that is given."""
        if line.row == 1 and first:
            line.cells["remarks"] = first
        elif self.rng.random() < 0.3:
            line.cells["remarks"] = self.rng.choice(REPAIRS)

    def strike(self, line: Line, cell: str) -> None:
        """A figure typed wrong, struck out, and typed again."""
        text = line.cells[cell]
        at = self.rng.choice([n for n, sign in enumerate(text) if sign in BESIDE and n > 0])
        line.marks[cell] = f"struck:{text[:at]}{self.rng.choice(BESIDE[text[at]])}{text[at + 1 :]}"

    def slip_of_the_finger(self, line: Line) -> None:
        """Now and then a clerk strikes out what he typed: a mileage mostly, at times a date or a number."""
        if self.rng.random() > 0.09 or self.world.slip_at(line.stay) is not None:
            return
        cell = self.rng.choice(("miles", "miles", "miles", "removed", "engine", "component"))
        if (
            cell in line.cells
            and cell not in line.marks
            and any(sign in BESIDE for sign in line.cells[cell][1:])
        ):
            self.strike(line, cell)
