"""A small railway to reconcile in tests: engines, boilers, both sides' cards and lists that copy one."""

from __future__ import annotations

from dataclasses import replace

from numbertaker.evidence.records import (
    Component,
    Designation,
    Engine,
    Evidence,
    Fit,
    Line,
    Source,
)

SOURCES = (
    Source(source_id="S1", kind="component-card", title="Boiler cards"),
    Source(source_id="S2", kind="engine-card", title="Engine cards"),
    Source(source_id="S4", kind="published", title="A list", compiled_from="S1"),
    Source(source_id="S5", kind="published", title="A later list", compiled_from="S4"),
)
ENGINES = (
    Engine(engine_id="E1", class_="K", built="1903-05", withdrawn="1936-08"),
    Engine(engine_id="E2", class_="K", built="1904-08", withdrawn="1938-08"),
    Engine(engine_id="E3", class_="K", built="1904-10", withdrawn="1934-07"),
)
COMPONENTS = (
    Component(component_id="B1", kind="boiler", type="A", built="1903", condemned="1930"),
    Component(component_id="B2", kind="boiler", type="A", built="1904", condemned="1930"),
)
DESIGNATIONS = (
    *(Designation(subject_id=f"E{n}", scheme="number", value=f"20{n}") for n in (1, 2, 3)),
    *(Designation(subject_id=f"B{n}", scheme="number", value=f"5{n}") for n in (1, 2)),
)


def own(row: int, engine: str, fitted: str, removed: str, miles: str = "", **more: str) -> Line:
    """A line of the card of boiler 51."""
    plain = Line(
        line_id=f"S1-51-{row}", source_id="S1", card_id="S1-51", side="component", heading="51",
        row_=str(row),        says="fitment", locator=f"card 51, line {row}",
    )  # fmt: skip
    return replace(plain, engine=engine, fitted=fitted, removed=removed, miles=miles, **more)


def mirror(number: str, row: int, component: str, fitted: str, removed: str, *, miles: str = "") -> Line:
    """A line of an engine's card."""
    return Line(
        line_id=f"S2-{number}-{row}", source_id="S2", card_id=f"S2-{number}", side="engine", heading=number,
        row_=str(row), says="fitment", locator=f"card {number}, line {row}",
        component=component, fitted=fitted, removed=removed, miles=miles,
    )  # fmt: skip


def copied(source: str, row: int, line: Line) -> Line:
    """The same in a list compiled from another source."""
    return replace(
        line, line_id=f"{source}-{row}", source_id=source, card_id=source, side="statement", heading="",
        component="51", row_=str(row), locator=f"page 1, line {row}",
    )  # fmt: skip


OWN = (
    own(1, "201", "5.1904", "3.1907", "95,154"),
    own(2, "202", "4.1907", "11.1909", "87,177"),
    own(3, '"', "1.1910", "2.1912", "70,509"),
    own(4, "203", "3.1912", "6.1915", "110,876"),
)
MIRROR = (
    mirror("201", 1, "51", "5.1904", "3.1907", miles="95,154"),
    mirror("202", 1, "51", "4.1907", "11.1909", miles="87,177"),
    mirror("202", 2, "51", "1.1910", "2.1912", miles="70,509"),
    mirror("203", 1, "51", "3.1912", "6.1915", miles="110,876"),
)


def railway(*lines: Line) -> Evidence:
    """The tables with these lines."""
    fits = (Fit(component_type="A", engine_class="K"),)
    return Evidence(
        sources=SOURCES,
        engines=ENGINES,
        components=COMPONENTS,
        designations=DESIGNATIONS,
        fits=fits,
        lines=lines,
    )
