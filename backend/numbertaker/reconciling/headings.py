"""Whose card each card is. A heading can be misread too: then the card's own lines say so.

A line of a component card *agrees* where the card of the engine it names has a line for that component at
that date, and the other way round. Where fewer of a card's lines agree than a setting asks for, everybody
whom the heading may mean is weighed: how like the heading, and for each line what the best of the lines that
name them has in common with it, dates, miles and all. So two cards whose headings were taken for one another
are told apart, and a card facing a misheaded one still counts by its miles.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Final

from numbertaker.evidence.days import Span
from numbertaker.evidence.designations import WrittenNumber, read_number
from numbertaker.evidence.records import CellKey
from numbertaker.linking import Sort, best, link_candidates
from numbertaker.linking.index import EVER_LAST, MEETING
from numbertaker.reconciling.claims import FITMENT_LIKE
from numbertaker.reconciling.entries import DateClaim, Draft, Entry
from numbertaker.reconciling.odds import dates_weight, miles_weight

SORTS: Final[tuple[Sort, Sort]] = ("component", "engine")
_ENDS: Final = ("built", "withdrawn", "condemned")
_NEAR = 60
_ROUNDS = 2
_NAMED = 5.0
_BY_CHANCE = 6.0
_MOST = 12.0
_STRANGE = 1.5
_MARGIN = 6.0
_WHOLE_LIFE = 2.0
_STATED_END = 3.0


def link_headings(draft: Draft) -> None:
    """Set the component or engine of every entry from its heading."""
    for entries in draft.cards.values():
        _link_card(draft, entries)
    _repair(draft)


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
    ruled, stated = _ruled_heading(draft, entries), stated_subject(draft, entries)
    heading = heading_of(entries[0])
    found = ruled or stated or best(link_candidates(draft.index, heading, sort, *covered))
    alike = (
        ruled is None and found is not None and bool(heading.bare) and not _borne(draft, heading, found, sort)
    )
    single = ruled is None and stated is None and all(entry.says in _ENDS for entry in entries)
    for entry in entries:
        _set(entry, sort, (_by_its_day(draft, entry, heading, sort) if single else None) or found)
        entry.repaired = alike


def _borne(draft: Draft, heading: WrittenNumber, subject: str, sort: Sort) -> bool:
    """Whether a subject bore the number of a heading, letter for letter, at any time; or its name, if that is
    all.
    """
    index = draft.index
    bearers = index.bearers(heading.number, sort) if heading.number else index.named(heading.name, sort)
    return any(b.subject_id == subject for b in bearers)


def _by_its_day(draft: Draft, entry: Entry, heading: WrittenNumber, sort: Sort) -> str | None:
    """Of several who bore a number, the one whose life began or ended on the day that a list states; None
    where that is nobody, or more than one.
    """
    index, claim = draft.index, entry.fitted or entry.removed
    bearers = index.bearers(heading.number, sort) if heading.number else index.named(heading.name, sort)
    if claim is None or len(bearers) < 2:
        return None
    lives = {b.subject_id: index.life(b.subject_id) for b in bearers}
    ends = {name: life.start if entry.says == "built" else life.end for name, life in lives.items()}
    day = Span(claim.first - MEETING, claim.last + MEETING)
    met = [name for name, end in ends.items() if end != Span(None, None) and end.intersects(day)]
    return met[0] if len(met) == 1 else None


def _ruled_heading(draft: Draft, entries: list[Entry]) -> str | None:
    links = draft.ruled.links
    if links:
        for line in (line for entry in entries for line in entry.lines):
            for column in ("heading", "heading_name"):
                subject = links.get(CellKey(line.line_id, column))
                if subject is not None:
                    return subject
    return None


def stated_subject(draft: Draft, entries: list[Entry]) -> str | None:
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


def _repair(draft: Draft) -> None:
    """Try other subjects for the cards that the cards facing them do not know.

    Every card is looked at as all headings stood before, and then all are changed at once, so that the order
    of cards is nothing. A second round lets a card profit from what was mended on those facing it.
    """
    for _ in range(_ROUNDS):
        facing = {sort: _facing(draft, sort) for sort in SORTS}
        found = {key: _better(draft, entries, facing) for key, entries in draft.cards.items()}
        moved = {key: better for key, better in found.items() if better is not None}
        for key, subject in moved.items():
            sort = _sort_of(draft.cards[key][0])
            alike = not _borne(draft, heading_of(draft.cards[key][0]), subject, sort)
            for entry in draft.cards[key]:
                _set(entry, sort, subject)
                entry.repaired = alike
        if not moved:
            return


def _sort_of(entry: Entry) -> Sort:
    return "component" if entry.side == "component" else "engine"


def _facing(draft: Draft, sort: Sort) -> dict[str, list[Entry]]:
    """The lines of the other side, and of lists, by whom of this sort they name."""
    facing: dict[str, list[Entry]] = defaultdict(list)
    for entries in draft.cards.values():
        for entry in entries:
            if entry.side != sort and entry.says in FITMENT_LIKE:
                for named in _meant(draft, entry, sort):
                    facing[named].append(entry)
    return facing


def _meant(draft: Draft, entry: Entry, sort: Sort) -> list[str]:
    """Everybody who bore what an entry names, at its time; a ruling leaves one."""
    written = entry.engine if sort == "engine" else entry.component
    if entry.key(sort) in draft.ruled.links or written is None or not written.number:
        named = literal(draft, entry, sort)
        return [named] if named else []
    bearers = draft.index.bearers(written.number, sort)
    return sorted({b.subject_id for b in bearers if len(bearers) == 1 or b.at(*entry.between)})


def _better(draft: Draft, entries: list[Entry], facing: dict[Sort, dict[str, list[Entry]]]) -> str | None:
    """Whose card it is by its lines; None: whose it is taken to be."""
    mine = [e for e in entries if e.says in FITMENT_LIKE]
    if entries[0].side == "statement" or not mine:
        return None
    if _ruled_heading(draft, entries) is not None or stated_subject(draft, entries) is not None:
        return None
    sort = _sort_of(entries[0])
    other: Sort = "engine" if sort == "component" else "component"
    present, named = _subject(mine[0], sort), [literal(draft, e, other) for e in mine]
    told = facing[sort]
    heading = heading_of(mine[0])
    several = len(draft.index.bearers(heading.number, sort)) > 1
    if (
        present
        and not several
        and _known(told.get(present, ()), mine, named, other) >= (draft.settings.repair_agreement * len(mine))
    ):
        return None
    scores = {
        c.subject_id: (
            c.weight
            + sum(
                _support(e, name, told.get(c.subject_id, ()), other)
                for e, name in zip(mine, named, strict=True)
            )
            - _STRANGE * _implausible(draft, c.subject_id, mine, named, sort)
            + _WHOLE_LIFE * _whole_life(draft, c.subject_id, mine)
            + _STATED_END * _stated_ends(draft, c.subject_id, entries),
            c.exact,
        )
        for c in link_candidates(draft.index, heading, sort)
        if c.subject_id
    }
    if not scores:
        return None
    subject = max(scores, key=lambda s: (scores[s], s))
    weight, exact = scores[subject]
    least = scores[present][0] if present in scores else 0.0
    if subject == present or weight < least + (0.0 if exact else _MARGIN):
        return None
    return subject


def _known(told: Iterable[Entry], mine: list[Entry], named: list[str | None], other: Sort) -> int:
    """How many lines of a card are known to the cards facing it: the same subject, about the same day."""
    days: dict[str | None, list[Entry]] = defaultdict(list)
    for facing in told:
        days[_subject(facing, other)].append(facing)
    return sum(
        name is not None and any(near(e.fitted, f.fitted) for f in days.get(name, ()))
        for e, name in zip(mine, named, strict=True)
    )


def _support(entry: Entry, name: str | None, told: Iterable[Entry], other: Sort) -> float:
    """What the best of the facing lines says for this being the card meant: log2 odds, at most `_MOST`."""
    best_of = 0.0
    for facing in told:
        if _strangers(entry, facing):
            continue
        tie = dates_weight(entry, facing) + miles_weight(entry.miles, facing.miles)
        subject = _subject(facing, other)
        if name is not None and subject is not None:
            tie += _NAMED if name == subject else -_NAMED
        best_of = max(best_of, min(_MOST, tie - _BY_CHANCE))
    return best_of


def _strangers(entry: Entry, facing: Entry) -> bool:
    """Whether no date of two lines meets and their miles differ: no name makes up for that."""
    if entry.miles and facing.miles and entry.miles.value == facing.miles.value:
        return False
    one, other = (entry.fitted, entry.removed), (facing.fitted, facing.removed)
    known = False
    # Ends are compared each way, since they may have been exchanged.
    for a in one:
        for b in other:
            if a is not None and b is not None:
                known = True
                if a.first <= b.last and b.first <= a.last:
                    return False
    return known


def _implausible(draft: Draft, subject: str, mine: list[Entry], named: list[str | None], sort: Sort) -> int:
    """How many lines of a card fall outside a subject's life or do not fit it."""
    life, count = draft.index.life(subject), 0
    for entry, facing in zip(mine, named, strict=True):
        first, last = entry.between
        dates = [d for d in (entry.fitted, entry.removed) if d]
        lived = all(life.first - 31 <= d.last and d.first <= life.last + 31 for d in dates)
        pair = (subject, facing) if sort == "component" else (facing, subject)
        fits = None in pair or draft.index.fits(str(pair[0]), str(pair[1]), first, last)
        count += not (lived and fits)
    return count


def _whole_life(draft: Draft, subject: str, mine: list[Entry]) -> int:
    """At how many of its ends a card meets a life: it was opened when new, and closed at the end."""
    life = draft.index.life(subject)
    begun, ended = mine[0].fitted, mine[-1].removed
    new = begun is not None and life.first <= begun.last and begun.first <= (life.start.last or 0)
    gone = ended is not None and (life.end.first or EVER_LAST) <= ended.last and ended.first <= life.last
    return new + gone


def _stated_ends(draft: Draft, subject: str, entries: list[Entry]) -> int:
    """How many of the days on which a card has its subject built or gone are those of a life, less those that
    are not.
    """
    life, count = draft.index.life(subject), 0
    for entry in entries:
        end = life.start if entry.says == "built" else life.end
        claim = entry.fitted or entry.removed
        if entry.says in _ENDS and claim is not None and end != Span(None, None):
            count += 1 if end.intersects(Span(claim.first - MEETING, claim.last + MEETING)) else -1
    return count
