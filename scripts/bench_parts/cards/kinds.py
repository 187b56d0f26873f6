"""The forms of the bench's cards, as data: which columns they have, under which words, and how they are
ruled.
"""

from __future__ import annotations

from typing import Final

from corpus.kinds import Column, Kind


def _c(field: str, *titles: str, group: str = "") -> Column:
    return Column(field, titles, group)


SEEN: Final = (
    Kind(
        "boiler",
        "component-card",
        "component",
        (
            _c("engine", "ENGINE No.", "ENGINE", "Engine No."),
            _c("fitted", "FITTED", "DATE|FITTED"),
            _c("removed", "REMOVED", "DATE|REMOVED"),
            _c("miles", "MILES", "MILES RUN", "MILEAGE"),
            _c("total_miles", "TOTAL|MILES", "TOTAL MILES"),
            _c("place", "WORKS", "SHOP"),
            _c("remarks", "REMARKS"),
        ),
        ("full", "full", "faint"),
        ("BOILER No.", "Boiler No."),
        totals=True,
    ),
    Kind(
        "engine",
        "engine-card",
        "engine",
        (
            _c("component", "BOILER No.", "BOILER|No.", "Boiler"),
            _c("fitted", "DATE|FITTED", "FITTED", "PUT ON"),
            _c("removed", "DATE|REMOVED", "REMOVED", "TAKEN OFF"),
            _c("miles", "MILES", "MILES|RUN"),
            _c("place", "WORKS", "Works"),
            _c("remarks", "REMARKS", "NOTES"),
        ),
        ("full", "full", "verticals"),
        ("ENGINE No.", "Engine No."),
    ),
    Kind(
        "list",
        "printed-list",
        "statement",
        (
            _c("component", "Boiler", "BOILER"),
            _c("engine", "Engine", "ENGINE"),
            _c("fitted", "Fitted", "FITTED", "From"),
            _c("removed", "Removed", "REMOVED", "To"),
            _c("miles", "Miles", "MILES", "Mileage"),
            _c("remarks", "Remarks", "REMARKS"),
        ),
        ("none",),
        hand=0.0,
    ),
    Kind(
        "ledger",
        "component-card",
        "component",
        (
            _c("engine", "Engine|No.", "ENGINE"),
            _c("fitted", "Fitted", "On", group="DATE"),
            _c("removed", "Removed", "Off", group="DATE"),
            _c("miles", "Miles|run", "MILES RUN"),
            _c("total_miles", "Total|miles", "TOTAL TO DATE"),
            _c("place", "Works|or shed", "Works"),
            _c("remarks", "Remarks", "Observations"),
        ),
        ("faint",),
        ("BOILER No.", "Boiler"),
        hand=0.5,
        carried=True,
        totals=True,
    ),
    Kind(
        "handlist",
        "printed-list",
        "statement",
        (
            _c("component", "Boiler", "Boiler No."),
            _c("engine", "Engine", "Engine No."),
            _c("fitted", "Put in", "Fitted"),
            _c("removed", "Taken out", "Removed"),
            _c("place", "Works", "Where"),
        ),
        ("none",),
        hand=1.0,
    ),
)
UNSEEN: Final = (
    Kind(
        "works",
        "printed-list",
        "statement",
        (
            _c("fitted", "Date", "DATE"),
            _c("component", "Boiler No.", "BOILER No."),
            _c("engine", "To engine", "ENGINE"),
            _c("place", "Shop", "SHOPS"),
            _c("", "Class", "CLASS"),
            _c("remarks", "Work done", "PARTICULARS"),
        ),
        ("levels", "none"),
        hand=0.2,
    ),
    Kind(
        "carried",
        "component-card",
        "component",
        (
            _c("fitted", "Date in", "FROM"),
            _c("removed", "Date out", "TO"),
            _c("engine", "Loco", "LOCO No."),
            _c("miles", "Mileage", "MILES"),
            _c("total_miles", "Accumulated|miles", "AGGREGATE MILES"),
            _c("remarks", "Notes", "Particulars"),
        ),
        ("verticals", "faint"),
        ("BOILER No.", "Boiler"),
        hand=0.4,
        carried=True,
        totals=True,
    ),
    Kind(
        "tender",
        "component-card",
        "component",
        (
            _c("engine", "To engine", "ENGINE No."),
            _c("fitted", "Date attached", "ATTACHED"),
            _c("removed", "Date detached", "DETACHED"),
            _c("miles", "Miles run", "MILES"),
            _c("place", "Shed", "DEPOT"),
            _c("", "Class", "CLASS"),
            _c("remarks", "Reason for removal", "CAUSE OF REMOVAL"),
        ),
        ("levels", "full"),
        ("TENDER No.", "Tender"),
        hand=0.3,
    ),
    Kind(
        "loco",
        "engine-card",
        "engine",
        (
            _c("component", "Boiler|number", "No. OF BOILER"),
            _c("", "Press.", "PRESSURE"),
            _c("fitted", "In", "On", group="Date"),
            _c("removed", "Out", "Off", group="Date"),
            _c("miles", "Miles on engine", "MILEAGE"),
            _c("remarks", "Repairs", "CONDITION"),
        ),
        ("full", "faint"),
        ("LOCOMOTIVE No.", "Engine No."),
        hand=0.3,
    ),
    Kind(
        "pocket",
        "printed-list",
        "statement",
        (
            _c("engine", "Engine", "Loco"),
            _c("component", "Boiler", "Boiler No."),
            _c("fitted", "Date fitted", "Fitted"),
            _c("miles", "Miles", "Mileage"),
            _c("remarks", "Remarks", "Notes"),
        ),
        ("none",),
        hand=1.0,
    ),
)
