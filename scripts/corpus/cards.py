"""The works' own cards: one a component, one an engine."""

from __future__ import annotations

from datetime import date
from random import Random

from .clerks import clerk_of, write_date
from .desk import Desk
from .papers import Line, Paper
from .plantings import World
from .railway import Part, Stay
from .roster import WORKS, Locomotive


def interval(first: date, last: date) -> str:
    """From one day's month to another's, in EDTF."""
    return f"{first:%Y-%m}/{last:%Y-%m}"


def component_card(world: World, part: Part, rng: Random) -> Paper:
    """The register card of one boiler or tender, with its slips and without the line that is silent."""
    clerk = clerk_of(rng, part.built.year)
    source = "S1" if part.kind == "boiler" else "S3"
    printed = {"TYPE": part.type, "BUILT": write_date(part.built, "month").text}
    if part.built.year == 1903:
        printed["BUILT"] = "1903"
    paper = Paper(
        card_id=f"{source}-{part.number}",
        source_id=source,
        form="component-card",
        subject_id=part.component_id,
        heading=part.number,
        heading_name="",
        printed=printed,
        covers=interval(part.built, part.condemned),
        locator=f"card {part.number}",
        clerk=clerk,
    )
    desk = Desk(world, paper, rng)
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
    fixed = {
        "gap": "none",
        "miles": "none",
        "total": "foot",
        "overlap": "none",
        "reversed": "running",
        "withdrawn": "none",
    }
    if part.component_id in slips:
        return fixed[slips[part.component_id]]
    return rng.choices(("running", "foot", "none"), (5, 2, 5))[0]


def _component_line(desk: Desk, stay: Stay, run: int | None) -> None:
    if stay.engine_id is None:
        line = desk.line("spare", stay.component_id, stay)
        line.cells["engine"] = desk.rng.choice(("In stock", "Spare"))
        line.meant["engine"] = ("state:stock", True, "state:stock")
        _stock_dates(desk, line, stay)
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
    desk.slip_of_the_finger(line)


def _stock_dates(desk: Desk, line: Line, stay: Stay) -> None:
    desk.date(line, "fitted", stay.fitted, write_date(stay.fitted, desk.style()))
    desk.date(line, "removed", stay.removed, write_date(stay.removed, desk.style()))


def _foot(desk: Desk, world: World, part: Part, run: int) -> None:
    line = desk.line("total", part.component_id)
    line.cells["engine"] = "TOTAL"
    slip = next(
        (s for s in world.slips if s.key == "total" and s.stay.component_id == part.component_id), None
    )
    desk.figure(line, "total_miles", run, int(str(slip.says)) if slip else run)


def engine_card(world: World, engine: Locomotive, rng: Random) -> Paper:
    """The register card of one engine: the boilers it carried, and its withdrawal."""
    clerk = clerk_of(rng, engine.built.year)
    number = engine.called("number", engine.withdrawn)
    classes = [b.value for b in engine.borne if b.scheme == "class"]
    printed = {"CLASS": ", rebuilt ".join(classes), "NAME": engine.called("name", engine.withdrawn)}
    card_id = f"S2-{number}" + ("A" if _number_reused(world, engine, number) else "")
    paper = Paper(
        card_id=card_id,
        source_id="S2",
        form="engine-card",
        subject_id=engine.engine_id,
        heading=number,
        heading_name=printed["NAME"],
        printed={k: v for k, v in printed.items() if v},
        covers=interval(engine.built, engine.withdrawn),
        locator=f"card {number}",
        clerk=clerk,
    )
    desk = Desk(world, paper, rng)
    if engine.span_only or rng.random() < 0.4:
        _built_line(desk, engine)
    for stay in world.railway.stays_on(engine.engine_id, "boiler"):
        _engine_line(desk, engine, stay)
    line = desk.line("withdrawn", None)
    desk.date(line, "removed", engine.withdrawn, write_date(engine.withdrawn, desk.style()))
    line.cells["remarks"] = "Withdrawn"
    return paper


def _number_reused(world: World, engine: Locomotive, number: str) -> bool:
    """Whether another engine bore this number before; its card has the plain number."""
    return any(
        e.built < engine.built and any(b.scheme == "number" and b.value == number for b in e.borne)
        for e in world.railway.engines
    )


def _built_line(desk: Desk, engine: Locomotive) -> None:
    line = desk.line("built", None)
    desk.date(
        line, "fitted", engine.built, write_date(engine.built, "circa" if engine.span_only else desk.style())
    )
    line.cells["place"] = WORKS
    line.cells["remarks"] = "Built"


def _engine_line(desk: Desk, engine: Locomotive, stay: Stay) -> None:
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
    desk.slip_of_the_finger(line)


def _change_remark(engine: Locomotive, stay: Stay) -> str:
    """The first fitment after a change says what was changed."""
    for scheme, word in (("name", "Renamed"), ("number", "Late"), ("class", "Rebuilt")):
        borne = [b for b in engine.borne if b.scheme == scheme]
        if len(borne) == 2 and stay.fitted <= borne[1].first <= stay.removed:
            return (
                f"Late No. {borne[0].value}"
                if scheme == "number"
                else f"{word} {borne[1].first.month}.{borne[1].first:%y}"
            )
        if scheme == "class" and len(borne) == 2 and 0 <= (stay.fitted - borne[1].first).days < 60:
            return f"Rebuilt {borne[1].first.month}.{borne[1].first:%y}"
    return ""
