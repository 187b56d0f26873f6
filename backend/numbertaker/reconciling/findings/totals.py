"""Totals that differ from what they total: what the column of a card, judged as a whole, says befell it.

One finding for each thing that befell: a figure or a total that is wrong by itself, a slip that was carried
forward from there on, or a line that was lost. Its confidence is the probability that not all is right there.
"""

from __future__ import annotations

from typing import Final

from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.entries import Draft, Entry
from numbertaker.reconciling.findings.due import Due
from numbertaker.reconciling.findings.notes import Notes
from numbertaker.reconciling.mileage import best_figure
from numbertaker.reconciling.miles.column import Column, Judged
from numbertaker.reconciling.miles.rungs import Rung
from numbertaker.reconciling.wording import card, miles, sentence, spell

_LIKELY: Final = 0.5
_COUNTED: Final = 0.9
_IDLE: Final = 200
_MANY: Final = 12


def of_columns(family: int, draft: Draft, notes: Notes, due: Due) -> None:
    """Look at the columns of each component, then at lines entered twice with another total."""
    for name in sorted(due.columns):
        cards = sorted(draft.ladders.cards(name)) if draft.ladders is not None else []
        with notes.at((family, name), tuple(cards)):
            for key in cards:
                if key in draft.columns:
                    _of_column(draft, notes, draft.columns[key])
                    _entered_again(draft, notes, draft.cards[key])


def _of_column(draft: Draft, notes: Notes, column: Column) -> None:
    for place, (rung, judged) in enumerate(zip(column.rungs, column.judged, strict=True)):
        if rung.entry is not None:
            _rung(draft, notes, column, place, rung=rung, judged=judged)
        else:
            _left_out(draft, notes, column, place, rung=rung, judged=judged)


def _rung(draft: Draft, notes: Notes, column: Column, place: int, *, rung: Rung, judged: Judged) -> None:
    """What is wrong on one line, if it is likely that anything is."""
    entry = rung.entry
    if entry is None:
        return
    if rung.total is None:
        _figure(draft, notes, column, place, rung=rung, judged=judged)
        return
    if 1 - judged.sound < _LIKELY:
        return
    befell = {what: judged.what.get(what, 0.0) for what in ("wrong", "carried", "lost", "several")}
    claim = rung.claim
    befell["figure"] = 0.0 if claim is None else 1 - judged.figures.get(claim.value, 0.0)
    what = max(befell, key=lambda name: befell[name])
    if what == "several":
        _sum(draft, notes, column, place, befell[what])
    elif what == "figure":
        _figure(draft, notes, column, place, rung=rung, judged=judged)
    else:
        _total(draft, notes, column, place, what=what, sure=1 - judged.sound)


def _left_out(draft: Draft, notes: Notes, column: Column, place: int, *, rung: Rung, judged: Judged) -> None:
    """A fitment that the card has no line for, and that its totals count."""
    stay = rung.stay
    counted = 1 - judged.what.get("absent", 0.0)
    above, below = _above(column, place), _below(column, place)
    if stay is None or stay.own is not None or below is None or not stay.figures or counted < _COUNTED:
        return
    lead = stay.lead
    if lead.says == "carried" or best_figure(stay)[0] is None:
        return
    around = [e for e in (above, below) if e is not None]
    notes.add(
        "one-sided",
        sentence(
            f"{card(draft, lead)} has a fitment of {miles(best_figure(stay)[0] or 0)} miles that"
            f" {card(draft, below)} counts in its total, while no line above it tells of it."
        ),
        entries=(lead, *around),
        components=(below.component_id,),
        confidence=counted,
        span=(int(stay.rough[0]), int(stay.rough[1])) if stay.rough else (None, None),
    )
    # What is missing is said: the family of gaps passes over it.
    notes.explained.update(e.key(cell) for e in stay.witnesses for cell in ("engine", "component"))


def _total(draft: Draft, notes: Notes, column: Column, place: int, *, what: str, sure: float) -> None:
    """A total that is wrong, or goes wrong here, or rises by more than the line ran."""
    rung = column.rungs[place]
    entry, total = rung.entry, rung.total
    if entry is None or total is None:
        return
    if entry.says == "total":
        _sum(draft, notes, column, place, sure)
        return
    above = _above(column, place)
    start = above.total.value if above is not None and above.total is not None else 0
    claim = rung.claim
    idle = _idle(above, entry)
    kind = "gap" if what == "lost" and idle > _IDLE else "total-mismatch"
    keys = [c.key for c in (above.total if above else None, total, claim) if c is not None]
    notes.add(
        kind,
        _says(
            draft, entry, rise=total.value - start, ran=claim.value if claim else None, idle=idle, what=what
        ),
        claims=keys,
        components=(entry.stay.component_id if entry.stay else entry.component_id,),
        confidence=sure,
        more_lines=_between(draft, above, entry) if kind == "gap" else (),
    )


_BEFELL: Final = {
    "wrong": "The totals below go on as if it were another figure.",
    "carried": "The totals below carry the difference forward.",
    "lost": "A line seems to be missing above it.",
}


def _says(draft: Draft, entry: Entry, *, rise: int, ran: int | None, idle: int, what: str) -> str:
    total = entry.total.value if entry.total else 0
    moved = f"rise by {miles(rise)}" if rise >= 0 else f"fall by {miles(-rise)}"
    text = f"{card(draft, entry)} has the total {moved} to {miles(total)}"
    if ran is None:
        text += ", which does not go with the totals around it."
    else:
        side = "more" if rise > ran else "less"
        text += (
            f", but the fitment ran {miles(ran)}: {miles(abs(rise - ran))} {side} than the line accounts for."
        )
    if what == "lost" and idle > _IDLE:
        return sentence(f"{text} Between them it lay {spell(idle)} unaccounted for.")
    return sentence(f"{text} {_BEFELL[what]}")


def _figure(draft: Draft, notes: Notes, column: Column, place: int, *, rung: Rung, judged: Judged) -> None:
    """A figure that the totals contradict, where no other card does."""
    claim, entry = rung.claim, rung.entry
    if claim is None or entry is None or entry.stay is None or claim.key in notes.explained:
        return
    right = judged.figures.get(claim.value, 0.0)
    if right > _LIKELY:
        return
    wanted = max(sorted(judged.figures), key=lambda v: judged.figures[v], default=None)
    above, below = _above(column, place), _below(column, place)
    ends = [e.total.key for e in (above, below) if e is not None and e.total is not None]
    rest = "" if wanted in {None, claim.value} else f" The totals want {miles(wanted or 0)}."
    notes.add(
        "total-mismatch",
        sentence(
            f"{card(draft, entry)} has {miles(claim.value)} miles, which the totals above and below it do not"
            f" bear out.{rest}"
        ),
        claims=(*ends, claim.key),
        components=(entry.stay.component_id,),
        confidence=1 - right,
    )
    notes.explained.add(claim.key)


def _sum(draft: Draft, notes: Notes, column: Column, place: int, sure: float) -> None:
    """A total under several lines that do not add up to it."""
    rung = column.rungs[place]
    above = [r for r in column.rungs[:place] if r.entry is not None and r.total is None]
    claims = [claim for r in above if (claim := r.claim) is not None]
    if rung.entry is None or rung.total is None or len(claims) < len(above):
        return
    off = rung.total.value - sum(claim.value for claim in claims)
    start = _above(column, place)
    off -= (
        start.total.value
        if start is not None and start.total is not None and rung.entry.says != "total"
        else 0
    )
    told = [e.line_of("miles").line_id for r in above if (e := r.entry) is not None]
    notes.add(
        "total-mismatch",
        sentence(
            f"{card(draft, rung.entry)} gives a total of {miles(rung.total.value)}, and the lines above it"
            f" account for {miles(abs(off))} {'less' if off > 0 else 'more'}."
        ),
        claims=(rung.total.key,),
        components=(rung.entry.component_id,),
        confidence=sure,
        more_lines=told if len(told) < _MANY else (),
    )


def _entered_again(draft: Draft, notes: Notes, entries: list[Entry]) -> None:
    """A line entered twice whose totals differ."""
    for entry in entries:
        first = entry.twin
        if (
            first is None
            or first.total is None
            or entry.total is None
            or first.total.value == entry.total.value
        ):
            continue
        claims: tuple[CellKey, ...] = (first.total.key, entry.total.key)
        notes.add(
            "total-mismatch",
            sentence(
                f"{card(draft, entry)} enters the line above again, with a total of"
                f" {miles(entry.total.value)} instead of {miles(first.total.value)}."
            ),
            claims=claims,
            components=(entry.component_id,),
            confidence=0.9,
        )


def _above(column: Column, place: int) -> Entry | None:
    """The entry with the total that a line goes on from."""
    rungs = reversed(column.rungs[:place])
    return next((r.entry for r in rungs if r.entry is not None and r.total is not None), None)


def _below(column: Column, place: int) -> Entry | None:
    """The entry with the total that a line is counted in: its own, or one further down."""
    return next((r.entry for r in column.rungs[place:] if r.entry is not None and r.total is not None), None)


def _between(draft: Draft, above: Entry | None, entry: Entry) -> list[str]:
    """The lines that stand between the two: what is missing may stand next to any of them."""
    card_ = draft.cards[entry.card]
    start = card_.index(above) + 1 if above in card_ else 0
    return [e.id for e in card_[start : card_.index(entry)]]


def _idle(above: Entry | None, entry: Entry) -> int:
    if above is None or above.removed is None or entry.fitted is None:
        return 0
    return entry.fitted.first - above.removed.last
