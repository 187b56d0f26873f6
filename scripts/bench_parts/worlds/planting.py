"""What goes wrong: a function for each kind of fault, each of which plants one on a line or a card.

A fault's `accept` holds the kinds of finding that would name it. A function returns False where the fault
can't be planted there.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from random import Random

from .accepts import COPIES, DATES, HANDS, LISTS, MILES, NAMES, NUMBERS, REPEATED, TOTALS
from .referents import Referents
from .values import Card, Cell, Fault, Line, World

LOOKS_LIKE = {
    "0": "69",
    "1": "74",
    "2": "7",
    "3": "85",
    "4": "91",
    "5": "36",
    "6": "05",
    "7": "12",
    "8": "36",
    "9": "40",
}


class Planter:
    """Plants faults in one world with one source of chance."""

    def __init__(self, rng: Random, world: World) -> None:
        self.rng, self.world, self.referents = rng, world, Referents(world)
        self._spoilt: set[int] = set()

    def record(
        self,
        kind: str,
        lines: list[Line],
        fields: list[str],
        accept: tuple[str, ...],
        sought: list[Line] | None = None,
    ) -> bool:
        """Write the fault down and mark its lines as touched."""
        self.world.faults.append(Fault(kind, lines, fields, accept, sought=sought or []))
        for line in lines:
            line.touched = True
        return True

    # ------------------------------------------------------------------ dates

    def date_slip(self, line: Line, kind: str = "date-slip", accept: tuple[str, ...] = DATES) -> bool:
        """A wrong month, year or decade."""
        field = self._sound(line, ("fitted", "removed"))
        if not field:
            return False
        cell = line.cells[field]
        wrong = self._slipped(cell.value)
        new = line.card.clerk.written(wrong, cell.literal[0] == cell.literal[1], cell.value)
        if new.holds():
            return False
        line.cells[field] = new
        if line.says == "spare":  # the time that it no longer covers is unaccounted for
            accept = (*accept, "gap")
        return self._done(kind, [line], field, accept)

    def _slipped(self, day: date) -> date:
        how = self.rng.random()
        sign = self.rng.choice((-1, 1))
        if how < 0.45:
            month = day.month + sign * self.rng.choice((1, 1, 2, 3))
            return day.replace(month=(month - 1) % 12 + 1, day=min(day.day, 28))
        years = 1 if how < 0.9 else 10
        return day.replace(year=day.year + sign * years, day=min(day.day, 28))

    def swapped(self, line: Line) -> bool:
        """Fitted and removed written in each other's column."""
        if not {"fitted", "removed"} <= set(line.cells) or line.says != "fitment":
            return False
        one, two = line.cells["fitted"], line.cells["removed"]
        new = Cell(two.text, one.value, two.literal), Cell(one.text, two.value, one.literal)
        if any(c.holds() for c in new) or not (one.holds() and two.holds()):
            return False
        line.cells["fitted"], line.cells["removed"] = new
        self._spoilt |= {id(c) for c in new}
        return self.record("swapped-dates", [line], ["fitted", "removed"], DATES)

    def wrong_list(self, line: Line) -> bool:
        """A works list or withdrawal list with another year than the true one."""
        return self.date_slip(line, "wrong-list", LISTS)

    def misdated(self, line: Line) -> bool:
        """A photograph or letter dated some years off, outside the fitment that it shows."""
        cell = line.cells["fitted"]
        stay = self.world.fitments[line.fitment or ""]
        wrong = cell.value + timedelta(days=self.rng.choice((-1, 1)) * self.rng.randint(700, 2600))
        new = line.card.clerk.written(wrong, cell.literal[0] == cell.literal[1], cell.value)
        if stay.fitted <= wrong <= stay.removed or new.holds():
            return False
        line.cells["fitted"] = new
        return self._done("misdated", [line], "fitted", (*DATES, "one-sided", "misnamed"))

    # ------------------------------------------------------------------ figures

    def miles_misread(self, line: Line) -> bool:
        """One digit of a figure taken for one that looks like it."""
        return self._spoil_figure(line, "miles-misread", self._confuse, ("miles", "miles", "total_miles"))

    def transposed(self, line: Line) -> bool:
        """Two neighbouring digits of a figure changed about."""
        return self._spoil_figure(
            line, "transposed-digits", self._transpose, ("miles", "miles", "total_miles")
        )

    def bad_total(self, line: Line) -> bool:
        """One running or closing total added up wrongly; the next is right again."""
        return self._spoil_figure(line, "bad-total", self._miscast, ("total_miles",), TOTALS)

    def _spoil_figure(
        self,
        line: Line,
        kind: str,
        how: Callable[[str], str],
        fields: tuple[str, ...],
        accept: tuple[str, ...] = MILES,
    ) -> bool:
        field = self._sound(line, fields)
        if not field:
            return False
        cell = line.cells[field]
        wrong = int(how(str(cell.value)))
        if wrong == cell.value or wrong <= 0:
            return False
        line.cells[field] = Cell(line.card.clerk.figure(wrong), cell.value, wrong)
        return self._done(kind, [line], field, accept, misread=kind == "miles-misread")

    def _confuse(self, digits: str) -> str:
        k = self.rng.randrange(len(digits))
        return digits[:k] + self.rng.choice(LOOKS_LIKE[digits[k]]) + digits[k + 1 :]

    def _transpose(self, digits: str) -> str:
        if len(digits) < 2:
            return digits
        k = self.rng.randrange(len(digits) - 1)
        return digits[:k] + digits[k + 1] + digits[k] + digits[k + 2 :]

    def _miscast(self, digits: str) -> str:
        return str(
            int(digits) + self.rng.choice((-1, 1)) * self.rng.choice((1, 10, 100, 900, 1000, 9000, 10000))
        )

    def carried_total(self, card: Card) -> bool:
        """A total carried forward wrongly, from some line to the end of the card."""
        totalled = [line for line in card.lines if "total_miles" in line.cells]
        if len(totalled) < 3 or card.side != "component":
            return False
        lines = totalled[self.rng.randrange(1, len(totalled)) :]
        by = self.rng.choice((-1, 1)) * self.rng.choice((100, 1000, 9000, 10000, 100000))
        if any(
            not line.cells["total_miles"].holds() or line.cells["total_miles"].value + by <= 0
            for line in lines
        ):
            return False
        for line in lines:
            cell = line.cells["total_miles"]
            line.cells["total_miles"] = Cell(card.clerk.figure(cell.value + by), cell.value, cell.value + by)
            self._spoilt.add(id(line.cells["total_miles"]))
        return self.record("carried-total", lines, ["total_miles"], TOTALS)

    # ------------------------------------------------------------------ numbers and names

    def number_misread(self, line: Line) -> bool:
        """A digit of the engine's or component's number taken for another."""
        field = self._sound(line, ("engine", "component"))
        if not field or line.cells[field].ditto or not line.cells[field].text.isdigit():
            return False
        cell, how = line.cells[field], self._confuse if self.rng.random() < 0.8 else self._transpose
        text = how(cell.text)
        literal = self.referents.meant(field, text, self._day(line))
        if literal == cell.value or text == cell.text:
            return False
        line.cells[field] = Cell(text, cell.value, literal)
        lines = [line, *_follow(line, field, literal)]
        return self._done("number-misread", lines, field, NUMBERS, misread=True)

    def wrong_name(self, line: Line) -> bool:
        """A name or number that the engine bore at another time."""
        field = self._sound(line, ("engine",))
        if not field or line.cells[field].ditto or line.fitment is None:
            return False
        engine, day = self.world.engines[line.cells[field].value], self._day(line)
        others = [
            b.value
            for b in engine.bearings
            if b.scheme != "class" and b.first and b.last and not b.first <= day <= b.last
        ]
        if not others:
            return False
        text = self.rng.choice(others)
        literal = self.referents.meant(field, text, day)
        line.cells[field] = Cell(text, engine.id, literal)
        accept = NAMES if literal == engine.id else NUMBERS
        return self._done("wrong-name", [line, *_follow(line, field, literal)], field, accept)

    def heading_misread(self, card: Card) -> bool:
        """A card filed under a number that looks like its own."""
        digits = [k for k, c in enumerate(card.heading) if c.isdigit()]
        if card.side == "statement" or len(card.lines) < 3 or not digits:
            return False
        k = self.rng.choice(digits)
        wrong = card.heading[:k] + self.rng.choice(LOOKS_LIKE[card.heading[k]]) + card.heading[k + 1 :]
        card.misheaded = wrong
        return self.record("heading-misread", list(card.lines), ["heading"], NUMBERS)

    # ------------------------------------------------------------------ whole lines

    def double_entry(self, line: Line) -> bool:
        """One event entered twice, the second time perhaps in other words."""
        return self._enter_again(line, "double-entry", REPEATED, None)

    def two_hands(self, line: Line) -> bool:
        """A second clerk enters the last stay again, and not quite as the first did."""
        return self._enter_again(line, "two-hands", HANDS, self.rng.choice(("removed", "fitted", "miles")))

    def _enter_again(self, line: Line, kind: str, accept: tuple[str, ...], spoil: str | None) -> bool:
        cells = {name: Cell(c.text, c.value, c.literal, c.ditto) for name, c in line.cells.items()}
        if line.says != "fitment" or (spoil and spoil not in cells):
            return False
        for name in ("fitted", "removed"):
            if name in cells and cells[name].holds():
                exact = cells[name].literal[0] == cells[name].literal[1]
                cells[name] = line.card.clerk.written(cells[name].value, exact)
        if spoil in ("fitted", "removed"):
            cell = cells[str(spoil)]
            cells[str(spoil)] = line.card.clerk.written(self._slipped(cell.value), True, cell.value)
        elif spoil:
            wrong = int(self._transpose(str(cells["miles"].value)))
            cells["miles"] = Cell(line.card.clerk.figure(wrong), cells["miles"].value, wrong)
        if spoil and cells[spoil].holds():
            return False
        again = Line(
            line.says, line.component, line.fitment, cells, line.card, line.place, reading=line.reading
        )
        line.card.lines.insert(line.card.lines.index(line) + 1, again)
        return self.record(kind, [line, again], [spoil] if spoil else [], accept)

    def copy_error(self, line: Line) -> bool:
        """A compiler miscopied a date, a figure or a number."""
        how = self.rng.random()
        before = len(self.world.faults)
        plant = self.date_slip if how < 0.55 else self.miles_misread if how < 0.8 else self.number_misread
        done = plant(line)
        for fault in self.world.faults[before:]:
            fault.kind, fault.accept = "copy-error", COPIES
        return done

    # ------------------------------------------------------------------ small helps

    def _sound(self, line: Line, fields: tuple[str, ...]) -> str:
        able = [
            f
            for f in fields
            if f in line.cells and line.cells[f].holds() and id(line.cells[f]) not in self._spoilt
        ]
        return self.rng.choice(able) if able else ""

    def _done(
        self, kind: str, lines: list[Line], field: str, accept: tuple[str, ...], misread: bool = False
    ) -> bool:
        for line in lines:
            self._spoilt.add(id(line.cells[field]))
        first = lines[0]
        if misread and first.reading is not None and self.rng.random() < 0.6:
            sure = first.card.clerk.sureness(self.rng, doubtful=True)
            if first.reading_of:
                first.reading_of[field] = sure
            else:
                first.reading = sure
        return self.record(kind, lines, [field], accept)

    def _day(self, line: Line) -> date:
        cell = line.cells.get("fitted") or line.cells.get("removed")
        if cell is not None:
            return cell.value  # type: ignore[no-any-return]
        return self.world.fitments[line.fitment or ""].fitted


def _follow(line: Line, field: str, literal: str | None) -> list[Line]:
    """The dittos below a line repeat what it now says."""
    following = []
    card = line.card
    for below in card.lines[card.lines.index(line) + 1 :]:
        cell = below.cells.get(field)
        if cell is None or not cell.ditto:
            break
        cell.literal = literal
        following.append(below)
    return following


def follow_from(line: Line, field: str, literal: str | None) -> list[Line]:
    """Like a changed line's dittos, beginning with the line itself: what a ditto left dangling now says."""
    cell = line.cells[field]
    cell.literal = literal
    return [line, *_follow(line, field, literal)]
