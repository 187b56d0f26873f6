"""Whose card each card is. A heading can be misread too: then the card's own lines say so.

A line of a component card *agrees* where the card of the engine it names has a line for that component at
that date, and the other way round. Where fewer of a card's lines agree than a setting asks for, everybody
whom the heading may mean is weighed: how like the heading, and for each line what the best of the lines that
name them has in common with it, dates, miles and all. So two cards whose headings were taken for one another
are told apart, and a card facing a misheaded one still counts by its miles.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from typing import Final, TypeAlias

from numbertaker.evidence.days import Span
from numbertaker.evidence.designations import WrittenNumber, read_number
from numbertaker.evidence.records import CellKey
from numbertaker.linking import Sort, best, link_candidates
from numbertaker.linking.index import EVER_LAST, MEETING
from numbertaker.reconciling.claims import FITMENT_LIKE
from numbertaker.reconciling.entries import CardKey, DateClaim, Draft, Entry
from numbertaker.reconciling.facing import Facing, Heading, Named
from numbertaker.reconciling.odds import dates_weight, miles_weight

_Faced: TypeAlias = tuple[Entry, str | None]
"""A line of the other side, and whose card it stands on."""

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
    """Set the component or engine of the entries of every card with news, and of those that this touches."""
    facing = draft.facing = draft.facing or Facing(_ROUNDS)
    asked = _shelve(draft, facing) | set(draft.news.cards)
    changed = {key for key in draft.news.cards if facing.take(0, key, _as_headed(draft, key))}
    moved = set(facing.headings[0])
    touched = asked | changed
    for stage in range(_ROUNDS):
        due = asked | changed | _around(draft, facing, changed)
        # Whoever sees what he saw the round before makes nothing else of it.
        seeing = moved | (_around(draft, facing, moved) if stage else set())
        changed = {
            key
            for key in due
            if facing.take(stage + 1, key, _mended(draft, facing, stage, key, looks=key in seeing))
        }
        before, after = facing.headings[stage : stage + 2]
        moved = {key for key, heading in after.items() if heading != before[key]}
        touched |= changed
    for key in sorted(touched):
        _take_heading(draft, key, facing.headings[-1].get(key))


def _shelve(draft: Draft, facing: Facing) -> set[CardKey]:
    """Shelve what is new by whom it names; the cards whose heading may mean one of these."""
    news = draft.news
    touched: set[Named] = set()
    for entry in news.gone:
        touched.update(facing.put(entry, ()))
    for entry in news.entries:
        if entry.side == "statement":
            entry.component_id = literal(draft, entry, "component")
        if entry.says in FITMENT_LIKE:
            named = [(s, who) for s in SORTS if s != entry.side for who in _meant(draft, entry, s)]
            touched.update(facing.put(entry, named))
    for key in news.cards:
        facing.head(key, _may_head(draft, draft.cards.get(key)))
    return facing.cards(touched)


def _around(draft: Draft, facing: Facing, cards: Iterable[CardKey]) -> set[CardKey]:
    """The cards that may be of somebody whom a line of these names."""
    return facing.around(entry for key in cards for entry in draft.cards.get(key, ()))


def _may_head(draft: Draft, entries: list[Entry] | None) -> list[Named]:
    """Everybody whose card it may be, going by its heading."""
    if not entries or entries[0].side == "statement":
        return []
    sort = _sort_of(entries[0])
    found = link_candidates(draft.index, heading_of(entries[0]), sort)
    return [(sort, bearer.subject_id) for bearer in found.bearers]


def heading_of(entry: Entry) -> WrittenNumber:
    """The heading of a card, with the name in its column."""
    number = read_number(entry.line.heading) if entry.line.heading else read_number(entry.line.heading_name)
    if entry.line.heading_name and entry.line.heading and not number.name:
        return WrittenNumber(number.text, number.number, read_number(entry.line.heading_name).name)
    return number


def _as_headed(draft: Draft, key: CardKey) -> Heading | None:
    """Whose card it is by its heading, or as a person ruled, or by the table of cards."""
    entries = draft.cards.get(key)
    if not entries:
        return None
    if entries[0].side == "statement":
        return Heading(None)
    sort = _sort_of(entries[0])
    ruled, stated = _ruled_heading(draft, entries), stated_subject(draft, entries)
    heading = heading_of(entries[0])
    found = ruled or stated or best(link_candidates(draft.index, heading, sort, *_days_of(entries)))
    open_ = ruled is None and found is not None and bool(heading.bare)
    return Heading(found, open_ and not _borne(draft, heading, found or "", sort))


def _mended(draft: Draft, facing: Facing, stage: int, key: CardKey, *, looks: bool) -> Heading | None:
    """What a card is taken for after one more round."""
    entries, heads = draft.cards.get(key), facing.headings[stage]
    if not entries:
        return None
    subject = _better(draft, entries, facing, heads) if looks else None
    if subject is None:
        return heads[key]
    return Heading(subject, not _borne(draft, heading_of(entries[0]), subject, _sort_of(entries[0])))


def _take_heading(draft: Draft, key: CardKey, heading: Heading | None) -> None:
    """Give a card's subject to its entries; those for whom it is another are news."""
    if heading is None or key[1] == "statement":
        return
    entries = draft.cards[key]
    single = all(e.says in _ENDS for e in entries) and not _ruled_heading(draft, entries)
    single = single and not stated_subject(draft, entries)
    for entry in entries:
        subject = (_by_its_day(draft, entry) if single else None) or heading.subject
        known = entry.component_id if entry.side == "component" else entry.engine_id
        if (known, entry.repaired) != (subject, heading.alike):
            draft.news.entries[entry] = None
            entry.repaired = heading.alike
            if entry.side == "component":
                entry.component_id = subject
            else:
                entry.engine_id = subject


def _by_its_day(draft: Draft, entry: Entry) -> str | None:
    """Of several who bore a number, the one whose life began or ended on the day that a list states; None
    where that is nobody, or more than one.
    """
    index, claim = draft.index, entry.fitted or entry.removed
    heading, sort = heading_of(entry), _sort_of(entry)
    bearers = index.bearers(heading.number, sort) if heading.number else index.named(heading.name, sort)
    if claim is None or len(bearers) < 2:
        return None
    lives = {b.subject_id: index.life(b.subject_id) for b in bearers}
    ends = {name: life.start if entry.says == "built" else life.end for name, life in lives.items()}
    for loose in (0, MEETING):
        day = Span(claim.first - loose, claim.last + loose)
        met = [name for name, end in ends.items() if end != Span(None, None) and end.intersects(day)]
        if len(met) == 1:
            return met[0]
    return None


def _borne(draft: Draft, heading: WrittenNumber, subject: str, sort: Sort) -> bool:
    """Whether a subject bore the number of a heading, letter for letter, at any time; or its name, if that is
    all.
    """
    index = draft.index
    bearers = index.bearers(heading.number, sort) if heading.number else index.named(heading.name, sort)
    return any(b.subject_id == subject for b in bearers)


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


def _subject(entry: Entry, sort: Sort, heads: Mapping[CardKey, Heading]) -> str | None:
    """Of whom of a sort a line is, going by what the headings are taken for."""
    if entry.side == sort:
        return heads[entry.card].subject
    return entry.component_id if sort == "component" and entry.side == "statement" else None


def _sort_of(entry: Entry) -> Sort:
    return "component" if entry.side == "component" else "engine"


def _meant(draft: Draft, entry: Entry, sort: Sort) -> list[str]:
    """Everybody who bore what an entry names, at its time; a ruling leaves one."""
    written = entry.engine if sort == "engine" else entry.component
    if entry.key(sort) in draft.ruled.links or written is None or not written.number:
        named = literal(draft, entry, sort)
        return [named] if named else []
    bearers = draft.index.bearers(written.number, sort)
    return sorted({b.subject_id for b in bearers if len(bearers) == 1 or b.at(*entry.between)})


def _better(
    draft: Draft, entries: list[Entry], facing: Facing, heads: Mapping[CardKey, Heading]
) -> str | None:
    """Whose card it is by its lines; None: whose it is taken to be."""
    mine = [e for e in entries if e.says in FITMENT_LIKE]
    if entries[0].side == "statement" or not mine:
        return None
    if _ruled_heading(draft, entries) is not None or stated_subject(draft, entries) is not None:
        return None
    sort = _sort_of(entries[0])
    other: Sort = "engine" if sort == "component" else "component"
    present, named = heads[entries[0].card].subject, [literal(draft, e, other) for e in mine]

    def told(subject: str) -> list[_Faced]:
        return [(f, _subject(f, other, heads)) for f in facing.lines(sort, subject)]

    heading = heading_of(mine[0])
    several = len(draft.index.bearers(heading.number, sort)) > 1
    if (
        present
        and not several
        and _known(told(present), mine, named) >= draft.settings.repair_agreement * len(mine)
    ):
        return None
    scores = _scored(draft, entries, named, told, present)
    if not scores:
        return None
    subject = max(scores, key=lambda s: (scores[s], s))
    weight, exact = scores[subject]
    least = scores[present][0] if present in scores else 0.0
    if subject == present or weight < least + (0.0 if exact else _MARGIN):
        return None
    return subject


def _scored(
    draft: Draft,
    entries: list[Entry],
    named: list[str | None],
    told: Callable[[str], list[_Faced]],
    present: str | None,
) -> dict[str, tuple[float, bool]]:
    """What speaks for each whom a heading may mean, and whether it has the very text; those left out who
    could not come up to `present`, whose card it is taken for, however well the lines agree.
    """
    mine, sort = [e for e in entries if e.says in FITMENT_LIKE], _sort_of(entries[0])
    candidates = list(link_candidates(draft.index, heading_of(mine[0]), sort).bearers)
    candidates.sort(key=lambda c: c.subject_id != present)
    scores: dict[str, tuple[float, bool]] = {}
    for c in candidates:
        life = _WHOLE_LIFE * _whole_life(draft, c.subject_id, mine)
        weight = c.weight + life + _STATED_END * _stated_ends(draft, c.subject_id, entries)
        lines = told(c.subject_id)
        if present in scores and weight + _MOST * min(len(mine), len(lines)) < scores[present][0]:
            continue
        weight -= _STRANGE * _implausible(draft, c.subject_id, mine, named, sort)
        scores[c.subject_id] = weight + _supports(mine, named, lines), c.exact
    return scores


def _known(told: Iterable[_Faced], mine: list[Entry], named: list[str | None]) -> int:
    """How many lines of a card are known to the cards facing it: the same subject, about the same day."""
    days: dict[str | None, list[Entry]] = defaultdict(list)
    for facing, subject in told:
        days[subject].append(facing)
    return sum(
        name is not None and any(near(e.fitted, f.fitted) for f in days.get(name, ()))
        for e, name in zip(mine, named, strict=True)
    )


def _supports(mine: list[Entry], named: list[str | None], told: Iterable[_Faced]) -> float:
    """What the facing lines of one subject say for its being the card meant."""
    spans = [(*facing.run, (facing, subject)) for facing, subject in told]
    whole = 0.0
    for entry, name in zip(mine, named, strict=True):
        first, last, miles = entry.run
        near_ = [faced for a, b, run, faced in spans if (a <= last and first <= b) or run == miles]
        whole += _support(entry, name, near_)
    return whole


def _support(entry: Entry, name: str | None, told: Iterable[_Faced]) -> float:
    """What the best of the facing lines says for it: log2 odds, at most `_MOST`."""
    best_of = 0.0
    for facing, subject in told:
        if _strangers(entry, facing):
            continue
        tie = dates_weight(entry, facing) + miles_weight(entry.miles, facing.miles)
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
