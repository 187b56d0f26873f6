"""How far each stay ran: stated, derived from running totals, or estimated from its time.

The figures that are written, and the difference of two running totals, are the candidates; each is weighed by
how many independent cells say it, how like a misreading of one another they are, and how well it fits the
time at the usual rate. A total is judged against the line above it and the line below it, since a wrong one
disagrees with both.
"""

from __future__ import annotations

from dataclasses import replace
from math import exp, log, sqrt

from numbertaker.linking.similarity import slip_share
from numbertaker.reconciling.chronology import rate_of, shares
from numbertaker.reconciling.confidence import Rows
from numbertaker.reconciling.entries import Draft, Entry, FigureClaim, Stay
from numbertaker.reconciling.history import Miles, TotalMiles

_TYPED_ALIKE = 0.8
_BY_CHANCE = 1e-5
_DERIVED_SLIP = 0.12
_SUM_SLIP = 0.2
_NONE_OF_THEM = 0.03
_BELIEVED = 0.4
_ERROR_SHARE = 0.25
_LOST_LINE = 12_000


def reckon_miles(draft: Draft) -> None:
    """Weigh the figures of every stay, then judge every total, and settle on miles."""
    _derive(draft)
    for stay in draft.stays:
        stay.figures = _posterior(draft, stay)
    _judge_totals(draft)
    for stay in draft.stays:
        stay.miles = _miles(draft, stay)


def running(entries: list[Entry]) -> list[Entry]:
    """The entries of a card that its running total runs through, in their order."""
    return [e for e in entries if e.twin is None and e.says in {"fitment", "total"}]


def _derive(draft: Draft) -> None:
    """The difference of two running totals that stand one below the other."""
    for entries in draft.cards.values():
        if entries[0].side != "component":
            continue
        above: Entry | None = None
        for entry in running(entries):
            if entry.says == "fitment" and entry.stay is not None and entry.total is not None:
                start = 0 if above is None else (above.total.value if above.total else None)
                if start is not None and entry.total.value > start:
                    slip = _DERIVED_SLIP
                    entry.stay.derived = FigureClaim(entry.total.key, "", entry.total.value - start, slip)
            above = entry
        _derive_from_sum(running(entries))


def _derive_from_sum(line: list[Entry]) -> None:
    """The figure that the total at the foot wants of a line that lacks one, or whose figure is like it."""
    if not line:
        return
    foot = line[-1]
    fitments = [e for e in line[:-1] if e.stay is not None]
    if foot.says != "total" or foot.total is None or any(e.total for e in fitments) or not fitments:
        return
    blank = [e for e in fitments if _known(e) is None]
    rest = foot.total.value - sum(_known(e) or 0 for e in fitments)
    if len(blank) == 1 and rest > 0:
        suspects = [(blank[0], rest)]
    elif not blank and rest:
        wanted = [(e, (_known(e) or 0) + rest) for e in fitments]
        suspects = [(e, value) for e, value in wanted if value > 0 and slip_share(str(value), str(_known(e)))]
    else:
        return
    if len(suspects) == 1:
        entry, value = suspects[0]
        if entry.stay is not None:
            entry.stay.derived = FigureClaim(foot.total.key, "", value, _SUM_SLIP)


def _known(entry: Entry) -> int | None:
    """The figure on the line, else the one on the facing card."""
    other = entry.stay.mirror if entry.stay else None
    claim = entry.miles or (other.miles if other else None)
    return claim.value if claim else None


def figure_claims(draft: Draft, stay: Stay) -> list[FigureClaim]:
    """The figures that are written for a stay by those who know, but for those a person set aside.

    A copy that differs is weighed too, since its original may have been misread; one that agrees adds
    nothing.
    """
    found = [e.miles for e in stay.witnesses if e.miles and not draft.refused(e.miles.key)]
    copied = next(
        (e.miles for e in stay.others if e.copy and e.miles and not draft.refused(e.miles.key)), None
    )
    if copied is None or any(claim.value == copied.value for claim in found):
        return found
    return [*found, replace(copied, slip=max(copied.slip, draft.settings.copy_slip))]


def _posterior(draft: Draft, stay: Stay) -> dict[int, float]:
    claims = figure_claims(draft, stay)
    claims += [
        e.miles
        for e in stay.twins
        if e.miles and not e.copy and e.miles.value not in {c.value for c in claims}
    ]
    if stay.derived is not None:
        claims.append(stay.derived)
    values = sorted({claim.value for claim in claims})
    if not values:
        return {}
    weights = [_figure_weight(draft, stay, value, claims) for value in values]
    # That all are wrong, each being one slip away from a figure that nobody wrote.
    weights.append(sum(log(c.slip) for c in claims) + (len(claims) - 1) * log(_NONE_OF_THEM) - 0.5)
    return dict(zip(values, shares(weights), strict=False))


def _figure_weight(draft: Draft, stay: Stay, value: int, claims: list[FigureClaim]) -> float:
    weight = 0.0
    for claim in claims:
        if claim.value == value:
            weight += log(1 - claim.slip)
        else:
            alike = slip_share(str(value), str(claim.value)) * _TYPED_ALIKE if claim.text else 1e-4
            weight += log(claim.slip) + log(alike + _BY_CHANCE)
    return weight - _strain(deviation(draft, stay, value))


def _strain(deviations: float) -> float:
    """How far off the usual rate a figure is, in natural log; a t density of four degrees, since rates have
    tails.
    """
    return 2.5 * log(1 + deviations**2 / 4)


def days_run(stay: Stay) -> tuple[float, float] | None:
    """The days between the two ends and how uncertain that is; None where one end is not known."""
    start, end = stay.dates.get("fitted"), stay.dates.get("removed")
    if start is None or end is None:
        return None
    days = (sum(end.likeliest) - sum(start.likeliest)) / 2
    width = (end.likeliest[1] - end.likeliest[0] + start.likeliest[1] - start.likeliest[0]) / 2
    return days, width


def deviation(draft: Draft, stay: Stay, value: int) -> float:
    """How many standard deviations a figure lies off the usual rate; 1 where the time is not known."""
    run = days_run(stay)
    if run is None or run[0] <= 60 or value <= 0:
        return 1.0
    spread = draft.rate_spread + run[1] / run[0]
    return (log(value / run[0]) - rate_of(draft, stay)) / spread


def best_figure(stay: Stay) -> tuple[int | None, float]:
    """The likeliest figure and its probability."""
    if not stay.figures:
        return None, 0.0
    value = max(sorted(stay.figures), key=lambda v: stay.figures[v])
    return value, stay.figures[value]


def _judge_totals(draft: Draft) -> None:
    for entries in draft.cards.values():
        if entries[0].side != "component":
            continue
        line = running(entries)
        carried = _carried_wrongly(draft, line)
        for place, entry in enumerate(line):
            if entry.total is not None:
                rows = _judge(draft, line, place)
                if place in carried:
                    rows.add("carried", -8.0, "a slip in a line above was carried forward into it")
                entry.total_right, entry.total_why = rows.probability, rows.reasons
        for entry in entries:
            if entry.total is not None and entry.twin is not None:
                same = entry.twin.total is not None and entry.twin.total.value == entry.total.value
                entry.total_right = entry.twin.total_right if same else 0.3


def _carried_wrongly(draft: Draft, line: list[Entry]) -> set[int]:
    """The places of totals that agree with the totals around them, but carry a slip from further up.

    A total that rises by much more than the line ran is no slip: a line is missing then, and the total is
    right.
    """
    wrong: set[int] = set()
    off = 0
    for place, entry in enumerate(line):
        value, above = _written_best(entry)[0], line[place - 1] if place else None
        start = 0 if above is None else (above.total.value if above.total else None)
        if entry.says != "fitment" or entry.total is None or value is None or start is None:
            off = 0
            continue
        step = entry.total.value - start - value
        below = line[place + 1] if place + 1 < len(line) else None
        lost = step > _LOST_LINE
        firm = _said_twice(entry, value)
        if step and not lost and firm and below is not None and _stays_off(entry, below):
            off += step
        elif off and step == -off:
            off = 0
        if off:
            wrong.add(place)
    return wrong


def _said_twice(entry: Entry, value: int) -> bool:
    """Whether two cards agree on the miles, so that it is not these that are wrong."""
    witnesses = entry.stay.witnesses if entry.stay else []
    return sum(e.miles is not None and e.miles.value == value for e in witnesses) > 1


def _stays_off(entry: Entry, below: Entry) -> bool:
    """Whether the line below goes on from this total, slip and all."""
    value = _written_best(below)[0]
    total, after = entry.total, below.total
    return (
        total is not None and after is not None and value is not None and total.value + value == after.value
    )


def _judge(draft: Draft, line: list[Entry], place: int) -> Rows:
    entry = line[place]
    if entry.total is None:
        return Rows()
    rows = Rows.of("read", 1 - entry.total.slip, "a total as written, going by how surely it was read")
    if entry.says == "total":
        summed = column_sum(line[:place])
        if summed is not None:
            agrees = summed == entry.total.value
            rows.add(
                "sum",
                9.0 if agrees else -3.5,
                "the lines above add up to it" if agrees else "the lines above add up to another figure",
            )
        return rows
    above = line[place - 1] if place else None
    start = 0 if above is None else (above.total.value if above.total else None)
    if start is not None:
        _against(rows, entry, start, entry.total.value, "above")
    below = line[place + 1] if place + 1 < len(line) else None
    if below is not None and below.says == "fitment" and below.total is not None:
        _against(rows, below, entry.total.value, below.total.value, "below")
    return rows


def _against(rows: Rows, entry: Entry, start: int, end: int, where: str) -> None:
    value, sure = _written_best(entry)
    if value is None:
        return
    if start + value == end:
        rows.add("totals", 9.0, f"it agrees with the line {where}")
    else:
        rows.add("totals", -3.2 * sure, f"it does not agree with the line {where}")


def _written_best(entry: Entry) -> tuple[int | None, float]:
    return best_figure(entry.stay) if entry.stay is not None else (None, 0.0)


def column_sum(line: list[Entry]) -> int | None:
    """The sum of the likeliest figures of all fitments; None where one has no figure."""
    values = [_written_best(e)[0] for e in line if e.says == "fitment" and (e.stay is not None or e.miles)]
    return None if not values or any(v is None for v in values) else sum(v for v in values if v is not None)


def _miles(draft: Draft, stay: Stay) -> Miles | None:
    value, sure = best_figure(stay)
    if value is not None and sure > _BELIEVED:
        stated = any(claim.value == value for claim in (e.miles for e in stay.entries) if claim)
        rivals = [v for v, p in stay.figures.items() if p > (1 - draft.settings.level)] or [value]
        low, high = min(value, *rivals), max(value, *rivals)
        return Miles(value, low, high, "stated" if stated else "derived", draft.settings.level)
    return estimated(draft, stay)


def estimated(draft: Draft, stay: Stay) -> Miles | None:
    """Time in traffic at the usual rate of the class, with its spread: two standard deviations of the log
    each way.
    """
    run = days_run(stay)
    if run is None or run[0] <= 0:
        return None
    middle = run[0] * exp(rate_of(draft, stay))
    spread = exp(1.96 * sqrt(draft.rate_spread**2 + (run[1] / max(30.0, run[0]) / 2) ** 2))
    return Miles(None, round(middle / spread), round(middle * spread), "estimated", draft.settings.level)


def total_of(stays: list[Stay], gaps: list[float], draft: Draft) -> TotalMiles:
    """Supported miles (stated and derived), and the range that holds the true sum.

    Figures that are likely right need no width: single doubts are let in, the greatest first, until the rest
    are all right together with the level. Errors are independent, so their squares add up. A gap longer than
    usual may hide a fitment, and its miles at the usual rate widen the upper end.
    """
    supported, middle, below, above = 0, 0, 0.0, 0.0
    doubts: list[tuple[float, float]] = []
    for stay in stays:
        miles = stay.miles
        if miles is None or miles.low is None or miles.high is None:
            continue
        centre = round(sqrt(miles.low * miles.high)) if miles.value is None else miles.value
        supported, middle = supported + (miles.value or 0), middle + centre
        below, above = below + (centre - miles.low) ** 2, above + (miles.high - centre) ** 2
        if miles.value is not None:
            doubts.append((stay.figures.get(miles.value, 1.0) * _there(stay), _ERROR_SHARE * centre))
    for size in _open_doubts(doubts, draft.settings.level):
        below, above = below + size**2, above + size**2
    hidden = sum(gaps) * exp(draft.learnt.ran("").log_rate)
    low, high = round(middle - sqrt(below)), round(middle + sqrt(above) + hidden)
    return TotalMiles(supported, max(0, low), high, draft.settings.level)


def _there(stay: Stay) -> float:
    """That the fitment was at all, as far as its miles are concerned."""
    return stay.sure if stay.own is None or stay.mirror is None else 1.0


def _open_doubts(doubts: list[tuple[float, float]], level: float) -> list[float]:
    """The sizes of the errors to allow for, so that the rest are all right with the level."""
    ranked = sorted(doubts)
    right = 1.0
    for probability, _ in ranked:
        right *= probability
    found = []
    for probability, size in ranked:
        if right >= level:
            break
        right /= max(probability, 1e-6)
        found.append(size)
    return found
