"""What stands on the bench's cards: lines in the order of time, with running totals that add up."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import Final

from corpus.clerks import MONTHS
from corpus.kinds import Content, Entry, Kind

from .kinds_wide import FURTHER, NUMBERED

WORKS: Final = (
    "Brackwith",
    "Ostrey",
    "Merrow",
    "Cold Ashby",
    "Harrow Sta.",
    "Denby Rd.",
    "Tollgate",
    "Works",
)
REMARKS: Final = (
    "New",
    "Half tubes",
    "Retubed",
    "New firebox",
    "Heavy repair",
    "Light repair",
    "Stays renewed",
    "Late No. 47",
    "Lent to contractor",
    "Cracked tube plate",
    "Gen. repair",
    "Tested 180 lb",
    "From 208",
    "Spare boiler",
)
LONG: Final = (
    "New copper tube plate and half side plates",
    "Stored in the yard until wanted for 208",
    "Smokebox and chimney renewed at the same time",
    "Foundation ring repaired, stays renewed",
)
RUNNING: Final = (
    "Boiler sent to Ostrey for examination by the inspector "
    "and returned with a new certificate for five years",
    "This engine stood at Brackwith from June to October "
    "waiting for material that had been ordered in the spring",
)
MERGED: Final = ("Stored at Ostrey", "Under repair, Brackwith", "Lent to contractor", "Awaiting boiler")
NAMES: Final = ("Lady Ostrey", "Corvane", "Merrow", "Sir Tobin Ashe", "Wayfarer", "")
STYLES: Final = ("month", "day", "named", "long", "slash", "week", "nameday")


def written(day: date, style: str) -> str:
    """A date in one of the styles."""
    short = f"{day.year % 100:02d}"
    return {
        "month": f"{day.month}.{short}",
        "day": f"{day.day}.{day.month}.{short}",
        "named": f"{MONTHS[day.month - 1]} {day.year}",
        "long": f"{day.day}.{day.month}.{day.year}",
        "slash": f"{day.day}/{day.month}/{short}",
        "week": f"w/e {day.day}.{day.month}.{short}",
        "nameday": f"{day.day} {MONTHS[day.month - 1]} {short}",
    }[style]


def content(kind: Kind, rng: Random, rows: int) -> Content:
    """A card of a form, with so many lines."""
    day = date(rng.randint(1896, 1938), rng.randint(1, 12), rng.randint(1, 28))
    style, total = rng.choice(STYLES), 0
    ditto = rng.choice(('"', '"', "do.", '"'))
    lines: list[Entry] = []
    fields = [c.field or c.titles[0] for c in kind.columns]
    if kind.carried and rng.random() < 0.7:
        total = rng.randint(40_000, 300_000)
        lines.append(Entry({"remarks": "Brought forward", "total_miles": f"{total:,}"}))
    while len(lines) < rows:
        stay = timedelta(days=rng.randint(300, 1500))
        miles = rng.randint(15, 75) * stay.days + rng.randint(0, 99)
        total += miles
        values = {
            "engine": str(rng.randint(11, 1999)),
            "component": str(rng.randint(11, 999)),
            "fitted": written(day, style),
            "removed": written(day + stay, style),
            "miles": f"{miles:,}",
            "total_miles": f"{total:,}",
            "place": rng.choice(WORKS),
            "remarks": rng.choice(REMARKS) if rng.random() < 0.4 else "",
            "Class": rng.choice("ABCDK"),
            "Press.": rng.choice(("160", "175", "180")),
        }
        values |= {f: rng.choice(FURTHER[f]) for f in fields if f in FURTHER}
        values |= {f: str(len(lines) + 1) for f in fields if f in NUMBERED}
        if "engine_name" in fields:
            values["engine_name"] = rng.choice(NAMES)
        line = Entry({f: values.get(f, "") for f in fields})
        _habits(line, lines, rng, ditto)
        lines.append(line)
        day += stay + timedelta(days=rng.randint(0, 90))
    if kind.carried or kind.totals:
        _foot(kind, lines, rng, total)
    _oddities(kind, lines, rng)
    return Content(str(rng.randint(11, 999)), rng.choice(("", "", "Lady Ostrey", "Corvane")), lines)


def _habits(line: Entry, above: list[Entry], rng: Random, ditto: str) -> None:
    """Dittos under a word, empty cells, and figures struck out."""
    for name in ("engine", "component", "place"):
        under = above and above[-1].cells.get(name) and not above[-1].runs
        if name in line.cells and under and rng.random() < (0.45 if name == "place" else 0.2):
            line.cells[name], line.marks[name] = ditto, "ditto"
    for name in ("miles", "removed", "place"):
        if name in line.cells and not line.marks.get(name) and rng.random() < 0.07:
            line.cells[name] = ""
    if line.cells.get("miles") and rng.random() < 0.06:
        text = line.cells["miles"]
        line.marks["miles"] = f"struck:{text[:-1]}{(int(text[-1]) + 3) % 10}"


def _foot(kind: Kind, lines: list[Entry], rng: Random, total: int) -> None:
    if rng.random() < 0.6:
        words = "Carried forward" if kind.carried else "TOTAL"
        where = "remarks" if kind.carried else kind.columns[0].field
        lines.append(Entry({where: words, "total_miles": f"{total:,}"}))


def _oddities(kind: Kind, lines: list[Entry], rng: Random) -> None:
    """A remark that is wrapped, a text that runs over the columns."""
    wrap = [line for line in lines if "remarks" in line.cells and len(line.cells) > 3]
    if wrap and rng.random() < 0.35:
        rng.choice(wrap).cells["remarks"] = rng.choice(LONG)
    if kind.side != "statement" and rng.random() < 0.12 and len(lines) > 5:
        lines.insert(rng.randint(3, len(lines) - 2), Entry(runs=rng.choice(RUNNING)))
    if kind.merged and rng.random() < kind.merged:
        _merge(kind, lines, rng)


def _merge(kind: Kind, lines: list[Entry], rng: Random) -> None:
    """Let a text stand over the middle cells of one line."""
    fields = [c.field or c.titles[0] for c in kind.columns]
    line = rng.choice([line for line in lines if len(line.cells) > 3])
    first = rng.randint(1, len(fields) - 3)
    for name in fields[first : first + 3]:
        line.cells[name] = ""
        line.marks.pop(name, None)
    line.merged = fields[first], rng.choice(MERGED)
