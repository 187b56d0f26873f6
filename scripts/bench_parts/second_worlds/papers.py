"""What was written of it: cards of both sides, a works list and two published lists, without a fault yet."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass, field
from datetime import date
from random import Random
from typing import Any

from .life import Life, Stay, days

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
PLACES = ("Brackwith", "Ostrey Dock", "Merrowdale")


@dataclass(slots=True, eq=False)
class Cell:
    """A cell: its text, the true value, what the text means as it stands, and whether it is a ditto mark."""

    text: str
    value: Any
    literal: Any
    ditto: bool = False

    @property
    def true(self) -> bool:
        """Whether what is written is true."""
        if isinstance(self.literal, tuple):
            return bool(self.literal[0] <= self.value <= self.literal[1])
        return bool(self.literal == self.value)


@dataclass(slots=True, eq=False)
class Row:
    """A line, with the stay that it is about."""

    card: Card
    says: str
    stay: Stay | None
    cells: dict[str, Cell]
    component: str | None
    copy_of: Row | None = None
    reading: float | None = None
    id: str = ""
    touched: bool = False
    lost: bool = False


@dataclass(slots=True, eq=False)
class Card:
    """A card, its heading as written, and the style of the clerk who kept it."""

    source: str
    side: str
    heading: str
    style: int
    rows: list[Row] = field(default_factory=list)
    subject: Any = None
    misheaded: str = ""


def written(rng: Random, day: date, style: int, vague: float) -> Cell:
    """A day as a clerk might put it: to the day, the week, the month or the year."""
    how = rng.random()
    if how < 0.04 * vague:
        return Cell(f"c.{day.year}", day, (date(day.year - 1, 1, 1), date(day.year + 1, 12, 31)))
    if how < 0.1 * vague:
        return Cell(str(day.year), day, (date(day.year, 1, 1), date(day.year, 12, 31)))
    if how < 0.1 * vague + 0.08:
        end = day + days(rng.randint(0, 6))
        return Cell(f"w/e {end.day}.{end.month}.{end.year % 100:02d}", day, (end - days(6), end))
    if how < 0.1 * vague + 0.5:
        last = monthrange(day.year, day.month)[1]
        span = (day.replace(day=1), day.replace(day=last))
        texts = (
            f"{day.month}.{day.year}",
            f"{MONTHS[day.month - 1]} {day.year}",
            f"{day.month}/{day.year % 100:02d}",
        )
        return Cell(texts[style % 3], day, span)
    texts = (
        f"{day.day}.{day.month}.{day.year}",
        f"{day.day} {MONTHS[day.month - 1]} {day.year}",
        f"{day.day}/{day.month}/{day.year % 100:02d}",
    )
    return Cell(texts[style % 3], day, (day, day))


def write(rng: Random, life: Life, vague: float) -> list[Card]:
    """Every card and the works list, true to the life."""
    own = [_component_card(rng, life, component, vague) for component in life.components]
    facing = [_engine_card(rng, life, engine, vague) for engine in life.engines]
    return [*own, *facing, _works_list(rng, life)]


def copy(rng: Random, life: Life, cards: list[Card]) -> list[Card]:
    """Two published lists: one made from the component cards as they stand, one made from that."""
    rows = [row for card in cards if card.side == "component" for row in card.rows if row.says == "fitment"]
    numbers = {engine.id: engine for engine in life.engines}
    first = _copied(rng, "S4", rows, share=0.7, style=2, engines=numbers)
    return [first, _copied(rng, "S5", first.rows, share=0.4, style=1, engines=numbers)]


def _sure(rng: Random) -> float | None:
    return None if rng.random() < 0.15 else round(min(1.0, rng.gauss(0.98, 0.012)), 2)


def _dates(rng: Random, stay: Stay, style: int, vague: float) -> dict[str, Cell]:
    cells = {
        "fitted": written(rng, stay.fitted, style, vague),
        "removed": written(rng, stay.removed, style, vague),
    }
    if rng.random() < 0.06:
        del cells["removed"]
    if rng.random() < 0.92:
        cells["miles"] = Cell(str(stay.miles), stay.miles, stay.miles)
    return cells


def _component_card(rng: Random, life: Life, component: Any, vague: float) -> Card:
    head = rng.choice(("Boiler {}", "No. {}", "{}")).format(component.number)
    card = Card("S1", "component", head, rng.randrange(3), subject=component)
    totalled, halves, run, above = rng.random() < 0.3, rng.random() < 0.1, 0, None
    if rng.random() < 0.3:
        card.rows.append(
            Row(
                card,
                "built",
                None,
                {"fitted": written(rng, component.built, card.style, vague)},
                component.id,
            )
        )
    for stay in sorted((s for s in life.stays if s.component is component), key=lambda s: s.fitted):
        run += stay.miles
        ditto = above is stay.engine and rng.random() < 0.7
        text = (
            '"'
            if ditto
            else (stay.engine.name(stay.fitted) if rng.random() < 0.06 else "")
            or stay.engine.number(stay.fitted)
        )
        cells = {
            "engine": Cell(text, stay.engine.id, stay.engine.id, ditto),
            **_dates(rng, stay, card.style, vague),
        }
        if totalled:
            cells["total_miles"] = Cell(str(run), run, run)
        if halves and "removed" in cells:
            lower = {k: cells.pop(k) for k in ("removed", "miles", "total_miles") if k in cells}
            card.rows.append(Row(card, "fitted", stay, cells, component.id))
            card.rows.append(
                Row(
                    card,
                    "removed",
                    stay,
                    {"engine": Cell('"', stay.engine.id, stay.engine.id, True), **lower},
                    component.id,
                )
            )
        else:
            card.rows.append(Row(card, "fitment", stay, cells, component.id))
        above = stay.engine
    if not totalled and rng.random() < 0.25:
        card.rows.append(Row(card, "total", None, {"total_miles": Cell(str(run), run, run)}, component.id))
    if component.condemned and rng.random() < 0.5:
        card.rows.append(
            Row(
                card,
                "condemned",
                None,
                {"removed": written(rng, component.condemned, card.style, vague)},
                component.id,
            )
        )
    for row in card.rows:
        row.reading = _sure(rng)
    return card


def _engine_card(rng: Random, life: Life, engine: Any, vague: float) -> Card:
    card = Card("S2", "engine", engine.marks[0][1], rng.randrange(3), subject=engine)
    above = None
    for stay in sorted((s for s in life.stays if s.engine is engine), key=lambda s: s.fitted):
        ditto = above is stay.component and rng.random() < 0.7
        text = rng.choice(('"', "do.")) if ditto else stay.component.number
        cells = {
            "component": Cell(text, stay.component.id, stay.component.id, ditto),
            **_dates(rng, stay, card.style, vague),
        }
        card.rows.append(Row(card, "fitment", stay, cells, stay.component.id, reading=_sure(rng)))
        above = stay.component
    return card


def _works_list(rng: Random, life: Life) -> Card:
    card = Card("S3", "list", "", rng.randrange(3))
    for engine in life.engines:
        for says, field_, day in (
            ("built", "fitted", engine.built),
            ("withdrawn", "removed", engine.withdrawn),
        ):
            card.rows.append(Row(card, says, None, {field_: written(rng, day, card.style, 0.3)}, None))
            card.rows[-1].cells["heading"] = Cell(engine.number(day), engine.id, engine.id)
    return card


def _copied(
    rng: Random, source: str, rows: list[Row], *, share: float, style: int, engines: dict[str, Any]
) -> Card:
    """A list made from other rows: dates in its own style, to the month where the compiler was lazy."""
    card = Card(source, "statement", "", style)
    for row in rows:
        if row.stay is None or rng.random() > share:
            continue
        stay, cell = row.stay, row.cells["engine"]
        text = cell.text
        if cell.ditto:
            text = (
                engines[cell.literal].number(stay.fitted)
                if cell.literal in engines
                else stay.engine.number(stay.fitted)
            )
        number = row.cells.get("component") or Cell(
            stay.component.number, stay.component.id, stay.component.id
        )
        cells = {
            "engine": Cell(text, cell.value, cell.literal),
            "component": Cell(number.text, number.value, number.literal),
        }
        for name in ("fitted", "removed", "miles"):
            if name in row.cells:
                cells[name] = recopied(rng, row.cells[name], style)
        reading = _sure(rng) if source == "S4" else None
        card.rows.append(Row(card, "fitment", stay, cells, stay.component.id, copy_of=row, reading=reading))
    return card


def recopied(rng: Random, cell: Cell, style: int) -> Cell:
    """A cell as its copyist put it: the same date in another style, the same figure."""
    if not isinstance(cell.literal, tuple) or not cell.text[0].isdigit() or rng.random() < 0.5:
        return Cell(cell.text, cell.value, cell.literal)
    first, last = cell.literal
    if last > first + days(31):
        return Cell(cell.text, cell.value, cell.literal)
    month = (first.replace(day=1), first.replace(day=monthrange(first.year, first.month)[1]))
    if first != last or rng.random() < 0.25:
        return (
            Cell(f"{MONTHS[first.month - 1]} {first.year}", cell.value, month)
            if style == 1
            else Cell(f"{first.month}/{first.year % 100:02d}", cell.value, month)
        )
    return Cell(f"{first.day}/{first.month}/{first.year % 100:02d}", cell.value, cell.literal)
