"""The papers that survive besides the works' cards, as flat sheets.

All cards of one printed form have the same printing; only what is written on them differs. The typed list has
no form: its titles are typed as its lines are.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Final

from .hands import Machine, Pen
from .kinds import Column, Content, Entry, Kind
from .papers import COLUMNS, Paper
from .setting import Setting
from .sheet import Sheet, inches

HAND_HIGH: Final = 0.1  # of a figure written by hand, in inches
SHEDS: Final = ("THRUNBY", "SKELHOLM", "OSTREY")
DATES: Final = "DATE"


@dataclass(frozen=True, slots=True)
class Printing:
    """A form: its columns and rows in inches, the printer's face, and how it is filled in."""

    kind: Kind
    widths: tuple[float, ...]
    rows: int
    row_height: float
    printer: str
    by_hand: bool


def _columns(form: str, titles: dict[str, str], group: dict[str, str]) -> tuple[Column, ...]:
    """The columns of a form, their titles broken where `titles` says so."""
    return tuple(
        Column(name, (titles.get(name, title),), group.get(name, "")) for name, title in COLUMNS[form]
    )


PRINTINGS: Final = {
    "shed-card": Printing(
        Kind(
            "shed-card",
            "engine-card",
            "engine",
            _columns("shed-card", {"component": "BOILER|No.", "miles": "MILES|RUN"}, {}),
            ("full",),
            ("ENGINE No.",),
        ),
        (0.95, 1.2, 1.3, 1.5, 1.2, 1.55),
        12,
        0.3,
        "ArchivoNarrow-Bold",
        by_hand=True,
    ),
    "ledger": Printing(
        Kind(
            "ledger",
            "component-card",
            "component",
            _columns(
                "ledger",
                {"engine": "Engine|No.", "miles": "Miles|run", "total_miles": "Total|miles"},
                {"fitted": DATES, "removed": DATES},
            ),
            ("faint",),
            ("BOILER No.",),
        ),
        (0.85, 0.95, 0.95, 0.95, 1.1, 1.05, 1.5),
        20,
        0.25,
        "OldStandardTT-Bold",
        by_hand=False,
    ),
    "typed-list": Printing(
        Kind(
            "typed-list",
            "printed-list",
            "statement",
            _columns("typed-list", {}, {}),
            ("none",),
            typed_titles=True,
        ),
        (0.9, 0.95, 1.15, 1.2, 1.3),
        0,
        0.24,
        "ArchivoNarrow-Regular",
        by_hand=False,
    ),
}


class Printed(Setting):
    """A card of one of these forms: its printing comes from the form, what is written on it from `rng`."""

    def __init__(self, paper: Paper, rng: Random) -> None:
        self.paper, self.printing = paper, PRINTINGS[paper.form]
        self.filling = rng
        entries = [Entry(line.cells, line.marks) for line in paper.lines]
        super().__init__(
            self.printing.kind,
            Content(paper.heading, paper.heading_name, entries),
            Random(f"printing/{paper.form}"),
            (paper.clerk.face, self.printing.by_hand, self.printing.printer),
        )
        self.row_high = inches(self.printing.row_height)
        self.writer = self._written_by(paper.clerk.face)

    def _written_by(self, face: str) -> Machine | Pen:
        if self.printing.by_hand:
            return Pen(self.sheet, face, self.filling, inches(HAND_HIGH))
        return Machine(self.sheet, face, self.filling, 12.0)

    def _edges(self) -> list[float]:
        edges = [inches(0.35)]
        for width in self.printing.widths:
            edges.append(edges[-1] + inches(width))
        return edges

    def set(self) -> Sheet:
        """Print the form and fill it in; nothing is random but what is written."""
        sheet = super().set()
        sheet.width = round(self.edges[-1] + inches(0.3))
        return sheet

    def rows_wanted(self) -> int:
        """As many as the form has, and never too few."""
        return max(self.printing.rows, super().rows_wanted())

    def head(self) -> None:
        """The head, and the office that kept it; over the list, what it is a list of."""
        if self.paper.form == "typed-list":
            words = "BOILERS OF THE TANK ENGINES, 1922 TO 1939"
            self.writer.write(self.edges[0], self.margin_top + inches(0.1), words, 0.9)
            return
        super().head()
        words = "BOILER LEDGER"
        if self.paper.form == "shed-card":
            words = f"{SHEDS[int(self.paper.heading) % len(SHEDS)]} SHED"
        self.press.print(self.edges[-1], self.margin_top, words, self.printer, 24, align=1.0, spacing=2)

    def enter(self, number: int, line: Entry, row: int) -> int:
        """Fill in one line, in another hand from where that goes on with the card."""
        self.rng = self.filling
        if self.paper.second and number == self.paper.second[0]:
            self.writer = self._written_by(self.paper.second[1].face)
        return super().enter(number, line, row)


def set_out(paper: Paper, rng: Random) -> Sheet:
    """Set such a paper out; every choice about what is written comes from `rng`."""
    return Printed(paper, rng).set()
