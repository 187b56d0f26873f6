"""How far each stay ran: stated, derived from running totals, or estimated from its time.

The figures written of a stay are weighed by themselves first (`miles.figures`), then all figures and running
totals of each component's card together (`miles.column`), which may confirm a figure, or find another.
"""

from __future__ import annotations

from collections.abc import Iterable

from numbertaker.reconciling.confidence import Rows
from numbertaker.reconciling.entries import CardKey, Draft, Entry, FigureClaim, Stay
from numbertaker.reconciling.history import Miles
from numbertaker.reconciling.miles.column import Column, Judged, judge
from numbertaker.reconciling.miles.estimates import adjust_estimates, estimated
from numbertaker.reconciling.miles.figures import weigh
from numbertaker.reconciling.miles.ladders import Ladders
from numbertaker.reconciling.miles.rates import days_run, expected
from numbertaker.reconciling.miles.rungs import Rung, rungs_of, running
from numbertaker.reconciling.miles.slips import Slips

_BELIEVED = 0.4
_LEAST = 1e-4


def reckon_miles(draft: Draft) -> None:
    """Weigh the figures of every stay with news, then the columns of its component, and settle on miles."""
    slips, news = Slips(draft.learnt), draft.news
    for stay in dict.fromkeys((*news.stays, *news.dated)):
        stay.weighed = weigh(draft, slips, stay)
    ladders = draft.ladders = draft.ladders or Ladders()
    cards, stays = _with_news(draft, ladders)
    for stay in stays:
        if stay.weighed is not None:
            stay.figures_alone = stay.figures = stay.weighed.shares
            stay.derived = None
    for key in dict.fromkeys((*cards, *news.cards)):
        old = draft.columns.pop(key, None)
        if old is not None and draft.furthest.get(old.component) is old:
            del draft.furthest[old.component]
    for key in cards:
        _column(draft, slips, key)
    for component in {draft.columns[key].component for key in cards if key in draft.columns}:
        _furthest(draft, component, ladders.cards(component))
    for stay in stays:
        stay.miles = _miles(draft, stay)
    for key in cards:
        if key in draft.columns:
            adjust_estimates(draft, draft.columns[key])
    news.reckoned.update(stays)
    news.cards.update((key, None) for key in cards)


def _with_news(draft: Draft, ladders: Ladders) -> tuple[list[CardKey], dict[Stay, None]]:
    """The cards whose totals are to be judged anew, in their order, and the stays that this concerns: all of
    each component of which anything is new, since one column tells of another.
    """
    news = draft.news
    due: dict[str, None] = {}
    for key in dict.fromkeys((*news.cards, *(entry.card for entry in news.entries))):
        due.update((name, None) for name in ladders.move(key, draft.cards.get(key)))
    due.update((name, None) for sort, name in news.chains if sort == "component")
    stays = dict.fromkeys((*news.stays, *news.dated))
    for stay in stays:
        due.update((name, None) for name in ladders.of(stay))
    names = list(due)
    for name in names:  # it grows meanwhile
        of_cards = (e.stay for key in ladders.cards(name) for e in draft.cards[key] if e.stay)
        for stay in (*draft.on_component.get(name, ()), *of_cards):
            if stay not in stays:
                stays[stay] = None
                more = [other for other in ladders.of(stay) if other not in due]
                due.update((other, None) for other in more)
                names += more
    news.ladders.update(due)
    return sorted({key for name in due for key in ladders.cards(name)}), stays


def _column(draft: Draft, slips: Slips, key: CardKey) -> None:
    """Judge the totals of one card."""
    entries = draft.cards[key]
    for entry in entries:
        entry.total_right, entry.total_why, entry.total_instead = None, (), None
    rungs = rungs_of(draft, entries)
    if rungs:
        draft.columns[key] = _judged(judge(rungs, slips))
        draft.columns[key].component = entries[0].component_id or ""
    _totals_again(entries)


def _furthest(draft: Draft, component: str, cards: Iterable[CardKey]) -> None:
    """Keep the running total that reaches furthest for the component's whole."""
    columns = (draft.columns.get(key) for key in sorted(cards))
    told = [column for column in columns if column is not None]
    if component and told:
        draft.furthest[component] = max(told, key=lambda column: column.reach)


def _judged(column: Column) -> Column:
    """Give what came out for a column to its stays and its entries."""
    for rung, found in zip(column.rungs, column.judged, strict=True):
        if rung.stay is not None and rung.weighed is not None:
            _settle_figures(column, rung, found)
        if rung.entry is not None and rung.total is not None:
            _settle_total(rung.entry, rung, found)
    return column


def _settle_figures(column: Column, rung: Rung, found: Judged) -> None:
    stay, weighed = rung.stay, rung.weighed
    if stay is None or weighed is None:
        return
    # Of a line that the total does not count, entered twice or not the component's, it says nothing.
    silent = found.what.get("absent", 0.0) + found.what.get("again", 0.0)
    for value, share in weighed.shares.items() if silent else ():
        found.figures[value] = found.figures.get(value, 0.0) + silent * share
    left = max(0.0, 1 - sum(found.figures.values()))
    stay.figures = {v: p for v, p in sorted(found.figures.items()) if p > _LEAST or v in weighed.shares}
    likeliest, sure = best_figure(stay)
    if likeliest is not None and likeliest not in weighed.shares and sure > left:
        total = next((r.total for r in column.rungs[column.rungs.index(rung) :] if r.total), None)
        if total is not None:
            stay.derived = FigureClaim(total.key, "", likeliest, 1 - sure)


def _settle_total(entry: Entry, rung: Rung, found: Judged) -> None:
    """How sure a total is, from how it was read, from what stands above it, and from what stands below."""
    if rung.total is None:
        return
    rows = Rows.of("read", 1 - rung.total.slip, "a total as written, going by how surely it was read")
    if found.before > 0.0:
        rows.to(found.before, "above", _above(found))
    rows.to(found.right, "below", "what stands below it counted in")
    entry.total_right, entry.total_why = rows.probability, tuple(rows.reasons)
    best = max(sorted(found.totals), key=lambda v: found.totals[v], default=None)
    if best is not None and best != rung.total.value and found.totals[best] > 0.5:
        entry.total_instead = (best, found.totals[best])


def _above(found: Judged) -> str:
    lost = found.what.get("lost", 0.0)
    if lost > 0.5:
        return "it rises by more than the line ran: a line above it seems to be lost, and its miles are in it"
    if found.before > 0.9:
        return "it agrees with the lines above"
    return "it does not agree with the lines above"


def _totals_again(entries: list[Entry]) -> None:
    """A line that was entered twice repeats the total of the first."""
    for entry in entries:
        first = entry.twin
        if entry.total is not None and first is not None and first.total is not None:
            if entry.total.value == first.total.value:
                entry.total_right, entry.total_why = first.total_right, first.total_why
            else:
                entry.total_right = 0.9 if entry.total_right is None and first.total_right is None else 0.3


def best_figure(stay: Stay) -> tuple[int | None, float]:
    """The likeliest figure and its probability."""
    if not stay.figures:
        return None, 0.0
    value = max(sorted(stay.figures), key=lambda v: stay.figures[v])
    return value, stay.figures[value]


def deviation(draft: Draft, stay: Stay, value: int) -> float:
    """How many standard deviations a figure lies off the usual rate; 1 where the time is not known."""
    run = days_run(stay)
    if run is None or run[0] <= 60 or value <= 0:
        return 1.0
    return expected(draft, stay).off(value)


def column_sum(line: list[Entry]) -> int | None:
    """The sum of the likeliest figures of all fitments; None where one has no figure."""
    values = [
        best_figure(e.stay)[0] if e.stay is not None else None
        for e in line
        if e.says == "fitment" and (e.stay is not None or e.miles)
    ]
    return None if not values or any(v is None for v in values) else sum(v for v in values if v is not None)


def _miles(draft: Draft, stay: Stay) -> Miles | None:
    value, sure = best_figure(stay)
    if value is not None and sure > _BELIEVED:
        stated = any(claim.value == value for claim in (e.miles for e in stay.entries) if claim)
        rivals = [v for v, p in stay.figures.items() if p > (1 - draft.settings.level)] or [value]
        low, high = min(value, *rivals), max(value, *rivals)
        return Miles(value, low, high, "stated" if stated else "derived", draft.settings.level)
    return estimated(draft, stay)


__all__ = ["best_figure", "column_sum", "days_run", "deviation", "estimated", "reckon_miles", "running"]
