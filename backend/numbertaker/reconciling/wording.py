"""Plain words for sentences: whose card, which line, what date."""

from __future__ import annotations

from numbertaker.evidence.days import Day, civil
from numbertaker.reconciling.entries import Draft, Entry, Stay

MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


def day(value: Day) -> str:
    """A day as prose: 3 May 1911."""
    year, month, of_month = civil(value)
    return f"{of_month} {MONTHS[month - 1]} {year}"


def component(draft: Draft, component_id: str | None) -> str:
    """'boiler 52'."""
    row = draft.index.components.get(component_id or "")
    if row is None:
        return "a component that is not in the tables"
    return f"{row.kind} {draft.index.label(row.component_id)}"


def engine(draft: Draft, engine_id: str | None, stay: Stay | None = None) -> str:
    """'engine 208', by the number it bore then."""
    if engine_id is None:
        return "an engine that is not in the tables"
    rough = stay.rough if stay is not None else None
    first, last = (int(rough[0]), int(rough[1])) if rough else (None, None)
    return f"engine {draft.index.label(engine_id, first, last)}"


def card(draft: Draft, entry: Entry) -> str:
    """Who speaks: 'the card of boiler 52', or the title of a list, with the line."""
    where = f" ({entry.line.locator})" if entry.line.locator else f" (line {entry.id})"
    if entry.side == "component":
        return f"the card of {component(draft, entry.component_id)}{where}"
    if entry.side == "engine" and entry.source.kind == "engine-card":
        return f"the card of {engine(draft, entry.engine_id, entry.stay)}{where}"
    return f"{entry.source.title or entry.line.source_id}{where}"


def sentence(text: str) -> str:
    """With a capital at its head."""
    return text[:1].upper() + text[1:]


def miles(value: int) -> str:
    """61,204."""
    return f"{value:,}"


def spell(days: float) -> str:
    """A number of days in the words that fit it."""
    count = round(days)
    if count < 60:
        return "1 day" if count == 1 else f"{count} days"
    if count < 730:
        return f"{round(count / 30.44)} months"
    return f"{count / 365.25:.1f} years"
