"""Figures that can't all be true: of one fitment, of totals, and of the time they were run in."""

from __future__ import annotations

from numbertaker.reconciling.entries import Draft, Entry, FigureClaim, Stay
from numbertaker.reconciling.findings.notes import Notes
from numbertaker.reconciling.mileage import best_figure, column_sum, days_run, deviation, running
from numbertaker.reconciling.wording import card, miles, sentence, spell

_FAR_OFF = 4.0
_UNSEEN = 8000
_IDLE = 200
_MANY = 12


def find(draft: Draft, notes: Notes) -> None:
    """Look at each stay's figures, then at the totals of each card, then at the rates."""
    stays = sorted(draft.stays, key=lambda s: s.rank)
    for stay in stays:
        _conflict(draft, notes, stay)
    for entries in draft.cards.values():
        if entries[0].side == "component":
            _totals(draft, notes, running(entries))
    for stay in stays:
        _rate(draft, notes, stay)


def _conflict(draft: Draft, notes: Notes, stay: Stay) -> None:
    """One finding for each figure that differs from the likeliest, between the entries nearest the source."""
    claims = [(e, e.miles) for e in stay.entries if e.miles is not None]
    if len({claim.value for _, claim in claims}) < 2:
        return
    best, _ = best_figure(stay)
    top, figure = next(((e, c) for e, c in claims if c.value == best), claims[0])
    seen = {figure.value}
    for entry, claim in claims:
        if claim.value in seen:
            continue
        seen.add(claim.value)
        first, second = (
            ((top, figure), (entry, claim))
            if _comes_first(stay, top, entry)
            else ((entry, claim), (top, figure))
        )
        notes.add(
            "mileage-conflict",
            sentence(
                f"{card(draft, first[0])} says {miles(first[1].value)} miles, {card(draft, second[0])} says"
                f" {miles(second[1].value)}: they differ by {miles(abs(first[1].value - second[1].value))}."
            ),
            claims=(first[1].key, second[1].key),
            components=(stay.component_id,),
            confidence=0.93,
        )
    notes.explained.update(claim.key for _, claim in claims)


def _comes_first(stay: Stay, one: Entry, other: Entry) -> bool:
    entries = stay.entries
    return entries.index(one) < entries.index(other)


def _totals(draft: Draft, notes: Notes, line: list[Entry]) -> None:
    around: Entry | None = None
    for place, entry in enumerate(line):
        if entry.total is None:
            continue
        if entry.says == "total":
            _foot(draft, notes, line, place)
            continue
        above = line[place - 1] if place else None
        start = 0 if above is None else (above.total.value if above.total else None)
        value = _own_or_best(entry)
        if start is None or value is None or start + value == entry.total.value:
            continue
        if around is not None and around is above and _past(line, place):
            continue
        alone = place + 1 < len(line) and _past(line, place + 1)
        _step(draft, notes, above, entry, start=start, value=value, alone=alone)
        around = entry


def _own_or_best(entry: Entry) -> int | None:
    """The figure on the line itself, unless the other card's figure makes the total right."""
    best = best_figure(entry.stay)[0] if entry.stay else None
    if entry.miles is None:
        return best
    return best if best is not None and entry.stay and entry.stay.mirror else entry.miles.value


def _past(line: list[Entry], place: int) -> bool:
    """Whether the total above is the wrong one: from the one before it, two lines add up to this one."""
    before = line[place - 2] if place > 1 else None
    start = 0 if place < 2 else (before.total.value if before and before.total else None)
    one, two, total = _own_or_best(line[place - 1]), _own_or_best(line[place]), line[place].total
    return (
        None not in (start, one, two)
        and total is not None
        and (start or 0) + (one or 0) + (two or 0) == total.value
    )


def _step(
    draft: Draft, notes: Notes, above: Entry | None, entry: Entry, *, start: int, value: int, alone: bool
) -> None:
    if entry.total is None:
        return
    jump = entry.total.value - start
    idle = _idle(above, entry)
    claims: list[FigureClaim] = [c for c in (above.total if above else None, entry.total, entry.miles) if c]
    hidden = idle > _IDLE and jump > value + _UNSEEN and not alone
    kind = "gap" if hidden else "total-mismatch"
    off = jump - value
    side = "more" if off > 0 else "less"
    moved = f"rise by {miles(jump)}" if jump >= 0 else f"fall by {miles(-jump)}"
    rest = f" Between them it lay {spell(idle)} unaccounted for." if kind == "gap" else ""
    notes.add(
        kind,
        sentence(
            f"{card(draft, entry)} has the total {moved} to {miles(entry.total.value)}, but the"
            f" fitment ran {miles(value)}: {miles(abs(off))} {side} than the line accounts"
            f" for.{rest}"
        ),
        claims=tuple(c.key for c in claims),
        components=(entry.stay.component_id if entry.stay else entry.component_id,),
        confidence=0.88,
        more_lines=_between(draft, above, entry) if kind == "gap" else (),
    )


def _between(draft: Draft, above: Entry | None, entry: Entry) -> list[str]:
    """The lines that stand between the two: what is missing may stand next to any of them."""
    card = draft.cards[entry.card]
    start = card.index(above) + 1 if above in card else 0
    return [e.id for e in card[start : card.index(entry)]]


def _idle(above: Entry | None, entry: Entry) -> int:
    if above is None or above.removed is None or entry.fitted is None:
        return 0
    return entry.fitted.first - above.removed.last


def _foot(draft: Draft, notes: Notes, line: list[Entry], place: int) -> None:
    """The total at the foot of a card against the sum of its lines, and of every fitment known by then."""
    entry = line[place]
    if entry.total is None:
        return
    summed = column_sum(line[:place])
    stays = draft.on_component.get(entry.component_id or "", [])
    known = [best_figure(stay)[0] for stay in stays]
    whole = sum(v for v in known if v is not None) if None not in known else None
    written = [e.miles.value for e in line[:place] if e.miles]
    if summed is None or entry.total.value in (summed, whole, sum(written)):
        return
    off = entry.total.value - summed
    notes.add(
        "total-mismatch",
        sentence(
            f"{card(draft, entry)} gives a total of {miles(entry.total.value)}, the {place} lines above it"
            f" add up to"
            f" {miles(summed)}: the total is {miles(abs(off))} {'more' if off > 0 else 'less'}."
        ),
        claims=(entry.total.key,),
        components=(entry.component_id,),
        confidence=0.9,
        more_lines=[e.line_of("miles").line_id for e in line[:place]] if place < _MANY else (),
    )


def _rate(draft: Draft, notes: Notes, stay: Stay) -> None:
    """A figure that its time can't hold, where no other finding explains it."""
    value, sure = best_figure(stay)
    run = days_run(stay)
    claims = [c for e in stay.witnesses for c in (e.miles, e.fitted, e.removed) if c]
    if value is None or run is None or sure < 0.3 or run[0] < 90 or not claims or stay.lead.copy:
        return
    if any(c.key in notes.explained for c in claims) or abs(deviation(draft, stay, value)) < _FAR_OFF:
        return
    if abs(deviation(draft, stay, value)) * draft.rate_spread < 0.9:
        return
    entry = stay.lead
    much = value / run[0] * 365.25
    notes.add(
        "rate-outlier",
        sentence(
            f"{card(draft, entry)} has {miles(value)} miles run in {spell(run[0])}, which is"
            f" {miles(round(much))} a year:"
            " far from what its class ran."
        ),
        claims=tuple(c.key for c in (entry.fitted, entry.removed, entry.miles) if c),
        components=(stay.component_id,),
        confidence=0.75,
    )
