"""Whose card each card is. A heading can be misread too: then the card's own lines say so.

A line of a component card *agrees* where the card of the engine it names has a line for that component with
those dates and miles, and the other way round; how strongly is told in log2 odds, as for pairs. Where the
lines of a card agree less than a setting asks for, the other subjects that its heading may mean are tried.
One is taken where its lines agree so much better that it outweighs how seldom headings are misread.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from numbertaker.evidence.designations import WrittenNumber, read_number
from numbertaker.linking import Sort, best, link_candidates
from numbertaker.reconciling.claims import FITMENT_LIKE
from numbertaker.reconciling.entries import DateClaim, Draft, Entry
from numbertaker.reconciling.pairing import dates_weight, miles_weight

_NEAR = 60
_AGREES = 12.0
_AT_MOST = 20.0
_NAMED = 4.0
_MISREAD = 9.0


def link_headings(draft: Draft) -> None:
    """Set the component or engine of every entry from its heading."""
    for entries in draft.cards.values():
        _link_card(draft, entries)
    _repair(draft, "component")
    _repair(draft, "engine")


def heading_of(entry: Entry) -> WrittenNumber:
    """The heading of a card, with the name in its column."""
    number = read_number(entry.line.heading) if entry.line.heading else read_number(entry.line.heading_name)
    if entry.line.heading_name and entry.line.heading and not number.name:
        return WrittenNumber(number.text, number.number, read_number(entry.line.heading_name).name)
    return number


def _link_card(draft: Draft, entries: list[Entry]) -> None:
    for entry in entries:
        if entry.side == "statement":
            entry.component_id = literal(draft, entry, "component")
    if entries[0].side == "statement":
        return
    sort: Sort = "component" if entries[0].side == "component" else "engine"
    covered = _days_of(entries)
    ruled = _ruled_heading(draft, entries) or _stated_subject(draft, entries)
    found = ruled or best(link_candidates(draft.index, heading_of(entries[0]), sort, *covered))
    for entry in entries:
        _set(entry, sort, found)


def _ruled_heading(draft: Draft, entries: list[Entry]) -> str | None:
    for entry in entries:
        for line in entry.lines:
            for key, subject in draft.ruled.links.items():
                if key.line_id == line.line_id and key.field in {"heading", "heading_name"}:
                    return subject
    return None


def _stated_subject(draft: Draft, entries: list[Entry]) -> str | None:
    """Whose card it is, where the table of cards says so."""
    subject = draft.subjects.get(entries[0].line.card_id)
    known = draft.index.components if entries[0].side == "component" else draft.index.engines
    return subject if subject in known and entries[0].side != "statement" else None


def _set(entry: Entry, sort: Sort, subject: str | None) -> None:
    if sort == "component":
        entry.component_id = subject
    else:
        entry.engine_id = subject


def _days_of(entries: list[Entry]) -> tuple[int, int]:
    """The middle days of a card: half of its dates lie between them, so that one slip does not widen them."""
    days = sorted(int(claim.middle) for entry in entries for claim in (entry.fitted, entry.removed) if claim)
    if not days:
        return 1, 3_652_059
    return days[len(days) // 4], days[-1 - len(days) // 4]


def literal(draft: Draft, entry: Entry, column: str) -> str | None:
    """Whom the text of a cell means as it stands; a person's ruling comes first. None: nobody, or open."""
    key = entry.key(column)
    if key in draft.ruled.links:
        return draft.ruled.links[key]
    written = entry.engine if column == "engine" else entry.component
    if written is None or not written.bare:
        return None
    sort: Sort = "engine" if column == "engine" else "component"
    bearers = [*draft.index.bearers(written.number, sort), *draft.index.named(written.name, sort)]
    if len(bearers) < 2:
        return bearers[0].subject_id if bearers else None
    first, last = entry.between
    # Of several who bore it, the one who bore it then, and longest of that time.
    return max(
        bearers, key=lambda b: (b.at(first, last), min(b.last, last) - max(b.first, first), b.subject_id)
    ).subject_id


def near(one: DateClaim | None, other: DateClaim | None) -> bool:
    """Whether two dates may be of one event, a little loosely."""
    return (
        one is None or other is None or (one.first - _NEAR <= other.last and other.first - _NEAR <= one.last)
    )


def _subject(entry: Entry, sort: Sort) -> str | None:
    return entry.component_id if sort == "component" else entry.engine_id


def _repair(draft: Draft, sort: Sort) -> None:
    """Try other subjects for cards of one sort that the facing cards do not know."""
    other: Sort = "engine" if sort == "component" else "component"
    facing: dict[str, list[Entry]] = defaultdict(list)
    cards = [[e for e in entries if e.says in FITMENT_LIKE] for entries in draft.cards.values()]
    for entries in cards:
        for entry in entries:
            if entry.side == other:
                for named in _meant(draft, entry, sort):
                    facing[named].append(entry)
    for key, entries in draft.cards.items():
        mine = [e for e in entries if e.side == sort and e.says in FITMENT_LIKE]
        if mine and _ruled_heading(draft, entries) is None and _stated_subject(draft, entries) is None:
            _repair_card(draft, key, mine, sort=sort, other=other, facing=facing)


def _meant(draft: Draft, entry: Entry, sort: Sort) -> list[str]:
    """Everybody who bore what an entry names, at its time; a ruling leaves one."""
    written = entry.engine if sort == "engine" else entry.component
    if entry.key(sort) in draft.ruled.links or written is None or not written.number:
        named = literal(draft, entry, sort)
        return [named] if named else []
    bearers = draft.index.bearers(written.number, sort)
    return sorted({b.subject_id for b in bearers if len(bearers) == 1 or b.at(*entry.between)})


def _plausible(draft: Draft, subject: str, mine: list[Entry], named: list[str | None], sort: Sort) -> int:
    """How many lines of a card fall within a subject's life and fit it."""
    life, count = draft.index.life(subject), 0
    for entry, facing in zip(mine, named, strict=True):
        first, last = entry.between
        dates = [d for d in (entry.fitted, entry.removed) if d]
        lived = all(life.first - 31 <= d.last and d.first <= life.last + 31 for d in dates)
        pair = (subject, facing) if sort == "component" else (facing, subject)
        fits = None in pair or draft.index.fits(str(pair[0]), str(pair[1]), first, last)
        count += lived and fits
    return count


def _agreement(entry: Entry, name: str | None, facing: Iterable[Entry], other: Sort) -> float:
    """How strongly one line agrees with the best of the lines facing it, in log2 odds; never below 0."""
    weights = (
        dates_weight(entry, f)
        + miles_weight(entry.miles, f.miles)
        + (0.0 if name is None else _NAMED if name == _subject(f, other) else -_NAMED)
        for f in facing
    )
    return min(_AT_MOST, max(weights, default=0.0))


def _repair_card(
    draft: Draft,
    key: tuple[str, str, str, str],
    mine: list[Entry],
    *,
    sort: Sort,
    other: Sort,
    facing: dict[str, list[Entry]],
) -> None:
    """Give a card to the subject that it agrees with best, where that outweighs what its heading says."""
    named = [literal(draft, e, other) for e in mine]

    def agreement(subject: str | None) -> float:
        facing_it = facing.get(subject or "", ())
        return sum(
            max(0.0, _agreement(e, name, facing_it, other)) for e, name in zip(mine, named, strict=True)
        )

    present = _subject(mine[0], sort)
    heading = heading_of(mine[0])
    now = agreement(present)
    several = len(draft.index.bearers(heading.number, sort)) > 1
    if now >= _AGREES * draft.settings.repair_agreement * len(mine) and not several:
        return
    tried = [c for c in link_candidates(draft.index, heading, sort) if c.subject_id]
    scored = [
        (
            agreement(c.subject_id)
            + _plausible(draft, c.subject_id, mine, named, sort)
            - (0.0 if c.exact else _MISREAD),
            c.exact,
            c.probability,
            c.subject_id,
        )
        for c in tried
    ]
    if not scored:
        return
    most, exact, _, subject = max(scored)
    held = now + (_plausible(draft, present, mine, named, sort) if present else 0.0)
    if subject == present or most <= held:
        return
    for entry in draft.cards[key]:
        _set(entry, sort, subject)
        entry.repaired = not exact
