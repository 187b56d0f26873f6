"""What each clerk wrote: the cards and pages, cell by cell, before anything is drawn."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from random import Random
from typing import Final, TypeAlias

from .clerks import PRINTER, Clerk, WrittenDate, clerk_of, write_date, write_miles
from .plantings import World
from .railway import Part, Stay
from .roster import WORKS, Locomotive

Meant: TypeAlias = tuple[object, bool, object]  # what is true, whether what is written is true, what is written

COLUMNS: Final = {
    "component-card": (
        ("engine", "ENGINE No."), ("fitted", "FITTED"), ("removed", "REMOVED"), ("miles", "MILES"),
        ("total_miles", "TOTAL MILES"), ("place", "WORKS"), ("remarks", "REMARKS"),
    ),
    "engine-card": (
        ("component", "BOILER No."), ("fitted", "FITTED"), ("removed", "REMOVED"), ("miles", "MILES"),
        ("place", "WORKS"), ("remarks", "REMARKS"),
    ),
    "printed-list": (
        ("component", "Boiler"), ("engine", "Engine"), ("engine_name", "Name"), ("fitted", "Fitted"),
        ("removed", "Removed"), ("miles", "Miles"),
    ),
}
SIDE: Final = {"component-card": "component", "engine-card": "engine", "printed-list": "statement"}
LIST_LINES: Final = 27
REPAIRS: Final = ("Heavy repair", "Light repair", "Retubed", "New firebox", "Half tubes", "Stays renewed", "Gen. repair")


@dataclass(slots=True)
class Line:
    """One line as written. `marks` maps a cell to 'ditto' or 'struck:WHAT STOOD THERE'; `meant` holds the truth."""

    row: int
    says: str
    cells: dict[str, str] = field(default_factory=dict)
    marks: dict[str, str] = field(default_factory=dict)
    meant: dict[str, Meant] = field(default_factory=dict)
    component_id: str | None = None
    stay: Stay | None = None


@dataclass(slots=True)
class Paper:
    """One card or page: its heading, its lines, and whose habits they show."""

    card_id: str
    source_id: str
    form: str
    subject_id: str
    heading: str
    heading_name: str
    printed: dict[str, str]  # further headings: printed words to what was typed after them
    covers: str
    locator: str
    clerk: Clerk
    lines: list[Line] = field(default_factory=list)

    def line_id(self, line: Line) -> str:
        """The id of a line read from this card."""
        return f"{self.card_id}-{line.row}"


class _Desk:
    """One clerk filling in one card."""

    def __init__(self, world: World, paper: Paper, rng: Random) -> None:
        self.world, self.paper, self.rng = world, paper, rng

    def line(self, says: str, component_id: str | None, stay: Stay | None = None) -> Line:
        line = Line(len(self.paper.lines) + 1, says, component_id=component_id, stay=stay)
        self.paper.lines.append(line)
        return line

    def date(self, line: Line, cell: str, true: date, written: WrittenDate) -> None:
        line.cells[cell] = written.text
        held = written.first <= true <= written.last
        line.meant[cell] = (true.isoformat(), held, [written.first.isoformat(), written.last.isoformat()])

    def style(self) -> str:
        return self.rng.choice(self.paper.clerk.dates)

    def figure(self, line: Line, cell: str, true: int, written: int) -> None:
        line.cells[cell] = write_miles(written, self.paper.clerk)
        line.meant[cell] = (true, true == written, written)

    def same_again(self, line: Line, cell: str, *, wanted: bool) -> None:
        """A ditto mark where the line above holds, or repeats, the same word."""
        above = self.paper.lines[-2] if len(self.paper.lines) > 1 else None
        if wanted and above is not None and above.says == "fitment" and self.full(above, cell) == line.cells[cell]:
            line.marks[cell] = "ditto"
            line.cells[cell] = self.paper.clerk.ditto

    def full(self, line: Line, cell: str) -> str:
        """What a cell says once its ditto marks are followed up to the word they repeat."""
        at = line.row - 1
        while self.paper.lines[at].marks.get(cell) == "ditto":
            at -= 1
        return self.paper.lines[at].cells.get(cell, "")

    def dates(self, line: Line, stay: Stay) -> None:
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
        engine = self.world.railway.engine(stay.engine_id or "")
        return engine.span_only and (stay.fitted - engine.built).days < 60

    def miles(self, line: Line, stay: Stay) -> None:
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
        line.cells["place"] = stay.works
        self.same_again(line, "place", wanted=self.paper.clerk.dittos_works)

    def remark(self, line: Line, first: str) -> None:
        if line.row == 1 and first:
            line.cells["remarks"] = first
        elif self.rng.random() < 0.3:
            line.cells["remarks"] = self.rng.choice(REPAIRS)

    def strike(self, line: Line, cell: str) -> None:
        """A figure typed wrong, struck out, and typed again."""
        text = line.cells[cell]
        spots = [i for i, sign in enumerate(text) if sign.isdigit()]
        at = self.rng.choice(spots)
        other = self.rng.choice([d for d in "1234567890" if d != text[at]])
        line.marks[cell] = f"struck:{text[:at]}{other}{text[at + 1:]}"


def _interval(first: date, last: date) -> str:
    return f"{first:%Y-%m}/{last:%Y-%m}"


def _component_card(world: World, part: Part, rng: Random) -> Paper:
    clerk = clerk_of(rng, part.built.year)
    source = "S1" if part.kind == "boiler" else "S3"
    printed = {"TYPE": part.type, "BUILT": write_date(part.built, "month").text}
    if part.built.year == 1903:
        printed["BUILT"] = "1903"
    paper = Paper(
        card_id=f"{source}-{part.number}", source_id=source, form="component-card", subject_id=part.component_id,
        heading=part.number, heading_name="", printed=printed, covers=_interval(part.built, part.condemned),
        locator=f"card {part.number}", clerk=clerk,
    )
    desk = _Desk(world, paper, rng)
    running = _running(world, part, rng)
    run = 0
    for stay in world.railway.stays_of(part.component_id):
        slip = world.slip_at(stay)
        if slip is not None and slip.key == "gap":
            continue
        run += stay.miles
        _component_line(desk, stay, run if running == "running" else None)
    if running == "foot":
        _foot(desk, world, part, run)
    line = desk.line("condemned", part.component_id)
    desk.date(line, "removed", part.condemned, write_date(part.condemned, desk.style()))
    line.cells["remarks"] = "Condemned"
    return paper


def _running(world: World, part: Part, rng: Random) -> str:
    """Whether a card carries running totals, a total at its foot, or neither."""
    slips = {s.stay.component_id: s.key for s in world.slips}
    fixed = {"gap": "none", "miles": "none", "total": "foot", "overlap": "none", "reversed": "running", "withdrawn": "none"}
    if part.component_id in slips:
        return fixed[slips[part.component_id]]
    return rng.choices(("running", "foot", "none"), (5, 2, 5))[0]


def _component_line(desk: _Desk, stay: Stay, run: int | None) -> None:
    if stay.engine_id is None:
        line = desk.line("spare", stay.component_id, stay)
        line.cells["engine"] = desk.rng.choice(("In stock", "Spare"))
        line.meant["engine"] = ("state:stock", True, "state:stock")
        desk.dates(line, stay) if stay.engine_id else _stock_dates(desk, line, stay)
        return
    line = desk.line("fitment", stay.component_id, stay)
    engine = desk.engine_written(line, stay)
    desk.same_again(line, "engine", wanted=not desk.paper.clerk.repeats_engine)
    desk.dates(line, stay)
    desk.miles(line, stay)
    if run is not None:
        desk.figure(line, "total_miles", run, run)
    desk.place(line, stay)
    desk.remark(line, f"New to {line.cells['engine']}" if (stay.fitted - engine.built).days < 40 else "New")
    if desk.rng.random() < 0.06 and desk.world.slip_at(stay) is None:
        desk.strike(line, "miles")


def _stock_dates(desk: _Desk, line: Line, stay: Stay) -> None:
    desk.date(line, "fitted", stay.fitted, write_date(stay.fitted, desk.style()))
    desk.date(line, "removed", stay.removed, write_date(stay.removed, desk.style()))


def _foot(desk: _Desk, world: World, part: Part, run: int) -> None:
    line = desk.line("total", part.component_id)
    line.cells["engine"] = "TOTAL"
    slip = next((s for s in world.slips if s.key == "total" and s.stay.component_id == part.component_id), None)
    desk.figure(line, "total_miles", run, int(str(slip.says)) if slip else run)


def _engine_card(world: World, engine: Locomotive, rng: Random) -> Paper:
    clerk = clerk_of(rng, engine.built.year)
    number = engine.called("number", engine.withdrawn)
    classes = [b.value for b in engine.borne if b.scheme == "class"]
    printed = {"CLASS": ", rebuilt ".join(classes), "NAME": engine.called("name", engine.withdrawn)}
    card_id = f"S2-{number}" + ("A" if _number_reused(world, engine, number) else "")
    paper = Paper(
        card_id=card_id, source_id="S2", form="engine-card", subject_id=engine.engine_id, heading=number,
        heading_name=printed["NAME"], printed={k: v for k, v in printed.items() if v},
        covers=_interval(engine.built, engine.withdrawn), locator=f"card {number}", clerk=clerk,
    )
    desk = _Desk(world, paper, rng)
    if engine.span_only or rng.random() < 0.4:
        _built_line(desk, engine)
    for stay in world.railway.stays_on(engine.engine_id, "boiler"):
        _engine_line(desk, engine, stay)
    line = desk.line("withdrawn", None)
    desk.date(line, "removed", engine.withdrawn, write_date(engine.withdrawn, desk.style()))
    line.cells["remarks"] = "Withdrawn"
    return paper


def _number_reused(world: World, engine: Locomotive, number: str) -> bool:
    """Whether another engine bore this number before; its card had the plain number, this one an A after it."""
    return any(
        e.built < engine.built and any(b.scheme == "number" and b.value == number for b in e.borne)
        for e in world.railway.engines
    )


def _built_line(desk: _Desk, engine: Locomotive) -> None:
    line = desk.line("built", None)
    desk.date(line, "fitted", engine.built, write_date(engine.built, "circa" if engine.span_only else desk.style()))
    line.cells["place"] = WORKS
    line.cells["remarks"] = "Built"


def _engine_line(desk: _Desk, engine: Locomotive, stay: Stay) -> None:
    part = next(p for p in desk.world.railway.parts if p.component_id == stay.component_id)
    line = desk.line("fitment", stay.component_id, stay)
    line.cells["component"] = part.number
    line.meant["component"] = (part.component_id, True, part.component_id)
    desk.same_again(line, "component", wanted=not desk.paper.clerk.repeats_engine)
    desk.dates(line, stay)
    desk.miles(line, stay)
    desk.place(line, stay)
    change = _change_remark(engine, stay)
    if change:
        line.cells["remarks"] = change
    else:
        desk.remark(line, "")
    if desk.rng.random() < 0.05 and desk.world.slip_at(stay) is None:
        desk.strike(line, "miles")


def _change_remark(engine: Locomotive, stay: Stay) -> str:
    """The first fitment after a change says what was changed."""
    for scheme, word in (("name", "Renamed"), ("number", "Late"), ("class", "Rebuilt")):
        borne = [b for b in engine.borne if b.scheme == scheme]
        if len(borne) == 2 and stay.fitted <= borne[1].first <= stay.removed:
            return f"Late No. {borne[0].value}" if scheme == "number" else f"{word} {borne[1].first.month}.{borne[1].first:%y}"
        if scheme == "class" and len(borne) == 2 and 0 <= (stay.fitted - borne[1].first).days < 60:
            return f"Rebuilt {borne[1].first.month}.{borne[1].first:%y}"
    return ""


def _list_boilers(world: World, rng: Random) -> list[Part]:
    """The boilers on the surviving pages: the one with the miscopied mileage, and others without a slip."""
    slipped = {s.stay.component_id for s in world.slips}
    miscopied = world.slip("miles").stay.component_id
    clean = [p for p in world.railway.parts if p.kind == "boiler" and p.component_id not in slipped]
    clean = [p for p in clean if all(s.engine_id for s in world.railway.stays_of(p.component_id))]
    chosen = {p.component_id for p in rng.sample(clean, 10)} | {miscopied}
    return [p for p in world.railway.parts if p.component_id in chosen]


def _list_line(desk: _Desk, part: Part, stay: Stay, *, first: bool) -> None:
    line = desk.line("fitment", part.component_id, stay)
    line.cells["component"] = part.number if first or line.row == 1 else desk.paper.clerk.ditto
    line.meant["component"] = (part.component_id, True, part.component_id)
    if line.cells["component"] == desk.paper.clerk.ditto:
        line.marks["component"] = "ditto"
    engine = desk.engine_written(line, stay)
    name = engine.called("name", stay.fitted)
    if name:
        line.cells["engine_name"] = name
    desk.dates(line, stay)
    desk.miles(line, stay)


def _list_pages(world: World, rng: Random) -> list[Paper]:
    entries = [
        (part, stay, n == 0)
        for part in _list_boilers(world, rng)
        for n, stay in enumerate(world.railway.stays_of(part.component_id))
    ]
    pages = []
    for start in range(0, len(entries), LIST_LINES):
        number = 14 + start // LIST_LINES
        paper = Paper(
            card_id=f"S4-{number}", source_id="S4", form="printed-list", subject_id="", heading="", heading_name="",
            printed={"PAGE": str(number)}, covers="1903/1962", locator=f"p. {number}", clerk=PRINTER,
        )
        desk = _Desk(world, paper, rng)
        for part, stay, first in entries[start : start + LIST_LINES]:
            _list_line(desk, part, stay, first=first)
        pages.append(paper)
    return pages


def write_papers(world: World, seed: int) -> list[Paper]:
    """Every card and page that survives, in the order in which they are filed."""
    def rng(name: str) -> Random:
        return Random(f"papers/{seed}/{name}")

    papers = [_component_card(world, p, rng(p.component_id)) for p in world.railway.parts if p.kind == "boiler"]
    papers += [_engine_card(world, e, rng(e.engine_id)) for e in world.railway.engines if e.carded]
    papers += [_component_card(world, p, rng(p.component_id)) for p in world.railway.parts if p.kind == "tender"]
    return papers + _list_pages(world, rng("list"))
