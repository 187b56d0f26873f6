"""From lines to entries: dates with the card's era, figures, ditto marks resolved, half-lines joined."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache

from numbertaker.evidence.clerkdates import Era, WrittenDate, read_date
from numbertaker.evidence.days import Span, civil
from numbertaker.evidence.designations import WrittenNumber, read_number
from numbertaker.evidence.errors import BadInput
from numbertaker.evidence.figures import read_figure
from numbertaker.evidence.records import Card, CellKey, Line, Source
from numbertaker.evidence.signs import Mark, is_ditto, read_marks
from numbertaker.linking import Sort, best, link_candidates
from numbertaker.linking.index import hull, years_of
from numbertaker.reconciling.entries import CardKey, DateClaim, Draft, Entry, FigureClaim
from numbertaker.reconciling.learning import Says

FITMENT_LIKE = frozenset({"fitment", "fitted", "removed", "carried"})
_HALVES = frozenset({"fitted", "removed"})
_ANY_ERA = Era(1830, 1990)
_CENTURY = 36_500
_UNKNOWN = Source(source_id="", kind="other", title="")


def read_lines(draft: Draft) -> None:
    """Make the entries of every card with news, in the order of its rows."""
    cards = {card.card_id: card for card in draft.ruled.evidence.cards}
    whole = _archive_era(draft)
    for key in sorted(_cards_with_news(draft)):
        of_card = draft.lines_of.get(key, {}).values()
        lines = sorted(of_card, key=lambda line: (_row(line), line.line_id))
        made: list[Entry] = []
        if lines:
            era_of = _eras(draft, cards.get(lines[0].card_id), whole)
            made = _joined(draft, [_read_again(draft, line, key, era_of, whole) for line in lines])
            _follow_dittos(made)
        _put(draft, key, made)
        draft.news.cards[key] = None
    draft.cards = {key: draft.cards[key] for key in sorted(draft.cards) if draft.cards[key]}


def _cards_with_news(draft: Draft) -> set[CardKey]:
    """Lay every line to its card; the cards that have another line than last time, or a ruled cell."""
    before, due = draft.lines, set()
    draft.lines = lines = {line.line_id: line for line in draft.ruled.evidence.lines}
    for name, line in lines.items():
        known = before.get(name)
        if known is line:
            continue
        if known == line:
            lines[name] = known  # a corrected row is made anew each time
            continue
        if known is not None:
            due.add(_taken_off(draft, known))
        key = _card_of(line)
        draft.lines_of.setdefault(key, {})[name] = line
        due.add(key)
    due |= {_taken_off(draft, line) for name, line in before.items() if name not in lines}
    return due | {_card_of(lines[cell.line_id]) for cell in draft.news.cells if cell.line_id in lines}


def _taken_off(draft: Draft, line: Line) -> CardKey:
    key = _card_of(line)
    draft.lines_of[key].pop(line.line_id)
    return key


def _put(draft: Draft, key: CardKey, made: list[Entry]) -> None:
    """Lay out a card, keeping the entries that say just what they said."""
    before = {entry.id: entry for entry in draft.cards.get(key, ())}
    ruled = {cell.line_id for cell in draft.news.cells}
    now: dict[Entry, Entry] = {}
    for entry in made:
        if entry.heads:
            entry.heads = {column: head and now[head] for column, head in entry.heads.items()}
        known = before.get(entry.id)
        same = (
            known is not None
            and ruled.isdisjoint(line.line_id for line in entry.lines)
            and known.heads == entry.heads
            and (known is entry or _reading(known) == _reading(entry))
        )
        now[entry] = known if same and known is not None else entry
    draft.cards[key] = list(now.values())
    for entry in before.values():
        for line in entry.lines:
            draft.entry_of.pop(line.line_id, None)
    draft.entry_of.update((line.line_id, entry) for entry in now.values() for line in entry.lines)
    old = set(before.values())
    draft.news.entries.update((entry, None) for entry in now.values() if entry not in old)
    still = set(now.values())
    draft.news.gone.update((entry, None) for entry in before.values() if entry not in still)


def _reading(entry: Entry) -> tuple[object, ...]:
    """All that was read of an entry."""
    return (
        *(entry.line, entry.tail, entry.says, entry.row, entry.engine, entry.component),
        *(entry.fitted, entry.removed, entry.seen, entry.miles, entry.total, entry.unread),
    )


def _card_of(line: Line) -> CardKey:
    """A card is what has one card_id, or one place up to 'line n', and one heading."""
    place = line.card_id or line.locator.rpartition(",")[0] or line.locator
    heading = "" if line.side == "statement" else read_number(line.heading or line.heading_name).bare
    return (line.source_id, line.side, place, heading)


def _row(line: Line) -> int:
    return int(line.row_) if line.row_.isdecimal() else 0


def _era_of(spans: Iterable[Span]) -> Era | None:
    ends = years_of(spans)
    return None if ends is None else Era(civil(ends[0])[0], civil(ends[1])[0])


def _archive_era(draft: Draft) -> Era:
    lives = [span for life in draft.index.lives.values() for span in (life.start, life.end)]
    return _era_of(lives) or _ANY_ERA


def _eras(draft: Draft, card: Card | None, whole: Era) -> Callable[[Line], Era]:
    """The years that a line of a card may speak of: the card's own, else the life of its subject."""
    if card is not None and card.covers:
        stated = _era_of([hull(card.covers)])
        if stated is not None:
            return lambda line: stated
    known: dict[tuple[str, str, str], Era] = {}

    def of(line: Line) -> Era:
        key = (line.heading, line.heading_name, line.component)
        if key not in known:
            known[key] = _life_era(draft, _subject(draft, line), whole)
        return known[key]

    return of


def _read_again(draft: Draft, line: Line, key: CardKey, era_of: Callable[[Line], Era], whole: Era) -> Entry:
    """The entry of a line; the one that it has, where that is made of this line alone and nothing is new."""
    known = draft.entry_of.get(line.line_id)
    if known is not None and known.line is line and known.card == key and known.tail is None:
        alone = not known.heads and line.says not in _HALVES
        if alone and all(cell.line_id != line.line_id for cell in draft.news.cells):
            return known
    return _entry(draft, line, key, (era_of(line), whole))


def _subject(draft: Draft, line: Line) -> str | None:
    if line.side == "engine":
        return best(link_candidates(draft.index, read_number(line.heading or line.heading_name), "engine"))
    text = line.heading or line.heading_name if line.side == "component" else line.component
    return best(link_candidates(draft.index, read_number(text), "component"))


def _life_era(draft: Draft, subject: str | None, whole: Era) -> Era:
    if subject is None:
        return whole
    life = draft.index.life(subject)
    era = _era_of((life.start, life.end))
    if era is None or life.start.first is None or life.end.last is None:
        return whole
    return era


def _entry(draft: Draft, line: Line, key: CardKey, eras: tuple[Era, Era]) -> Entry:
    source = draft.sources.get(line.source_id, _UNKNOWN)
    entry = Entry(
        line=line, source=source, card=key, row=_row(line), says=line.says, copy=bool(source.parents)
    )
    entry.engine = _number(line, "engine")
    entry.component = _number(line, "component")
    entry.fitted = _date(draft, entry, "fitted", eras)
    entry.removed = _date(draft, entry, "removed", eras)
    if line.says == "carried":
        # A photograph knows that it was on the engine that day, not when it was put there.
        entry.seen, entry.fitted, entry.removed = entry.fitted or entry.removed, None, None
    entry.miles = _figure(draft, entry, "miles")
    entry.total = _figure(draft, entry, "total_miles")
    return entry


def _number(line: Line, column: str) -> WrittenNumber | None:
    text = line.text(column)
    if column == "engine" and not text:
        text = line.engine_name
    if not text.strip():
        return None
    return WrittenNumber(text, is_ditto=True) if is_ditto(text) else read_number(text)


def slip_of(draft: Draft, entry: Entry, column: str, says: Says) -> float:
    """How likely one cell is wrong: as its kind of source is, as it was read; rulings overrule."""
    key = CellKey(entry.line.line_id, column)
    if key in draft.ruled.believed:
        return 0.0005
    source, learnt = entry.source, draft.learnt
    own = learnt.slip(says, source.kind)
    if source.reliability:
        # What a person says of a source takes precedence over what is usual for its kind.
        own = learnt.slip(says, "") + max(0.0, 0.98 - float(source.reliability)) * 0.5
    misread = learnt.misreading(says, entry.line.sureness(column))
    return _same(min(0.4, max(0.001, own + misread)))


@lru_cache(maxsize=65_536)
def _same(slip: float) -> float:
    """Equal numbers as one value: there are millions of cells, and some hundreds of slips."""
    return slip


def _date(draft: Draft, entry: Entry, column: str, eras: tuple[Era, Era]) -> DateClaim | None:
    """What a date cell says in its card's years; where these leave the century open, in the archive's."""
    text = entry.line.text(column)
    if not text.strip():
        return None
    own, whole = eras
    read = read_date(text, own)
    if own != whole and _century_open(read):
        # A misread heading may have lent the card the wrong life.
        read = read_date(text, whole)
    key = CellKey(entry.line.line_id, column)
    spans = tuple((s.first, s.last) for s in read.candidates if s.first is not None and s.last is not None)
    if read.edtf is None or not spans:
        if not read.is_blank:
            entry.unread = (*entry.unread, key)
        return None
    return DateClaim(key, text, read.edtf, spans, slip_of(draft, entry, column, "date"))


def _century_open(read: WrittenDate) -> bool:
    first, last = read.hull.first, read.hull.last
    return first is not None and last is not None and last - first > _CENTURY


def _marks(line: Line) -> tuple[Mark, ...]:
    """The marks of a line; what is none is for whoever takes rows in to say, and is passed over here."""
    try:
        return read_marks(line.marks)
    except BadInput:
        return ()


def _figure(draft: Draft, entry: Entry, column: str) -> FigureClaim | None:
    text = entry.line.text(column)
    if not text.strip():
        return None
    marks = tuple(mark for mark in _marks(entry.line) if mark.field == column)
    read = read_figure(text, marks)
    key = CellKey(entry.line.line_id, column)
    if read.value is None:
        if not read.is_blank:
            entry.unread = (*entry.unread, key)
        return None
    return FigureClaim(key, text, read.value, slip_of(draft, entry, column, "figure"))


def _joined(draft: Draft, entries: list[Entry]) -> list[Entry]:
    """Put a removal to the fitting above it, on a card written in half-lines."""
    out: list[Entry] = []
    for entry in entries:
        above = out[-1] if out else None
        halves = (
            entry.says == "removed" and above is not None and above.says == "fitted" and above.tail is None
        )
        if halves and above is not None and _may_be_one(draft, above, entry):
            above.tail = entry.line
            above.removed, above.miles, above.total = entry.removed, entry.miles, entry.total
            above.unread = above.unread + entry.unread
            continue
        out.append(entry)
    for entry in out:
        if entry.says in {"fitted", "removed"}:
            entry.says = "fitment"
    return out


def _may_be_one(draft: Draft, above: Entry, below: Entry) -> bool:
    """Whether both halves may name the same: letter for letter, by a ditto mark, by a later number or a
    misreading.

    Where the upper half names nobody and the lower half does, the lower one's text is taken for both.
    """
    pairs: tuple[tuple[Sort, WrittenNumber | None, WrittenNumber | None], ...] = (
        ("engine", above.engine, below.engine),
        ("component", above.component, below.component),
    )
    for sort, one, other in pairs:
        if one is None or other is None or one.is_ditto or other.is_ditto or one.bare == other.bare:
            continue
        first, second = (
            {b.subject_id: b.exact for b in link_candidates(draft.index, written, sort).bearers}
            for written in (one, other)
        )
        if not first.keys() & second.keys():
            return False
        if not any(first.values()) and any(second.values()):
            setattr(above, sort, other)
    return True


def _follow_dittos(entries: list[Entry]) -> None:
    """Give a ditto mark the text above it, with a pointer to the entry where the chain begins."""
    for column in ("engine", "component"):
        head: Entry | None = None
        for entry in entries:
            written: WrittenNumber | None = getattr(entry, column)
            if entry.says not in FITMENT_LIKE:
                continue
            if written is not None and written.is_ditto:
                entry.heads = {**entry.heads, column: head}
                setattr(entry, column, getattr(head, column) if head is not None else None)
            elif written is not None and not written.is_blank:
                head = entry
