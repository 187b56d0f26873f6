"""What went wrong in the writing, the reading and the keeping, and what of it anything still shows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from random import Random

from .life import Engine, Life, days
from .papers import Card, Cell, Row, written

DATES = (
    "date-conflict",
    "overlap",
    "double-occupancy",
    "outside-lifetime",
    "rate-outlier",
    "doubtful-reading",
)
MILES = ("mileage-conflict", "total-mismatch", "rate-outlier", "doubtful-reading")
NUMBERS = (
    "misnamed",
    "unlinked",
    "ambiguous-link",
    "one-sided",
    "does-not-fit",
    "double-occupancy",
    "overlap",
    "outside-lifetime",
    "doubtful-reading",
)
COPIES = tuple(dict.fromkeys((*DATES, *MILES, *NUMBERS)))
LOST = ("gap", "one-sided", "total-mismatch")
SHARES = {"clean": 0.0, "typical": 2.0, "hard": 5.0}
ALIKE = {
    "0": "68",
    "1": "7",
    "2": "7",
    "3": "8",
    "4": "9",
    "5": "63",
    "6": "05",
    "7": "1",
    "8": "3",
    "9": "4",
}


@dataclass(slots=True)
class Fault:
    """One thing that went wrong: the rows that it touched and the kinds of finding that would tell of it."""

    kind: str
    rows: list[Row]
    fields: list[str]
    accept: tuple[str, ...]
    visible: bool = True
    again: tuple[Row, ...] = ()
    """Of a lost line: what stands on its card of the same fitment a second time."""


class Spoiler:
    """Plants faults in cards with one source of chance."""

    def __init__(self, rng: Random, life: Life, profile: str) -> None:
        self.rng, self.life, self.much = rng, life, SHARES[profile]
        self.vague = 1.5 if profile == "hard" else 1.0
        self.faults: list[Fault] = []
        self._engines: dict[str, list[tuple[Engine, date, date]]] = {}
        for engine in life.engines:
            for scheme, value, first, last in engine.marks:
                if scheme != "class":
                    self._engines.setdefault(value, []).append((engine, first, last))
        self._components = {c.number: c.id for c in life.components}

    def often(self, share: float) -> bool:
        """Whether something with a share in a typical world happens here."""
        return self.rng.random() < share * self.much

    def note(self, kind: str, rows: list[Row], fields: list[str], accept: tuple[str, ...]) -> None:
        """Write a fault down and mark its rows."""
        self.faults.append(Fault(kind, rows, fields, accept))
        for row in rows:
            row.touched = True

    def spoil(self, cards: list[Card]) -> None:
        """Everything that a clerk or a reader gets wrong on cards of both sides."""
        for card in cards:
            if card.side in {"component", "engine"}:
                if self.often(0.012):
                    self._heading(card)
                for row in [r for r in card.rows if r.stay is not None]:
                    self._row(row)
                self._totals(card)

    def spoil_copies(self, lists: list[Card]) -> None:
        """What a compiler miscopies."""
        for card in lists:
            for row in card.rows:
                if self.often(0.03):
                    self.rng.choice((self._date, self._date, self._figure, self._number))(
                        row, "copy-error", COPIES
                    )

    def _row(self, row: Row) -> None:
        tries: tuple[tuple[float, Callable[[Row], object]], ...] = (
            (0.02, lambda r: self._date(r, "date-slip", DATES)),
            (0.014, lambda r: self._figure(r, "miles-misread", MILES)),
            (0.005, self._transposed),
            (0.009, lambda r: self._number(r, "number-misread", NUMBERS)),
            (0.004, self._wrong_name),
            (0.004, self._exchanged),
            (0.006, self._double),
        )
        for share, plant in tries:
            if self.often(share):
                plant(row)
                return

    def _pick(self, row: Row, names: tuple[str, ...]) -> str:
        return self.rng.choice([n for n in names if n in row.cells and row.cells[n].true] or [""])

    def _misread(self, row: Row) -> None:
        if row.reading is not None and self.rng.random() < 0.5:
            row.reading = round(self.rng.uniform(0.55, 0.95), 2)

    def _date(self, row: Row, kind: str, accept: tuple[str, ...]) -> None:
        name = self._pick(row, ("fitted", "removed"))
        if not name:
            return
        day: date = row.cells[name].value
        how = self.rng.random()
        if how < 0.55:
            month = day.month + self.rng.choice((-3, -2, -1, 1, 2, 3))
            wrong = day.replace(month=(month - 1) % 12 + 1, day=min(day.day, 28))
        else:
            wrong = day.replace(
                year=day.year + self.rng.choice((-1, 1) if how < 0.95 else (-10, 10)), day=min(day.day, 28)
            )
        cell = written(self.rng, wrong, row.card.style, 0.0)
        cell.value = day
        if not cell.true:
            row.cells[name] = cell
            self.note(kind, [row], [name], accept)

    def _figure(self, row: Row, kind: str, accept: tuple[str, ...]) -> None:
        name = self._pick(row, ("miles", "miles", "miles", "total_miles"))
        if not name:
            return
        digits = str(row.cells[name].value)
        place = self.rng.randrange(len(digits))
        wrong = digits[:place] + self.rng.choice(ALIKE[digits[place]]) + digits[place + 1 :]
        if wrong[0] == "0" or wrong == digits:
            return
        row.cells[name] = Cell(wrong, int(digits), int(wrong))
        self._misread(row)
        self.note(kind, [row], [name], accept)

    def _transposed(self, row: Row) -> None:
        name = self._pick(row, ("miles",))
        digits = str(row.cells[name].value) if name else "00"
        place = self.rng.randrange(len(digits) - 1)
        wrong = digits[:place] + digits[place + 1] + digits[place] + digits[place + 2 :]
        if wrong != digits and wrong[0] != "0":
            row.cells[name] = Cell(wrong, int(digits), int(wrong))
            self.note("transposed-digits", [row], [name], MILES)

    def _meant(self, name: str, text: str, day: date) -> str | None:
        if name == "component":
            return self._components.get(text)
        bearers = [e.id for e, first, last in self._engines.get(text, []) if first <= day <= last]
        return bearers[0] if bearers else None

    def _number(self, row: Row, kind: str, accept: tuple[str, ...]) -> None:
        name = self._pick(row, ("engine", "component"))
        if not name or row.cells[name].ditto or not row.cells[name].text.isdigit() or row.stay is None:
            return
        text = row.cells[name].text
        place = self.rng.randrange(len(text))
        wrong = text[:place] + self.rng.choice(ALIKE[text[place]]) + text[place + 1 :]
        literal = self._meant(name, wrong, row.stay.fitted)
        if wrong[0] == "0" or literal == row.cells[name].value:
            return
        self._misread(row)
        self._name(row, name, Cell(wrong, row.cells[name].value, literal), kind, accept)

    def _wrong_name(self, row: Row) -> None:
        if row.stay is None or "engine" not in row.cells or row.cells["engine"].ditto:
            return
        day = row.stay.fitted
        others = [
            v
            for s, v, a, b in row.stay.engine.marks
            if s != "class" and not a - days(60) <= day <= b + days(60)
        ]
        if others:
            cell = Cell(self.rng.choice(others), row.stay.engine.id, row.stay.engine.id)
            if self._meant("engine", cell.text, day) in {None, row.stay.engine.id}:
                self._name(row, "engine", cell, "wrong-name", ("misnamed", "ambiguous-link"))

    def _name(self, row: Row, name: str, cell: Cell, kind: str, accept: tuple[str, ...]) -> None:
        """Write another name, and let the dittos below repeat it."""
        row.cells[name] = cell
        rows = [row]
        for below in row.card.rows[row.card.rows.index(row) + 1 :] if row.card.side != "statement" else ():
            other = below.cells.get(name)
            if other is None or not other.ditto:
                break
            other.literal = cell.literal
            rows.append(below)
        self.note(kind, rows, [name], accept)

    def _exchanged(self, row: Row) -> None:
        if {"fitted", "removed"} <= set(row.cells) and row.cells["fitted"].true and row.cells["removed"].true:
            one, two = row.cells["fitted"], row.cells["removed"]
            row.cells["fitted"], row.cells["removed"] = (
                Cell(two.text, one.value, two.literal),
                Cell(one.text, two.value, one.literal),
            )
            if not row.cells["fitted"].true:
                self.note("swapped-dates", [row], ["fitted", "removed"], DATES)

    def _double(self, row: Row) -> None:
        if row.says == "fitment" and row.stay is not None:
            cells = {n: Cell(c.text, c.value, c.literal, c.ditto) for n, c in row.cells.items()}
            again = Row(row.card, row.says, row.stay, cells, row.component, reading=row.reading)
            for name, day in (("fitted", row.stay.fitted), ("removed", row.stay.removed)):
                if name in cells and cells[name].true:
                    cells[name] = written(self.rng, day, row.card.style, self.vague)
            row.card.rows.insert(row.card.rows.index(row) + 1, again)
            self.note("double-entry", [row, again], [], ("repeated-line", "overlap", "double-occupancy"))

    def _heading(self, card: Card) -> None:
        number = "".join(c for c in card.heading if c.isdigit())
        if not number or len(card.rows) < 3:
            return
        place = self.rng.randrange(len(number))
        wrong = number[:place] + self.rng.choice(ALIKE[number[place]]) + number[place + 1 :]
        if wrong[0] != "0":
            card.misheaded = card.heading.replace(number, wrong)
            self.note("heading-misread", list(card.rows), ["heading"], NUMBERS)

    def _totals(self, card: Card) -> None:
        rows = [r for r in card.rows if "total_miles" in r.cells and r.cells["total_miles"].true]
        for row in rows:
            if self.often(0.02):
                value = row.cells["total_miles"].value
                wrong = value + self.rng.choice((-1, 1)) * self.rng.choice((10, 100, 1000, 9000, 10000))
                if wrong > 0:
                    row.cells["total_miles"] = Cell(str(wrong), value, wrong)
                    self.note("bad-total", [row], ["total_miles"], ("total-mismatch", "mileage-conflict"))

    # ------------------------------------------------------------------ what was lost

    def lose(self, cards: list[Card]) -> None:
        """Lines and whole cards that did not survive; dittos below a lost line repeat the one above it."""
        told: dict[str, list[Row]] = {}
        for row in (r for card in cards for r in card.rows if r.stay is not None):
            told.setdefault(row.stay.id if row.stay else "", []).append(row)
        for card in cards:
            if card.side in {"component", "engine"} and self.often(0.006):
                for row in card.rows:
                    row.lost = True
                continue
            for row in list(card.rows):
                if card.side in {"component", "engine"} and row.says == "fitment" and self.often(0.018):
                    row.lost = True
                    self._dangle(row)
                    self._tell_lost(row, told)

    def _dangle(self, row: Row) -> None:
        name, rows = ("engine" if row.card.side == "component" else "component"), row.card.rows
        if name not in row.cells or row.cells[name].ditto:
            return
        place = rows.index(row)
        above = next((r for r in reversed(rows[:place]) if name in r.cells and not r.lost), None)
        rest = []
        for below in rows[place + 1 :]:
            if name not in below.cells or not below.cells[name].ditto:
                break
            below.cells[name].literal = above.cells[name].literal if above else None
            if not below.cells[name].true:
                rest.append(below)
        if rest and not rest[0].lost:
            near = [above] if above else []
            self.note(
                "dangling-ditto",
                [rest[0], *near],
                [name],
                ("gap", *(k for k in NUMBERS if k != "outside-lifetime")),
            )

    def _tell_lost(self, row: Row, told: dict[str, list[Row]]) -> None:
        rows = [r for r in row.card.rows if r.stay is not None]
        place = rows.index(row)
        near = [*rows[max(0, place - 1) : place], *rows[place + 1 : place + 2]]
        others = [r for r in told[row.stay.id if row.stay else ""] if r is not row]
        self.note("lost-line", [*near, *others], [], LOST)
        self.faults[-1].again = tuple(r for r in others if r.card is row.card)

    # ------------------------------------------------------------------ what still shows it

    def settle(self, cards: list[Card]) -> None:
        """Drop faults of which nothing survives, and judge whether anything contradicts the rest."""
        told: dict[str, list[Row]] = {}
        for row in (r for card in cards for r in card.rows if r.stay is not None and not r.lost):
            told.setdefault(row.stay.id if row.stay else "", []).append(row)
        for fault in self.faults:
            fault.rows = [row for row in fault.rows if not row.lost]
        self.faults = [fault for fault in self.faults if fault.rows]
        for fault in self.faults:
            fault.visible = self._shows(fault, told)
        for row in (r for card in cards for r in card.rows):
            # A copy of what is wrong is wrong too.
            row.touched = not all(cell.true for cell in row.cells.values())
        repeated = set()
        for fault in self.faults:
            for row in fault.rows:
                row.touched = True
                if fault.kind in {"wrong-name", "double-entry", "heading-misread"}:
                    repeated.add(id(row))
        for row in (r for card in cards for r in card.rows):
            if row.copy_of is not None and id(row.copy_of) in repeated:
                row.touched = True
                repeated.add(id(row))

    def _shows(self, fault: Fault, told: dict[str, list[Row]]) -> bool:
        if fault.kind == "double-entry":
            return len(fault.rows) > 1
        if fault.kind == "lost-line":
            near = any(row.card.side in {"component", "engine"} and row.stay for row in fault.rows[-3:])
            return near and all(row.lost for row in fault.again)
        if (
            fault.fields
            and fault.fields[0] in {"fitted", "removed", "miles"}
            and fault.rows[0].stay is not None
        ):
            row, name = fault.rows[0], fault.fields[0]
            others = [
                r.cells[name] for r in told.get(fault.rows[0].stay.id, []) if r is not row and name in r.cells
            ]
            if any(apart(row.cells[name], other) for other in others):
                return True
            if name == "miles":
                return "total_miles" in row.cells
            return _out_of_turn(row)
        return True


def apart(one: Cell, other: Cell) -> bool:
    """Whether two cells can't both be true."""
    if isinstance(one.literal, tuple):
        return bool(one.literal[0] > other.literal[1] or other.literal[0] > one.literal[1])
    return bool(one.literal != other.literal)


def _out_of_turn(row: Row) -> bool:
    rows = [r for r in row.card.rows if r.stay is not None and not r.lost]
    ends = [(r, n, r.cells[n].literal) for r in rows for n in ("fitted", "removed") if n in r.cells]
    return (
        any(a[2][0] > b[2][1] and row in {a[0], b[0]} for a, b in pairwise(ends))
        if row.card.side != "statement"
        else False
    )
