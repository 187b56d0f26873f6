"""One small world by hand: a boiler, three engines, two cards and a book that copied one of them.

Boiler 7 went to engine 31 in May 1905, to the same engine again after its number became 38, was lost from
sight for two years, and came to 40 'Fellgate', on whose card the miles differ.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from numbertaker.evidence.days import Day, day_of
from numbertaker.evidence.decisions import Ruled, follow
from numbertaker.evidence.edtf import one_day
from numbertaker.evidence.records import (
    Card,
    CellKey,
    Component,
    Decision,
    Designation,
    Engine,
    Event,
    Evidence,
    Line,
    Source,
)
from numbertaker.reconciling.history import (
    CellMeaning,
    ComponentHistory,
    Finding,
    Fitment,
    History,
    Miles,
    TotalMiles,
    When,
)

CARDS: Final = Source(
    source_id="S1",
    kind="component-card",
    title="Boiler cards",
    repository="Ostrey Town Museum",
    collection="Records of the works",
    reference="W/4",
    seen="2024-05",
)
ENGINE_CARDS: Final = replace(
    CARDS, source_id="S2", kind="engine-card", title="Engine cards", reference="W/3"
)
BOOK: Final = Source(
    source_id="S3",
    kind="published",
    title="Boilers: a list",
    author="Oram, T. H.",
    publisher="Thrunby Press",
    created="1964",
    compiled_from="S1",
)
MINUTES: Final = replace(CARDS, source_id="S4", kind="register", title="Minutes", reference="C/1")


def line(line_id: str, source_id: str, locator: str, **cells: str) -> Line:
    """A line of a fitment; the side follows from the source."""
    said = {"says": "fitment", "side": "engine" if source_id == "S2" else "component"} | cells
    return Line(line_id=line_id, source_id=source_id, locator=locator, **said)  # type: ignore[arg-type]


LINES: Final = (
    line("a1", "S1", "card 7, line 1", engine="31", fitted="5.05", removed="6.09", miles="61,204"),
    line("a2", "S1", "card 7, line 2", engine='"', fitted="8.09", removed="11.14", miles="90,000"),
    line("a3", "S1", "card 7, line 3", engine="40", fitted="w/e 14.11.16", removed="1920", miles="63,310"),
    line("a4", "S1", "card 7, line 4", says="condemned", removed="3.21"),
    line("b1", "S2", "card 40, line 2", component="7", fitted="Nov 1916", removed="1920", miles="68,310"),
    line("c1", "S3", "page 9, line 3", engine="31", fitted="May 1905", removed="June 1909", miles="61,204"),
    line("d1", "S2", "card 38, line 5", component="8", fitted="2.15", removed="3.17", miles="40,000"),
)


def when(edtf: str, earliest: Day | None = None, latest: Day | None = None) -> When:
    """A date as claimed; the days between which it must lie are those of the claim unless given."""
    hull = one_day(edtf).hull
    return When(edtf, hull.first if earliest is None else earliest, hull.last if latest is None else latest)


def stated(value: int) -> Miles:
    """A figure that a source states."""
    return Miles(value, value, value, "stated")


FITMENTS: Final = (
    Fitment("E1", when("1905-05"), when("1909-06"), stated(61_204), 0.995, ("a1", "c1"), ("c1",)),
    Fitment("E1", when("1909-08"), when("1914-11"), stated(90_000), 0.9, ("a2",)),
    Fitment(
        "E2",
        when("[1916-11-08..1916-11-14]"),
        when("1920"),
        Miles(None, 50_000, 70_000, "estimated"),
        0.6,
        ("a3", "b1"),
    ),
)
GAP: Final = Finding(
    "F1",
    "gap",
    0.93,
    ("a2", "a3"),
    "Boiler 7 is unaccounted for",
    day_of(1914, 11, 30),
    day_of(1916, 11, 8),
    claims=(CellKey("a2", "removed"), CellKey("a3", "fitted")),
)
CONFLICT: Final = Finding(
    "F2",
    "mileage-conflict",
    0.9,
    ("a3", "b1"),
    "One card says '63,310', the other '68,310': they differ by 5,000.",
    claims=(CellKey("a3", "miles"), CellKey("b1", "miles")),
)
CELLS: Final = (
    *(
        CellMeaning(i, "fitted", edtf, 0.99, True)
        for i, edtf in (("a1", "1905-05"), ("a2", "1909-08"), ("a3", "1916-11"))
    ),
    *(CellMeaning(i, "removed", edtf, 0.99, True) for i, edtf in (("a1", "1909-06"), ("a2", "1914-11"))),
    CellMeaning("a3", "removed", "1920", 0.87, True),
    CellMeaning("a4", "removed", "1921-03", 0.99, True),
    CellMeaning("a1", "miles", 61_204, 0.99, True),
    CellMeaning("a3", "miles", 63_310, 0.4, False),
    CellMeaning("b1", "miles", 68_310, 0.4, False),
)
BOILER: Final = ComponentHistory(
    "B7", FITMENTS, TotalMiles(151_204, 201_204, 260_000), CELLS, (GAP, CONFLICT), ("D1",)
)
OTHER: Final = ComponentHistory(
    "B8",
    (Fitment("E1", when("1915-02"), when("1917-03"), stated(40_000), 0.99, ("d1",)),),
    TotalMiles(40_000, 40_000, 40_000),
    (CellMeaning("d1", "fitted", "1915-02", 0.99, True),),
    (),
)
DECISION: Final = Decision(
    decision_id="D1",
    kind="link",
    target="a2/engine",
    ruling="E1",
    reason="The ditto stands under 31.",
    by="A. Reader",
    at="2026-03-02T10:00:00Z",
)
EVIDENCE: Final = Evidence(
    sources=(CARDS, ENGINE_CARDS, BOOK, MINUTES),
    cards=(Card(card_id="S1-7", source_id="S1", locator="card 7"),),
    engines=(Engine(engine_id="E1", class_="K"), Engine(engine_id="E2", class_="K"), Engine(engine_id="E3")),
    components=(
        Component(component_id="B7", kind="boiler", type="A"),
        Component(component_id="B8", kind="boiler"),
    ),
    designations=(
        Designation(subject_id="E1", scheme="number", value="31", from_="1905", to="1909-07"),
        Designation(subject_id="E1", scheme="number", value="38", from_="1909-08"),
        Designation(subject_id="E2", scheme="number", value="40", from_="1910"),
        Designation(subject_id="E2", scheme="name", value="Fellgate", from_="1910", to="1918"),
        Designation(subject_id="E3", scheme="number", value="31", from_="1912"),
        Designation(subject_id="B7", scheme="number", value="7"),
        Designation(subject_id="B8", scheme="number", value="8"),
    ),
    events=(
        Event(
            event_id="V1",
            subject_id="E1",
            date="1909-08",
            statement="Renumbered 38",
            source_id="S4",
            locator="minute 12",
        ),
        Event(
            event_id="V2",
            subject_id="E1",
            date="1911-02",
            statement="In collision at Thrunby.",
            source_id="S4",
            locator="minute 30",
        ),
    ),
    lines=LINES,
    decisions=(DECISION,),
)
HISTORY: Final = History((BOILER, OTHER), decisions=("D1",), events=EVIDENCE.events)
RULED: Final[Ruled] = follow(EVIDENCE)
