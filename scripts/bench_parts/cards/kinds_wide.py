"""Further forms for developing on, beside the seen ones: other orders and sets of columns, titles that are
typed, over two columns or over two lines, dotted and double rulings, tight rows, cells that are merged.
"""

from __future__ import annotations

from typing import Final

from corpus.kinds import Column, Kind


def _c(field: str, *titles: str, group: str = "") -> Column:
    return Column(field, titles, group)


WIDE: Final = (
    Kind(
        "numbered",
        "engine-card",
        "engine",
        (
            _c("", "No.", "Item"),
            _c("component", "Boiler fitted", "BOILER|FITTED"),
            _c("fitted", "Date put on", "PUT ON"),
            _c("removed", "Date taken off", "TAKEN OFF"),
            _c("place", "Where fitted", "AT"),
            _c("remarks", "Observations", "REASON"),
        ),
        ("full", "faint"),
        ("LOCO No.", "Loco. No."),
        opening=True,
    ),
    Kind(
        "wheels",
        "component-card",
        "component",
        (
            _c("engine", "Carried by", "CARRIED BY"),
            _c("fitted", "Put on", "ON", group="DATES"),
            _c("removed", "Taken off", "OFF", group="DATES"),
            _c("", "Dia.", "Tyres"),
            _c("miles", "Mls.", "Miles since|fitted"),
            _c("total_miles", "Running|total", "Tot. miles"),
            _c("remarks", "Repairs", "Remarks"),
        ),
        ("faint", "full", "verticals"),
        ("WHEELSET No.",),
        hand=0.4,
        totals=True,
    ),
    Kind(
        "broad",
        "component-card",
        "component",
        (
            _c("", "Line", "Item"),
            _c("engine", "Engine|Number", "Engine No."),
            _c("engine_name", "Name of|engine", "NAME"),
            _c("fitted", "Date|in", "In", group="FITTED"),
            _c("place", "Shop", "Shops", group="FITTED"),
            _c("removed", "Date|removed", "Removed"),
            _c("miles", "Mileage|run", "Mileage"),
            _c("total_miles", "Total|mileage", "Running total"),
            _c("remarks", "Remarks", "Cause"),
        ),
        ("faint", "full"),
        ("Boiler Number", "BOILER No."),
        carried=True,
        totals=True,
        double=True,
    ),
    Kind(
        "narrow",
        "printed-list",
        "statement",
        (
            _c("engine", "Engine", "ENGINE No."),
            _c("component", "Boiler", "BOILER No."),
            _c("fitted", "Fitted", "Put on"),
            _c("removed", "Removed", "Taken off"),
        ),
        ("none", "levels"),
        hand=0.4,
        typed_titles=True,
    ),
    Kind(
        "daybook",
        "printed-list",
        "statement",
        (
            _c("fitted", "Date", "DATE"),
            _c("engine", "Engine", "ENGINE"),
            _c("component", "Boiler put in", "BOILER"),
            _c("", "Taken from", "Stores"),
            _c("place", "Shops", "SHOP"),
            _c("remarks", "Notes", "REMARKS"),
        ),
        ("levels", "verticals", "none"),
        hand=0.5,
        merged=0.5,
    ),
    Kind(
        "tenders",
        "engine-card",
        "engine",
        (
            _c("component", "Tender attached", "TENDER|No."),
            _c("fitted", "Coupled", "DATE|COUPLED"),
            _c("removed", "Uncoupled", "UNCOUPLED"),
            _c("miles", "Mileage", "MILEAGE|RUN"),
            _c("place", "Shed", "SHED"),
            _c("", "Gallons", "WATER"),
        ),
        ("full", "verticals"),
        ("Engine", "ENGINE No."),
        dotted=True,
    ),
    Kind(
        "typed",
        "printed-list",
        "statement",
        (
            _c("component", "Boiler No.", "BOILER"),
            _c("engine", "Engine No.", "ENGINE"),
            _c("engine_name", "Name", "NAME"),
            _c("fitted", "Fitted", "FITTED"),
            _c("removed", "Removed", "REMOVED"),
            _c("miles", "Miles", "MILES"),
            _c("place", "Where", "AT"),
        ),
        ("none",),
        hand=0.0,
        typed_titles=True,
        tight=True,
    ),
    Kind(
        "summed",
        "component-card",
        "component",
        (
            _c("fitted", "In", "From", group="DATE"),
            _c("removed", "Out", "To", group="DATE"),
            _c("engine", "On engine", "ENGINE|No."),
            _c("miles", "Run", "Miles", group="MILES"),
            _c("total_miles", "Total", "To date", group="MILES"),
            _c("remarks", "Condition", "WORK DONE"),
        ),
        ("full", "faint"),
        ("BOILER",),
        hand=0.3,
        totals=True,
        merged=0.3,
    ),
    Kind(
        "inspected",
        "component-card",
        "component",
        (
            _c("engine", "LOCOMOTIVE", "Loco No."),
            _c("fitted", "DATE ON", "Date on"),
            _c("removed", "DATE OFF", "Date off"),
            _c("", "TUBES", "Stays"),
            _c("", "INSP.", "Initials"),
            _c("remarks", "PARTICULARS", "Work done"),
        ),
        ("full", "verticals"),
        ("BOILER NUMBER", "Boiler"),
        hand=0.3,
        opening=True,
    ),
    Kind(
        "roll",
        "printed-list",
        "statement",
        (
            _c("engine", "Loco", "ENGINE"),
            _c("engine_name", "Name", "NAME"),
            _c("component", "Boiler", "BOILER No."),
            _c("", "Type", "Class"),
            _c("fitted", "Fitted", "DATE FITTED"),
            _c("total_miles", "Total miles", "MILES TO DATE"),
            _c("remarks", "Remarks", "NOTES"),
        ),
        ("none", "levels", "faint"),
        hand=0.3,
    ),
)
NUMBERED: Final = ("No.", "Line")
"""Columns that count the lines."""
FURTHER: Final[dict[str, tuple[str, ...]]] = {
    "Dia.": ("4-7", "5-0", "6-8"),
    "Taken from": ("Stores", "118", "1042", "new"),
    "Gallons": ("3,000", "2,500", "3,500"),
    "TUBES": ("212", "234", "198"),
    "INSP.": ("J.H.", "W.T.", "R.B.", ""),
    "Type": ("A", "B2", "K", "C1"),
}
"""What may stand in columns that no field means, by their first printed words."""
